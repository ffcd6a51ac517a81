package lines

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"

	"ashtally/stats/detect"
)

// side is that of the square of the longleaf pines, m.
const side = 200.0

// pines is a real population: the 584 longleaf pines mapped on 200 x 200 m by
// Platt, Evans & Rathbun (1988), American Naturalist 131: 491-525, as in the R package
// spatstat.data. It has gaps and thickets. Lines of 100 m lie across it at random; the square is joined
// at its edges, so that every tree has the same chance.
func pines() world {
	trees := longleaf()
	return world{
		name: "longleaf pines, mapped", lines: 14, width: 5, form: "R2", density: float64(len(trees)) / (side * side) * perHa,
		seen: halfNormal(1.5), models: []detect.Model{hn}, mapped: trees,
	}
}

func longleaf() [][2]float64 {
	file, err := os.Open("../../calibrate/longleaf.csv")
	if err != nil {
		panic(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		panic(err)
	}
	var trees [][2]float64
	for _, row := range rows[1:] {
		x, errX := strconv.ParseFloat(row[0], 64)
		y, errY := strconv.ParseFloat(row[1], 64)
		if errX != nil || errY != nil {
			panic("longleaf.csv: not a number")
		}
		trees = append(trees, [2]float64{x, y})
	}
	return trees
}

func (w world) drawMapped(r *rand.Rand) (Survey, detect.Data) {
	s := Survey{Strata: []Stratum{{Name: "all"}}}
	d := detect.Data{Right: w.width}
	for k := range w.lines {
		const length = 100
		s.Transects = append(s.Transects, Transect{Length: length, Sequence: k})
		x, y := side*r.Float64(), side*r.Float64()
		for _, tree := range w.mapped {
			across := math.Abs(math.Remainder(tree[0]-x, side))
			along := math.Mod(tree[1]-y+side, side)
			if across <= w.width && along < length && r.Float64() < w.seen(across, 1, "") {
				s.On = append(s.On, k)
				d.Distance = append(d.Distance, across)
			}
		}
	}
	return s, d
}
