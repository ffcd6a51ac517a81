package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// AgreementRow is one row of results/agreement: the crew's call of the mode
// against the rule of distance.
type AgreementRow struct {
	Method, Stratum, Years            string
	DistanceM                         column.Float
	Units, Sites                      column.Int
	Both, CrewOnly, RuleOnly, Neither column.Int // fruit bodies
	OpenHost, OpenOther               column.Int
	Observed, Chance                  column.Float
	Kappa                             Estimate
	Warnings                          []stats.Warning
}

// AgreementTable declares results/agreement.
var AgreementTable = column.Table[AgreementRow]{
	Name:  "agreement",
	About: "the crew's call of the mode against the rule that a find within a distance of a live host is host-associated",
	Columns: []column.Column[AgreementRow]{
		text("method", "plot, strip or line", func(r *AgreementRow) *string { return &r.Method }),
		text("stratum", overStrata, func(r *AgreementRow) *string { return &r.Stratum }),
		text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *AgreementRow) *string { return &r.Years }),
		number("distance_m", "m", "distance of the rule, hosts.distance_m", func(r *AgreementRow) *column.Float { return &r.DistanceM }),
		whole("units", "", "units searched, in seasons", func(r *AgreementRow) *column.Int { return &r.Units }),
		whole("sites", "", "independent groups of units", func(r *AgreementRow) *column.Int { return &r.Sites }),
		whole("both_host", "fruit bodies", "called host-associated by crew and rule", func(r *AgreementRow) *column.Int { return &r.Both }),
		whole("crew_host_only", "fruit bodies", "host-associated by the crew's call alone", func(r *AgreementRow) *column.Int { return &r.CrewOnly }),
		whole("rule_host_only", "fruit bodies", "host-associated by the rule alone, saprotrophic by the crew's call", func(r *AgreementRow) *column.Int { return &r.RuleOnly }),
		whole("neither_host", "fruit bodies", "host-associated by neither", func(r *AgreementRow) *column.Int { return &r.Neither }),
		whole("undetermined_host", "fruit bodies", "left undetermined by the crew, host-associated by the rule", func(r *AgreementRow) *column.Int { return &r.OpenHost }),
		whole("undetermined_other", "fruit bodies", "left undetermined by the crew, not host-associated by the rule", func(r *AgreementRow) *column.Int { return &r.OpenOther }),
		number("observed_agreement", "", "share of the finds called by both on which they agree", func(r *AgreementRow) *column.Float { return &r.Observed }),
		number("chance_agreement", "", "share on which they would agree by chance", func(r *AgreementRow) *column.Float { return &r.Chance }),
		number("kappa", "", "agreement beyond chance: 1 is full, 0 none", func(r *AgreementRow) *column.Float { return &r.Kappa.Value }),
		number("se", "", "its standard error, clustered by site", func(r *AgreementRow) *column.Float { return &r.Kappa.SE }),
		number("lower", "", "lower confidence limit", func(r *AgreementRow) *column.Float { return &r.Kappa.Lower }),
		number("upper", "", "upper confidence limit", func(r *AgreementRow) *column.Float { return &r.Kappa.Upper }),
		number("confidence", "", "nominal level of the interval", func(r *AgreementRow) *column.Float { return &r.Kappa.Confidence }),
		text("interval", "how the limits were found", func(r *AgreementRow) *string { return &r.Kappa.Interval }),
		warned(func(r *AgreementRow) []stats.Warning { return r.Warnings }),
	},
}
