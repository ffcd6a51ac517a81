package fieldwork

import "ashtally/pipeline/result"

// Key is what a density is grouped by. It is comparable, so that rows can be
// looked up by it.
type Key struct {
	Method, Stratum, Years, Mode, Tree, Taxon string
}

// Pooled is the key of a method's figure for all finds in a stratum.
func Pooled(method, stratum string) Key {
	return Key{Method: method, Stratum: stratum, Years: result.All, Mode: result.All, Tree: result.All, Taxon: result.All}
}

// Headline is the key of a method's figure for the survey area as a whole.
func Headline(method string) Key { return Pooled(method, result.All) }
