package survey

import (
	"slices"

	"ashtally/pipeline/column"
)

// Model chooses what the model of counts is made of, and what is read from it.
type Model struct {
	Terms       []string `json:"terms"`       // of ModelTerms; those that the finds cannot carry are left out and named
	Comparisons []string `json:"comparisons"` // of ModelComparisons
	Covariance  string   `json:"covariance"`  // one of Covariances
	Replicates  int      `json:"replicates"`  // signs of sites drawn where there are too many to go through
	Adjustment  string   `json:"adjustment"`  // one of Adjustments
}

// The terms, comparisons, covariances and adjustments that a survey can ask for.
var (
	ModelTerms       = []string{"mode", "tree", "years", "stratum", "mode:tree", "mode:years", "tree:years"}
	ModelComparisons = []string{ModeWithinTree, ModeWithinYears, YearsWithinMode}
	Covariances      = []string{CR2, CR1, OfModel}
	Adjustments      = []string{Holm, BenjaminiHochberg}
)

// The words of the model's settings.
const (
	ModeWithinTree  = "mode within tree"
	ModeWithinYears = "mode within years"
	YearsWithinMode = "years within mode"

	CR2     = "CR2"
	CR1     = "CR1"
	OfModel = "model" // that of independent counts

	Holm              = "holm"
	BenjaminiHochberg = "benjamini-hochberg"
)

func defaultModel() Model {
	return Model{Terms: slices.Clone(ModelTerms), Comparisons: slices.Clone(ModelComparisons), Covariance: CR2, Replicates: 1999, Adjustment: Holm}
}

// modelKeys are the keys of [model].
var modelKeys = []Key{
	{Table: "model", Name: "terms", About: "what densities may depend on in the model of counts; a:b is what two have together beyond each; " +
		"terms that the finds cannot carry are left out and named", Words: ModelTerms,
		At: func(s *Settings) any { return &s.Model.Terms }},
	{Table: "model", Name: "comparisons", About: "which densities of the model are compared", Words: ModelComparisons,
		At: func(s *Settings) any { return &s.Model.Comparisons }},
	{Table: "model", Name: "covariance", About: "what limits rest on: CR2 and CR1 allow for what units of a site share, CR2 for few sites too, " +
		"and p is by the signs of sites; model takes every count for independent, and p is Wald's", Words: Covariances,
		At: func(s *Settings) any { return &s.Model.Covariance }},
	{Table: "model", Name: "replicates", About: "signs of sites drawn for a p-value where there are too many to go through",
		Bounds: column.Bounds{Set: true, Min: 199, Max: 1e5},
		At:     func(s *Settings) any { return &s.Model.Replicates }},
	{Table: "model", Name: "adjustment", About: "how the p-values of a family of comparisons are adjusted", Words: Adjustments,
		At: func(s *Settings) any { return &s.Model.Adjustment }},
}
