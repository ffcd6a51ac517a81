// Package transect has the densities of line transects: one detection function for
// all lines of a survey, and the estimates of domains and subgroups that rest on it.
package transect
