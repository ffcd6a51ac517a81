// Package detect fits detection functions: how the chance to find an object
// falls with its distance from the line that a searcher walks.
//
// The flow:
//
//  1. [New] checks measured distances, truncates them and keeps what is used.
//  2. [Sample.Fit] fits one [Model] by maximum likelihood, [Sample.Select] a set
//     of them and ranks them by AIC or AICc.
//  3. [Fit.HalfWidth] is the effective half-width of the strip searched, from
//     which package lines makes a density; [Fit.Test] holds the curve against
//     the distances, and [Fit.Curve] and [Fit.Histogram] draw it.
//
// Everything rests on g(0) = 1: what lies on the line is found. A fruit body
// under duff breaks that, and no distance shows it.
//
// References: Buckland, Anderson, Burnham, Laake, Borchers & Thomas (2001),
// Introduction to Distance Sampling, Oxford; Burnham, Anderson & Laake (1980),
// Wildlife Monographs 72; Marques & Buckland (2003), Biometrics 59: 924-935; all
// from memory.
package detect
