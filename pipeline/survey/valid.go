package survey

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
)

// Misfit is a setting that no survey can have, or one that does not go with
// others. Settings come from a survey.toml or from the record of a run, and are
// held to the same either way.
type Misfit struct {
	Key     string // path of the setting: "density.interval", "harvest.limit"
	Element int    // of a list of tables, counted from 0; -1 elsewhere
	Problem string
	Remedy  string
}

// The most that settings hold. What a crew writes is far below; what is above
// was not written by one, and would ask for gigabytes.
const (
	mostText    = 1 << 10 // bytes of a text
	mostNames   = 1000    // of a list, among them the files of a table
	mostNumbers = 100     // of a list
	mostHeaders = 2000    // that are mapped, of a table
)

// MostHarvests is how many scenarios of a harvest a survey may have.
const MostHarvests = 100

// Misfits returns what is wrong with the settings, in the order of [Keys].
func (s Settings) Misfits() []Misfit {
	var list []Misfit
	for _, k := range Keys {
		if problem := k.Problem(k.At(&s)); problem != "" {
			list = append(list, Misfit{k.Path(), -1, problem, k.About})
		}
	}
	for _, k := range DatasetKeys {
		if problem := k.Problem(k.At(&s)); problem != "" && !(k.Name == "blur_m" && s.Dataset.BlurM == 0) {
			list = append(list, Misfit{k.Path(), -1, problem, k.About})
		}
	}
	for i := range s.Harvest {
		list = append(list, s.Harvest[i].misfits(i)...)
	}
	return append(list, s.Together()...)
}

// Problem says why a setting cannot have the value that at points to, "" where
// it can.
func (k Key) Problem(at any) string {
	switch v := at.(type) {
	case *string:
		return textProblem(*v, k.Words)
	case *[]string:
		return namesProblem(*v, k.Words)
	case *[]float64:
		return numbersProblem(*v, k.Bounds)
	case *float64:
		return k.numberProblem(*v, phrase.Decimal(*v))
	case *Range:
		return rangeProblem(*v, k.Bounds)
	case *uint64:
		return k.numberProblem(float64(*v), strconv.FormatUint(*v, 10))
	case *int:
		return k.numberProblem(float64(*v), strconv.Itoa(*v))
	case *column.Date:
		return k.dateProblem(*v)
	}
	panic(fmt.Sprintf("survey: setting %s has a type that cannot be checked, %T", k.Path(), at))
}

func (k Key) numberProblem(v float64, text string) string {
	if k.Bounds.Hold(v) {
		return ""
	}
	return phrase.Outside(text, v, k.Bounds, "")
}

func (k Key) dateProblem(d column.Date) string {
	if !d.Known() || k.Bounds.Hold(float64(d.Year())) {
		return ""
	}
	return fmt.Sprintf("%s does not lie between the years %.0f and %.0f", d, k.Bounds.Min, k.Bounds.Max)
}

func textProblem(text string, words []string) string {
	switch {
	case len(text) > mostText:
		return fmt.Sprintf("is longer than %d bytes", mostText)
	case text != strings.TrimSpace(text):
		return phrase.Quote(text) + " begins or ends with a space"
	case words != nil && !slices.Contains(words, text):
		return phrase.Quote(text) + " is not " + phrase.Either(words)
	}
	return ""
}

func namesProblem(names, words []string) string {
	if len(names) > mostNames {
		return fmt.Sprintf("holds %d names, more than %d", len(names), mostNames)
	}
	for i, name := range names {
		switch problem := textProblem(name, nil); {
		case name == "":
			return "holds an empty name"
		case problem != "":
			return "holds a name that cannot be: it " + problem
		case words != nil && !slices.Contains(words, name):
			return "holds " + phrase.Quote(name) + ", which is not " + phrase.Either(words)
		case words != nil && slices.Contains(names[:i], name):
			return "names " + phrase.Quote(name) + " twice"
		}
	}
	return ""
}

func numbersProblem(numbers []float64, b column.Bounds) string {
	if len(numbers) > mostNumbers {
		return fmt.Sprintf("holds %d numbers, more than %d", len(numbers), mostNumbers)
	}
	for _, v := range numbers {
		if !b.Hold(v) {
			return "holds a number that cannot be: " + phrase.Outside(phrase.Decimal(v), v, b, "")
		}
	}
	return ""
}

// filesMisfits hold the names of files to what a folder can have of them; which
// of them are there is another question.
func (s Settings) filesMisfits() []Misfit {
	var list []Misfit
	add := func(table, problem, remedy string) {
		list = append(list, Misfit{"files." + table, -1, problem, remedy})
	}
	for _, table := range sortedKeys(s.Files) {
		names := s.Files[table]
		switch problem := namesProblem(names, nil); {
		case !slices.Contains(TableNames(), table):
			add(table, "is not a table of a survey", "the tables are "+phrase.Either(TableNames()))
		case len(names) == 0:
			add(table, "is an empty list", "name a file, or remove the key")
		case problem != "":
			add(table, problem, `write "`+table+`.csv", or a list of names`)
		}
	}
	return list
}

// columnsMisfits hold the crew's headers likewise.
func (s Settings) columnsMisfits() []Misfit {
	var list []Misfit
	for _, table := range sortedKeys(s.Columns) {
		add := func(problem, remedy string) {
			list = append(list, Misfit{"columns." + table, -1, problem, remedy})
		}
		headers := s.Columns[table]
		switch {
		case !slices.Contains(TableNames(), table):
			add("is not a table of a survey", "write [columns.TABLE], where TABLE is "+phrase.Either(TableNames()))
		case len(headers) > mostHeaders:
			add(fmt.Sprintf("maps %d headers, more than %d", len(headers), mostHeaders), "map those alone that differ from ours")
		}
		for _, header := range sortedKeys(headers) {
			if len(header) > mostText || len(headers[header]) > mostText {
				add(fmt.Sprintf("maps a header longer than %d bytes, %s", mostText, phrase.Quote(header)), "shorten it in the sheet")
				break
			}
		}
	}
	return list
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// Together returns what is wrong with the settings that no key of [Keys]
// declares, and with settings beside each other.
func (s Settings) Together() []Misfit {
	list := slices.Concat(s.filesMisfits(), s.columnsMisfits(), s.strataMisfits(), s.datasetMisfits())
	add := func(key, problem, remedy string) { list = append(list, Misfit{key, -1, problem, remedy}) }
	if s.Title == "" {
		add("title", "is missing", `name the survey: title = "..."`)
	}
	list = append(list, s.Lines.together()...)
	list = append(list, s.Plan.together()...)
	if first, last := s.Season.First, s.Season.Last; first.Known() && last.Known() && last.Compare(first) < 0 {
		add("season.last", fmt.Sprintf("%s lies before season.first, %s", last, first), "exchange them, or mend the one that is wrong")
	}
	if n := len(s.Harvest); n > MostHarvests {
		add(harvestTable, fmt.Sprintf("has %d scenarios, more than %d", n, MostHarvests), "keep those that matter")
		return list
	}
	for i, h := range s.Harvest {
		if slices.ContainsFunc(s.Harvest[:i], func(other Harvest) bool { return other.Name == h.Name }) {
			list = append(list, Misfit{harvestTable + ".name", i, phrase.Quote(h.Name) + " is the name of another scenario already",
				"give each scenario a name of its own"})
		}
	}
	return list
}

// together holds the settings of lines to each other.
func (o Lines) together() []Misfit {
	var list []Misfit
	add := func(key, problem, remedy string) { list = append(list, Misfit{"lines." + key, -1, problem, remedy}) }
	problem, remedy := breaksProblem(o.BreaksM)
	if problem != "" {
		add("breaks_m", problem, remedy)
	}
	switch {
	case problem == "" && len(o.BreaksM) > 0 && o.LeftTruncationM > 0:
		add("left_truncation_m", "stands beside breaks_m, whose first border says it already", "remove it, and begin breaks_m where finds are used from")
	case o.LeftTruncationM > 0 && o.TruncationM > 0 && o.LeftTruncationM >= o.TruncationM:
		add("left_truncation_m", fmt.Sprintf("%s m is not less than truncation_m, %s m, so no find lies between",
			phrase.Decimal(o.LeftTruncationM), phrase.Decimal(o.TruncationM)), "mend the one that is wrong")
	}
	switch {
	case len(o.Covariates) > MostCovariates:
		add("covariates", fmt.Sprintf("names %d covariates, more than the finds of a season can tell apart", len(o.Covariates)),
			fmt.Sprintf("name the likeliest, %d at most", MostCovariates))
	case len(o.Covariates) > 0 && o.Function == "uniform":
		add("covariates", "stands beside function = \"uniform\", by which all is seen whatever the covariate", "remove one of the two")
	}
	return list
}

// breaksProblem says what keeps numbers from being the borders of classes.
func breaksProblem(breaks []float64) (problem, remedy string) {
	if len(breaks) == 1 || len(breaks) == 2 {
		return "makes fewer than two classes, which say nothing of how finds thin out with distance", "give three borders at least: [0, 1, 3]"
	}
	for i := 1; i < len(breaks); i++ {
		if breaks[i] <= breaks[i-1] {
			return fmt.Sprintf("%s m follows %s m: borders must ascend, each class beginning where the last ended",
				phrase.Decimal(breaks[i]), phrase.Decimal(breaks[i-1])), "sort them, and leave none out: finds in a gap could not have been recorded"
		}
	}
	return "", ""
}
