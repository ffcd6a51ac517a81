package forecast

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/season"
)

// adjustment is the power to which the likelihood of visits taken as independent is
// raised so that its curvature is that of their information by clusters,
//
//	power = p / tr(H^-1 J),  J = m/(m-1) sum_c s_c s_c'
//
// H the negative Hessian of the log-likelihood in the p = 2 parameters peak and log
// width, s_c the score of cluster c and m the clusters, all with the heights of cells
// at their maxima (the magnitude adjustment of composite likelihoods: Pauli, Racugno &
// Ventura 2011, Statistica Sinica 21: 149-164; from memory). It is taken at the draw
// that the visits agree with best. Where units keep their rank from visit to visit and
// all are visited alike, it is over 1.
//
// A few clusters tell little of J, which is drawn towards H with the weight of
// priorClusters. The power is 1 where the visits do not tell a maximum.
func (f *Forecast) adjustment(d draw, s season.Sample, cells [][]int, k float64) float64 {
	clusters := stats.NewNumbers[int](0)
	for _, c := range s.Cluster {
		clusters.Of(c)
	}
	m := len(clusters.Names)
	if m < 2 {
		return 1
	}
	by := func(peak, width float64) []float64 {
		return f.byCluster(draw{
			peak: d.peak + peak*f.perDay, width: d.width * math.Exp(width),
			delay: d.delay, lead: d.lead, shift: d.shift, factor: d.factor,
		}, s, cells, k, clusters.Names)
	}
	// Half a day and a twentieth of the width: steps far above rounding, and below
	// what a flush changes over.
	const a, b = 0.5, 0.05
	up, down, wide, narrow := by(a, 0), by(-a, 0), by(0, b), by(0, -b)
	middle := sum(by(0, 0))
	var j11, j12, j22, mean1, mean2 float64
	for c := range up {
		one, two := (up[c]-down[c])/(2*a), (wide[c]-narrow[c])/(2*b)
		j11, j12, j22 = j11+one*one, j12+one*two, j22+two*two
		mean1, mean2 = mean1+one/float64(m), mean2+two/float64(m)
	}
	n := float64(m)
	j11, j12, j22 = (j11-n*mean1*mean1)*n/(n-1), (j12-n*mean1*mean2)*n/(n-1), (j22-n*mean2*mean2)*n/(n-1)
	h11 := -(sum(up) + sum(down) - 2*middle) / (a * a)
	h22 := -(sum(wide) + sum(narrow) - 2*middle) / (b * b)
	h12 := -(sum(by(a, b)) + sum(by(-a, -b)) - sum(by(a, -b)) - sum(by(-a, b))) / (4 * a * b)
	det := h11*h22 - h12*h12
	var ratio float64 // mean eigenvalue of H^-1 J
	switch {
	case h11 > 0 && det > 1e-6*h11*math.Abs(h22):
		ratio = (h22*j11 - 2*h12*j12 + h11*j22) / det / 2
	case h11 > 0:
		ratio = j11 / h11
	default:
		return 1
	}
	return (n + priorClusters) / (n*ratio + priorClusters)
}

// priorClusters is the weight of visits that are independent beside what the clusters
// show.
const priorClusters = 5

func sum(x []float64) float64 {
	var s float64
	for _, v := range x {
		s += v
	}
	return s
}

// byCluster is the log-likelihood of each cluster, with the height of each cell at its
// maximum for all of them.
func (f *Forecast) byCluster(d draw, s season.Sample, cells [][]int, k float64, clusters map[int]int) []float64 {
	out := make([]float64, len(clusters))
	for _, rows := range cells {
		mean := make([]float64, len(rows))
		for i, row := range rows {
			mean[i] = s.Exposure[row] * max(f.window(d, s, row), leastShare)
		}
		h := height(s, rows, mean, k)
		for i, row := range rows {
			out[clusters[s.Cluster[row]]] += logNB(s.Count[row], h*mean[i], k)
		}
	}
	return out
}

// height is the height of a cell that is most likely: the zero of its score, which
// falls with the height, by halving on a log scale.
func height(s season.Sample, rows []int, mean []float64, k float64) float64 {
	var finds, expected float64
	for i, row := range rows {
		finds += s.Count[row]
		expected += mean[i]
	}
	middle := math.Log(max(finds, 0.5) / expected)
	low, high := middle-12, middle+12
	for range 50 {
		half := (low + high) / 2
		h := math.Exp(half)
		var score float64
		for i, row := range rows {
			mu := h * mean[i]
			if math.IsInf(k, 1) {
				score += s.Count[row] - mu
			} else {
				score += (s.Count[row] - mu) / (1 + mu/k)
			}
		}
		if score > 0 {
			low = half
		} else {
			high = half
		}
	}
	return math.Exp((low + high) / 2)
}
