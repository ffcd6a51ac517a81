package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/plan"
	"ashtally/pipeline/plan/outline"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// PlanOptions says what to plan and where to.
type PlanOptions struct {
	Survey string   // folder with survey.toml, and the outline or strata.csv
	Pilot  []string // results folders of former seasons, in any order
	Out    string   // folder to make; it must not be there yet
	Units  int      // 0: as survey.toml has it, and so below
	CV     float64
	Layout string
	Watch  Watch
}

// MakePlan plans a survey before its season. If it returns an error, no folder was
// made. The lines say what was planned.
func MakePlan(ctx context.Context, o PlanOptions) ([]string, error) {
	read := Options{Survey: o.Survey, Out: o.Out}
	read.Earlier = o.Pilot
	if err := read.apart(); err != nil {
		return nil, err
	}
	work, err := stage(o.Out)
	if err != nil {
		return nil, err
	}
	defer work.discard()
	p := &planner{PlanOptions: o}
	if err := p.read(ctx); err != nil {
		return nil, err
	}
	made, faults := plan.Make(p.in)
	if err := p.tell(faults); err != nil {
		return nil, err
	}
	if err := p.write(work, made); err != nil {
		return nil, plainly(err)
	}
	return made.Lines, plainly(work.commit(ctx))
}

// planner reads what a plan is made from.
type planner struct {
	PlanOptions
	in     plan.Input
	inputs []ingest.Input
}

// tell tells faults, and returns the error that they end the plan with.
func (p *planner) tell(faults []survey.Fault) error {
	for _, f := range faults {
		p.Watch.fault(f)
	}
	return faultsFound(len(faults), "; nothing was planned")
}

func (p *planner) read(ctx context.Context) error {
	folder, faults, err := ingest.OpenWith(p.Survey, parquetRows)
	if err != nil {
		return err
	}
	// Files that are only filled in later may be missing.
	of := func(names ...string) func(survey.Fault) bool {
		return func(f survey.Fault) bool { return !slices.Contains(names, f.File) }
	}
	settings := slices.DeleteFunc(slices.Clone(faults), of(settingsFile))
	p.in.Settings = folder.Settings
	p.override()
	if p.in.Document, err = p.file(settingsFile); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	strata, err := p.readGround(ctx, folder, faults)
	if err != nil {
		return err
	}
	if err := p.tell(append(settings, strata...)); err != nil || len(p.Pilot) == 0 {
		return err
	}
	var pilots []*plan.Pilot
	for i, folder := range p.Pilot {
		pilot, err := p.readPilot(ctx, folder, i)
		if err != nil {
			return err
		}
		pilots = append(pilots, pilot)
	}
	if p.in.Pilot, err = plan.MergePilots(pilots); err != nil {
		return err
	}
	return p.readSoFar(ctx, folder, faults)
}

// readSoFar reads the visits of the season that is planned, where the folder has any.
// From then on the survey must be without faults.
func (p *planner) readSoFar(ctx context.Context, folder *ingest.Folder, faults []survey.Fault) error {
	var plots []survey.Plot
	var transects []survey.Transect
	var visits []survey.Visit
	var finds []survey.Find
	var weather []survey.Reading
	summary, err := folder.Read(ctx, ingest.Sink{
		Plot:     func(r *survey.Plot) error { plots = append(plots, *r); return nil },
		Transect: func(r *survey.Transect) error { transects = append(transects, *r); return nil },
		Visit:    func(r *survey.Visit) error { visits = append(visits, *r); return nil },
		Find:     func(r *survey.Find) error { finds = append(finds, *r); return nil },
		Reading:  func(r *survey.Reading) error { weather = append(weather, *r); return nil },
		Fault:    func(f survey.Fault) error { faults = append(faults, f); return nil },
	}, ingest.Options{})
	if err != nil {
		return err
	}
	if len(visits) == 0 {
		// Before the first visit only the weather has to be in order.
		files := filesOf(folder, survey.Weather.Name)
		summary.Inputs = slices.DeleteFunc(summary.Inputs, func(in ingest.Input) bool { return !slices.Contains(files, in.Name) })
		faults = slices.DeleteFunc(faults, func(f survey.Fault) bool { return !slices.Contains(files, f.File) })
	}
	if err := p.tell(faults); err != nil {
		return err
	}
	p.inputs = append(p.inputs, summary.Inputs...)
	c := plan.NewCollector(p.in.Settings)
	take(c, survey.Weather, weather)
	p.in.Weather = c.Weather()
	take(c, survey.Plots, plots)
	take(c, survey.Transects, transects)
	take(c, survey.Visits, visits)
	take(c, folder.Finds(), finds)
	p.in.SoFar = c.SoFar(p.in.Year())
	return nil
}

// take hands rows to a collector.
func take[R any](c *plan.Collector, t column.Table[R], rows []R) {
	b := table.FromRows(t, rows)
	defer b.Release()
	c.Take(t.Name, b)
}

const settingsFile = "survey.toml"

// override takes the flags over the settings.
func (p *planner) override() {
	to := &p.in.Settings.Plan
	if p.Units > 0 {
		to.UnitCount = p.Units
	}
	if p.CV > 0 {
		to.CV, to.Width, to.UnitCount = p.CV, 0, p.Units
	}
	if p.Layout != "" {
		to.Layout = p.Layout
	}
}

// mostOutline bounds a GeoJSON file: the outline of the largest fires has some
// megabytes.
const mostOutline = 64 << 20

// file reads a file of the survey folder, and names it as an input.
func (p *planner) file(name string) ([]byte, error) {
	root, err := os.OpenRoot(p.Survey)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	if info, err := root.Stat(name); err != nil {
		return nil, err
	} else if !info.Mode().IsRegular() || info.Size() > mostOutline {
		return nil, fmt.Errorf("%s is not a file, or is longer than %d MiB", name, mostOutline>>20)
	}
	data, err := root.ReadFile(name)
	if err == nil {
		p.inputs = append(p.inputs, ingest.Input{Name: name, Table: "plan", Bytes: int64(len(data)), SHA256: sum(data)})
	}
	return data, err
}

// optional reads a file that need not be there.
func (p *planner) optional(name string) (outline.File, error) {
	data, err := p.file(name)
	if errors.Is(err, fs.ErrNotExist) {
		return outline.File{}, nil
	}
	return outline.File{Name: name, Data: data}, err
}

// readGround reads the outline or, without one, strata.csv.
func (p *planner) readGround(ctx context.Context, folder *ingest.Folder, faults []survey.Fault) ([]survey.Fault, error) {
	var files [3]outline.File
	for i, name := range []string{"outline.geojson", "exclude.geojson", "roads.geojson"} {
		var err error
		if files[i], err = p.optional(name); err != nil {
			return nil, err
		}
	}
	if files[0].Data == nil {
		return p.readStrata(ctx, folder, faults)
	}
	m, wrong, notices := outline.Read(outline.Files{Outline: files[0], Exclude: files[1], Roads: files[2]})
	for _, f := range notices {
		p.Watch.notice(f)
	}
	if m != nil {
		p.in.Map, p.in.Strata = m, plan.StrataOf(m)
	}
	return wrong, nil
}

// filesOf names the files of a table.
func filesOf(folder *ingest.Folder, table string) []string {
	var names []string
	for _, f := range folder.Files() {
		if f.Table == table {
			names = append(names, f.Name)
		}
	}
	return names
}

// readStrata reads strata.csv.
func (p *planner) readStrata(ctx context.Context, folder *ingest.Folder, faults []survey.Fault) ([]survey.Fault, error) {
	names := filesOf(folder, survey.Strata.Name)
	if len(names) == 0 {
		return []survey.Fault{{Place: survey.Place{File: "outline.geojson"},
			Problem: "is not in the folder, and there is no strata.csv", Remedy: "put one of the two there: polygons of the strata, or their names and areas"}}, nil
	}
	var wrong []survey.Fault
	note := func(f survey.Fault) {
		if slices.Contains(names, f.File) {
			wrong = append(wrong, f)
		}
	}
	for _, f := range faults {
		note(f)
	}
	summary, err := folder.Read(ctx, ingest.Sink{
		Stratum: func(s *survey.Stratum) error { p.in.Strata = append(p.in.Strata, *s); return nil },
		Fault:   func(f survey.Fault) error { note(f); return nil },
	}, ingest.Options{})
	for _, in := range summary.Inputs {
		if slices.Contains(names, in.Name) {
			p.inputs = append(p.inputs, in)
		}
	}
	if err == nil && len(wrong) == 0 && len(p.in.Strata) == 0 {
		wrong = append(wrong, survey.Fault{Place: survey.Place{File: names[0]}, Problem: "has no stratum", Remedy: "write one line for each stratum, with its area"})
	}
	return wrong, err
}

// planRecord is plan.json: what a plan was made from.
type planRecord struct {
	Build
	Settings survey.Settings `json:"settings"`
	Plan     survey.Plan     `json:"plan"`
	Inputs   []ingest.Input  `json:"inputs"`
	Outputs  []Output        `json:"outputs"`
}

// write writes the folder.
func (p *planner) write(work *staging, made *plan.Plan) error {
	for _, name := range []string{"survey", "tables"} {
		if err := work.folder(name); err != nil {
			return err
		}
	}
	for _, f := range made.Files {
		if err := work.write(f.Name, bytesOf(f.Data)); err != nil {
			return err
		}
	}
	for _, t := range made.Tables {
		if err := writeCSV(work, "tables/"+t.Name()+".csv", t.Schema(), t.Batches()); err != nil {
			return err
		}
	}
	root, err := os.OpenRoot(work.path)
	if err != nil {
		return err
	}
	defer root.Close()
	r := planRecord{Build: thisBuild(), Settings: p.in.Settings, Plan: p.in.Settings.Plan, Inputs: p.inputs}
	if r.Outputs, err = outputs(root); err != nil {
		return err
	}
	text, err := indented(r)
	if err != nil {
		return err
	}
	return work.write("plan.json", bytesOf(text))
}
