package page

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// The size of what ends a run.
const (
	terminalWidth = 60 // columns
	terminalLines = 12 // of the table
	terminalNotes = 4  // lines of notes
)

// The columns of the densities, and that of the labels of other lines.
const (
	nameWidth     = 20
	estimateWidth = 8
	intervalWidth = 13
	countWidth    = 8
	labelWidth    = 10
)

// Terminal is the table that ends a run, then the notes that matter most. It ends
// with a line end, and fits 60 columns.
func (r Report) Terminal() string {
	var rows, lines []string
	var parts []string // densities of parts of what stands before them
	var of string      // the table that has them
	for _, s := range r.Sections {
		for _, l := range s.Lines {
			switch {
			case l.Row == nil:
				lines = append(lines, cut(pad(l.Label, labelWidth)+l.Text.Plain(r.units()), terminalWidth))
			case l.Row.Part:
				of = l.Row.Estimate.Table
				parts = append(parts, l.Row.write("  "+printable(l.Label), r.units()))
			default:
				rows = append(rows, l.Row.head(r.units()), l.Row.write(printable(l.Label), r.units()))
			}
		}
	}
	head := []string{r.terminalHead()}
	room := terminalLines - len(head) - len(rows) - len(lines)
	if len(parts) > room {
		left := len(parts) - max(room-1, 0)
		parts = append(parts[:len(parts)-left:len(parts)-left], fmt.Sprintf("  %d more strata in results/%s", left, of))
	}
	if len(rows) == 0 {
		parts = nil
	}
	var out strings.Builder
	for _, block := range [][]string{head, rows, parts, lines} {
		for _, line := range block {
			out.WriteString(strings.TrimRight(line, " ") + "\n")
		}
	}
	if notes := r.terminalNotes(); len(notes) > 0 {
		out.WriteString("\n" + strings.Join(notes, "\n") + "\n")
	}
	return out.String()
}

// terminalHead is the title with the area at the right.
func (r Report) terminalHead() string {
	area := ""
	for _, s := range r.Sections {
		if s.Area != nil && s.Area.Known() {
			area = Say("%v", *s.Area).Plain(r.units())
		}
	}
	title := cut(r.title(), terminalWidth-width(area)-2)
	return title + strings.Repeat(" ", terminalWidth-width(title)-width(area)) + area
}

// head is the line over densities.
func (l *LineRow) head(u Units) string {
	unit := u.of(l.Estimate.Unit, l.Estimate.Number.Value).name
	ci := "CI"
	if l.Estimate.Confidence.Known {
		ci = level(l.Estimate.Confidence.Value) + " CI"
	}
	return columns("", unit, ci, "units", "finds")
}

func (l *LineRow) write(label string, u Units) string {
	limits := missing
	if l.Estimate.Bounded() {
		limits = Limits(l.Estimate).Plain(u)
	}
	return columns(label, Bare(l.Estimate).Plain(u), limits, Bare(l.Units).Plain(u), Bare(l.Finds).Plain(u))
}

func columns(label, estimate, limits, units, finds string) string {
	return pad(cut(label, nameWidth), nameWidth) + align(estimate, estimateWidth) + align(limits, intervalWidth) + align(units,
		countWidth) + align(finds, countWidth)
}

// terminalNotes are the limitations that matter most, each in a line or two, or
// by its title alone where its sentence is longer; last the caution that goes with
// a crop or a harvest.
func (r Report) terminalNotes() []string {
	var all []Limitation
	var caution []string
	for _, s := range r.Sections {
		if len(s.Lines) > 0 {
			all = append(all, s.Limitations...)
			if s.Chapter == Harvest {
				caution = []string{"note  nothing is identified, and no figure is a permission"}
			}
		}
	}
	var notes []string
	for _, l := range ranked(all) {
		const most = 2
		lines := wrap(uncapital(strings.TrimSuffix(sentence(l.Warning.Text), ".")), terminalWidth-len("note  "))
		if len(lines) > most {
			lines = wrap(uncapital(titleOf(l.Warning)), terminalWidth-len("note  "))
		}
		if len(notes)+len(lines)+len(caution) > terminalNotes {
			break
		}
		for i, line := range lines {
			notes = append(notes, [...]string{"note  ", "      "}[min(i, 1)]+line)
		}
	}
	return append(notes, caution...)
}

func width(s string) int { return utf8.RuneCountInString(s) }

// cut shortens s to n columns.
func cut(s string, n int) string {
	if width(s) <= n {
		return s
	}
	return string([]rune(s)[:max(n-1, 0)]) + "…"
}

func pad(s string, n int) string   { return s + strings.Repeat(" ", max(n-width(s), 1)) }
func align(s string, n int) string { return strings.Repeat(" ", max(n-width(s), 1)) + s }

// wrap divides s into lines of n columns.
func wrap(s string, n int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		switch {
		case line == "":
			line = cut(word, n)
		case width(line)+1+width(word) <= n:
			line += " " + word
		default:
			lines = append(lines, line)
			line = cut(word, n)
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
