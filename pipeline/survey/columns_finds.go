package survey

import "ashtally/pipeline/column"

var passField = column.Field{Name: "pass", Form: column.Whole, Default: "1", Bounds: passes, About: "which search of the unit on that day, from 1"}

// Visits declares visits.csv.
var Visits = column.Table[Visit]{
	Name:  "visits",
	About: "one search of one unit on one day, finds or none",
	Columns: []column.Column[Visit]{
		{Field: column.Field{Name: "unit", Form: column.ID, Required: true, About: "the plot or transect searched"},
			At: func(r *Visit) any { return &r.Unit }},
		{Field: column.Field{Name: "date", Form: column.Day, Required: true, Bounds: surveyed, About: "day of the search"},
			At: func(r *Visit) any { return &r.Date }},
		{Field: passField, At: func(r *Visit) any { return &r.Pass }},
		{Field: column.Field{Name: "observers", Form: column.List, About: "those who searched independently, divided by ;"},
			At: func(r *Visit) any { return &r.Observers }},
		{Field: column.Field{Name: "hours", Unit: "h", Form: column.Number, Bounds: searchH, About: "hours of search"},
			At: func(r *Visit) any { return &r.Hours }},
		{Field: column.Field{Name: "ground_cover_percent", Unit: "percent", Form: column.Number, Bounds: percent,
			About: "share of the ground hidden under litter and low plants, which keep finds from being seen"},
			At: func(r *Visit) any { return &r.GroundCoverPercent }},
	},
}

// Finds declares finds.csv.
var Finds = column.Table[Find]{
	Name:  "finds",
	About: "one fruit body or one tight group",
	Columns: []column.Column[Find]{
		{Field: column.Field{Name: "unit", Form: column.ID, Required: true, About: "the plot or transect it was found in"},
			At: func(r *Find) any { return &r.Unit }},
		{Field: column.Field{Name: "date", Form: column.Day, Required: true, Bounds: surveyed, About: "day of the visit"},
			At: func(r *Find) any { return &r.Date }},
		{Field: passField, At: func(r *Find) any { return &r.Pass }},
		{Field: column.Field{Name: "taxon", Form: column.ID, Required: true, About: "what it is, in the crew's own names"},
			At: func(r *Find) any { return &r.Taxon }},
		{Field: column.Field{Name: "count", Unit: "fruit bodies", Form: column.Whole, Default: "1", Bounds: counted, About: "fruit bodies in the row"},
			At: func(r *Find) any { return &r.Count }},
		{Field: column.Field{Name: "mode", Form: column.Choice, Words: modes, Default: Undetermined, About: "the crew's call: where the find " +
			"stood, not proof of a root partnership"},
			At: func(r *Find) any { return &r.Mode }},
		{Field: column.Field{Name: "tree", Form: column.ID, About: "species of the nearest tree"},
			At: func(r *Find) any { return &r.Tree }},
		{Field: column.Field{Name: "tree_distance_m", Unit: "m", Form: column.Number, Bounds: distanceM, About: "distance to that tree"},
			At: func(r *Find) any { return &r.TreeDistanceM }},
		{Field: column.Field{Name: "tree_alive", Form: column.Truth, About: "whether that tree was alive"},
			At: func(r *Find) any { return &r.TreeAlive }},
		{Field: column.Field{Name: "distance_m", Unit: "m", Form: column.Number, Bounds: distanceM, About: "distance from the line, at right angles to it"},
			At: func(r *Find) any { return &r.DistanceM }},
		{Field: column.Field{Name: "seen_by", Form: column.List, About: "the observers who saw it, divided by ;"},
			At: func(r *Find) any { return &r.SeenBy }},
		{Field: column.Field{Name: "mass_g", Unit: "g", Form: column.Number, Bounds: massG, About: "fresh mass of the whole row"},
			At: func(r *Find) any { return &r.MassG }},
		{Field: column.Field{Name: "hollow", Form: column.Choice, Words: hollow, About: "whether a lengthwise cut showed it hollow from tip to " +
			"base: yes, no or unchecked"},
			At: func(r *Find) any { return &r.Hollow }},
		{Field: column.Field{Name: "harvested", Form: column.Truth, About: "whether it was taken"},
			At: func(r *Find) any { return &r.Harvested }},
		{Field: column.Field{Name: "x_m", Unit: "m", Form: column.Number, Bounds: positionM, About: "position within the unit, across"},
			At: func(r *Find) any { return &r.XM }},
		{Field: column.Field{Name: "y_m", Unit: "m", Form: column.Number, Bounds: positionM, About: "position within the unit, along"},
			At: func(r *Find) any { return &r.YM }},
		{Field: column.Field{Name: "ground_cover_percent", Unit: "percent", Form: column.Number, Bounds: percent,
			About: "share of the ground hidden where it stood; empty = that of its visit"},
			At: func(r *Find) any { return &r.GroundCoverPercent }},
	},
}

// Trees declares trees.csv.
var Trees = column.Table[Tree]{
	Name:  "trees",
	About: "what a unit offers of one tree species",
	Columns: []column.Column[Tree]{
		{Field: column.Field{Name: "unit", Form: column.ID, Required: true, About: "the plot or transect"},
			At: func(r *Tree) any { return &r.Unit }},
		{Field: column.Field{Name: "tree", Form: column.ID, Required: true, About: "tree species"},
			At: func(r *Tree) any { return &r.Tree }},
		{Field: column.Field{Name: "alive", Form: column.Truth, About: "whether these stems were alive"},
			At: func(r *Tree) any { return &r.Alive }},
		{Field: column.Field{Name: "stems", Form: column.Whole, Bounds: stems, About: "number of stems"},
			At: func(r *Tree) any { return &r.Stems }},
		{Field: column.Field{Name: "basal_area_m2", Unit: "m2", Form: column.Number, Bounds: basalM2, About: "basal area in the unit"},
			At: func(r *Tree) any { return &r.BasalAreaM2 }},
		{Field: column.Field{Name: "cover_percent", Unit: "percent", Form: column.Number, Bounds: percent, About: "share of the unit under its crowns"},
			At: func(r *Tree) any { return &r.CoverPercent }},
	},
}

// ReferencePoints declares reference_points.csv.
var ReferencePoints = column.Table[ReferencePoint]{
	Name:  "reference_points",
	About: "a point drawn at random in a unit",
	Columns: []column.Column[ReferencePoint]{
		{Field: column.Field{Name: "unit", Form: column.ID, Required: true, About: "the plot or transect"},
			At: func(r *ReferencePoint) any { return &r.Unit }},
		{Field: column.Field{Name: "tree", Form: column.ID, About: "species of the nearest tree"},
			At: func(r *ReferencePoint) any { return &r.Tree }},
		{Field: column.Field{Name: "tree_distance_m", Unit: "m", Form: column.Number, Bounds: distanceM, About: "distance to that tree"},
			At: func(r *ReferencePoint) any { return &r.TreeDistanceM }},
		{Field: column.Field{Name: "tree_alive", Form: column.Truth, About: "whether that tree was alive"},
			At: func(r *ReferencePoint) any { return &r.TreeAlive }},
	},
}
