// Package chain leads from the density that was counted to the one that grew, a link
// at a time, and puts several methods that sampled the same strata into one density.
//
// A link multiplies a density by a factor that is estimated: how many there were for
// each that was counted (detection), how many came up in the whole season for each
// that came up where and when somebody could see it (season), what a fruit body
// weighs (mass). [Times] takes a density over a link, [Mean] gives the factor of an
// area from those of its strata and methods, and [Shares] says which part of the
// variance each link brings.
//
// [Combine] weights the methods of a stratum by their design and tests whether they
// agree; [Weights.Densities] gives the densities by those weights.
package chain
