package page

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// provenanceView is where the figures come from.
type provenanceView struct {
	Program  string
	Version  string
	Settings []settingView
	Inputs   []Input
	Tables   []TableCount
}

// settingView is one line of survey.toml, as it was used.
type settingView struct{ Key, Value, Means string }

func (r Report) provenance() provenanceView {
	v := provenanceView{Program: r.program(), Version: printable(r.Provenance.Version), Settings: r.settings(), Tables: r.Provenance.Tables}
	for _, in := range r.Provenance.Inputs {
		in.Name = printable(in.Name)
		v.Inputs = append(v.Inputs, in)
	}
	return v
}

// program names what made the report.
func (r Report) program() string {
	p := r.Provenance
	text := strings.TrimSpace(p.Program + " " + p.Version)
	if built := strings.TrimSpace(p.Go + " " + p.Platform); built != "" {
		text += " (" + built + ")"
	}
	return printable(text)
}

// settings lists every setting of a run, also those that nobody set.
func (r Report) settings() []settingView {
	s := r.Settings
	var list []settingView
	for _, k := range survey.Keys {
		list = append(list, settingView{k.Path(), valueOf(k.At(&s)), sentence(k.About)})
	}
	for i, h := range s.Harvest {
		for _, k := range survey.HarvestKeys {
			list = append(list, settingView{fmt.Sprintf("harvest[%d].%s", i+1, k.Name), valueOf(k.At(&h)), sentence(k.About)})
		}
	}
	for _, stratum := range slices.Sorted(maps.Keys(s.SingleUnitStrata)) {
		list = append(list, settingView{survey.SingleUnitStrata + "." + printable(stratum), printable(s.SingleUnitStrata[stratum]),
			sentence(survey.AboutSingleUnitStrata)})
	}
	for _, table := range survey.TableNames() {
		if files := s.Files[table]; !slices.Equal(files, []string{table + ".csv"}) && len(files) > 0 {
			list = append(list, settingView{"files." + table, listed(files), "Files of the table."})
		}
	}
	for _, table := range survey.TableNames() {
		if columns := s.Columns[table]; len(columns) > 0 {
			list = append(list, settingView{"columns." + table, renamed(columns), "Headers of the crew's own, and the columns that they are read as."})
		}
	}
	return list
}

// renamed lists the crew's own headers of a table, by name.
func renamed(columns map[string]string) string {
	var parts []string
	for _, header := range slices.Sorted(maps.Keys(columns)) {
		parts = append(parts, "“"+printable(header)+"” = "+printable(columns[header]))
	}
	return strings.Join(parts, ", ")
}

// valueOf writes what a setting's place holds.
func valueOf(at any) string {
	switch v := at.(type) {
	case *string:
		return cmp.Or(survey.Printable(*v), missing)
	case *float64:
		return strconv.FormatFloat(*v, 'g', -1, 64)
	case *survey.Range:
		return v.String()
	case *uint64:
		return strconv.FormatUint(*v, 10)
	case *int:
		return strconv.Itoa(*v)
	case *[]string:
		return listed(*v)
	case *[]float64:
		texts := make([]string, len(*v))
		for i, n := range *v {
			texts[i] = strconv.FormatFloat(n, 'g', -1, 64)
		}
		return cmp.Or(strings.Join(texts, ", "), missing)
	case *column.Date:
		return cmp.Or(v.String(), missing)
	}
	panic(fmt.Sprintf("page: no way to write a setting of type %T", at))
}

func listed(list []string) string {
	names := make([]string, len(list))
	for i, s := range list {
		names[i] = printable(s)
	}
	return cmp.Or(strings.Join(names, ", "), missing)
}
