package ingest

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/survey"
)

// The folders that a divided survey has its files in.
const (
	seasonIs = "season="
	regionIs = "region="

	inPartitions = seasonIs + "*/" + regionIs + "*/"
)

// regionOf is the region of a file by the folder it is in; "" for none.
func regionOf(name string) string {
	parts := strings.Split(name, "/")
	if len(parts) < 3 || !strings.HasPrefix(parts[len(parts)-3], seasonIs) {
		return ""
	}
	region, ok := strings.CutPrefix(parts[len(parts)-2], regionIs)
	if !ok {
		return ""
	}
	return region
}

func regionsOf(files []File) (regions []string) {
	for _, f := range files {
		if r := regionOf(f.Name); r != "" && !slices.Contains(regions, r) {
			regions = append(regions, r)
		}
	}
	return regions
}

// ofRegion are the columns whose names are those of one survey, which another may have
// too.
var ofRegion = []string{"stratum", "plot", "transect", "unit", "site", "network"}

// repeats are the rows without a day that were read in one season of a region: the
// other seasons have them too.
type repeats struct {
	seen map[string]string // the file of each row, by its table, region and cells
	n    int64             // of the present file that were read before
}

// partition returns what makes the cells of a file of one season and region those of
// the whole survey, and tells whether the row was read before; nil for a file that is
// not of a season and region. Where there are several regions, names have that
// of theirs before them.
func (r *reading) partition(file File, m *mapping) func(cells []string) bool {
	r.repeats.n = 0
	region := regionOf(file.Name)
	if region == "" {
		return nil
	}
	var prefixed []int
	if len(r.folder.regions) > 1 {
		for i, header := range m.header {
			if slices.Contains(ofRegion, foldHeader(header)) {
				prefixed = append(prefixed, i)
			}
		}
	}
	dated := file.Table == survey.Visits.Name || file.Table == survey.Finds.Name
	if r.repeats.seen == nil {
		r.repeats.seen = map[string]string{}
	}
	points := file.Table == survey.ReferencePoints.Name
	whole := points && r.readBefore(file)
	return func(cells []string) bool {
		for _, i := range prefixed {
			if cells[i] != "" {
				cells[i] = region + "/" + cells[i]
			}
		}
		if whole {
			r.repeats.n++
		}
		if dated || points {
			return whole
		}
		key := strings.Join(append([]string{file.Table, region}, cells...), "\x00")
		if first, ok := r.repeats.seen[key]; ok && first != file.Name {
			r.repeats.n++
			return true
		}
		r.repeats.seen[key] = file.Name
		return false
	}
}

// readBefore reports whether a file holds the same bytes as one that was read before.
// Points have no names: two that lie alike are two, and only a file that is the same
// whole holds the same ones.
func (r *reading) readBefore(file File) bool {
	disk, err := r.root.Open(file.Name)
	if err != nil {
		return false // told where it is read
	}
	defer disk.Close()
	digest, err := newTally(r.ctx, disk, nil).finish()
	first, ok := r.contents[[2]string{file.Table, digest + regionOf(file.Name)}]
	return err == nil && ok && first != file.Name
}

// end tells of the rows of a file that were passed over.
func (p *repeats) end(file File, notice func(survey.Fault)) {
	if p.n > 0 {
		notice(fileFault(file.Name, fmt.Sprintf("has %d rows that another season of its region has too", p.n), "they are read once"))
	}
}
