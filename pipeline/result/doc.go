// Package result declares the tables of results: their columns, their rows and
// what each row warns of.
//
// A table is declared once, by a [Declaration] of the type of its rows. With rows
// it is a [Table], which hides their type, so that writing, showing and listing
// tables are loops that name none:
//
//	var Crop = result.Declaration[CropRow]{
//		Name:  "crop",
//		About: "the crop of one part of the survey area",
//		Key: []result.Columns[CropRow]{
//			result.Text("stratum", "stratum, or all", func(r *CropRow) *string { return &r.Stratum }),
//		},
//		Columns: []result.Columns[CropRow]{
//			result.EstimateOf(func(r *CropRow) *result.Estimate { return &r.Kg },
//				result.Value("mass_kg", "kg", "fresh mass"), result.SE("mass_se_kg"),
//				result.Lower("mass_lower_kg"), result.Upper("mass_upper_kg")),
//		},
//		Warnings: func(r *CropRow) []stats.Warning { return r.Warnings },
//	}
//
// A [Cell] is one value of a table with its place, so that a page can show a
// number and say where it stands.
package result
