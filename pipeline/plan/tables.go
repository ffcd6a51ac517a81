package plan

import (
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/planning/power"
	"ashtally/stats/planning/samplesize"
	"ashtally/stats/planning/unitsize"
)

// sizeRow is a number of units with the precision that it gives.
type sizeRow struct {
	Basis, Chosen             string
	Units                     column.Int
	Hours, CV                 column.Float
	Low, Median, High, Chance column.Float
	Warnings                  []stats.Warning
}

func number[R any](name, unit, about string, at func(*R) *column.Float) result.Columns[R] {
	return result.Number(name, unit, about, at)
}

var sizeTable = result.Declaration[sizeRow]{
	Name:  "sample_size",
	About: "the precision of a number of units, with the densities and clumping of a basis",
	Key: []result.Columns[sizeRow]{
		result.Text("basis", "pilot, or the published figures that are assumed", func(r *sizeRow) *string { return &r.Basis }),
	},
	Columns: []result.Columns[sizeRow]{
		result.Whole("units", "", "number of units", func(r *sizeRow) *column.Int { return &r.Units }),
		result.Text("chosen", "yes for the number that is planned with the basis", func(r *sizeRow) *string { return &r.Chosen }),
		number("hours", "hours", "field time of one observer", func(r *sizeRow) *column.Float { return &r.Hours }),
		number("expected_cv", "", "expected coefficient of variation of the density", func(r *sizeRow) *column.Float { return &r.CV }),
		number("reported_lower", "", "reported CV, or interval width where that is wanted, that a tenth of surveys stay below",
			func(r *sizeRow) *column.Float { return &r.Low }),
		number("reported_median", "", "its median over simulated surveys", func(r *sizeRow) *column.Float { return &r.Median }),
		number("reported_upper", "", "the one that a tenth of surveys exceed; empty where they can report none", func(r *sizeRow) *column.Float { return &r.High }),
		number("probability_met", "", "probability that a survey reports no more than is wanted", func(r *sizeRow) *column.Float { return &r.Chance }),
	},
	Warnings: func(r *sizeRow) []stats.Warning { return r.Warnings },
}

func (n *numbers) sizeRows() []sizeRow {
	var rows []sizeRow
	for i, plan := range n.Plans {
		points := plan.Curve
		if points == nil {
			points = []samplesize.Point{plan.Chosen}
		}
		for _, p := range points {
			r := sizeRow{
				Basis: n.Bases[i].Name, Units: column.Count(p.Units), Hours: column.Finite(p.Hours), CV: column.Finite(p.CV),
				Low: column.Finite(p.Low), Median: column.Finite(p.Median), High: column.Finite(p.High), Chance: column.Finite(p.Chance),
			}
			if p.Units == plan.Chosen.Units {
				r.Chosen, r.Warnings = "yes", plan.Warnings
				if plan.None != nil {
					r.Warnings = append([]stats.Warning{*plan.None}, r.Warnings...)
				}
			}
			rows = append(rows, r)
		}
	}
	return rows
}

// allocationRow is the units of one stratum by one rule.
type allocationRow struct {
	Rule, Stratum, Planned string
	AreaHa, Exact          column.Float
	Units                  column.Int
	PerHa, K               column.Float
	Variance, Hours        column.Float
	Warnings               []stats.Warning
}

var allocationTable = result.Declaration[allocationRow]{
	Name:  "allocation",
	About: "the units of one stratum by one rule of allocation, for the same number in all",
	Key: []result.Columns[allocationRow]{
		result.Text("rule", "proportional, neyman or cost-optimal", func(r *allocationRow) *string { return &r.Rule }),
		result.Text("stratum", "stratum, or all", func(r *allocationRow) *string { return &r.Stratum }),
	},
	Columns: []result.Columns[allocationRow]{
		result.Text("planned", "yes for the rule of the plan", func(r *allocationRow) *string { return &r.Planned }),
		number("area_ha", "ha", "area", func(r *allocationRow) *column.Float { return &r.AreaHa }),
		result.Whole("units", "", "whole units, with the least number of each stratum", func(r *allocationRow) *column.Int { return &r.Units }),
		number("exact_units", "", "share of the rule before it is made whole", func(r *allocationRow) *column.Float { return &r.Exact }),
		number("assumed_density_per_ha", "1/ha", "median density that the allocation rests on", func(r *allocationRow) *column.Float { return &r.PerHa }),
		number("assumed_k", "", "median negative binomial k of a planned unit", func(r *allocationRow) *column.Float { return &r.K }),
		number("variance", "1/ha2", "variance of the density of the survey area", func(r *allocationRow) *column.Float { return &r.Variance }),
		number("hours", "hours", "field time without the way between units", func(r *allocationRow) *column.Float { return &r.Hours }),
	},
	Warnings: func(r *allocationRow) []stats.Warning { return r.Warnings },
}

func (in sizing) allocationRows(n *numbers) []allocationRow {
	var rows []allocationRow
	typical := n.Bases[0].Known.Typical()
	area := unitHa(in.Settings.Plan)
	for _, a := range n.Rules {
		planned := ""
		if string(a.Rule) == in.Settings.Plan.Allocation {
			planned = "yes"
		}
		all := allocationRow{Rule: string(a.Rule), Stratum: result.All, Planned: planned, Variance: column.Finite(a.Variance),
			Hours: column.Finite(a.Cost), Warnings: a.Warnings}
		total, landHa := 0, 0.0
		for h, s := range in.Strata {
			total, landHa = total+a.Units[h], landHa+s.AreaHa.Value
			rows = append(rows, allocationRow{
				Rule: string(a.Rule), Stratum: s.Stratum, Planned: planned, AreaHa: s.AreaHa,
				Units: column.Count(a.Units[h]), Exact: column.Finite(a.Exact[h]),
				PerHa: column.Finite(typical[h].PerHa), K: column.Finite(typical[h].ClumpingAt(area)),
			})
		}
		all.Units, all.AreaHa = column.Count(total), column.Finite(landHa)
		rows = append(rows, all)
	}
	return rows
}

// unitSizeRow is units of one area at the hours of the plan.
type unitSizeRow struct {
	AreaM2, LengthM              column.Float
	Constant, Basis, Independent sizeFigures
	Best                         string
	Warnings                     []stats.Warning
}

type sizeFigures struct {
	Units column.Int
	CV    column.Float
}

var unitSizeTable = result.Declaration[unitSizeRow]{
	Name:  "unit_size",
	About: "the precision of units of one area for the same field time, by how clumping changes with their area",
	Key: []result.Columns[unitSizeRow]{
		number("unit_m2", "m2", "area of a unit", func(r *unitSizeRow) *column.Float { return &r.AreaM2 }),
		number("length_m", "m", "length of a transect of that area, at the planned width; empty for plots", func(r *unitSizeRow) *column.Float { return &r.LengthM }),
	},
	Columns: []result.Columns[unitSizeRow]{
		result.Whole("units", "", "units that the field time allows", func(r *unitSizeRow) *column.Int { return &r.Basis.Units }),
		number("expected_cv", "", "expected coefficient of variation by the basis", func(r *unitSizeRow) *column.Float { return &r.Basis.CV }),
		number("expected_cv_large_clumps", "", "the same if clumps are larger than units (k does not change with the area)",
			func(r *unitSizeRow) *column.Float { return &r.Constant.CV }),
		number("expected_cv_small_clumps", "", "the same if clumps are far smaller than units (k in proportion to the area)",
			func(r *unitSizeRow) *column.Float { return &r.Independent.CV }),
		result.Text("best", "yes for the least expected_cv", func(r *unitSizeRow) *string { return &r.Best }),
	},
	Warnings: func(r *unitSizeRow) []stats.Warning { return r.Warnings },
}

func (in sizing) unitSizeRows(n *numbers) []unitSizeRow {
	var rows []unitSizeRow
	for i, r := range n.Sizes.Rows {
		of := func(p unitsize.Point) sizeFigures {
			return sizeFigures{column.Int{Value: int64(p.Units), Known: p.Units > 0}, column.Finite(p.CV)}
		}
		row := unitSizeRow{AreaM2: column.Finite(r.UnitHa * 1e4), Constant: of(r.Constant), Basis: of(r.Pilot), Independent: of(r.Independent)}
		if p := in.Settings.Plan; p.Unit != survey.PlannedPlot {
			row.LengthM = column.Finite(r.UnitHa * 1e4 / (2 * p.HalfWidthM))
		}
		if i == n.Sizes.BestPilot {
			row.Best = "yes"
		}
		rows = append(rows, row)
	}
	return rows
}

// lookRow is a way to look at the hours of the plan.
type lookRow struct {
	Option                                      string
	Units                                       column.Int
	Hours, Found, Bias, CV, RMSE, FromDetection column.Float
	Best                                        string
	Warnings                                    []stats.Warning
}

var looksTable = result.Declaration[lookRow]{
	Name:  "looks",
	About: "what a second observer, pass or visit gains over more units for the same field time",
	Key: []result.Columns[lookRow]{
		result.Text("looks", "how units are searched", func(r *lookRow) *string { return &r.Option }),
	},
	Columns: []result.Columns[lookRow]{
		result.Whole("units", "", "units that the field time allows", func(r *lookRow) *column.Int { return &r.Units }),
		number("hours", "hours", "field time", func(r *lookRow) *column.Float { return &r.Hours }),
		number("found", "", "expected share of what is there that is found", func(r *lookRow) *column.Float { return &r.Found }),
		number("bias", "", "relative bias of the reported density", func(r *lookRow) *column.Float { return &r.Bias }),
		number("cv", "", "coefficient of variation of the reported density", func(r *lookRow) *column.Float { return &r.CV }),
		number("rmse", "", "root mean square error over the true density", func(r *lookRow) *column.Float { return &r.RMSE }),
		number("variance_from_detection", "", "share of the variance that comes from estimating the detection probability",
			func(r *lookRow) *column.Float { return &r.FromDetection }),
		result.Text("best", "yes for the least root mean square error", func(r *lookRow) *string { return &r.Best }),
	},
	Warnings: func(r *lookRow) []stats.Warning { return r.Warnings },
}

func (n *numbers) lookRows() []lookRow {
	var rows []lookRow
	for i, r := range n.Looks.Rows {
		row := lookRow{
			Option: r.Name, Units: column.Int{Value: int64(r.Units), Known: r.Units > 0}, Hours: column.Finite(r.Hours), Found: column.Finite(r.Found),
			Bias: column.Finite(r.Bias), CV: column.Finite(r.CV), RMSE: column.Finite(r.RMSE), FromDetection: column.Finite(r.FromChance),
		}
		if r.None != nil {
			row.Warnings = []stats.Warning{*r.None}
		}
		row.Warnings = append(row.Warnings, n.Looks.Warnings...)
		if i == n.Looks.Best {
			row.Best = "yes"
		}
		rows = append(rows, row)
	}
	return rows
}

// powerRow is the power of one comparison.
type powerRow struct {
	Comparison, Test string
	Units            column.Int
	Ratio            column.Float
	Level, Power, SE column.Float
	Finds            column.Float
	Warnings         []stats.Warning
}

var powerTable = result.Declaration[powerRow]{
	Name:  "power",
	About: "the probability that a test detects a ratio of two densities",
	Key: []result.Columns[powerRow]{
		result.Text("comparison", "same units: two groups of finds on the same units, as modes or trees; two sets: the same finds on as many "+
			"other units, as in another year", func(r *powerRow) *string { return &r.Comparison }),
		result.Text("test", "test of equal densities", func(r *powerRow) *string { return &r.Test }),
		result.Whole("units", "", "units of the survey; of each set where there are two", func(r *powerRow) *column.Int { return &r.Units }),
		number("ratio", "", "ratio of the two densities", func(r *powerRow) *column.Float { return &r.Ratio }),
	},
	Columns: []result.Columns[powerRow]{
		number("level", "", "level of the test, two-sided", func(r *powerRow) *column.Float { return &r.Level }),
		number("power", "", "probability that the test detects it", func(r *powerRow) *column.Float { return &r.Power }),
		number("power_se", "", "its standard error by simulation", func(r *powerRow) *column.Float { return &r.SE }),
		number("finds", "fruit bodies", "expected finds of both densities", func(r *powerRow) *column.Float { return &r.Finds }),
	},
	Warnings: func(r *powerRow) []stats.Warning { return r.Warnings },
}

// testLevel is that of the tests whose power is computed.
const testLevel = 0.05

const (
	sameUnits = "same units"
	twoSets   = "two sets"
)

func (n *numbers) powerRows() []powerRow {
	return append(powerRowsOf(sameUnits, n.Modes, 1), powerRowsOf(twoSets, n.Years, 2)...)
}

func powerRowsOf(comparison string, t power.Table, sets int) []powerRow {
	var rows []powerRow
	for _, line := range t.Results {
		for _, r := range line {
			for _, p := range r.Powers {
				rows = append(rows, powerRow{
					Comparison: comparison, Test: string(p.Test), Units: column.Count(r.Units / sets), Ratio: column.Finite(r.Ratio), Level: column.Finite(testLevel),
					Power: column.Finite(p.Power), SE: column.Finite(p.SE), Finds: column.Finite(r.Finds),
				})
			}
		}
	}
	return rows
}

// strataRow is the layout of one stratum.
type strataRow struct {
	Stratum                     string
	AreaHa, ExcludedHa, FrameHa column.Float
	Units, Spares               column.Int
	Spacing                     column.Float
	Layout                      string
	Warnings                    []stats.Warning
}

var layoutTable = result.Declaration[strataRow]{
	Name:  "layout",
	About: "the units that were placed in one stratum",
	Key: []result.Columns[strataRow]{
		result.Text("stratum", "stratum", func(r *strataRow) *string { return &r.Stratum }),
	},
	Columns: []result.Columns[strataRow]{
		number("area_ha", "ha", "area on the ellipsoid, without excluded ground", func(r *strataRow) *column.Float { return &r.AreaHa }),
		number("excluded_ha", "ha", "excluded ground within the outline", func(r *strataRow) *column.Float { return &r.ExcludedHa }),
		number("frame_ha", "ha", "where the centre of a unit may lie", func(r *strataRow) *column.Float { return &r.FrameHa }),
		result.Text("layout", "random, systematic or balanced", func(r *strataRow) *string { return &r.Layout }),
		result.Whole("units", "", "units placed", func(r *strataRow) *column.Int { return &r.Units }),
		result.Whole("spares", "", "units in reserve", func(r *strataRow) *column.Int { return &r.Spares }),
		number("spacing_m", "m", "distance between neighbours of a systematic layout", func(r *strataRow) *column.Float { return &r.Spacing }),
	},
	Warnings: func(r *strataRow) []stats.Warning { return r.Warnings },
}

func (in Input) layoutRows(placed []Placed) []strataRow {
	var rows []strataRow
	for _, p := range placed {
		rows = append(rows, strataRow{
			Stratum: p.Stratum.Stratum.Stratum, AreaHa: column.Finite((p.Stratum.AreaM2 - p.Stratum.ExcludedM2) / 1e4),
			ExcludedHa: column.Finite(p.Stratum.ExcludedM2 / 1e4),
			FrameHa:    column.Finite(p.FrameHa), Layout: in.Settings.Plan.Layout, Units: column.Count(len(p.Units)), Spares: column.Count(len(p.Spares)),
			Spacing: column.Float{Value: p.Spacing, Known: p.Spacing > 0}, Warnings: p.Warnings,
		})
	}
	return rows
}

// capital makes the first letter a capital one.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
