package plots

import (
	"fmt"
	"math"
)

// DistancesAgainstFit holds the shares of finds seen up to each distance against
// those that the detection function leads one to expect: the nearer to the
// diagonal, the better it fits.
type DistancesAgainstFit struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Function names the detection function.
	Function string
	// Finds is the number of detections.
	Finds int
	// Classes says that the distances were recorded in classes: then there is
	// a point for each border.
	Classes bool
	// Points ascend in both shares, from 0 to 1.
	Points []FitPoint
	// Band is how far from the diagonal the points may come by chance; NaN for
	// no band.
	Band float64
}

// FitPoint is the share of finds expected and observed up to one distance.
type FitPoint struct{ Fitted, Observed float64 }

// Figure draws the shares. It returns an error where there are none, or one is
// no share.
func (d DistancesAgainstFit) Figure() (Figure, error) {
	if len(d.Points) == 0 {
		return Figure{}, ErrEmpty
	}
	share := func(v float64) bool { return v >= 0 && v <= 1 }
	for i, p := range d.Points {
		if !share(p.Fitted) || !share(p.Observed) {
			return Figure{}, fmt.Errorf("plots: point %d, %+v, is no pair of shares", i+1, p)
		}
	}
	if d.Band < 0 {
		return Figure{}, fmt.Errorf("plots: a band of %v cannot be drawn", d.Band)
	}
	figure, err := newFigure(Figure{Name: d.Name, Title: d.Title, Caption: d.caption(), Alt: d.alt()},
		"distances-against-fit", "Fit of the detection function")
	if err != nil {
		return Figure{}, err
	}
	d.Points = append([]FitPoint(nil), d.Points...)
	return d.layout(figure), nil
}

func (d DistancesAgainstFit) caption() string {
	s := "Each point is a find: across, the share of finds expected nearer to the line than it by the detection function (" + named(d.Function) + "); up, the share observed. "
	if d.Classes {
		s = "Each point is a border between classes of distance: across, the share of finds expected nearer to the line by the detection function (" + named(d.Function) + "); up, the share observed. "
	}
	s += "A function that fits keeps the points along the diagonal; points above it mean more finds near the line than expected."
	if d.banded() {
		s += " Outside the grey band comes one sample in twenty of a function known beforehand, and fewer of one fitted to the same finds."
	}
	return s
}

func (d DistancesAgainstFit) banded() bool { return !math.IsNaN(d.Band) && d.Band > 0 }

// farthestOff is the point that lies farthest from the diagonal.
func (d DistancesAgainstFit) farthestOff() FitPoint {
	worst := d.Points[0]
	for _, p := range d.Points {
		if math.Abs(p.Observed-p.Fitted) > math.Abs(worst.Observed-worst.Fitted) {
			worst = p
		}
	}
	return worst
}

func (d DistancesAgainstFit) alt() string {
	worst := d.farthestOff()
	s := fmt.Sprintf("Observed against fitted shares of %s by distance from the line, detection function %s. The point farthest from the diagonal has %s observed where %s is expected",
		plural(d.Finds, "find"), named(d.Function), number(worst.Observed), number(worst.Fitted))
	if !d.banded() {
		return s + "."
	}
	where := "within"
	if math.Abs(worst.Observed-worst.Fitted) > d.Band {
		where = "outside"
	}
	return s + ", " + where + " the band of chance of " + number(d.Band) + "."
}

const fitHeight = 210.0 // of the drawn part, which is as wide

var (
	fitBand  = gray(0xE4)
	diagonal = stroke{color: muted, width: 0.9}
)

// layout puts the square under its key.
func (d DistancesAgainstFit) layout(figure Figure) Figure {
	marks := d.key()
	from := margin + unitsWidth
	to := from + fitHeight
	top := margin + marks.height(margin, figureWidth-margin) + 24
	bottom := top + fitHeight
	x, y := scale{lo: 0, hi: 1, from: from, to: to}, scale{lo: 0, hi: 1, from: bottom, to: top}
	axis := valueAxis{title: "Share of finds expected"}
	figure.height = bottom + axisGap + lineStep/2 + titleStep + margin
	figure.paint = func(p pen) {
		marks.draw(p, margin, figureWidth-margin, margin)
		p.text(margin, top-12, "Share of finds observed", mutedText, left)
		if d.banded() {
			p.polygon(d.outline(x, y), fitBand)
		}
		paintUnits(p, y, cell{from: margin, to: to})
		p.line(from, bottom, to, bottom, axisStroke)
		p.line(x.at(0), y.at(0), x.at(1), y.at(1), diagonal)
		for _, at := range d.Points {
			p.disc(x.at(at.Fitted), y.at(at.Observed), fitRadius, blue)
		}
		axis.labels(p, x, bottom+axisGap)
		axis.words(p, x, bottom+axisGap+lineStep/2)
	}
	return figure
}

const fitRadius = 1.8 // of a point; there may be hundreds

// outline is the band along the diagonal, cut off at the square.
func (d DistancesAgainstFit) outline(x, y scale) []point {
	b := min(d.Band, 1)
	corners := [][2]float64{{0, 0}, {0, b}, {1 - b, 1}, {1, 1}, {1, 1 - b}, {b, 0}}
	points := make([]point, len(corners))
	for i, c := range corners {
		points[i] = point{x.at(c[0]), y.at(c[1])}
	}
	return points
}

func (d DistancesAgainstFit) key() key {
	what := "a find"
	if d.Classes {
		what = "a border of classes"
	}
	k := key{
		{what, 2 * fitRadius, func(p pen, x, y float64) { p.disc(x+fitRadius, y, fitRadius, blue) }},
		{"a perfect fit", swatchWidth, func(p pen, x, y float64) { p.line(x, y, x+swatchWidth, y, diagonal) }},
	}
	if d.banded() {
		k = append(k, keyItem{"chance", swatchWidth, func(p pen, x, y float64) { p.rect(x, y-4, x+swatchWidth, y+4, fitBand) }})
	}
	return k
}
