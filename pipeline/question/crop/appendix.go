package crop

import "ashtally/pipeline/page"

// appendix is what the appendix has beside the full tables.
func (v view) appendix(u page.Units) []page.Part {
	if v.all < 0 {
		return nil
	}
	by := page.Part{Title: "By stratum and method", Figures: []*page.Figure{v.cropFigure(u)}, Tables: []page.Table{*v.cropTable()}}
	parts := []page.Part{by, {
		Title: "How the crop is estimated",
		Text: []page.Text{
			page.Say("The crop in fruit bodies is density times area; its limits are those of the density."),
			page.Say("For its mass each kind of finds, a taxon of one mode, has the mean mass of its fruit bodies that were weighed: total mass over " +
				"total count. A kind of which few were weighed has the mean of all kinds. The mean mass of a crop weights the kinds as they stand " +
				"there. Where density and mass come from the same units, the covariance of both is estimated by linearization over sites: crowded fruit " +
				"bodies may be small."),
			page.Say("The limits of the mass carry over the asymmetric limits of the density on the log scale, with the correlation r of density and " +
				"mean mass. The fruit bodies weighed are assumed to be a fair sample of those counted."),
		},
		Formulas: []string{"M = D A m,  cv(M)² = cv(D)² + cv(m)² + 2 r cv(D) cv(m)"},
		References: []string{
			"Cochran, W. G. (1977). Sampling Techniques, 3rd ed. Wiley.",
			"Donner, A. & Zou, G. Y. (2012). Closed-form confidence intervals for functions of the normal mean and standard deviation. Statistical " +
				"Methods in Medical Research 21, 347-359.",
			"Zou, G. Y. & Donner, A. (2008). Construction of confidence limits about effect measures: a general approach. Statistics in Medicine 27, 1693-1702.",
		},
	}}
	if len(v.harvests) == 0 {
		return parts
	}
	return append(parts, page.Part{
		Title: "How the share of a harvest is estimated",
		Text: []page.Text{
			page.Say("A harvest takes people × days × limit × the share of the limit that is filled. The limits of its share of the crop are " +
				"those of the crop, inverted. The probability of exceeding the share set takes the crop as log-normal on either side of its estimate, " +
				"with the limits of its 95 % interval. Number of people, filling and the content of a litre are taken as the settings give them."),
			page.Say("“Burned” and “unburned” are as if all of the harvest were taken there. A harvest matters most on unburned ground, " +
				"where the same mycelium must fruit again. Picking what stands on some days is not the same as taking a share of a season's crop."),
		},
	})
}
