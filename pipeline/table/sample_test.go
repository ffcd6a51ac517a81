package table_test

import (
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

// sample is a row with a column of every form, and of every way for one to be
// without a value.
type sample struct {
	file  string
	line  int64
	texts []string

	id, note, fire, list, choice string
	size                         column.Float
	count, pass                  column.Int
	seen                         column.Date
	alive                        column.Bool
}

var samples = column.Table[sample]{
	Name:  "samples",
	About: "one sample",
	Columns: []column.Column[sample]{
		{Field: column.Field{Name: "id", Form: column.ID, Required: true, About: "its name"},
			At: func(r *sample) any { return &r.id }},
		{Field: column.Field{Name: "note", Form: column.Text},
			At: func(r *sample) any { return &r.note }},
		{Field: column.Field{Name: "fire", Form: column.Fire, About: "date or year"},
			At: func(r *sample) any { return &r.fire }},
		{Field: column.Field{Name: "list", Form: column.List, About: "some; words"},
			At: func(r *sample) any { return &r.list }},
		{Field: column.Field{Name: "choice", Form: column.Choice, Default: "neither", About: "this or that"},
			At: func(r *sample) any { return &r.choice }},
		{Field: column.Field{Name: "size_m", Unit: "m", Form: column.Number, About: "its size"},
			At: func(r *sample) any { return &r.size }},
		{Field: column.Field{Name: "count", Unit: "fruit bodies", Form: column.Whole, About: "how many"},
			At: func(r *sample) any { return &r.count }},
		{Field: column.Field{Name: "pass", Form: column.Whole, Default: "1", About: "which time"},
			At: func(r *sample) any { return &r.pass }},
		{Field: column.Field{Name: "seen", Form: column.Day, About: "when"},
			At: func(r *sample) any { return &r.seen }},
		{Field: column.Field{Name: "alive", Form: column.Truth, About: "whether"},
			At: func(r *sample) any { return &r.alive }},
	},
}

var crewHeaders = []string{"Mood", " mood ", ""}

func sampleOptions(rows int) table.Options[sample] {
	return table.Options[sample]{
		Source: func(r *sample) (string, int64) { return r.file, r.line },
		Extra:  crewHeaders,
		Texts:  func(r *sample) []string { return r.texts },
		Rows:   rows,
	}
}

// sampleRows are a full row, one without all that may be missing, and values
// at the ends of what their types hold.
func sampleRows() []sample {
	one := column.Int{Value: 1, Known: true}
	rows := []sample{
		{id: "A 1", note: "plain", fire: "2030", list: "AK;BM", choice: "this", size: number(1.25), count: column.Count(7), pass: one,
			seen: date("2031-05-17"), alive: column.Bool{Value: true, Known: true}, texts: []string{"good", "bad", "ugly"}},
		{id: "A 2", choice: "neither", pass: one, texts: []string{"", "", ""}},
		{id: "Ñandú 茶 🍄", note: "line\nbreak, \"quoted\"\t", fire: "2030-08-01", list: "é;e\u0301", choice: "that", size: number(-0.1),
			count: column.Int{Value: math.MaxInt64, Known: true}, pass: column.Int{Value: math.MinInt64, Known: true},
			seen: date("1969-12-31"), alive: column.Bool{Known: true}, texts: []string{"=1+1", " ", "Ⅷ"}},
		{id: "A 4", choice: "this", size: number(math.MaxFloat64), count: column.Int{Known: true}, pass: one,
			seen: date("1883-08-27"), texts: []string{"", "x", ""}},
		{id: "A 5", choice: "this", size: number(math.SmallestNonzeroFloat64), count: column.Int{Value: 1<<53 + 1, Known: true}, pass: one,
			seen: date("1970-01-01"), texts: []string{"", "", ""}},
		{id: "A 6", choice: "this", size: number(0), pass: one, seen: date("9999-12-31"), texts: []string{"", "", ""}},
	}
	for i := range rows {
		rows[i].file, rows[i].line = "samples.csv", int64(i+2)
	}
	return rows
}

func number(v float64) column.Float { return column.Float{Value: v, Known: true} }

func date(s string) column.Date {
	d, err := column.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

// built returns the rows in batches of at most the given number.
func built(rows []sample, most int) []table.Batch {
	var batches []table.Batch
	b := table.NewBuilder(samples, sampleOptions(most))
	for i := range rows {
		b.Append(&rows[i])
		if b.Full() {
			batches = append(batches, b.Flush())
		}
	}
	if b.Rows() > 0 || len(batches) == 0 {
		batches = append(batches, b.Flush())
	}
	return batches
}

// readBack returns row i of a batch of samples as a row.
func readBack(b table.Batch, i int) sample {
	return sample{
		file:   b.Texts(table.SourceFile).At(i),
		line:   b.Ints(table.SourceLine).At(i).Value,
		texts:  []string{b.Texts("Mood").At(i), b.Texts("mood (2)").At(i), b.Texts("unnamed").At(i)},
		id:     b.Texts("id").At(i),
		note:   b.Texts("note").At(i),
		fire:   b.Texts("fire").At(i),
		list:   b.Texts("list").At(i),
		choice: b.Texts("choice").At(i),
		size:   b.Floats("size_m").At(i),
		count:  b.Ints("count").At(i),
		pass:   b.Ints("pass").At(i),
		seen:   b.Dates("seen").At(i),
		alive:  b.Bools("alive").At(i),
	}
}
