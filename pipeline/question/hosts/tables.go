package hosts

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/association"
	"ashtally/stats/compare"
	"ashtally/stats/selection"
	"ashtally/stats/strata"
)

// SelectionRow is one row of results/selection: the use of a host against what
// it offers.
type SelectionRow struct {
	Method, Stratum, Years, Scale string
	Tree, Availability            string
	Units, Sites                  column.Int
	Finds, AllFinds               column.Int
	Used, Available, Ratio        result.Estimate
	Standardised, P, PAdjusted    column.Float
	ChiSquare, G, TestDF          column.Float // over all trees
	Overdispersion, TestP, TestPG column.Float
	Warnings                      []stats.Warning
}

var selectionTable = result.Declaration[SelectionRow]{
	Name:  "selection",
	About: "the use of one host by host-associated finds against what its live trees offer",
	Key: []result.Columns[SelectionRow]{
		result.Text("method", "plot, strip or line", func(r *SelectionRow) *string { return &r.Method }),
		result.Text("stratum", "stratum; all for the survey area, or reached for those strata of it that the method reached",
			func(r *SelectionRow) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *SelectionRow) *string { return &r.Years }),
		result.Text("scale", "land: shares of all use and of all that is offered; within units: each unit's finds against its own trees",
			func(r *SelectionRow) *string { return &r.Scale }),
		result.Text("tree", "species that can be a host", func(r *SelectionRow) *string { return &r.Tree }),
	},
	Columns: []result.Columns[SelectionRow]{
		result.Text("availability", "what is offered: stems, basal-area or cover of live trees", func(r *SelectionRow) *string { return &r.Availability }),
		result.Whole("units", "", "units of which the trees are recorded, in seasons", func(r *SelectionRow) *column.Int { return &r.Units }),
		result.Whole("sites", "", "independent groups of units", func(r *SelectionRow) *column.Int { return &r.Sites }),
		result.Whole("finds", "fruit bodies", "host-associated fruit bodies of this tree", func(r *SelectionRow) *column.Int { return &r.Finds }),
		result.Whole("all_finds", "fruit bodies", "host-associated fruit bodies of all these trees", func(r *SelectionRow) *column.Int { return &r.AllFinds }),
		result.EstimateOf(func(r *SelectionRow) *result.Estimate { return &r.Used },
			result.Value("used_share", "", "share of the use, strata weighed by their area"),
			result.SE("used_share_se").Says("its standard error")),
		result.EstimateOf(func(r *SelectionRow) *result.Estimate { return &r.Available },
			result.Value("available_share", "", "share of what is offered; within units, the share of the finds that their units' trees would have"),
			result.SE("available_share_se").Says("its standard error")),
		result.EstimateOf(func(r *SelectionRow) *result.Estimate { return &r.Ratio },
			result.Value("selection_ratio", "", "used over available share; 1 where the tree is used as it is available"),
			result.SE("se").Says("its standard error"),
			result.Lower("lower").Says("lower confidence limit, simultaneous over the trees"),
			result.Upper("upper").Says("upper confidence limit, likewise"),
			result.Confidence().Says("nominal level of all these limits together"),
			result.Interval()),
		result.Number("standardised_ratio", "", "share of the use that the tree would have if all were offered alike",
			func(r *SelectionRow) *column.Float { return &r.Standardised }),
		result.Number("p", "", "p-value of a selection ratio of 1", func(r *SelectionRow) *column.Float { return &r.P }),
		result.Number("p_adjusted", "", "the same by Bonferroni over the trees", func(r *SelectionRow) *column.Float { return &r.PAdjusted }),
		result.Number("chi_square", "", "Pearson's chi-square of use against availability over all trees",
			func(r *SelectionRow) *column.Float { return &r.ChiSquare }),
		result.Number("g", "", "the likelihood-ratio statistic of the same", func(r *SelectionRow) *column.Float { return &r.G }),
		result.Number("df", "", "their degrees of freedom", func(r *SelectionRow) *column.Float { return &r.TestDF }),
		result.Number("overdispersion", "", "how many times the spread between sites exceeds that of independent finds",
			func(r *SelectionRow) *column.Float { return &r.Overdispersion }),
		result.Number("chi_square_p", "", "p-value of chi-square over its overdispersion", func(r *SelectionRow) *column.Float { return &r.TestP }),
		result.Number("g_p", "", "p-value of G over its overdispersion", func(r *SelectionRow) *column.Float { return &r.TestPG }),
	},
	Warnings: func(r *SelectionRow) []stats.Warning { return r.Warnings },
}

// AssociationRow is one row of results/association: finds against reference
// points by their distance to a live host.
type AssociationRow struct {
	Method, Stratum, Years, Mode    string
	Measure                         string
	DistanceM                       column.Float // none for a median
	Units, Sites                    column.Int
	Finds, Points                   column.Int
	FindsWithin, PointsWithin       column.Int
	OfFinds, OfPoints               column.Float    // the share within the distance, or the median in m
	Estimate                        result.Estimate // ratio of the shares, or difference of the medians
	P, RangeP                       column.Float
	Lowest, Highest                 column.Float
	EnvelopeLowest, EnvelopeHighest column.Float
	Warnings                        []stats.Warning
}

var associationTable = result.Declaration[AssociationRow]{
	Name:  "association",
	About: "how near finds stand to a live host, against points drawn at random in the same units",
	Key: []result.Columns[AssociationRow]{
		result.Text("method", "plot, strip or line", func(r *AssociationRow) *string { return &r.Method }),
		result.Text("stratum", "stratum; all for the survey area, or reached for those strata of it that the method reached",
			func(r *AssociationRow) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *AssociationRow) *string { return &r.Years }),
		result.Text("mode", "the crew's call of the finds compared, or all", func(r *AssociationRow) *string { return &r.Mode }),
		result.Text("measure", "share within a distance, or median distance", func(r *AssociationRow) *string { return &r.Measure }),
		result.Number("distance_m", "m", "the distance; empty for a median", func(r *AssociationRow) *column.Float { return &r.DistanceM }),
	},
	Columns: []result.Columns[AssociationRow]{
		result.Whole("units", "", "units with both finds and reference points, in seasons", func(r *AssociationRow) *column.Int { return &r.Units }),
		result.Whole("sites", "", "independent groups of units", func(r *AssociationRow) *column.Int { return &r.Sites }),
		result.Whole("finds", "fruit bodies", "fruit bodies in them whose nearest tree is recorded", func(r *AssociationRow) *column.Int { return &r.Finds }),
		result.Whole("points", "", "reference points in them", func(r *AssociationRow) *column.Int { return &r.Points }),
		result.Whole("finds_within", "fruit bodies", "fruit bodies within the distance of a live host",
			func(r *AssociationRow) *column.Int { return &r.FindsWithin }),
		result.Whole("points_within", "", "reference points within it", func(r *AssociationRow) *column.Int { return &r.PointsWithin }),
		result.Number("of_finds", "", "share of the finds within the distance; their median distance in m",
			func(r *AssociationRow) *column.Float { return &r.OfFinds }),
		result.Number("of_points", "", "the same of the reference points, each unit's weighed as its finds are",
			func(r *AssociationRow) *column.Float { return &r.OfPoints }),
		result.EstimateOf(func(r *AssociationRow) *result.Estimate { return &r.Estimate },
			result.Value("figure", "", "ratio of the shares, 1 where finds stand like points; difference of the medians in m, 0 where they do"),
			result.SE("se").Says("its standard error"),
			result.Lower("lower"),
			result.Upper("upper"),
			result.Confidence().Says("nominal level of the interval and of the envelopes"),
			result.Interval()),
		result.Number("p", "", "p-value by swapping finds and points of whole sites, at this distance alone", func(r *AssociationRow) *column.Float { return &r.P }),
		result.Number("range_p", "", "p-value of the greatest departure over the whole range of distances",
			func(r *AssociationRow) *column.Float { return &r.RangeP }),
		result.Number("swapped_lower", "", "lowest ratio that swaps reach at this distance alone, at the confidence",
			func(r *AssociationRow) *column.Float { return &r.Lowest }),
		result.Number("swapped_upper", "", "highest ratio likewise; empty where it is open", func(r *AssociationRow) *column.Float { return &r.Highest }),
		result.Number("envelope_lower", "", "lowest ratio that swaps reach anywhere in the range, at the confidence",
			func(r *AssociationRow) *column.Float { return &r.EnvelopeLowest }),
		result.Number("envelope_upper", "", "highest ratio likewise; empty where it is open", func(r *AssociationRow) *column.Float { return &r.EnvelopeHighest }),
	},
	Warnings: func(r *AssociationRow) []stats.Warning { return r.Warnings },
}

// AgreementRow is one row of results/agreement: the crew's call of the mode
// against the rule of distance.
type AgreementRow struct {
	Method, Stratum, Years            string
	DistanceM                         column.Float
	Units, Sites                      column.Int
	Both, CrewOnly, RuleOnly, Neither column.Int // fruit bodies
	OpenHost, OpenOther               column.Int
	Observed, Chance                  column.Float
	Kappa                             result.Estimate
	Warnings                          []stats.Warning
}

var agreementTable = result.Declaration[AgreementRow]{
	Name:  "agreement",
	About: "the crew's call of the mode against the rule that a find within a distance of a live host is host-associated",
	Key: []result.Columns[AgreementRow]{
		result.Text("method", "plot, strip or line", func(r *AgreementRow) *string { return &r.Method }),
		result.Text("stratum", "stratum; all for the survey area, or reached for those strata of it that the method reached",
			func(r *AgreementRow) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *AgreementRow) *string { return &r.Years }),
	},
	Columns: []result.Columns[AgreementRow]{
		result.Number("distance_m", "m", "distance of the rule, hosts.distance_m", func(r *AgreementRow) *column.Float { return &r.DistanceM }),
		result.Whole("units", "", "units searched, in seasons", func(r *AgreementRow) *column.Int { return &r.Units }),
		result.Whole("sites", "", "independent groups of units", func(r *AgreementRow) *column.Int { return &r.Sites }),
		result.Whole("both_host", "fruit bodies", "called host-associated by crew and rule", func(r *AgreementRow) *column.Int { return &r.Both }),
		result.Whole("crew_host_only", "fruit bodies", "host-associated by the crew's call alone", func(r *AgreementRow) *column.Int { return &r.CrewOnly }),
		result.Whole("rule_host_only", "fruit bodies", "host-associated by the rule alone, saprotrophic by the crew's call",
			func(r *AgreementRow) *column.Int { return &r.RuleOnly }),
		result.Whole("neither_host", "fruit bodies", "host-associated by neither", func(r *AgreementRow) *column.Int { return &r.Neither }),
		result.Whole("undetermined_host", "fruit bodies", "left undetermined by the crew, host-associated by the rule",
			func(r *AgreementRow) *column.Int { return &r.OpenHost }),
		result.Whole("undetermined_other", "fruit bodies", "left undetermined by the crew, not host-associated by the rule",
			func(r *AgreementRow) *column.Int { return &r.OpenOther }),
		result.Number("observed_agreement", "", "share of the finds called by both on which they agree", func(r *AgreementRow) *column.Float { return &r.Observed }),
		result.Number("chance_agreement", "", "share on which they would agree by chance", func(r *AgreementRow) *column.Float { return &r.Chance }),
		result.EstimateOf(func(r *AgreementRow) *result.Estimate { return &r.Kappa },
			result.Value("kappa", "", "agreement beyond chance: 1 is full, 0 none"),
			result.SE("se").Says("its standard error, clustered by site"),
			result.Lower("lower"),
			result.Upper("upper"),
			result.Confidence(),
			result.Interval()),
	},
	Warnings: func(r *AgreementRow) []stats.Warning { return r.Warnings },
}

// SensitivityRow is one row of results/sensitivity: the main answers by one rule.
type SensitivityRow struct {
	Method               string
	Stratum              string // All, or Reached
	Rule                 string
	DistanceM            column.Float
	IsRule               column.Bool // whether it is the distance that the settings name
	Units, Hosts, Others column.Int
	Density, Ratio       result.Estimate
	Warnings             []stats.Warning
}

var sensitivityTable = result.Declaration[SensitivityRow]{
	Name:  "sensitivity",
	About: "host-associated density, and its ratio to the rest, by the crew's call or by one distance of the rule",
	Key: []result.Columns[SensitivityRow]{
		result.Text("method", "plot or strip", func(r *SensitivityRow) *string { return &r.Method }),
		result.Text("stratum", "all, or reached for those strata of it that the method reached", func(r *SensitivityRow) *string { return &r.Stratum }),
		result.Text("rule", "crew's call; or distance: a find is host-associated whose nearest tree is a live host within it",
			func(r *SensitivityRow) *string { return &r.Rule }),
		result.Number("distance_m", "m", "the distance; empty for the crew's call", func(r *SensitivityRow) *column.Float { return &r.DistanceM }),
	},
	Columns: []result.Columns[SensitivityRow]{
		result.Truth("of_settings", "whether it is hosts.distance_m", func(r *SensitivityRow) *column.Bool { return &r.IsRule }),
		result.Whole("units", "", "units searched, in seasons", func(r *SensitivityRow) *column.Int { return &r.Units }),
		result.Whole("host_finds", "fruit bodies", "host-associated fruit bodies by the rule", func(r *SensitivityRow) *column.Int { return &r.Hosts }),
		result.Whole("other_finds", "fruit bodies", "the others: saprotrophic by the crew's call, or not near a live host",
			func(r *SensitivityRow) *column.Int { return &r.Others }),
		result.EstimateOf(func(r *SensitivityRow) *result.Estimate { return &r.Density },
			result.Value("density_per_ha", "1/ha", "host-associated fruit bodies per hectare of these strata"),
			result.Lower("density_lower").Says("its lower confidence limit"),
			result.Upper("density_upper").Says("its upper confidence limit")),
		result.Text("density_interval", "how the limits were found", func(r *SensitivityRow) *string { return &r.Density.Interval }),
		result.EstimateOf(func(r *SensitivityRow) *result.Estimate { return &r.Ratio },
			result.Value("ratio", "", "host-associated to the others"),
			result.Lower("lower").Says("its lower confidence limit"),
			result.Upper("upper").Says("its upper confidence limit"),
			result.Confidence().Says("nominal level of the intervals"),
			result.Interval()),
	},
	Warnings: func(r *SensitivityRow) []stats.Warning { return r.Warnings },
}

// Warnings are the types of warnings that rows may carry.
func Warnings() []stats.WarningTypes {
	return []stats.WarningTypes{own, selection.Warnings, association.Warnings, compare.Warnings, strata.Warnings}
}

// own are those that arise here.
var own stats.WarningTypes

var (
	treesNotRecorded = own.New("trees-not-recorded", stats.Scope, "Units without their trees")
	treeNotRecorded  = own.New("tree-not-recorded", stats.Scope, "Finds or points without their tree")
	calledByDistance = own.New("called-by-distance", stats.Scope, "Modes called by the distance compared")
)
