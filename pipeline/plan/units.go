package plan

import (
	"fmt"
	"math"
	"math/rand/v2"

	"ashtally/pipeline/plan/fieldmap"
	"ashtally/pipeline/plan/outline"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/layout"
)

// footprint is the shape of the planned units.
func footprint(p survey.Plan) layout.Footprint {
	switch {
	case p.Unit == survey.Strip:
		return layout.Footprint{Length: p.LengthM, Width: 2 * p.HalfWidthM, Bearing: p.BearingDeg}
	case p.Unit == survey.Line:
		return layout.Footprint{Length: p.LengthM, Bearing: p.BearingDeg}
	case p.RadiusM > 0:
		return layout.Footprint{Radius: p.RadiusM}
	}
	return layout.Footprint{Length: p.LengthM, Width: p.WidthM, Bearing: p.BearingDeg}
}

// unitHa is the area that one unit is expected to search: of a line, that within
// its half-width on both sides.
func unitHa(p survey.Plan) float64 {
	const squareMetres = 1e4
	switch {
	case p.Unit != survey.PlannedPlot:
		return 2 * p.HalfWidthM * p.LengthM / squareMetres
	case p.RadiusM > 0:
		return math.Pi * p.RadiusM * p.RadiusM / squareMetres
	}
	return p.LengthM * p.WidthM / squareMetres
}

var designs = map[string]layout.Design{
	survey.LaidRandom:     layout.Random,
	survey.LaidSystematic: layout.Systematic,
	survey.LaidBalanced:   layout.Balanced,
}

// Placed is the units of one stratum.
type Placed struct {
	Stratum       outline.Stratum
	Units, Spares []fieldmap.Unit
	FrameHa       float64 // where the centre of a unit may lie
	Spacing       float64 // of a systematic layout, metres
	Warnings      []stats.Warning
}

// frames are the sampling frames of the strata. A stratum without room for a unit is a
// fault.
func (in Input) frames() (frames []*layout.Frame, faults []survey.Fault) {
	if in.Map == nil {
		return nil, nil
	}
	p := in.Settings.Plan
	buffers := outline.Buffers{Edge: p.EdgeM, Excluded: p.ExcludedM, Roads: p.RoadsM}
	for _, s := range in.Map.Strata {
		frame, fault := in.Map.Frame(s, buffers, footprint(p))
		if fault != nil {
			faults = append(faults, *fault)
			continue
		}
		frames = append(frames, frame)
	}
	return frames, faults
}

// place draws the units of all strata.
func (in Input) place(frames []*layout.Frame, units []int) []Placed {
	if units == nil {
		return nil
	}
	var all []Placed
	for h, frame := range frames {
		r := rand.New(rand.NewPCG(in.Settings.Seed, uint64(h)))
		sample := designs[in.Settings.Plan.Layout](frame, units[h], in.Settings.Plan.Spares, r)
		all = append(all, in.placed(h, in.Map.Strata[h], sample, frame.Area()/1e4))
	}
	return all
}

// placed names the units of a sample.
func (in Input) placed(h int, s outline.Stratum, sample layout.Sample, frameHa float64) Placed {
	out := Placed{Stratum: s, FrameHa: frameHa, Spacing: sample.Spacing}
	for _, w := range sample.Warnings {
		out.Warnings = append(out.Warnings, w.InStratum(s.Stratum.Stratum))
	}
	name := func(kind string, i int) string { return fmt.Sprintf("%s%s%02d", letters(h), kind, i+1) }
	f := in.footprint()
	for i, at := range sample.Units {
		out.Units = append(out.Units, in.unit(s, name("", i), f, at))
	}
	for i, at := range sample.Spares {
		u := in.unit(s, name("R", i), f, at)
		u.Spare = i + 1
		out.Spares = append(out.Spares, u)
	}
	return out
}

func (in Input) footprint() layout.Footprint { return footprint(in.Settings.Plan) }

func (in Input) unit(s outline.Stratum, id string, f layout.Footprint, at layout.Point) fieldmap.Unit {
	u := fieldmap.NewUnit(in.Map, s, id, f, at)
	if in.Settings.Plan.Unit == survey.PlannedPlot {
		u.Kind = survey.PlannedPlot
	}
	return u
}

// letters names a stratum by its place: A to Z, then AA, AB and so on.
func letters(h int) string {
	if h < 26 {
		return string(rune('A' + h))
	}
	return letters(h/26-1) + letters(h%26)
}

// allUnits are the units of all strata, and allSpares their spares.
func allUnits(placed []Placed) (units []fieldmap.Unit) {
	for _, p := range placed {
		units = append(units, p.Units...)
	}
	return units
}

func allSpares(placed []Placed) (units []fieldmap.Unit) {
	for _, p := range placed {
		units = append(units, p.Spares...)
	}
	return units
}
