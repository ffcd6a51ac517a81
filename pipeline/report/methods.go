package report

import ()

// uses says which methods stand behind the figures of a run; the page explains
// those and no others.
type uses struct {
	Missed missedUses
}

func (w writer) uses() uses { return uses{Missed: w.missedUses()} }

// references lists the sources of the methods in use, by author.
func (u uses) references() []string {
	cited := map[string]bool{}
	cite := func(used bool, keys ...string) {
		for _, key := range keys {
			cited[key] = cited[key] || used
		}
	}
	cite(u.Missed.Observers, "huggins")
	cite(u.Missed.Chapman, "chapman", "sadinle")
	cite(u.Missed.OnLine, "laake", "borchers")
	cite(u.Missed.Three, "zelterman", "coull", "link", "chao")
	cite(u.Missed.Passes, "zippin", "carle")
	cite(u.Missed.Weighted, "nichols", "zou")
	var list []string
	for _, r := range sources {
		if cited[r.key] {
			list = append(list, r.text)
		}
	}
	return list
}

// source is a reference: as the text cites it, and in full.
type source struct{ key, short, text string }

var sources = []source{
	{"bell", "Bell & McCaffrey 2002", "Bell, R. M. & McCaffrey, D. F. (2002). Bias reduction in standard errors for linear regression with multi-stage samples. Survey Methodology 28, 169–181."},
	{"benjamini", "Benjamini & Hochberg 1995", "Benjamini, Y. & Hochberg, Y. (1995). Controlling the false discovery rate. Journal of the Royal Statistical Society, Series B 57, 289–300."},
	{"binder", "Binder 1983", "Binder, D. A. (1983). On the variances of asymptotically normal estimators from complex surveys. International Statistical Review 51, 279–292."},
	{"borchers", "Borchers et al. 2006", "Borchers, D. L., Laake, J. L., Southwell, C. & Paxton, C. G. M. (2006). Accommodating unmodeled heterogeneity in double-observer distance sampling surveys. Biometrics 62, 372–378."},
	{"buckland", "Buckland et al. 2001", "Buckland, S. T., Anderson, D. R., Burnham, K. P., Laake, J. L., Borchers, D. L. & Thomas, L. (2001). Introduction to Distance Sampling: Estimating Abundance of Biological Populations. Oxford University Press."},
	{"augustin", "Buckland, Burnham & Augustin 1997", "Buckland, S. T., Burnham, K. P. & Augustin, N. H. (1997). Model selection: an integral part of inference. Biometrics 53, 603–618."},
	{"burnham2002", "Burnham & Anderson 2002", "Burnham, K. P. & Anderson, D. R. (2002). Model Selection and Multimodel Inference, 2nd edition. Springer, New York."},
	{"burnham1987", "Burnham et al. 1987", "Burnham, K. P., Anderson, D. R., White, G. C., Brownie, C. & Pollock, K. H. (1987). Design and analysis methods for fish survival experiments based on release–recapture. American Fisheries Society Monograph 5."},
	{"carle", "Carle & Strub 1978", "Carle, F. L. & Strub, M. R. (1978). A new method for estimating population size from removal data. Biometrics 34, 621–630."},
	{"chao", "Chao 1987", "Chao, A. (1987). Estimating the population size for capture-recapture data with unequal catchability. Biometrics 43, 783–791."},
	{"chapman", "Chapman 1951", "Chapman, D. G. (1951). Some properties of the hypergeometric distribution with applications to zoological sample censuses. University of California Publications in Statistics 1, 131–160."},
	{"clopper", "Clopper & Pearson 1934", "Clopper, C. J. & Pearson, E. S. (1934). The use of confidence or fiducial limits illustrated in the case of the binomial. Biometrika 26, 404–413."},
	{"cochran", "Cochran 1977", "Cochran, W. G. (1977). Sampling Techniques, 3rd edition. Wiley, New York."},
	{"coull", "Coull & Agresti 1999", "Coull, B. A. & Agresti, A. (1999). The use of mixed logit models to reflect heterogeneity in capture-recapture studies. Biometrics 55, 294–301."},
	{"davison", "Davison & Hinkley 1997", "Davison, A. C. & Hinkley, D. V. (1997). Bootstrap Methods and their Application. Cambridge University Press."},
	{"desantis", "De Santis et al. 2025", "De Santis, R., Goeman, J. J., Hemerik, J., Davenport, S. & Finos, L. (2025). Inference in generalized linear models with robustness to misspecified variances. Journal of the American Statistical Association."},
	{"efron", "Efron 1987", "Efron, B. (1987). Better bootstrap confidence intervals. Journal of the American Statistical Association 82, 171–185."},
	{"fewster", "Fewster et al. 2009", "Fewster, R. M., Buckland, S. T., Burnham, K. P., Borchers, D. L., Jupp, P. E., Laake, J. L. & Thomas, L. (2009). Estimating the encounter rate variance in distance sampling. Biometrics 65, 225–236."},
	{"fieller", "Fieller 1954", "Fieller, E. C. (1954). Some problems in interval estimation. Journal of the Royal Statistical Society, Series B 16, 175–185."},
	{"fisher1935", "Fisher 1935", "Fisher, R. A. (1935). The Design of Experiments. Oliver & Boyd, Edinburgh."},
	{"fletcher", "Fletcher & Turek 2012", "Fletcher, D. & Turek, D. (2012). Model-averaged profile likelihood intervals. Journal of Agricultural, Biological, and Environmental Statistics 17, 38–51."},
	{"garwood", "Garwood 1936", "Garwood, F. (1936). Fiducial limits for the Poisson distribution. Biometrika 28, 437–442."},
	{"haberman", "Haberman 1974", "Haberman, S. J. (1974). The Analysis of Frequency Data. University of Chicago Press."},
	{"hemerik", "Hemerik, Goeman & Finos 2020", "Hemerik, J., Goeman, J. J. & Finos, L. (2020). Robust testing in generalized linear models by sign flipping score contributions. Journal of the Royal Statistical Society, Series B 82, 841–864."},
	{"holm", "Holm 1979", "Holm, S. (1979). A simple sequentially rejective multiple test procedure. Scandinavian Journal of Statistics 6, 65–70."},
	{"hopkins", "Hopkins 1920", "Hopkins, A. D. (1920). The bioclimatic law. Journal of the Washington Academy of Sciences 10, 34–40."},
	{"huggins", "Huggins 1989", "Huggins, R. M. (1989). On the statistical analysis of capture experiments. Biometrika 76, 133–140."},
	{"imbens", "Imbens & Kolesár 2016", "Imbens, G. W. & Kolesár, M. (2016). Robust standard errors in small samples: some practical advice. Review of Economics and Statistics 98, 701–712."},
	{"manski", "Imbens & Manski 2004", "Imbens, G. W. & Manski, C. F. (2004). Confidence intervals for partially identified parameters. Econometrica 72, 1845–1857."},
	{"jolly", "Jolly 1969", "Jolly, G. M. (1969). Sampling methods for aerial censuses of wildlife populations. East African Agricultural and Forestry Journal 34, 46–49."},
	{"kline", "Kline & Santos 2012", "Kline, P. & Santos, A. (2012). A score based approach to wild bootstrap inference. Journal of Econometric Methods 1, 23–41."},
	{"korn", "Korn & Graubard 1999", "Korn, E. L. & Graubard, B. I. (1999). Analysis of Health Surveys. Wiley, New York."},
	{"laake", "Laake 1999", "Laake, J. L. (1999). Distance sampling with independent observers: reducing bias from heterogeneity by weakening the conditional independence assumption. In Garner, G. W. et al. (eds), Marine Mammal Survey and Assessment Methods, 137–148. Balkema, Rotterdam."},
	{"lambert", "Lambert 1992", "Lambert, D. (1992). Zero-inflated Poisson regression, with an application to defects in manufacturing. Technometrics 34, 1–14."},
	{"lawless", "Lawless 1987", "Lawless, J. F. (1987). Negative binomial and mixed Poisson regression. Canadian Journal of Statistics 15, 209–225."},
	{"liang", "Liang & Zeger 1986", "Liang, K.-Y. & Zeger, S. L. (1986). Longitudinal data analysis using generalized linear models. Biometrika 73, 13–22."},
	{"link", "Link 2003", "Link, W. A. (2003). Nonidentifiability of population size from capture-recapture data with heterogeneous detection probabilities. Biometrics 59, 1123–1130."},
	{"neyman", "Neyman 1937", "Neyman, J. (1937). “Smooth test” for goodness of fit. Skandinavisk Aktuarietidskrift 20, 149–199."},
	{"nichols", "Nichols et al. 2000", "Nichols, J. D., Hines, J. E., Sauer, J. R., Fallon, F. W., Fallon, J. E. & Heglund, P. J. (2000). A double-observer approach for estimating detection probability and abundance from point counts. Auk 117, 393–408."},
	{"owen", "Owen 1988", "Owen, A. B. (1988). Empirical likelihood ratio confidence intervals for a single functional. Biometrika 75, 237–249."},
	{"prentice", "Prentice 1974", "Prentice, R. L. (1974). A log gamma model and its maximum likelihood estimation. Biometrika 61, 539–544."},
	{"przyborowski", "Przyborowski & Wilenski 1940", "Przyborowski, J. & Wilenski, H. (1940). Homogeneity of results in testing samples from Poisson series: with an application to testing clover seed for dodder. Biometrika 31, 313–323."},
	{"pustejovsky", "Pustejovsky & Tipton 2018", "Pustejovsky, J. E. & Tipton, E. (2018). Small-sample methods for cluster-robust variance estimation and hypothesis testing in fixed effects models. Journal of Business & Economic Statistics 36, 672–683."},
	{"rao", "Rao & Wu 1988", "Rao, J. N. K. & Wu, C. F. J. (1988). Resampling inference with complex survey data. Journal of the American Statistical Association 83, 231–241."},
	{"sadinle", "Sadinle 2009", "Sadinle, M. (2009). Transformed logit confidence intervals for small populations in single capture–recapture estimation. Communications in Statistics – Simulation and Computation 38, 1909–1924."},
	{"sarndal", "Särndal, Swensson & Wretman 1992", "Särndal, C.-E., Swensson, B. & Wretman, J. (1992). Model Assisted Survey Sampling. Springer, New York."},
	{"satterthwaite", "Satterthwaite 1946", "Satterthwaite, F. E. (1946). An approximate distribution of estimates of variance components. Biometrics Bulletin 2, 110–114."},
	{"terbraak", "ter Braak & Looman 1986", "ter Braak, C. J. F. & Looman, C. W. N. (1986). Weighted averaging, logistic regression and the Gaussian response model. Vegetatio 65, 3–11."},
	{"turek", "Turek & Fletcher 2012", "Turek, D. & Fletcher, D. (2012). Model-averaged Wald confidence intervals. Computational Statistics and Data Analysis 56, 2809–2815."},
	{"venables", "Venables & Ripley 2002", "Venables, W. N. & Ripley, B. D. (2002). Modern Applied Statistics with S, 4th edition. Springer, New York."},
	{"venzon", "Venzon & Moolgavkar 1988", "Venzon, D. J. & Moolgavkar, S. H. (1988). A method for computing profile-likelihood-based confidence intervals. Applied Statistics 37, 87–94."},
	{"zelterman", "Zelterman & Chen 1988", "Zelterman, D. & Chen, C.-F. (1988). Homogeneity tests against central-mixture alternatives. Journal of the American Statistical Association 83, 179–182."},
	{"zippin", "Zippin 1956", "Zippin, C. (1956). An evaluation of the removal method of estimating animal populations. Biometrics 12, 163–189."},
	{"zou", "Zou & Donner 2008", "Zou, G. Y. & Donner, A. (2008). Construction of confidence limits about effect measures: a general approach. Statistics in Medicine 27, 1693–1702."},
}
