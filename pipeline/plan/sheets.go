package plan

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"math"
	"strconv"
	"strings"

	"ashtally/pipeline/plan/fieldmap"
	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/survey"
	"ashtally/plots"
)

//go:embed html/sheets.html
var files embed.FS

var templates = template.Must(template.New("").ParseFS(files, "html/*.html"))

// sheetRows is how many finds a sheet has room for, in cells of 8 mm.
const sheetRows = 16

// sheetsView is what the template of the sheets prints.
type sheetsView struct {
	Title   string
	Style   template.CSS
	Rules   []rule
	Columns []sheetColumn
	Rows    []struct{}
	Sheets  []sheet
}

type rule struct{ Head, Text string }

type sheetColumn struct {
	Name []string // parts that a line may end after
	Wide bool
}

// sheet is the page of one unit.
type sheet struct {
	ID, Stratum, Spare string
	Shape              string
	Places             []string
	From               string // the way from the unit before
	Map                template.HTML
}

// sheetWriter writes the field sheets of an input.
type sheetWriter struct{ Input }

func (in sheetWriter) files(placed []Placed) ([]File, error) {
	data, err := in.sheets(placed)
	return []File{{"sheets.html", data}}, err
}

// sheets writes a page for each unit, then for each spare.
func (in sheetWriter) sheets(placed []Placed) ([]byte, error) {
	v := sheetsView{
		Title: survey.Printable(in.Settings.Title), Style: template.CSS(plots.Stylesheet()),
		Rules: in.rules(), Columns: in.sheetColumns(), Rows: make([]struct{}, sheetRows),
	}
	for _, p := range placed {
		for i, u := range p.Units {
			s, err := in.sheet(placed, u)
			if err != nil {
				return nil, err
			}
			if i > 0 {
				s.From = in.wayFrom(p.Units[i-1], u)
			}
			v.Sheets = append(v.Sheets, s)
		}
	}
	for _, u := range allSpares(placed) {
		s, err := in.sheet(placed, u)
		if err != nil {
			return nil, err
		}
		v.Sheets = append(v.Sheets, s)
	}
	var out bytes.Buffer
	err := templates.ExecuteTemplate(&out, "sheets.html", v)
	return out.Bytes(), err
}

func (in sheetWriter) sheet(placed []Placed, u fieldmap.Unit) (sheet, error) {
	s := sheet{ID: u.ID, Stratum: survey.Printable(u.Stratum), Shape: in.shape(u), Places: places(u)}
	if u.Spare > 0 {
		s.Spare = fmt.Sprintf("Spare %d of its stratum: only in place of a unit that cannot be reached.", u.Spare)
	}
	f, err := mapper(in).locator(placed, u).Figure()
	if err != nil {
		return s, err
	}
	svg, err := f.Inline(plots.Narrow)
	s.Map = template.HTML(svg)
	return s, err
}

// shape says what to lay out.
func (in sheetWriter) shape(u fieldmap.Unit) string {
	p := in.Settings.Plan
	switch {
	case u.Length == 0:
		return fmt.Sprintf("Round plot, radius %s, measured level.", in.length(p.RadiusM))
	case u.Kind == survey.Line:
		return fmt.Sprintf("Line of %s at %s from true north. Measure each find's distance at right angles to the line.", in.length(p.LengthM), bearing(u.Bearing))
	case u.Kind == survey.Strip:
		return fmt.Sprintf("Strip of %s at %s from true north, %s to either side.", in.length(p.LengthM), bearing(u.Bearing), in.length(p.HalfWidthM))
	}
	return fmt.Sprintf("Rectangular plot, %s at %s from true north by %s.", in.length(p.LengthM), bearing(u.Bearing), in.length(p.WidthM))
}

func bearing(degrees float64) string {
	return fmt.Sprintf("%03.0f°", math.Mod(math.Round(degrees), 360))
}

// length is a length in the units that the survey shows first.
func (in sheetWriter) length(metres float64) string {
	if in.Settings.Units == survey.US {
		const metresPerFoot = 0.3048
		return fmt.Sprintf("%.1f ft", metres/metresPerFoot)
	}
	return strconv.FormatFloat(metres, 'f', -1, 64) + " m"
}

// places are positions to a tenth of a metre or so.
func places(u fieldmap.Unit) []string {
	if u.Kind == survey.Strip || u.Kind == survey.Line {
		return []string{"start " + position(u.Start), "end " + position(u.End)}
	}
	return []string{"centre " + position(u.Center)}
}

func position(p geodesy.Position) string {
	ns, ew := "N", "E"
	if p.Lat < 0 {
		ns = "S"
	}
	if p.Lon < 0 {
		ew = "W"
	}
	return fmt.Sprintf("%.6f° %s, %.6f° %s", math.Abs(p.Lat), ns, math.Abs(p.Lon), ew)
}

// wayFrom is distance and bearing from one unit to the next.
func (in sheetWriter) wayFrom(from, to fieldmap.Unit) string {
	g := geodesy.Inverse(from.Center, to.Start)
	return fmt.Sprintf("From %s: %s at %s from true north.", from.ID, in.length(math.Round(g.Length)), bearing(g.Azimuth))
}

// sheetColumns are those of finds.csv that differ from find to find.
func (in sheetWriter) sheetColumns() []sheetColumn {
	var all []sheetColumn
	for _, f := range survey.Finds.Fields() {
		switch f.Name {
		case "unit", "date", "pass", "ground_cover_percent":
			continue
		case "distance_m":
			if in.Settings.Plan.Unit != survey.Line {
				continue
			}
		}
		parts := strings.SplitAfter(f.Name, "_")
		all = append(all, sheetColumn{Name: parts, Wide: f.Name == "taxon" || f.Name == "tree"})
	}
	return all
}

// rules are the rules of the sheets.
func (in sheetWriter) rules() []rule {
	p := in.Settings.Plan
	inside := "A fruit body counts if the middle of its base lies inside. Of those whose base lies on the boundary count the first, leave the second, and so on."
	if p.Unit == survey.Line {
		inside = "Walk on the line. A fruit body counts at any distance at which it is seen; measure from the line to the middle of its base."
	}
	visits := "Record only fruit bodies that no earlier visit recorded; mark or cut those that you record."
	if in.Settings.Counting.Rule == survey.Standing {
		visits = "Record all that stand, those of earlier visits too."
	}
	return []rule{
		{"Inside", inside},
		{"Every visit", visits + " Fill in date, observers and hours."},
		{"No finds", "Tick “no finds”, and enter the visit in visits.csv all the same: it is a zero. Nothing goes into finds.csv."},
		{"Mode", fmt.Sprintf("S saprotrophic; H host-associated, within %s of a live host; U undetermined. It is where the find stood, not proof "+
			"of a root partnership.", in.length(in.Settings.Hosts.DistanceM))},
		{"Hollow", "Cut one lengthwise: hollow from tip to base yes, no, or unchecked. A check, not an identification: false morels are poisonous."},
		{"Safety", "Look up: burned trees fall. Test the ground: ash pits. Eat nothing that an experienced local identifier has not confirmed, " +
			"and no morel raw. Permits and closures: ask the local authority."},
	}
}
