// Package estimate has the densities of domains and their subgroups that several
// questions rest on: it takes units and counts of a [fieldwork.Season] to the
// estimators of plots, strips and adaptive cluster plots. Those of line transects
// are the question of lines.
package estimate

import (
	"context"
	"reflect"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/adaptive"
	"ashtally/stats/density"
	"ashtally/stats/strata"
)

// AllWarnings are the types of warnings that a density may carry.
func AllWarnings() []stats.WarningTypes {
	return []stats.WarningTypes{density.Warnings, adaptive.Warnings, strata.Warnings}
}

// Density is an estimated density in fruit bodies per hectare, and the fruit
// bodies counted.
type Density struct {
	stats.Estimate
	Finds float64
}

// Densities are those of some domains by subgroup: of each domain, and of the
// domains of one class of years since fire together.
type Densities struct {
	Domains [][]Density          // by domain and subgroup
	Areas   map[string][]Density // by class of years, or result.All, and subgroup
}

// BySubgroup estimates every subgroup in each domain and in each class of years.
// The work is shared among the cores, each density in a place of its own, so that
// the result does not depend on their number.
func BySubgroup(ctx context.Context, s *fieldwork.Season, domains []fieldwork.Domain, c fieldwork.Subgroups) (Densities, error) {
	all := Densities{Domains: make([][]Density, len(domains)), Areas: map[string][]Density{}}
	for i := range domains {
		all.Domains[i] = make([]Density, len(c.List))
	}
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	var again []func() // fill in what was estimated already
	for _, y := range asOne(domains, Groups(domains)) {
		members := fieldwork.Pick(domains, y.Places)
		counts := make([]fieldwork.Counts, len(members))
		for j, f := range members {
			counts[j] = c.Count(f)
		}
		into := make([][]Density, len(y.Areas))
		for a, years := range y.Years {
			into[a] = make([]Density, len(c.List))
			all.Areas[years] = into[a]
		}
		of := firstAlike(counts, len(c.List))
		first := slices.Compact(slices.Sorted(slices.Values(of)))
		for from := range slices.Chunk(first, subgroupsPerTask) {
			g.Go(func() error {
				for _, k := range from {
					if err := ctx.Err(); err != nil {
						return err
					}
					strata, areas := Jointly(s, members, y.Areas, func(member int) []float64 {
						return fieldwork.Dense(make([]float64, len(members[member].Units)), counts[member][k])
					})
					for j, i := range y.Places {
						all.Domains[i][k] = strata[j]
					}
					for a := range areas {
						into[a][k] = areas[a]
					}
				}
				return nil
			})
		}
		again = append(again, func() {
			for k, at := range of {
				for j, i := range y.Places {
					all.Domains[i][k] = all.Domains[i][at]
					if y.Again != nil {
						all.Domains[y.Again[j]][k] = all.Domains[i][at]
					}
				}
				for a := range into {
					into[a][k] = into[a][at]
				}
			}
		})
	}
	if err := g.Wait(); err != nil {
		return all, err
	}
	for _, copies := range again {
		copies()
	}
	return all, nil
}

// firstAlike is, for each of n subgroups, the first that was counted alike in all units:
// most often one of those of which nothing was found.
func firstAlike(counts []fieldwork.Counts, n int) []int {
	type content struct{ units, finds float64 }
	known := map[content][]int{}
	of := make([]int, n)
	for k := range of {
		var c content
		for _, member := range counts {
			c.units += float64(len(member[k]))
			for _, y := range member[k] {
				c.finds += y.N
			}
		}
		alike := slices.IndexFunc(known[c], func(o int) bool {
			return !slices.ContainsFunc(counts, func(member fieldwork.Counts) bool { return !slices.Equal(member[o], member[k]) })
		})
		if alike >= 0 {
			of[k] = known[c][alike]
			continue
		}
		of[k], known[c] = k, append(known[c], k)
	}
	return of
}

// subgroupsPerTask is few enough for the cores to share one class of years.
const subgroupsPerTask = 16

// Group is the domains that are estimated jointly, as the counts of each tell of
// the variance of the others: those of all years, or those of the classes of years.
type Group struct {
	Places []int    // among the domains
	Years  []string // of each area
	Areas  [][]int  // places among Places
	Again  []int    // for each of Places, another domain of the same units; nil: there are none
}

// Groups are the domains of all years, which have one area, and those of the
// classes of years, which have one for each class.
func Groups(domains []fieldwork.Domain) []Group {
	groups := []Group{{Years: []string{result.All}}, {Years: fieldwork.YearClasses(domains)}}
	for t := range groups {
		y := &groups[t]
		y.Areas = make([][]int, len(y.Years))
		for i, f := range domains {
			if a := slices.Index(y.Years, f.Years); a >= 0 {
				y.Areas[a] = append(y.Areas[a], len(y.Places))
				y.Places = append(y.Places, i)
			}
		}
	}
	return groups
}

// asOne puts groups together that are of the same units: where each stratum burned in one
// year and was searched in one, its class of years is all of it.
func asOne(domains []fieldwork.Domain, groups []Group) []Group {
	all, classes := groups[0], groups[1]
	same := func(a, b int) bool {
		f, o := domains[a], domains[b]
		return f.Grid == nil && o.Grid == nil && f.Stratum == o.Stratum && f.Share == o.Share && f.Mean == o.Mean &&
			slices.Equal(f.Units, o.Units) && slices.Equal(f.AreaHa, o.AreaHa) && slices.Equal(f.Clusters, o.Clusters) &&
			slices.Equal(f.Order, o.Order) && slices.Equal(f.Names, o.Names) && slices.Equal(f.Seasons, o.Seasons) &&
			reflect.DeepEqual(f.Warnings, o.Warnings)
	}
	if !slices.EqualFunc(all.Places, classes.Places, same) {
		return groups
	}
	return []Group{{Places: all.Places, Again: classes.Places, Years: slices.Concat(all.Years, classes.Years), Areas: slices.Concat(all.Areas, classes.Areas)}}
}

// Jointly estimates domains whose counts tell of each other's variance: the density
// of each, and that of some of them together for each area, which is the places of
// its members. Counts returns what was counted in the units of a member. Adaptive
// cluster plots have limits of their own.
func Jointly(s *fieldwork.Season, members []fieldwork.Domain, areas [][]int, counts func(member int) []float64) (strata, together []Density) {
	if slices.ContainsFunc(members, func(f fieldwork.Domain) bool { return f.Grid != nil }) {
		return adaptively(s, members, areas, counts)
	}
	samples := make([]density.NamedSample, len(members))
	strata = make([]Density, len(members))
	for i, f := range members {
		c := s.CollapsedWith(f)
		samples[i] = density.NamedSample{Name: c.Name, Sample: Sample(s, f, counts(i)), Mean: c.Mean, With: c.With, Warnings: f.Warnings}
		strata[i].Finds = fieldwork.Sum(samples[i].Count)
	}
	for a, j := range density.Areas(samples, areas, Options(s)) {
		together = append(together, Density{Estimate: j.Area})
		for i, at := range areas[a] {
			strata[at].Estimate = j.Strata[i]
			together[a].Finds += strata[at].Finds
		}
	}
	return strata, together
}

// AllFinds are the counts of all finds in the units of some domains.
func AllFinds(members []fieldwork.Domain) func(member int) []float64 {
	return func(member int) []float64 { return fieldwork.FindsOf(members[member]) }
}

// Options are those of the settings.
func Options(s *fieldwork.Season) density.Options {
	o := s.Settings.Density
	return density.Options{
		Confidence: s.Settings.Confidence, Interval: o.Interval, Systematic: o.Systematic,
		Replicates: o.Replicates, Seed: s.Settings.Seed, Fits: s.Fits,
	}
}

// Sample is the units of a domain with what was counted in each.
func Sample(s *fieldwork.Season, f fieldwork.Domain, counts []float64) density.Sample {
	return density.Sample{
		AreaHa: f.AreaHa, Count: counts, Cluster: f.Clusters, Order: f.Order, Name: f.Names, Season: f.Seasons,
		LandHa: s.LandHa(f), Ground: f.Ground,
	}
}
