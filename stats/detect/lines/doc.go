// Package lines estimates the density of objects from line transects along
// which distances were measured.
//
// The flow:
//
//  1. A [Survey] says what was walked, and on which line each detection was.
//  2. Package detect fits a detection function to the distances.
//  3. [Survey.Density] joins the two into objects per hectare, with the share
//     of each source in the variance; [Survey.Bootstrap] gives limits that
//     carry the choice of the detection function too.
//
// How often the intervals hold the truth stands in cmd/calibrate/published.
package lines
