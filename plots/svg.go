package plots

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// fontStack names what is drawn with, then what is as wide.
const fontStack = `'Liberation Sans',Arial,Helvetica,sans-serif`

// rootStyle lets the figure shrink with its page, and keeps out what a page
// may set for its own text and every text within would inherit.
const rootStyle = "max-width:100%;height:auto;direction:ltr;letter-spacing:0;word-spacing:0;text-transform:none;text-anchor:start"

// fontFamily finds the family that the canvas wrote. Quotes within text are
// escaped, so this stands in a style attribute only.
var fontFamily = regexp.MustCompile(`style="font-family:[^;"]*;`)

// prologue is what the canvas writes before the drawing.
var prologue = regexp.MustCompile(`(?s)^.*?<svg[^>]*>\n`)

// writeSVG replaces the canvas's opening with one that says what the figure
// shows and that has no fixed size in a page.
func (f Figure) writeSVG(w io.Writer) error {
	canvas := vgsvg.NewWith(vgsvg.UseWH(f.size()))
	f.draw(canvas)
	var drawing bytes.Buffer
	if _, err := canvas.WriteTo(&drawing); err != nil {
		return err
	}
	start := prologue.FindIndex(drawing.Bytes())
	if start == nil {
		return errors.New("the canvas wrote no svg element")
	}
	if err := f.writeOpening(w); err != nil {
		return err
	}
	body := fontFamily.ReplaceAll(drawing.Bytes()[start[1]:], []byte(`style="font-family:`+fontStack+`;`))
	_, err := w.Write(body)
	return err
}

func (f Figure) writeOpening(w io.Writer) error {
	width, height := f.size()
	_, err := fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" width="%.5gmm" height="%.5gmm" viewBox="0 0 %.5g %.5g"`+
		` style="%[8]s" role="img" aria-labelledby="%[5]s-title %[5]s-desc">
<title id="%[5]s-title">%[6]s</title>
<desc id="%[5]s-desc">%[7]s</desc>
`,
		float64(width/vg.Millimeter), float64(height/vg.Millimeter), width.Points(), height.Points(),
		f.Name, escape(f.Title), escape(f.Alt), rootStyle)
	return err
}

// escape makes s the text of an XML element.
func escape(s string) string {
	var b bytes.Buffer
	xml.EscapeText(&b, []byte(s)) // a bytes.Buffer takes everything
	return b.String()
}
