package ingest

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

const harvestTable = "harvest"

// harvest takes the tables [[harvest]]. One at fault is left out.
func (s *settings) harvest(value any) {
	list, ok := value.([]any)
	if !ok {
		s.fault(harvestTable, s.lines.line(harvestTable), "is "+kindOf(value)+", not a list of tables",
			"write [[harvest]] on a line of its own, once for each scenario, and its keys below")
		return
	}
	if n := len(list); n > survey.MostHarvests {
		s.fault(harvestTable, s.lines.line(harvestTable), fmt.Sprintf("has %d scenarios, more than %d", n, survey.MostHarvests), "keep those that matter")
		return
	}
	seen := map[string]int64{}
	for i, value := range list {
		keys, ok := value.(map[string]any)
		at := element(i)
		line := s.lines.line(harvestTable, at)
		if !ok {
			s.fault(harvestTable, line, "holds "+kindOf(value)+" where a scenario is needed", "write [[harvest]] on a line of its own and its keys below")
			continue
		}
		before := len(s.faults)
		h := s.scenario(at, keys)
		if first, twice := seen[h.Name]; twice {
			s.fault("harvest.name", s.lines.line(harvestTable, at, "name"),
				fmt.Sprintf("%s is the name of the scenario on line %d already", phrase.Quote(h.Name), first), "give each scenario a name of its own")
		} else if h.Name != "" {
			seen[h.Name] = line
		}
		if len(s.faults) == before {
			s.Harvest = append(s.Harvest, h)
		}
	}
}

// scenario reads the keys of one table.
func (s *settings) scenario(at string, keys map[string]any) survey.Harvest {
	h := survey.NewHarvest()
	before := len(s.faults)
	for name, value := range keys {
		line := s.lines.line(harvestTable, at, name)
		i := slices.IndexFunc(survey.HarvestKeys, func(k survey.HarvestKey) bool { return k.Name == name })
		if i < 0 {
			s.fault(harvestTable+"."+name, line, "is not a setting of a harvest", join(meant(name, harvestNames()), "the keys are "+strings.Join(harvestNames(), ", ")))
			continue
		}
		k := survey.HarvestKeys[i]
		if problem := assign(k.At(&h), value, survey.Key{Table: harvestTable, Name: name, Words: k.Words, Bounds: k.Bounds}); problem != "" {
			s.fault(harvestTable+"."+name, line, problem, k.About)
		}
	}
	for _, k := range survey.HarvestKeys {
		if _, given := keys[k.Name]; k.Required && !given {
			s.fault(harvestTable+"."+k.Name, s.lines.line(harvestTable, at), "is missing", "a scenario needs it: "+k.About)
		}
	}
	if len(s.faults) > before {
		return h
	}
	if key, problem, remedy := h.Whole(); problem != "" {
		s.fault(harvestTable+"."+key, s.lines.line(harvestTable, at, key), problem, remedy)
	}
	return h
}

func harvestNames() []string {
	var names []string
	for _, k := range survey.HarvestKeys {
		names = append(names, k.Name)
	}
	return names
}

// harvestTemplate is an example of a scenario, as comments.
func harvestTemplate() string {
	var b strings.Builder
	b.WriteString(comment("a harvest to be held against the crop, its figures made up; write [[harvest]] again for each further scenario. " +
		"Permits, closures and bag limits are for the local authority to say"))
	b.WriteString("# [[harvest]]\n")
	for _, k := range survey.HarvestKeys {
		if k.Example == "" {
			continue
		}
		b.WriteString(comment(k.About + words(k.Words)))
		fmt.Fprintf(&b, "# %s = %s\n", k.Name, k.Example)
	}
	return b.String()
}

func words(list []string) string {
	if list == nil {
		return ""
	}
	return ": " + phrase.Either(list)
}
