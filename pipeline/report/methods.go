package report

import (
	"slices"
	"strings"

	"ashtally/pipeline/analyze"
)

// uses says which methods stand behind the figures of a run; the page explains
// those and no others.
type uses struct {
	Density    bool // some density was estimated
	Sites      bool // some units were summed to sites
	Population bool // some stratum was searched by more than a twentieth
	Land       bool // strata were put together
	Systematic string
	Comparison bool
	Holm       bool
	Screen     bool // Benjamini and Hochberg
	Clumping   bool
	Morisita   bool
	Change     bool   // seasons were held against each other
	ChangeHolm bool   // with p adjusted over strata
	Season     bool   // some flush has a curve
	Standing   bool   // the curve is that of the standing crop
	StandDays  string // days that a fruit body stands
	Delay      bool   // some curve moves with elevation
	Warmth     bool   // degree days were tried
	Base       string // their base temperature
	Adaptive   string // estimator of adaptive cluster plots, "" without any
	Lines      bool   // lines were walked
	Seen       string // what share was found along them, "" where nobody knows
	Densities  intervalKinds
	Ratios     intervalKinds
	Unknown    []string // names of intervals that no kind explains
}

func (w writer) uses() uses {
	r := w.page.Results
	u := uses{
		Density: slices.ContainsFunc(r.Density, func(d analyze.DensityRow) bool { return d.Method != analyze.LineMethod && d.Value.Known }),
		Sites: slices.ContainsFunc(r.Effort, func(e analyze.EffortRow) bool {
			return e.Sites.Known && e.Sites.Value < e.Units.Value
		}),
		Population: slices.ContainsFunc(r.Effort, func(e analyze.EffortRow) bool { return e.SearchedPercent.Or(0) > 5 }),
		Comparison: slices.ContainsFunc(r.Comparison, func(c analyze.ComparisonRow) bool { return c.Value.Known }),
		Holm:       w.adjusted("holm"),
		Screen:     w.adjusted("benjamini"),
		Clumping:   len(r.Clumping) > 0,
		Morisita:   slices.ContainsFunc(r.Clumping, func(c analyze.ClumpingRow) bool { return c.Morisita.Known }),
		Adaptive:   w.adaptiveUse(),
		Lines:      slices.Contains(w.effortMethods(), analyze.LineMethod),
		Seen:       w.seen(),
	}
	w.useSeason(&u)
	w.useChange(&u)
	if _, strata := landHa(r.Effort); strata > 1 {
		u.Land = u.Density
	}
	if slices.Contains(w.effortMethods(), analyze.StripMethod) && !strings.HasPrefix(w.page.Settings.Density.Systematic, "R") {
		u.Systematic = w.page.Settings.Density.Systematic
	}
	var densities, ratios []analyze.Estimate
	for _, row := range r.Density {
		densities = append(densities, row.Estimate)
	}
	for _, row := range r.Comparison {
		ratios = append(ratios, row.Estimate)
	}
	var more []string
	u.Densities, u.Unknown = densityIntervals.used(densities)
	u.Ratios, more = comparisonIntervals.used(ratios)
	u.Unknown = append(u.Unknown, more...)
	return u
}

func (w writer) adjusted(by string) bool {
	return slices.ContainsFunc(w.page.Results.Comparison, func(c analyze.ComparisonRow) bool {
		return c.PAdjusted.Known && strings.Contains(strings.ToLower(c.Adjustment), by)
	})
}

// references lists the sources of the methods in use, by author.
func (u uses) references() []string {
	cited := map[string]bool{}
	cite := func(used bool, keys ...string) {
		for _, key := range keys {
			cited[key] = cited[key] || used
		}
	}
	cite(u.Density, "cochran", "jolly")
	cite(u.Land, "satterthwaite")
	cite(u.Seen != "", "buckland", "burnham1980", "fewster")
	cite(u.Adaptive != "", "thompson1990", "thompson1992")
	cite(u.Systematic != "", "fewster")
	cite(u.Comparison, "binder", "sarndal", "satterthwaite")
	cite(u.Holm, "holm")
	cite(u.Screen, "benjamini")
	cite(u.Change, "binder", "satterthwaite")
	cite(u.ChangeHolm, "holm")
	cite(u.Season, "terbraak", "lawless", "fieller", "bell", "zou")
	cite(u.Delay, "hopkins")
	cite(u.Clumping, "anscombe", "bliss", "fisher")
	cite(u.Morisita, "morisita")
	for _, k := range slices.Concat(u.Densities, u.Ratios) {
		cite(true, k.cites...)
	}
	var list []string
	for _, r := range sources {
		if cited[r.key] {
			list = append(list, r.text)
		}
	}
	return list
}

// Cited says the short form of an interval's sources: "Zou & Donner 2008".
func (k intervalKind) Cited() string {
	var short []string
	for _, r := range sources {
		if slices.Contains(k.cites, r.key) {
			short = append(short, r.short)
		}
	}
	return strings.Join(short, "; ")
}

// source is a reference: as the text cites it, and in full.
type source struct{ key, short, text string }

var sources = []source{
	{"anscombe", "Anscombe 1950", "Anscombe, F. J. (1950). Sampling theory of the negative binomial and logarithmic series distributions. Biometrika 37, 358–382."},
	{"bell", "Bell & McCaffrey 2002", "Bell, R. M. & McCaffrey, D. F. (2002). Bias reduction in standard errors for linear regression with multi-stage samples. Survey Methodology 28, 169–181."},
	{"benjamini", "Benjamini & Hochberg 1995", "Benjamini, Y. & Hochberg, Y. (1995). Controlling the false discovery rate. Journal of the Royal Statistical Society, Series B 57, 289–300."},
	{"binder", "Binder 1983", "Binder, D. A. (1983). On the variances of asymptotically normal estimators from complex surveys. International Statistical Review 51, 279–292."},
	{"bliss", "Bliss & Fisher 1953", "Bliss, C. I. & Fisher, R. A. (1953). Fitting the negative binomial distribution to biological data. Biometrics 9, 176–200."},
	{"buckland", "Buckland et al. 2001", "Buckland, S. T., Anderson, D. R., Burnham, K. P., Laake, J. L., Borchers, D. L. & Thomas, L. (2001). Introduction to Distance Sampling: Estimating Abundance of Biological Populations. Oxford University Press."},
	{"burnham1980", "Burnham, Anderson & Laake 1980", "Burnham, K. P., Anderson, D. R. & Laake, J. L. (1980). Estimation of density from line transect sampling of biological populations. Wildlife Monographs 72, 3–202."},
	{"burnham1987", "Burnham et al. 1987", "Burnham, K. P., Anderson, D. R., White, G. C., Brownie, C. & Pollock, K. H. (1987). Design and analysis methods for fish survival experiments based on release–recapture. American Fisheries Society Monograph 5."},
	{"clopper", "Clopper & Pearson 1934", "Clopper, C. J. & Pearson, E. S. (1934). The use of confidence or fiducial limits illustrated in the case of the binomial. Biometrika 26, 404–413."},
	{"cochran", "Cochran 1977", "Cochran, W. G. (1977). Sampling Techniques, 3rd edition. Wiley, New York."},
	{"davison", "Davison & Hinkley 1997", "Davison, A. C. & Hinkley, D. V. (1997). Bootstrap Methods and their Application. Cambridge University Press."},
	{"efron", "Efron 1987", "Efron, B. (1987). Better bootstrap confidence intervals. Journal of the American Statistical Association 82, 171–185."},
	{"fewster", "Fewster et al. 2009", "Fewster, R. M., Buckland, S. T., Burnham, K. P., Borchers, D. L., Jupp, P. E., Laake, J. L. & Thomas, L. (2009). Estimating the encounter rate variance in distance sampling. Biometrics 65, 225–236."},
	{"fieller", "Fieller 1954", "Fieller, E. C. (1954). Some problems in interval estimation. Journal of the Royal Statistical Society, Series B 16, 175–185."},
	{"fisher", "Fisher, Thornton & Mackenzie 1922", "Fisher, R. A., Thornton, H. G. & Mackenzie, W. A. (1922). The accuracy of the plating method of estimating the density of bacterial populations. Annals of Applied Biology 9, 325–359."},
	{"garwood", "Garwood 1936", "Garwood, F. (1936). Fiducial limits for the Poisson distribution. Biometrika 28, 437–442."},
	{"holm", "Holm 1979", "Holm, S. (1979). A simple sequentially rejective multiple test procedure. Scandinavian Journal of Statistics 6, 65–70."},
	{"hopkins", "Hopkins 1920", "Hopkins, A. D. (1920). The bioclimatic law. Journal of the Washington Academy of Sciences 10, 34–40."},
	{"jolly", "Jolly 1969", "Jolly, G. M. (1969). Sampling methods for aerial censuses of wildlife populations. East African Agricultural and Forestry Journal 34, 46–49."},
	{"korn", "Korn & Graubard 1999", "Korn, E. L. & Graubard, B. I. (1999). Analysis of Health Surveys. Wiley, New York."},
	{"lambert", "Lambert 1992", "Lambert, D. (1992). Zero-inflated Poisson regression, with an application to defects in manufacturing. Technometrics 34, 1–14."},
	{"lawless", "Lawless 1987", "Lawless, J. F. (1987). Negative binomial and mixed Poisson regression. Canadian Journal of Statistics 15, 209–225."},
	{"morisita", "Morisita 1959", "Morisita, M. (1959). Measuring of the dispersion of individuals and analysis of the distributional patterns. Memoirs of the Faculty of Science, Kyushu University, Series E 2, 215–235."},
	{"owen", "Owen 1988", "Owen, A. B. (1988). Empirical likelihood ratio confidence intervals for a single functional. Biometrika 75, 237–249."},
	{"sarndal", "Särndal, Swensson & Wretman 1992", "Särndal, C.-E., Swensson, B. & Wretman, J. (1992). Model Assisted Survey Sampling. Springer, New York."},
	{"satterthwaite", "Satterthwaite 1946", "Satterthwaite, F. E. (1946). An approximate distribution of estimates of variance components. Biometrics Bulletin 2, 110–114."},
	{"terbraak", "ter Braak & Looman 1986", "ter Braak, C. J. F. & Looman, C. W. N. (1986). Weighted averaging, logistic regression and the Gaussian response model. Vegetatio 65, 3–11."},
	{"thompson1990", "Thompson 1990", "Thompson, S. K. (1990). Adaptive cluster sampling. Journal of the American Statistical Association 85, 1050–1059."},
	{"thompson1992", "Thompson 1992", "Thompson, S. K. (1992). Sampling. Wiley, New York."},
	{"venzon", "Venzon & Moolgavkar 1988", "Venzon, D. J. & Moolgavkar, S. H. (1988). A method for computing profile-likelihood-based confidence intervals. Applied Statistics 37, 87–94."},
	{"zou", "Zou & Donner 2008", "Zou, G. Y. & Donner, A. (2008). Construction of confidence limits about effect measures: a general approach. Statistics in Medicine 27, 1693–1702."},
}
