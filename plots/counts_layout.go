package plots

import "math"

const (
	countsHeight  = 92.0 // of the drawn part of a panel
	countsAbreast = 2
	unitsWidth    = 26.0 // for the tick labels of an axis of units
)

var (
	negBinMark   = mark{shape: circle, color: blue}
	poissonMark  = mark{shape: diamond, color: rule, open: true}
	negBinLine   = stroke{color: blue, width: intervalWidth}
	poissonLine  = stroke{color: rule, width: 0.9, dashes: []float64{3, 2}}
	countsHeader = lineStep + 2*(lineStep-0.5) + 20 // title, words, name of the axis
)

// layoutCounts puts the panels on a grid under their key.
func layoutCounts(figure Figure, panels []countsPanel) Figure {
	marks := countsKey()
	from, to := margin, figureWidth-margin
	cells := grid{
		top: margin + marks.height(from, to) + 8, from: from, to: to, columns: min(countsAbreast, len(panels)),
		cellHeight: countsHeader + countsHeight + axisGap + lineStep/2 + 14, gapX: 22, gapY: 16,
	}
	figure.height = cells.bottom(len(panels)) + margin
	figure.paint = func(p pen) {
		marks.draw(p, from, to, margin)
		for i, panel := range panels {
			panel.paint(p, cells.at(i))
		}
	}
	return figure
}

func countsKey() key {
	return key{
		{"units observed", 11, func(p pen, x, y float64) { p.rect(x, y-4, x+11, y+4, bar) }},
		{"negative binomial", swatchWidth, func(p pen, x, y float64) {
			p.line(x, y, x+swatchWidth, y, negBinLine)
			negBinMark.draw(p, x+swatchWidth/2, y)
		}},
		{"Poisson", swatchWidth, func(p pen, x, y float64) {
			p.line(x, y, x+swatchWidth, y, poissonLine)
			poissonMark.draw(p, x+swatchWidth/2, y)
		}},
	}
}

// paint draws the panel into a cell of the grid.
func (c countsPanel) paint(p pen, at cell) {
	y := at.top + lineStep/2
	c.paintTitle(p, at, y)
	for i, line := range c.words {
		p.text(at.from, y+float64(i+1)*(lineStep-0.5), smallText.fit(line, at.to-at.from), smallText, left)
	}
	top := at.top + countsHeader
	bottom := top + countsHeight
	units := scale{lo: 0, hi: c.top * 1.04, whole: true, from: bottom, to: top}
	p.text(at.from, top-10, "Units", mutedText, left)
	paintUnits(p, units, at)

	places := classPlaces(len(c.classes), at.from+unitsWidth, at.to)
	c.paintBars(p, units, places)
	c.paintFit(p, units, places, func(k countClass) float64 { return k.poisson }, poissonLine, poissonMark)
	c.paintFit(p, units, places, func(k countClass) float64 { return k.negBin }, negBinLine, negBinMark)
	p.line(at.from+unitsWidth, bottom, at.to, bottom, axisStroke)
	c.paintLabels(p, places, at, bottom+axisGap)
	p.text((at.from+unitsWidth+at.to)/2, bottom+axisGap+titleStep, "Fruit bodies per unit", smallText, middle)
}

func (c countsPanel) paintTitle(p pen, at cell, y float64) {
	method := ", " + mutedText.fit(c.method, laneNameWidth)
	title := strongText.fit(c.stratum, at.to-at.from-mutedText.width(method))
	p.text(at.from, y, title, strongText, left)
	p.text(at.from+strongText.width(title), y, method, mutedText, left)
}

// paintUnits draws the grid and the labels of the axis of units.
func paintUnits(p pen, s scale, at cell) {
	const room = 18.0 // from one line of labels to the next
	for _, t := range s.ticks(func(string) float64 { return room }) {
		y := s.at(t.value)
		p.line(at.from+unitsWidth, y, at.to, y, gridStroke)
		p.text(at.from+unitsWidth-5, y, t.label, smallText, right)
	}
}

// classPlaces are the middles of so many bars side by side.
func classPlaces(n int, from, to float64) []float64 {
	places := make([]float64, n)
	for i := range places {
		places[i] = from + (float64(i)+0.5)*(to-from)/float64(n)
	}
	return places
}

func (c countsPanel) paintBars(p pen, s scale, places []float64) {
	const widest = 15.0
	half := min(widest, (places[1]-places[0])*0.4)
	for i, class := range c.classes {
		p.rect(places[i]-half, s.at(0), places[i]+half, s.at(float64(class.observed)), bar)
	}
}

// paintFit draws what a fit expects: a mark over each class, and a line from
// class to class of the same width. Between others, and to the open one, a
// line would show a rise or fall that the distribution does not have.
func (c countsPanel) paintFit(p pen, s scale, places []float64, expected func(countClass) float64, line stroke, m mark) {
	at := func(i int) point { return point{places[i], s.at(expected(c.classes[i]))} }
	if math.IsNaN(expected(c.classes[0])) {
		return
	}
	for i := 1; i < len(c.classes); i++ {
		if c.classes[i].width() == c.classes[i-1].width() {
			p.curve([]point{at(i - 1), at(i)}, line)
		}
	}
	for i := range c.classes {
		m.draw(p, at(i).x, at(i).y)
	}
}

// paintLabels writes the labels of the classes, leaving out every second one,
// or two of three, where there is no room; the last one always stands.
func (c countsPanel) paintLabels(p pen, places []float64, at cell, y float64) {
	step := 1
	for !c.labelsFit(places, at, step) {
		step++
	}
	last := len(places) - 1
	for i, class := range c.classes {
		if (last-i)%step == 0 {
			p.text(c.labelPlace(i, places, at), y, class.label(), smallText, middle)
		}
	}
}

// labelPlace is the middle of label i: under its bar, unless it would reach
// out of the panel there.
func (c countsPanel) labelPlace(i int, places []float64, at cell) float64 {
	half := smallText.width(c.classes[i].label()) / 2
	return min(places[i], at.to-half)
}

func (c countsPanel) labelsFit(places []float64, at cell, step int) bool {
	const air = 3.0
	last := len(places) - 1
	for i := last; i-step >= 0; i -= step {
		need := smallText.width(c.classes[i].label()) + smallText.width(c.classes[i-step].label())
		if c.labelPlace(i, places, at)-c.labelPlace(i-step, places, at) < need/2+air {
			return false
		}
	}
	return true
}
