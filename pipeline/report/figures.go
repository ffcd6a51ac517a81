package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"html/template"
	"io"
	"regexp"
	"strconv"
)

// errNotSVG is returned for a figure that would break the page.
var errNotSVG = errors.New("not one svg element")

// inline checks that a drawing is a single, well-formed svg element and
// returns it without what an XML file may have before it.
func inline(svg []byte) (template.HTML, error) {
	start, err := rootStart(svg)
	if err != nil {
		return "", err
	}
	return template.HTML(bytes.TrimSpace(svg[start:])), nil
}

var viewBox = regexp.MustCompile(`^<svg[^>]* viewBox="[-0-9.]+ [-0-9.]+ ([0-9.]+) ([0-9.]+)"`)

// tall reports whether a drawing needs a page of paper of its own; others are
// printed two to a page.
func tall(svg template.HTML) bool {
	const tallest = 0.68 // height over width at which half a page still shows small type at 7 points
	size := viewBox.FindStringSubmatch(string(svg))
	if size == nil {
		return false
	}
	width, _ := strconv.ParseFloat(size[1], 64)
	height, _ := strconv.ParseFloat(size[2], 64)
	return height > tallest*width
}

// rootStart reads the drawing to its end and returns where its element begins.
func rootStart(svg []byte) (int64, error) {
	d := xml.NewDecoder(bytes.NewReader(svg))
	var start int64 = -1
	depth := 0
	for {
		at := d.InputOffset()
		token, err := d.Token()
		if err == io.EOF && start >= 0 {
			return start, nil
		}
		if err != nil {
			return 0, fmt.Errorf("%w: %w", errNotSVG, err)
		}
		switch t := token.(type) {
		case xml.StartElement:
			if depth == 0 {
				if start >= 0 || t.Name.Local != "svg" {
					return 0, errNotSVG
				}
				start = at
			}
			depth++
		case xml.EndElement:
			depth--
		}
	}
}

// numbers are the tables of what a figure draws.
func (w writer) numbers(id string, f Figure) []grid {
	var list []grid
	add := func(rows int, name string, fill func(*grid)) {
		if rows == 0 {
			return
		}
		g := grid{ID: id + "-" + name, Caption: "What this figure shows"}
		fill(&g)
		list = append(list, g)
	}
	add(len(f.Observers), "observers", func(g *grid) { w.fillObservers(g, f.Observers) })
	return list
}
