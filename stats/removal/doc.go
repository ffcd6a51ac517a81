// Package removal estimates what a crew missed from passes that remove: each
// search of the same ground on the same day takes away, or marks, what it finds,
// and the next finds what is left. How fast the catches fall tells the chance to
// find, and so what is still there.
//
// # Three answers
//
// The same catches have three "maximum likelihood" answers in print. For 165,
// 101 and 54 they are 397.3, 394 and 393:
//
//   - [Zippin] maximises the likelihood of the catches given their total, where
//     the number there were need not be whole. It joins units with different
//     numbers of passes, has a variance in closed form, and is what is reported.
//   - the whole number of largest full likelihood, which is not offered.
//   - [CarleStrub] weighs that likelihood with a flat prior of the chance. It always
//     has an answer, also where catches do not fall, and is shown beside the first.
//     Where they do not fall that answer is a statement of the prior, so nothing
//     is corrected by it.
//
// With the passes of a whole survey pooled the three hardly differ; with one
// unit's dozen finds they do, and none is worth much.
package removal
