package plots

// axisChoice chooses how values lie along an axis.
type axisChoice int

const (
	// LinearAxis starts at 0: lengths compare like the values.
	LinearAxis axisChoice = iota
	// LogAxis shows values of very different size; 0 is off its edge.
	LogAxis
	// AutoAxis is a LogAxis where more than half of the values that are not 0
	// are less than a twentieth of the largest, and would crowd within a mark
	// or two of 0 on a LinearAxis. Else it is linear.
	AutoAxis
)

// log reports whether the extents are to be on a logarithmic axis.
func (a axisChoice) log(extents []extent) bool {
	if a != AutoAxis {
		return a == LogAxis
	}
	_, largest := span(estimates(extents, nil))
	all, small := 0, 0
	for _, e := range extents {
		if e.value > 0 {
			all++
		}
		if e.value > 0 && e.value < largest/20 {
			small++
		}
	}
	return 2*small > all
}

// A valueAxis is a horizontal axis of values, with its grid.
type valueAxis struct {
	title     string
	log       bool
	reference float64 // the value of the heavier line; none where the scale does not show it
	low, high string  // what it means to lie at the ends
}

const (
	tickAir   = 7.0  // between the labels of neighbouring ticks
	axisGap   = 10.0 // from the end of the grid to the middle of the tick labels
	titleStep = 13.0
)

func (a valueAxis) ticks(s scale) []tick {
	return s.ticks(func(label string) float64 { return smallText.width(label) + tickAir })
}

// grid draws the lines of the axis from top to bottom.
func (a valueAxis) grid(p pen, s scale, top, bottom float64) {
	for _, t := range a.ticks(s) {
		x := s.at(t.value)
		p.line(x, top, x, bottom, gridStroke)
	}
	if s.shows(a.reference) && !(a.log && a.reference <= 0) {
		x := s.at(a.reference)
		p.line(x, top, x, bottom, axisStroke)
	}
}

// labels writes the tick labels at height y.
func (a valueAxis) labels(p pen, s scale, y float64) {
	for _, t := range a.ticks(s) {
		p.text(s.at(t.value), y, t.label, smallText, middle)
	}
}

// words writes the title, and above it what the ends mean, from height top
// down.
func (a valueAxis) words(p pen, s scale, top float64) {
	y := top + titleStep/2
	if a.low != "" {
		p.text(s.from, y, lowWords(a.low), mutedText, left)
		if !a.wordsAbreast(s) {
			y += titleStep
		}
		p.text(s.to, y, highWords(a.high), mutedText, right)
		y += titleStep
	}
	title := smallText.fit(a.title, figureWidth-2*margin)
	half := smallText.width(title) / 2
	x := min(max((s.from+s.to)/2, margin+half), figureWidth-margin-half)
	p.text(x, y, title, smallText, middle)
}

func lowWords(s string) string  { return "← " + s }
func highWords(s string) string { return s + " →" }

// wordsAbreast reports whether what both ends mean fits on one line.
func (a valueAxis) wordsAbreast(s scale) bool {
	return mutedText.width(lowWords(a.low))+columnGap+mutedText.width(highWords(a.high)) <= s.length()
}

// wordsHeight is what words needs.
func (a valueAxis) wordsHeight(s scale) float64 {
	switch {
	case a.low == "":
		return titleStep
	case a.wordsAbreast(s):
		return 2 * titleStep
	}
	return 3 * titleStep
}
