package plots

import (
	"fmt"
	"image/color"
	"math"
	"strings"
)

// ObserversShares shows what independent observers saw of what was there: a bar
// of who saw what, and the share that each of them and all together saw, with
// its limits, a part for each method.
type ObserversShares struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of the intervals, e.g. 0.95.
	Confidence float64
	// Parts are drawn from top to bottom.
	Parts []ObserversPart
}

// ObserversPart is the observers of one method.
type ObserversPart struct {
	Method string
	// Observers are drawn in this order; Together stands under them.
	Observers []ObserverShare
	Together  ObserverShare
	// Several is the finds that two or more saw.
	Several float64
	// Unseen is the finds that nobody saw, by estimate, with its limits; NaN
	// for no limit.
	Unseen, Lower, Upper float64
}

// ObserverShare is what one observer saw.
type ObserverShare struct {
	Name string
	// Seen is the finds he saw, Alone those nobody else saw.
	Seen, Alone int
	// Share is the chance that he saw what was there, with its limits, from 0
	// to 1; NaN for what cannot be had.
	Share, Lower, Upper float64
}

// Figure draws the shares. It returns an error where there are none, or a
// number is none that could be drawn.
func (o ObserversShares) Figure() (Figure, error) {
	if len(o.Parts) == 0 {
		return Figure{}, ErrEmpty
	}
	if err := checkConfidence(o.Confidence); err != nil {
		return Figure{}, err
	}
	parts := make([]ObserversPart, len(o.Parts))
	for i, part := range o.Parts {
		if err := part.check(); err != nil {
			return Figure{}, err
		}
		parts[i] = part.clean()
	}
	o.Parts = parts
	figure, err := newFigure(Figure{Name: o.Name, Title: o.Title, Caption: o.caption(), Alt: o.alt()},
		"observers-shares", "What each observer saw of what was there")
	if err != nil {
		return Figure{}, err
	}
	return o.layout(figure), nil
}

// clean copies a part with names fit to be drawn.
func (p ObserversPart) clean() ObserversPart {
	p.Method = named(p.Method)
	p.Observers = append([]ObserverShare(nil), p.Observers...)
	for i := range p.Observers {
		p.Observers[i].Name = named(p.Observers[i].Name)
	}
	p.Together.Name = "All together"
	return p
}

func (p ObserversPart) check() error {
	if len(p.Observers) == 0 {
		return ErrEmpty
	}
	shares := append([]ObserverShare{p.Together}, p.Observers...)
	for _, s := range shares {
		if !(s.extent().check() == nil) || s.Share > 1 || s.Upper > 1 || s.Seen < 0 || s.Alone < 0 {
			return fmt.Errorf("plots: share of %s, %+v, cannot be drawn", named(s.Name), s)
		}
	}
	if !(p.Several >= 0 && p.Several <= farthest) || !(p.Unseen >= 0 && p.Unseen <= farthest) {
		return fmt.Errorf("plots: %v finds seen by several and %v by nobody cannot be drawn", p.Several, p.Unseen)
	}
	if err := (extent{p.Unseen, p.Lower, p.Upper}).check(); err != nil {
		return fmt.Errorf("plots: unseen finds: %w", err)
	}
	return nil
}

// extent is the share in percent.
func (s ObserverShare) extent() extent { return extent{100 * s.Share, 100 * s.Lower, 100 * s.Upper} }

func (o ObserversShares) caption() string {
	return fmt.Sprintf("The bar divides the finds that were there where two or more searched: seen by one observer alone, by several, and, by estimate, by nobody. "+
		"Marks are the share of them that each observer saw, and all together, with %s confidence intervals. A group of fruit bodies is one find.", percent(o.Confidence))
}

func (o ObserversShares) alt() string {
	var b strings.Builder
	b.WriteString("What independent observers saw of the finds that were there.")
	for _, part := range o.Parts {
		fmt.Fprintf(&b, " %s: %s", part.Method, part.split())
		for _, s := range append(part.Observers, part.Together) {
			fmt.Fprintf(&b, "; %s saw %s", s.Name, s.cell(o.Confidence))
		}
		b.WriteString(".")
	}
	return b.String()
}

// split says in words who saw what.
func (p ObserversPart) split() string {
	nobody := "nobody " + number(p.Unseen)
	if limits := (extent{p.Unseen, p.Lower, p.Upper}).limits(); limits != "" {
		nobody += " (" + limits + ")"
	}
	words := []string{"several " + count(int(p.Several)), nobody}
	for _, s := range p.Observers {
		words = append(words, fmt.Sprintf("%s alone %s", s.Name, count(s.Alone)))
	}
	return strings.Join(words, ", ")
}

// cell writes a share with its limits.
func (s ObserverShare) cell(confidence float64) string {
	e := s.extent()
	if e.missing() || math.IsNaN(e.value) {
		return "–"
	}
	text := number(e.value) + " %"
	if limits := e.limits(); limits != "" {
		text += " (" + limits + ")"
	}
	return text
}

const (
	shareNames  = 104.0 // of the observers
	shareCells  = 138.0 // right of the scale
	shareBar    = 15.0
	shareRow    = 15.0
	shareApart  = 12.0
	shareInside = 6.0 // least air about a text within a bar
)

var (
	aloneTints  = []color.RGBA{{0xC9, 0xDF, 0xEE, 0xFF}, {0xCC, 0xE7, 0xDD, 0xFF}} // of blue and green, in turn
	severalTint = gray(0xB8)
	unseenEdge  = stroke{color: muted, width: 0.8, dashes: []float64{2.5, 2}}
	barEdge     = stroke{color: rule, width: gridWidth}
)

// layout puts the parts under each other on one scale.
func (o ObserversShares) layout(figure Figure) Figure {
	s := scale{lo: 0, hi: 100, from: margin + shareNames, to: figureWidth - margin - shareCells}
	axis := valueAxis{title: "Share of the finds that were there (%)"}
	bottom := margin
	tops := make([]float64, len(o.Parts))
	for i, part := range o.Parts {
		tops[i] = bottom
		bottom += part.height() + shareApart
	}
	bottom -= shareApart
	figure.height = bottom + axisGap + lineStep/2 + titleStep + margin
	figure.paint = func(p pen) {
		for i, part := range o.Parts {
			part.paint(p, s, axis, tops[i], o.Confidence)
		}
		axis.labels(p, s, bottom+axisGap)
		axis.words(p, s, bottom+axisGap+lineStep/2)
	}
	return figure
}

// height is what a part needs: a title, the bar with its words below, a row
// for each observer and one for all.
func (p ObserversPart) height() float64 {
	return lineStep + 4 + shareBar + lineStep + 4 + shareRow*float64(len(p.Observers)+1)
}

func (p ObserversPart) paint(pen pen, s scale, axis valueAxis, top, confidence float64) {
	pen.text(margin, top+lineStep/2, capital(p.Method), strongText, left)
	bar := top + lineStep + 4
	rows := bar + shareBar + lineStep + 4
	axis.grid(pen, s, rows, top+p.height())
	p.paintBar(pen, s, bar)
	pen.text(s.from, bar+shareBar+lineStep/2+1, mutedText.fit(p.split(), figureWidth-margin-s.from), mutedText, left)
	pen.text(margin, bar+shareBar/2, "Who saw what", nameText, left)
	for i, share := range append(append([]ObserverShare(nil), p.Observers...), p.Together) {
		y := rows + (float64(i)+0.5)*shareRow
		style, m := nameText, mark{shape: circle, color: blue}
		if i == len(p.Observers) {
			style, m = strongText, mark{shape: diamond, color: ink}
		}
		pen.text(margin, y, style.fit(share.Name, shareNames-cellGap), style, left)
		share.extent().draw(pen, s, y, m)
		pen.text(figureWidth-margin, y, share.cell(confidence), smallText, right)
	}
}

// paintBar draws who saw what, as shares of all there was.
func (p ObserversPart) paintBar(pen pen, s scale, top float64) {
	all := p.Several + p.Unseen
	for _, o := range p.Observers {
		all += float64(o.Alone)
	}
	if !(all > 0) {
		return
	}
	at := 0.0
	segment := func(n float64, label string, fill color.Color) (from, to float64) {
		from, to = s.at(100*at/all), s.at(100*(at+n)/all)
		at += n
		if fill != nil && n > 0 {
			pen.rect(from, top, to, top+shareBar, fill)
		}
		if smallText.width(label)+shareInside <= to-from {
			pen.text((from+to)/2, top+shareBar/2, label, smallText, middle)
		}
		return from, to
	}
	half := (len(p.Observers) + 1) / 2
	for i, o := range p.Observers[:half] {
		segment(float64(o.Alone), o.Name, aloneTints[i%2])
	}
	segment(p.Several, "several", severalTint)
	for i, o := range p.Observers[half:] {
		segment(float64(o.Alone), o.Name, aloneTints[(half+i)%2])
	}
	end := s.at(100 * at / all)
	pen.curve([]point{{s.from, top}, {end, top}, {end, top + shareBar}, {s.from, top + shareBar}, {s.from, top}}, barEdge)
	from, to := segment(p.Unseen, "nobody", nil)
	if to > from {
		pen.curve([]point{{from, top}, {to, top}, {to, top + shareBar}, {from, top + shareBar}}, unseenEdge)
	}
}
