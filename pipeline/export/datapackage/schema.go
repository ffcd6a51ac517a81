package datapackage

import (
	"path"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/export"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// tableSchema is a Table Schema of the standard; the unit of a field is a member
// beside those of the standard.
type tableSchema struct {
	Fields        []field      `json:"fields"`
	MissingValues []string     `json:"missingValues"`
	PrimaryKey    []string     `json:"primaryKey,omitempty"`
	ForeignKeys   []foreignKey `json:"foreignKeys,omitempty"`
}

type field struct {
	Name        string          `json:"name"`
	Type        string          `json:"type"`
	Description string          `json:"description,omitempty"`
	Unit        string          `json:"unit,omitempty"`
	TrueValues  []string        `json:"trueValues,omitempty"`
	FalseValues []string        `json:"falseValues,omitempty"`
	Constraints map[string]bool `json:"constraints,omitempty"`
}

type foreignKey struct {
	Fields    []string  `json:"fields"`
	Reference reference `json:"reference"`
}

type reference struct {
	Resource string   `json:"resource"`
	Fields   []string `json:"fields"`
}

// keys are the columns that name a row of an input table.
var keys = map[string][]string{
	survey.Strata.Name: {"stratum"}, survey.Plots.Name: {"plot"}, survey.Transects.Name: {"transect"},
	survey.Visits.Name: {"unit", "date", "pass"},
}

func schemaOf(name string, s table.Schema) *tableSchema {
	out := &tableSchema{MissingValues: []string{""}}
	for _, f := range s.Fields() {
		out.Fields = append(out.Fields, fieldOf(f))
	}
	folder, base := path.Split(name)
	if !strings.HasPrefix(folder, export.Archive) {
		return out
	}
	out.PrimaryKey = keys[base]
	if base == survey.Plots.Name || base == survey.Transects.Name {
		strata := strings.ReplaceAll(folder, "/", ".") + survey.Strata.Name
		out.ForeignKeys = []foreignKey{{[]string{"stratum"}, reference{strata, []string{"stratum"}}}}
	}
	return out
}

// fieldOf describes a column. A required text is not marked so: a text may be
// empty there, as file names and headers can.
func fieldOf(f column.Field) field {
	out := field{Name: table.Harmless(f.Name), Type: typeOf(f.Form), Description: f.About, Unit: f.Unit}
	if f.Form == column.Truth {
		out.TrueValues, out.FalseValues = []string{"yes"}, []string{"no"}
	}
	if f.Required && f.Form != column.Text {
		out.Constraints = map[string]bool{"required": true}
	}
	return out
}

// typeOf is the Table Schema's type of a column.
func typeOf(form column.Form) string {
	switch form {
	case column.Number:
		return "number"
	case column.Whole:
		return "integer"
	case column.Day:
		return "date"
	case column.Truth:
		return "boolean"
	}
	return "string"
}
