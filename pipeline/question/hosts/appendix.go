package hosts

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
)

// appendix is what the appendix has beside the full tables.
func (v view) appendix(u page.Units) []page.Part {
	var parts []page.Part
	if v.selected >= 0 {
		parts = append(parts, selectionMethods)
	}
	if v.near >= 0 {
		parts = append(parts, page.Part{Title: "Distance to live hosts", Figures: []*page.Figure{v.nearFigure(u)}, Tables: []page.Table{v.nearTable()}}, nearMethods)
	}
	if v.agreed >= 0 {
		parts = append(parts, page.Part{Title: "The crew's call and the rule of distance", Tables: []page.Table{v.agreementTable()}})
	}
	if v.ruled >= 0 {
		parts = append(parts, page.Part{Title: "Sensitivity to the distance threshold",
			Figures: []*page.Figure{v.ruleFigure(u)}, Tables: []page.Table{v.ruleTable()}})
	}
	if v.agreed >= 0 || v.ruled >= 0 {
		parts = append(parts, ruleMethods)
	}
	return parts
}

func (v view) nearTable() page.Table {
	return page.Table{
		Caption: page.Say("Finds and random points by distance to a live host, %v", page.Methods(v.association[v.near].Method)),
		Of:      v.associationOf, Head: "Within", Rows: v.byDistance(),
		Label: func(row int) page.Text { return page.Say("%v", v.associationOf.Cell(row, "distance_m")) },
		Columns: []page.Column{
			{Head: "Share of finds", Name: "of_finds"}, {Head: "Share of points", Name: "of_points"}, {Head: "Ratio", Name: "figure"},
			{Head: "p", Name: "p"}, {Head: "p over all distances", Name: "range_p"},
		},
	}
}

func (v view) agreementTable() page.Table {
	var rows []int
	for i, r := range v.agreement {
		if r.Method == v.agreement[v.agreed].Method && r.Observed.Known {
			rows = append(rows, i)
		}
	}
	return page.Table{
		Caption: page.Say("The crew's call of the mode and the rule of distance, %v", page.Methods(v.agreement[v.agreed].Method)),
		Of:      v.agreementOf, Head: "Part of the area", Rows: rows,
		Label: func(row int) page.Text {
			r := v.agreement[row]
			switch {
			case !fieldwork.OverStrata(r.Stratum):
				return page.Name(r.Stratum)
			case r.Years != result.All:
				return page.YearsSinceFire(v.agreementOf.Cell(row, "years_since_fire"))
			case r.Stratum == result.All:
				return page.Say("survey area")
			}
			return page.Say("strata sampled")
		},
		Columns: []page.Column{
			{Head: "Host by both", Name: "both_host"}, {Head: "By the crew alone", Name: "crew_host_only"}, {Head: "By the rule alone", Name: "rule_host_only"},
			{Head: "By neither", Name: "neither_host"}, {Head: "Observed agreement", Name: "observed_agreement"}, {Head: "Kappa", Name: "kappa"},
		},
		Strong: func(row int) bool { r := v.agreement[row]; return r.Stratum == result.All && r.Years == result.All },
	}
}

func (v view) ruleTable() page.Table {
	var rows []int
	for i, r := range v.sensitivity {
		if r.Method == v.sensitivity[v.ruled].Method {
			rows = append(rows, i)
		}
	}
	return page.Table{
		Caption: page.Say("Density and ratio of modes by the rule that calls them, %v", page.Methods(v.sensitivity[v.ruled].Method)),
		Of:      v.sensitivityOf, Head: "Rule", Rows: rows,
		Label: func(row int) page.Text {
			if v.sensitivity[row].Rule == crewRule {
				return page.Say("crew's call")
			}
			return page.Say("within %v", v.sensitivityOf.Cell(row, "distance_m"))
		},
		Columns: []page.Column{
			{Head: "Host-associated finds", Name: "host_finds"}, {Head: "Other finds", Name: "other_finds"},
			{Head: "Host-associated density", Name: "density_per_ha"}, {Head: "Ratio to the others", Name: "ratio"},
		},
		Strong: func(row int) bool { return v.sensitivity[row].IsRule.Value },
	}
}

var selectionMethods = page.Part{
	Title: "How selection ratios are estimated",
	Text: []page.Text{
		page.Say("The selection ratio of a host is its share of the host-associated finds over its share of what live hosts offer. Both shares " +
			"are estimated from the same units, strata weighted by their area, and the variance of the log ratio is linearized over sites. The " +
			"intervals of all hosts hold jointly, by Bonferroni's method. A host without finds, or with all of them, has exact binomial limits."),
		page.Say("All hosts together are tested by chi-square over its overdispersion (Rao and Scott). Within units, the finds of each unit are " +
			"compared with its own trees. A host that grows where the ground suits the fungus is selected over the area, but not within units."),
	},
	Formulas: []string{"w = o / π"},
	References: []string{
		"Clopper, C. J. & Pearson, E. S. (1934). The use of confidence or fiducial limits illustrated in the case of the binomial. Biometrika 26, 404-413.",
		"Manly, B. F. J., McDonald, L. L., Thomas, D. L., McDonald, T. L. & Erickson, W. P. (2002). Resource Selection by Animals, 2nd ed. Kluwer.",
		"Neu, C. W., Byers, C. R. & Peek, J. M. (1974). A technique for analysis of utilization-availability data. Journal of Wildlife Management 38, 541-545.",
		"Rao, J. N. K. & Scott, A. J. (1984). On chi-squared tests for multiway contingency tables with cell proportions estimated from survey " +
			"data. Annals of Statistics 12, 46-60.",
	},
}

var nearMethods = page.Part{
	Title: "How distances to hosts are compared",
	Text: []page.Text{
		page.Say("The share of finds with a live host within a distance is divided by that of random points in the same units, each unit's points " +
			"weighted as its finds are. The tree that counts is the nearest, as recorded. Limits are linearized over sites. P-values and the global " +
			"envelope come from swapping finds and points of whole sites."),
		page.Say("The median distance is that of a Kaplan-Meier curve, with bootstrap limits over sites. Where a crew calls the mode by the " +
			"nearest tree, host-associated finds are near hosts by definition; only the comparison of all finds is free of that."),
	},
	References: []string{
		"Davison, A. C. & Hinkley, D. V. (1997). Bootstrap Methods and their Application. Cambridge University Press.",
		"Kaplan, E. L. & Meier, P. (1958). Nonparametric estimation from incomplete observations. Journal of the American Statistical Association 53, 457-481.",
		"Myllymäki, M., Mrkvička, T., Grabarnik, P., Seijo, H. & Hahn, U. (2017). Global envelope tests for spatial processes. Journal of the " +
			"Royal Statistical Society B 79, 381-404.",
	},
}

var ruleMethods = page.Part{
	Title: "How the crew's call is compared with a rule",
	Text: []page.Text{
		page.Say("By the rule a find is host-associated if its nearest tree is a live host within the distance set. Kappa is the agreement of " +
			"rule and call beyond chance, its variance clustered by site. Density and ratio are then estimated anew by the rule, at each distance of " +
			"a range. Agreement is no proof: both may go by the nearest tree."),
	},
	References: []string{
		"Cohen, J. (1960). A coefficient of agreement for nominal scales. Educational and Psychological Measurement 20, 37-46.",
		"Fleiss, J. L., Cohen, J. & Everitt, B. S. (1969). Large sample standard errors of kappa and weighted kappa. Psychological Bulletin 72, 323-327.",
	},
}
