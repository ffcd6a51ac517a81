package canvas

import (
	"bytes"
	_ "embed" // the fonts
	"encoding/base64"
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"strconv"
	"sync"
)

//go:embed fonts/sans-regular.woff2
var regularWOFF2 []byte

//go:embed fonts/sans-bold.woff2
var boldWOFF2 []byte

// family is the name of the embedded font, and what a viewer may take for it:
// the fonts of equal metrics.
const family = `'Ashtally Sans','Liberation Sans',Arial,Helvetica,sans-serif`

// fontFace declares the embedded font.
var fontFace = sync.OnceValue(func() [2]string {
	face := func(weight string, woff2 []byte) string {
		return `@font-face{font-family:'Ashtally Sans';font-weight:` + weight + `;src:url(data:font/woff2;base64,` +
			base64.StdEncoding.EncodeToString(woff2) + `) format('woff2')}`
	}
	return [2]string{face("400", regularWOFF2), face("700", boldWOFF2)}
})

// rules are the classes of the drawings. Words keep to the width that was
// measured (textLength) even where the font is another.
const rules = `.plot{max-width:100%;height:auto;direction:ltr;letter-spacing:0;word-spacing:0;text-transform:none}` +
	`.plot text{font-family:` + family + `;font-size:13px;font-weight:400;font-kerning:none;font-variant-ligatures:none;white-space:pre}` +
	`.plot .small{font-size:12px}.plot .strong{font-weight:700}.plot .soft{fill-opacity:0.24}.plot .pale{fill-opacity:0.11}.plot .none{fill:none}`

// Stylesheet is the CSS that drawings need which stand in an HTML page without
// a style of their own: the fonts, the palette as variables (--plot-ink and so
// on, dark where the reader prefers it, light in print), and the classes.
func Stylesheet() string {
	f := fontFace()
	return f[0] + f[1] + ":root{" + variables(false) + "}@media screen and (prefers-color-scheme:dark){:root{" + variables(true) + "}}" + rules + classes()
}

// ownStyle is the CSS within an SVG file: without variables, which viewers
// other than browsers lack, and only of the roles that it has.
func (d *Drawing) ownStyle() string {
	var b bytes.Buffer
	b.WriteString(".plot .soft{fill-opacity:" + place(soft) + "}.plot .pale{fill-opacity:" + place(pale) + "}.plot .none{fill:none}")
	used := d.used()
	for _, dark := range []bool{false, true} {
		if dark {
			b.WriteString("@media (prefers-color-scheme:dark){")
		}
		for r := Ink; r < roles; r++ {
			if used[r] {
				fmt.Fprintf(&b, ".plot .a-%[1]s{fill:%[2]s}.plot .l-%[1]s{stroke:%[2]s}", r, r.hex(dark))
			}
		}
	}
	b.WriteString("}")
	return b.String()
}

// used are the roles that the drawing has.
func (d *Drawing) used() (used [roles]bool) {
	used[Paper] = true
	for _, i := range d.Items {
		used[i.Style.Area], used[i.Style.Line], used[i.Role] = true, true, true
	}
	return used
}

// Words are what a drawing says to those who do not see it.
type Words struct {
	ID          string // start of the ids of its title and description
	Title, Desc string
}

// errPlace is returned for a drawing with a place that is no number.
var errPlace = errors.New("canvas: something is drawn at no place")

// SVG writes the drawing as a file of its own, with its colours on light and
// on dark paper. Its words are outlines, which look the same in every viewer:
// few besides browsers read an embedded font. Inline writes it for a page that
// has the [Stylesheet], its words as text.
func (d *Drawing) SVG(w Words) ([]byte, error) { return d.svg(w, true) }

// Inline is SVG without the style.
func (d *Drawing) Inline(w Words) ([]byte, error) { return d.svg(w, false) }

func (d *Drawing) svg(w Words, own bool) ([]byte, error) {
	if !d.finite() {
		return nil, errPlace
	}
	var b bytes.Buffer
	links := ""
	if own {
		links = ` xmlns:xlink="http://www.w3.org/1999/xlink"` // older viewers know no other link
	}
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg"%[4]s class="plot" width="%[1]s" height="%[2]s" viewBox="0 0 %[1]s %[2]s" role="img" aria-labelledby="%[3]s-title %[3]s-desc">`+"\n",
		place(d.Width), place(d.Height), w.ID, links)
	fmt.Fprintf(&b, "<title id=\"%[1]s-title\">%[2]s</title>\n<desc id=\"%[1]s-desc\">%[3]s</desc>\n", w.ID, escape(w.Title), escape(w.Desc))
	letters := letterSet{id: w.ID, of: map[letter]int{}}
	if own {
		fmt.Fprintf(&b, "<style>%s</style>\n", d.ownStyle())
		letters.define(&b, d.Items)
		fmt.Fprintf(&b, "<path class=\"a-paper\" d=\"M0 0H%sV%sH0Z\"/>\n", place(d.Width), place(d.Height))
	}
	for i := 0; i < len(d.Items); {
		if d.Items[i].Text != "" {
			if own {
				letters.write(&b, d.Items[i])
			} else {
				d.Items[i].writeText(&b)
			}
			i++
			continue
		}
		n := d.alike(i)
		writePath(&b, d.Items[i:i+n])
		i += n
	}
	b.WriteString("</svg>\n")
	return b.Bytes(), nil
}

// alike is the number of paths from i on that make one element: of one style,
// and for areas not upon each other, where they would cancel out.
func (d *Drawing) alike(i int) int {
	n := 1
	for i+n < len(d.Items) && d.Items[i+n].Text == "" && d.Items[i+n].Style == d.Items[i].Style {
		if d.Items[i].Style.Area != None {
			for _, before := range d.Items[i : i+n] {
				if before.Box().Covers(d.Items[i+n].Box(), 0) {
					return n
				}
			}
		}
		n++
	}
	return n
}

func (i Item) writeText(b *bytes.Buffer) {
	class := "a-" + i.Role.String()
	size := ""
	switch i.Font.Size {
	case 13:
	case 12:
		class = "small " + class
	default:
		size = fmt.Sprintf(` style="font-size:%spx"`, place(i.Font.Size))
	}
	if i.Font.Bold {
		class = "strong " + class
	}
	fmt.Fprintf(b, `<text class="%s"%s x="%s" y="%s" textLength="%s" lengthAdjust="spacingAndGlyphs">%s</text>`+"\n",
		class, size, place(i.X), place(i.Y), place(i.Font.Width(i.Text)), escape(i.Text))
}

func writePath(b *bytes.Buffer, items []Item) {
	s := items[0].Style
	b.WriteString(`<path class="`)
	switch {
	case s.Pale:
		b.WriteString("pale ")
	case s.Soft:
		b.WriteString("soft ")
	}
	if s.Area == None {
		b.WriteString("none")
	} else {
		b.WriteString("a-" + s.Area.String())
	}
	if s.Line != None {
		b.WriteString(" l-" + s.Line.String() + `" stroke-width="` + place(s.Width))
	}
	if s.Dash != [2]float64{} {
		b.WriteString(`" stroke-dasharray="` + place(s.Dash[0]) + " " + place(s.Dash[1]))
	}
	if s.Area != None {
		b.WriteString(`" fill-rule="evenodd`)
	}
	b.WriteString(`" d="`)
	for _, i := range items {
		writeOps(b, i.Path)
	}
	b.WriteString("\"/>\n")
}

func writeOps(b *bytes.Buffer, ops []Op) {
	for _, op := range ops {
		switch op.Kind {
		case Close:
			b.WriteByte('Z')
		case Circle:
			r := place(op.R)
			fmt.Fprintf(b, "M%s %sa%s %s 0 1 0 %s 0a%s %s 0 1 0 -%s 0Z", place(op.X-op.R), place(op.Y), r, r, place(2*op.R), r, r, place(2*op.R))
		case Quad:
			fmt.Fprintf(b, "Q%s %s %s %s", place(op.X1), place(op.Y1), place(op.X), place(op.Y))
		default:
			b.WriteByte(op.Kind)
			b.WriteString(place(op.X) + " " + place(op.Y))
		}
	}
}

// place writes a length to a twentieth of a pixel and better.
func place(v float64) string {
	v = math.Round(v*100) / 100
	if v == 0 {
		return "0" // not -0
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// escape makes s the text of an XML element.
func escape(s string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(s)) // a bytes.Buffer takes everything
	return b.String()
}
