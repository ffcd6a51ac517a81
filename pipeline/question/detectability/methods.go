package detectability

import "ashtally/pipeline/page"

// What is said of the estimators in the appendix.
var (
	doubleObserverMethods = page.Part{
		Title: "How double-observer counts are analysed",
		Text: []page.Text{
			page.Say("Where two or more observers search the same ground independently, the detection history of each find tells who detected it. " +
				"The detection probabilities p of the observers are estimated by the conditional likelihood of the histories, given that somebody " +
				"detected the find. Their logits may have a level for each observer and depend on group size and stratum, and along lines on distance. " +
				"The model of lowest AIC is selected unless the settings name one."),
			page.Say("What was present is Σ s / p*, over finds of s fruit bodies. Its variance has a part for the sampling of detections and a part " +
				"for the estimated parameters. Where two observers are all, Chapman’s estimator stands beside it, with transformed logit limits."),
			page.Say("Assumptions: no observer knew what another detected, by word, flag or picking. Each searched all of the ground. Finds alike in " +
				"what was recorded were equally detectable; where they were not, the estimate is a lower bound, and two observers cannot show it."),
			page.Say("With three or more observers equal detectability is tested by a score test on the numbers of finds that one, two and all " +
				"detected. Where it is rejected at 5 %%, a model with a normal random effect of finds on the logit scale may be selected by AIC. Its " +
				"lower limit is not above that of Chao’s lower bound."),
			page.Say("Along lines, p* at distance 0 is the detection probability on the line, g(0). The density from the distances is divided by it. " +
				"Observers need be independent on the line only."),
		},
		Formulas: []string{"p* = 1 − Π (1 − p)"},
		References: []string{
			"Borchers, D. L., Laake, J. L., Southwell, C. & Paxton, C. G. M. (2006). Accommodating unmodeled heterogeneity in double-observer " +
				"distance sampling surveys. Biometrics 62, 372-378.",
			"Chao, A. (1987). Estimating the population size for capture-recapture data with unequal catchability. Biometrics 43, 783-791.",
			"Chapman, D. G. (1951). Some properties of the hypergeometric distribution with applications to zoological sample censuses. University " +
				"of California Publications in Statistics 1, 131-160.",
			"Coull, B. A. & Agresti, A. (1999). The use of mixed logit models to reflect heterogeneity in capture-recapture studies. Biometrics 55, 294-301.",
			"Huggins, R. M. (1989). On the statistical analysis of capture experiments. Biometrika 76, 133-140.",
			"Laake, J. L. (1999). Distance sampling with independent observers: reducing bias from heterogeneity by weakening the conditional " +
				"independence assumption. In Garner, G. W. et al. (eds), Marine Mammal Survey and Assessment Methods, 137-148. Balkema, Rotterdam.",
			"Link, W. A. (2003). Nonidentifiability of population size from capture-recapture data with heterogeneous detection probabilities. " +
				"Biometrics 59, 1123-1130.",
			"Sadinle, M. (2009). Transformed logit confidence intervals for small populations in single capture-recapture estimation. Communications " +
				"in Statistics - Simulation and Computation 38, 1909-1924.",
			"Zelterman, D. & Chen, C.-F. (1988). Homogeneity tests against central-mixture alternatives. Journal of the American Statistical Association 83, 179-182.",
		},
	}

	removalMethods = page.Part{
		Title: "How repeated passes are analysed",
		Text: []page.Text{
			page.Say("Each pass over a unit records only what earlier passes of the same day did not. The detection probability p of a pass is " +
				"estimated by maximum likelihood from the decline of the catches, given their total, over all searches with the same p. A search of K " +
				"passes found the share 1 − (1 − p)ᴷ of what was present. Where catches do not decline there is no estimate. The weighted " +
				"likelihood estimate stands beside it."),
			page.Say("It is assumed that passes are equally thorough, that fruit bodies are equally detectable, and that none appear between passes. " +
				"Where some are harder to detect, the estimate is a lower bound. Catches of three passes or more are tested for it by chi-square, with little power."),
		},
		References: []string{
			"Carle, F. L. & Strub, M. R. (1978). A new method for estimating population size from removal data. Biometrics 34, 621-630.",
			"Zippin, C. (1956). An evaluation of the removal method of estimating animal populations. Biometrics 12, 163-189.",
		},
	}

	correctionMethods = page.Part{
		Title: "How densities are corrected",
		Text: []page.Text{
			page.Say("The variance of a corrected density is that of the corrected counts between units, and that of the detection probability by " +
				"the delta method. Its limits combine the asymmetric limits of the density and of the probability on the log scale."),
			page.Say("Where each visit records what is new, part of what one visit missed still stands on a later one and is recorded then. That " +
				"part, by the days that fruit bodies stand and the detection probability, is not corrected for again."),
			page.Say("What no observer and no pass could detect, such as fruit bodies under litter, is in no estimate."),
		},
		References: []string{
			"Nichols, J. D., Hines, J. E., Sauer, J. R., Fallon, F. W., Fallon, J. E. & Heglund, P. J. (2000). A double-observer approach for " +
				"estimating detection probability and abundance from point counts. Auk 117, 393-408.",
			"Zou, G. Y. & Donner, A. (2008). Construction of confidence limits about effect measures: a general approach. Statistics in Medicine 27, 1693-1702.",
		},
	}
)
