package plots

import (
	"cmp"
	"slices"

	"ashtally/plots/internal/canvas"
)

// A tag is the label of something at x.
type tag struct {
	x    float64
	text string
	role Role
}

// tags writes labels around their x, between from and to: on as few lines as
// keep them apart. It returns where they end.
func (s *sheet) tags(labels []tag, from, to, top float64) float64 {
	labels = slices.DeleteFunc(slices.Clone(labels), func(t tag) bool { return t.text == "" })
	slices.SortStableFunc(labels, func(a, b tag) int { return cmp.Compare(a.x, b.x) })
	var ends []float64 // of each line
	for _, t := range labels {
		text := smallFont.Fit(t.text, to-from)
		w := smallFont.Width(text)
		x := min(max(t.x-w/2, from), to-w)
		line := slices.IndexFunc(ends, func(end float64) bool { return end+columnAir/2 <= x })
		if line < 0 {
			line = len(ends)
			ends = append(ends, 0)
		}
		ends[line] = x + w
		s.Text(x, top+(float64(line)+0.5)*lineStepS, text, smallFont, t.role, canvas.Left)
	}
	if len(ends) == 0 {
		return top
	}
	return top + float64(len(ends))*lineStepS + 3
}
