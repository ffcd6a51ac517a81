package plots

import "fmt"

// densityForest is a forest without rows whose axis is one of densities.
func densityForest(extents []extent, unit string, confidence float64, axis axisChoice) forest {
	f := forest{ends: true, limits: "none found: upper limit"}
	f.axis = valueAxis{
		title: fmt.Sprintf("%s, with %s confidence interval", capital(named(unit)), percent(confidence)),
		log:   axis.log(extents),
	}
	if f.axis.log {
		f.lo, f.hi = logDomain(extents)
	} else {
		f.lo, f.hi = linearDomain(extents)
	}
	return f
}

// forestFigure makes a figure of a forest: the key of its marks above, the
// axis title, what its signs mean, and remarks below.
func forestFigure(figure Figure, name, title string, f forest, marks key, remarks []string) (Figure, error) {
	figure, err := newFigure(figure, name, title)
	if err != nil {
		return Figure{}, err
	}
	const from, to = margin, figureWidth - margin
	top := margin + marks.height(from, to)
	if len(marks) > 0 {
		top += 6
	}
	l := f.layout(top)
	across := l.scales[0]
	across.to = l.scales[l.abreast-1].to
	wordsTop := l.bottom + 2
	signs := f.signs(l.scales[0])
	signsTop := wordsTop + f.axis.wordsHeight(across) + 8
	remarksTop := signsTop + signs.height(from, to)

	figure.height = remarksTop + float64(len(remarks))*lineStep + margin
	figure.paint = func(p pen) {
		marks.draw(p, from, to, margin)
		f.paint(p, l)
		f.axis.words(p, across, wordsTop)
		signs.draw(p, from, to, signsTop)
		for i, remark := range remarks {
			p.text(from, remarksTop+(float64(i)+0.5)*lineStep, remark, smallText, left)
		}
	}
	return figure, nil
}

// signs explains what is drawn in a way that wants a word.
func (f forest) signs(s scale) key {
	var seen signs
	for _, e := range f.drawn() {
		seen.see(e, s)
	}
	return seen.key(f.limits)
}
