package season

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats/season"
)

// frame is the units of a method in a stratum, with their places among the elements of
// the year.
type frame struct {
	fieldwork.Domain
	at []int
}

// framesOf lists the frames of each method of the survey.
func framesOf(y *yearly) map[string][]frame {
	place := make(map[string]int, len(y.elements))
	for i := range y.elements {
		place[y.elements[i].Unit.ID] = i
	}
	frames := map[string][]frame{}
	for _, method := range y.season.Methods() {
		for _, d := range y.season.Domains(method, y.elements) {
			if d.Years != result.All {
				continue
			}
			f := frame{d, make([]int, len(d.Units))}
			for k := range d.Units {
				f.at[k] = place[d.Units[k].Unit.ID]
			}
			frames[method] = append(frames[method], f)
		}
	}
	return frames
}

func domainsOf(frames []frame) []fieldwork.Domain {
	domains := make([]fieldwork.Domain, len(frames))
	for i := range frames {
		domains[i] = frames[i].Domain
	}
	return domains
}

// flush is the curve of all units of a season with what their visits could see of it.
type flush struct {
	*season.Flush
	view *season.View // of the plans of the elements
}

func newFlush(f *season.Flush, y *yearly) flush { return flush{f, f.View(y.plans)} }
