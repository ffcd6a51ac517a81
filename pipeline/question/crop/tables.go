package crop

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Row is one row of results/crop.
type Row struct {
	Method, Ground, Stratum, Years string
	Basis                          string // link of the chain
	AreaHa                         column.Float
	Bodies, Kg, KgPerHa, Grams     result.Estimate
	Counted, Weighed               column.Int
	Warnings                       []stats.Warning
}

// MassRow is one row of results/mass.
type MassRow struct {
	Taxon, Mode           string
	Finds, Weighed, Sites column.Int
	MassG                 column.Float
	Grams                 result.Estimate
	Warnings              []stats.Warning
}

// HarvestRow is one row of results/harvest.
type HarvestRow struct {
	Scenario, Method, Ground    string
	Stratum                     string // result.All, or result.Reached
	AreaHa, People, Days, Limit column.Float
	LimitUnit                   string
	Filled                      column.Float // percent
	Taken, Crop                 column.Float // in Unit
	Unit                        string
	Share                       result.Estimate // percent of the crop
	Asked                       column.Float    // percent
	Exceeds                     column.Float    // probability, 0 to 1
	Basis                       string          // of the crop
	Chance                      column.Float    // wanted, 0 to 1
	MostPeople, MostDays        column.Float
	MostLimit                   column.Float // in LimitUnit
	Warnings                    []stats.Warning
}

var cropTable = result.Declaration[Row]{
	Name:  "crop",
	About: "crop of one part of the survey area, in fruit bodies and in mass",
	Key: []result.Columns[Row]{
		result.Text("method", "all for the methods together, as in chain; plot, adaptive-cluster, strip or line, as in density",
			func(r *Row) *string { return &r.Method }),
		result.Text("ground", "burned, unburned, or all", func(r *Row) *string { return &r.Ground }),
		result.Text("stratum", "stratum; all for the survey area or all of one ground, or reached for the strata of it that the method reached",
			func(r *Row) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all: the mean of a season", func(r *Row) *string { return &r.Years }),
	},
	Columns: []result.Columns[Row]{
		result.Number("land_ha", "ha", "land that the figures stand for", func(r *Row) *column.Float { return &r.AreaHa }),
		result.Text("basis", "the density that it stands on: counted, detected or season, as in chain", func(r *Row) *string { return &r.Basis }),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Bodies },
			result.Value("fruit_bodies", "fruit bodies", "fruit bodies on it: density times land"),
			result.SE("fruit_bodies_se"), result.Lower("fruit_bodies_lower"), result.Upper("fruit_bodies_upper")),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Kg },
			result.Value("mass_kg", "kg", "fresh mass of them"),
			result.SE("mass_se_kg"), result.Lower("mass_lower_kg"), result.Upper("mass_upper_kg")),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.KgPerHa },
			result.Value("kg_per_ha", "kg/ha", "fresh mass per hectare"), result.Lower("kg_per_ha_lower"), result.Upper("kg_per_ha_upper")),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Grams },
			result.Value("g_per_fruit_body", "g", "mean fresh mass of a fruit body of this crop, its kinds as they stand there"), result.SE("g_per_fruit_body_se")),
		result.Whole("finds", "fruit bodies", "fruit bodies counted here", func(r *Row) *column.Int { return &r.Counted }),
		result.Whole("weighed", "fruit bodies", "fruit bodies in rows with a mass, of all units, that the mass rests on",
			func(r *Row) *column.Int { return &r.Weighed }),
		result.Number("confidence", "", "nominal level of the intervals", func(r *Row) *column.Float { return &r.Bodies.Confidence }),
	},
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}

var massTable = result.Declaration[MassRow]{
	Name:  "mass",
	Basis: result.Basis{Searches: true},
	About: "what a fruit body of one kind weighs, from the rows of finds with a mass",
	Key: []result.Columns[MassRow]{
		result.Text("taxon", "target taxon, or all of them", func(r *MassRow) *string { return &r.Taxon }),
		result.Text("mode", "the crew's call of the mode, or all", func(r *MassRow) *string { return &r.Mode }),
	},
	Columns: []result.Columns[MassRow]{
		result.Whole("finds", "fruit bodies", "fruit bodies counted", func(r *MassRow) *column.Int { return &r.Finds }),
		result.Whole("weighed", "fruit bodies", "fruit bodies in rows with a mass", func(r *MassRow) *column.Int { return &r.Weighed }),
		result.Whole("sites", "", "units or sites where any was weighed", func(r *MassRow) *column.Int { return &r.Sites }),
		result.Number("mass_g", "g", "their mass", func(r *MassRow) *column.Float { return &r.MassG }),
		result.EstimateOf(func(r *MassRow) *result.Estimate { return &r.Grams },
			result.Value("g_per_fruit_body", "g", "mass over fruit bodies"),
			result.SE("se"), result.Lower("lower"), result.Upper("upper"), result.Confidence()),
	},
	Warnings: func(r *MassRow) []stats.Warning { return r.Warnings },
}

var harvestTable = result.Declaration[HarvestRow]{
	Name:  "harvest",
	About: "a harvest of the settings compared with the crop by one method, on the whole survey area or on one kind of ground",
	Key: []result.Columns[HarvestRow]{
		result.Text("scenario", "its name in survey.toml", func(r *HarvestRow) *string { return &r.Scenario }),
		result.Text("method", "all for the methods together, or plot, adaptive-cluster, strip or line: what the crop is estimated by",
			func(r *HarvestRow) *string { return &r.Method }),
		result.Text("ground", "all, or burned or unburned land as if all were taken there", func(r *HarvestRow) *string { return &r.Ground }),
		result.Text("stratum", "all; reached where the method reached only some of these strata: as if all were taken there",
			func(r *HarvestRow) *string { return &r.Stratum }),
	},
	Columns: []result.Columns[HarvestRow]{
		result.Number("land_ha", "ha", "land that the crop stands for", func(r *HarvestRow) *column.Float { return &r.AreaHa }),
		result.Number("people", "", "people who pick", func(r *HarvestRow) *column.Float { return &r.People }),
		result.Number("days", "", "days on which each picks", func(r *HarvestRow) *column.Float { return &r.Days }),
		result.Number("limit", "", "most that one may take in a day", func(r *HarvestRow) *column.Float { return &r.Limit }),
		result.Text("limit_unit", "unit of the limit", func(r *HarvestRow) *string { return &r.LimitUnit }),
		result.Number("filled_percent", "percent", "share of the limit that is filled", func(r *HarvestRow) *column.Float { return &r.Filled }),
		result.Number("taken", "", "what they take, in the unit of the next column", func(r *HarvestRow) *column.Float { return &r.Taken }),
		result.Text("unit", "fruit bodies or kg", func(r *HarvestRow) *string { return &r.Unit }),
		result.Number("crop", "", "the crop in that unit", func(r *HarvestRow) *column.Float { return &r.Crop }),
		result.EstimateOf(func(r *HarvestRow) *result.Estimate { return &r.Share },
			result.Value("share_percent", "percent", "what they take of it; over 100 is more than there is"),
			result.Lower("lower_percent"), result.Upper("upper_percent"), result.Confidence()),
		result.Number("asked_percent", "percent", "share whose passing is asked for", func(r *HarvestRow) *column.Float { return &r.Asked }),
		result.Number("chance_over", "", "chance that the share is over it, by the 95 % interval of the crop, whatever the level of the others",
			func(r *HarvestRow) *column.Float { return &r.Exceeds }),
		result.Text("basis", "the density that the crop stands on, as in crop", func(r *HarvestRow) *string { return &r.Basis }),
		result.Number("chance_wanted", "", "wanted chance that the share is not over it", func(r *HarvestRow) *column.Float { return &r.Chance }),
		result.Number("most_people", "", "most people with which that chance is kept, days and limit as they are",
			func(r *HarvestRow) *column.Float { return &r.MostPeople }),
		result.Number("most_days", "", "most days of each with which it is kept, people and limit as they are",
			func(r *HarvestRow) *column.Float { return &r.MostDays }),
		result.Number("most_limit", "", "largest limit with which it is kept, in its unit, people and days as they are",
			func(r *HarvestRow) *column.Float { return &r.MostLimit }),
	},
	Warnings: func(r *HarvestRow) []stats.Warning { return r.Warnings },
}
