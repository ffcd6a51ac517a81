package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// CropRow is one row of results/crop.
type CropRow struct {
	Method, Ground, Stratum, Years string
	LandHa                         column.Float
	Bodies, Kg, KgPerHa, Grams     Estimate
	Counted, Weighed               column.Int
	Warnings                       []stats.Warning
}

// MassRow is one row of results/mass.
type MassRow struct {
	Taxon, Mode           string
	Finds, Weighed, Sites column.Int
	MassG                 column.Float
	Grams                 Estimate
	Warnings              []stats.Warning
}

// HarvestRow is one row of results/harvest.
type HarvestRow struct {
	Scenario, Method, Ground    string
	Stratum                     string // All, or Reached
	LandHa, People, Days, Limit column.Float
	LimitUnit                   string
	Filled                      column.Float // percent
	Taken, Crop                 column.Float // in Unit
	Unit                        string
	Share                       Estimate     // percent of the crop
	Asked                       column.Float // percent
	Passes                      column.Float // chance from 0 to 1
	Warnings                    []stats.Warning
}

// The declarations of the tables of the crop.
var (
	CropTable = column.Table[CropRow]{
		Name:  "crop",
		About: "what one part of the land carries, in fruit bodies and in mass",
		Columns: []column.Column[CropRow]{
			text("method", "plot, adaptive-cluster, strip or line, as in density", func(r *CropRow) *string { return &r.Method }),
			text("ground", "burned, unburned, or all", func(r *CropRow) *string { return &r.Ground }),
			text("stratum", "stratum; all for the survey area or all of one ground, or reached for the strata of it that the method reached", func(r *CropRow) *string { return &r.Stratum }),
			text("years_since_fire", "growing seasons since the fire, unburned, or all: the mean of a season", func(r *CropRow) *string { return &r.Years }),
			number("land_ha", "ha", "land that the figures stand for", func(r *CropRow) *column.Float { return &r.LandHa }),
			number("fruit_bodies", "fruit bodies", "fruit bodies on it: density times land", func(r *CropRow) *column.Float { return &r.Bodies.Value }),
			number("fruit_bodies_se", "fruit bodies", "standard error", func(r *CropRow) *column.Float { return &r.Bodies.SE }),
			number("fruit_bodies_lower", "fruit bodies", "lower confidence limit", func(r *CropRow) *column.Float { return &r.Bodies.Lower }),
			number("fruit_bodies_upper", "fruit bodies", "upper confidence limit", func(r *CropRow) *column.Float { return &r.Bodies.Upper }),
			number("mass_kg", "kg", "fresh mass of them", func(r *CropRow) *column.Float { return &r.Kg.Value }),
			number("mass_se_kg", "kg", "standard error", func(r *CropRow) *column.Float { return &r.Kg.SE }),
			number("mass_lower_kg", "kg", "lower confidence limit", func(r *CropRow) *column.Float { return &r.Kg.Lower }),
			number("mass_upper_kg", "kg", "upper confidence limit", func(r *CropRow) *column.Float { return &r.Kg.Upper }),
			number("kg_per_ha", "kg/ha", "fresh mass per hectare", func(r *CropRow) *column.Float { return &r.KgPerHa.Value }),
			number("kg_per_ha_lower", "kg/ha", "lower confidence limit", func(r *CropRow) *column.Float { return &r.KgPerHa.Lower }),
			number("kg_per_ha_upper", "kg/ha", "upper confidence limit", func(r *CropRow) *column.Float { return &r.KgPerHa.Upper }),
			number("g_per_fruit_body", "g", "mean fresh mass of a fruit body of this crop, its kinds as they stand there", func(r *CropRow) *column.Float { return &r.Grams.Value }),
			number("g_per_fruit_body_se", "g", "standard error", func(r *CropRow) *column.Float { return &r.Grams.SE }),
			whole("finds", "fruit bodies", "fruit bodies counted here", func(r *CropRow) *column.Int { return &r.Counted }),
			whole("weighed", "fruit bodies", "fruit bodies in rows with a mass, of all units, that the mass rests on", func(r *CropRow) *column.Int { return &r.Weighed }),
			number("confidence", "", "nominal level of the intervals", func(r *CropRow) *column.Float { return &r.Bodies.Confidence }),
			warned(func(r *CropRow) []stats.Warning { return r.Warnings }),
		},
	}

	MassTable = column.Table[MassRow]{
		Name:  "mass",
		About: "what a fruit body of one kind weighs, from the rows of finds with a mass",
		Columns: []column.Column[MassRow]{
			text("taxon", "target taxon, or all of them", func(r *MassRow) *string { return &r.Taxon }),
			text("mode", "the crew's call of the mode, or all", func(r *MassRow) *string { return &r.Mode }),
			whole("finds", "fruit bodies", "fruit bodies counted", func(r *MassRow) *column.Int { return &r.Finds }),
			whole("weighed", "fruit bodies", "fruit bodies in rows with a mass", func(r *MassRow) *column.Int { return &r.Weighed }),
			whole("sites", "", "units or sites where any was weighed", func(r *MassRow) *column.Int { return &r.Sites }),
			number("mass_g", "g", "their mass", func(r *MassRow) *column.Float { return &r.MassG }),
			number("g_per_fruit_body", "g", "mass over fruit bodies", func(r *MassRow) *column.Float { return &r.Grams.Value }),
			number("se", "g", "standard error", func(r *MassRow) *column.Float { return &r.Grams.SE }),
			number("lower", "g", "lower confidence limit", func(r *MassRow) *column.Float { return &r.Grams.Lower }),
			number("upper", "g", "upper confidence limit", func(r *MassRow) *column.Float { return &r.Grams.Upper }),
			number("confidence", "", "nominal level of the interval", func(r *MassRow) *column.Float { return &r.Grams.Confidence }),
			warned(func(r *MassRow) []stats.Warning { return r.Warnings }),
		},
	}

	HarvestTable = column.Table[HarvestRow]{
		Name:  "harvest",
		About: "a harvest of the settings held against the crop by one method, on all land or all of one ground",
		Columns: []column.Column[HarvestRow]{
			text("scenario", "its name in survey.toml", func(r *HarvestRow) *string { return &r.Scenario }),
			text("method", "plot, adaptive-cluster, strip or line: what the crop is estimated by", func(r *HarvestRow) *string { return &r.Method }),
			text("ground", "all, or burned or unburned land as if all were taken there", func(r *HarvestRow) *string { return &r.Ground }),
			text("stratum", "all; reached where the method reached only some of these strata: as if all were taken there", func(r *HarvestRow) *string { return &r.Stratum }),
			number("land_ha", "ha", "land that the crop stands for", func(r *HarvestRow) *column.Float { return &r.LandHa }),
			number("people", "", "people who pick", func(r *HarvestRow) *column.Float { return &r.People }),
			number("days", "", "days on which each picks", func(r *HarvestRow) *column.Float { return &r.Days }),
			number("limit", "", "most that one may take in a day", func(r *HarvestRow) *column.Float { return &r.Limit }),
			text("limit_unit", "unit of the limit", func(r *HarvestRow) *string { return &r.LimitUnit }),
			number("filled_percent", "percent", "share of the limit that is filled", func(r *HarvestRow) *column.Float { return &r.Filled }),
			number("taken", "", "what they take, in the unit of the next column", func(r *HarvestRow) *column.Float { return &r.Taken }),
			text("unit", "fruit bodies or kg", func(r *HarvestRow) *string { return &r.Unit }),
			number("crop", "", "the crop in that unit", func(r *HarvestRow) *column.Float { return &r.Crop }),
			number("share_percent", "percent", "what they take of it; over 100 is more than there is", func(r *HarvestRow) *column.Float { return &r.Share.Value }),
			number("lower_percent", "percent", "lower confidence limit", func(r *HarvestRow) *column.Float { return &r.Share.Lower }),
			number("upper_percent", "percent", "upper confidence limit", func(r *HarvestRow) *column.Float { return &r.Share.Upper }),
			number("confidence", "", "nominal level of the interval", func(r *HarvestRow) *column.Float { return &r.Share.Confidence }),
			number("asked_percent", "percent", "share whose passing is asked for", func(r *HarvestRow) *column.Float { return &r.Asked }),
			number("chance_over", "", "chance that the share is over it, by the 95 % interval of the crop, whatever the level of the others", func(r *HarvestRow) *column.Float { return &r.Passes }),
			warned(func(r *HarvestRow) []stats.Warning { return r.Warnings }),
		},
	}
)
