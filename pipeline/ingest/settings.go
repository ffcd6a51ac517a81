package ingest

import (
	"cmp"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

const settingsName = "survey.toml"

// maxSettings is far above what any mapping of columns needs, and small enough
// to decode at once.
const maxSettings = 256 << 10

// maxDepth is how many parts a key may have, with the table it stands in and the
// tables and lists around its value. Settings have four at most; the time that
// keys take grows with the square of their parts.
const maxDepth = 8

// settings is survey.toml as read: what it sets, and where.
type settings struct {
	survey.Settings
	lines  keyLines
	faults []survey.Fault
}

// parseSettings reads survey.toml. A key that cannot be used leaves its
// default and a fault; ok is false where the document as a whole could not be
// read, so that nothing is known of its keys.
func parseSettings(document []byte) (s settings, ok bool) {
	s = settings{Settings: survey.Defaults()}
	if len(document) > maxSettings {
		s.fault("", 0, fmt.Sprintf("is longer than %d KiB", maxSettings>>10), "keep settings alone in it; the data belongs into the CSV files")
		return s, false
	}
	document = []byte(strings.TrimPrefix(string(document), "\ufeff"))
	if line, deep := deepKey(document); deep {
		s.fault("", line, fmt.Sprintf("has a key of more than %d parts, or a value as deep", maxDepth),
			"write [TABLE] on a line of its own and its keys below; no setting needs more than four parts")
		return s, false
	}
	keys := map[string]any{}
	if err := toml.Unmarshal(document, &keys); err != nil {
		s.syntax(err)
		return s, false
	}
	s.lines = findKeys(document)
	for name, value := range keys {
		s.top(name, value)
	}
	s.check()
	s.sort()
	return s, true
}

// sort puts the faults into the order of the document, whatever the order in
// which a map gave the keys.
func (s *settings) sort() {
	slices.SortStableFunc(s.faults, func(a, b survey.Fault) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Name, b.Name), cmp.Compare(a.Problem, b.Problem))
	})
}

func (s *settings) fault(key string, line int64, problem, remedy string) {
	const longest = 100 // bytes of a key that a message shows
	if len(key) > longest {
		key = strings.ToValidUTF8(key[:longest], "") + "..."
	}
	s.faults = append(s.faults, survey.Fault{
		Place: survey.Place{File: settingsName, Line: line}, Name: key, Problem: problem, Remedy: remedy,
	})
}

func (s *settings) syntax(err error) {
	remedy := "nothing else is read until it can be"
	var at *toml.DecodeError
	if !errors.As(err, &at) {
		s.fault("", 0, "cannot be read as TOML", remedy)
		return
	}
	line, column := at.Position()
	problem := fmt.Sprintf("is not TOML at character %d: %s", column, inWords(at.Error()))
	s.fault(strings.Join(at.Key(), "."), int64(line), problem, remedy)
}

// codePoint is how the TOML library names a character: U+006D 'm'.
var codePoint = regexp.MustCompile(`U\+([0-9A-F]{4,6})( '.')?`)

// inWords is what the TOML library says of a document, without the words of the
// language that it is written in.
func inWords(message string) string {
	message = strings.TrimPrefix(message, "toml: ")
	switch {
	case strings.Contains(message, "parse float"), strings.Contains(message, "64-bit"):
		return "the number is too large"
	case strings.Contains(message, "at start of value"):
		message = strings.NewReplacer("unexpected character", "a value cannot begin with", " at start of value", ", and texts stand in quotes").Replace(message)
	}
	return codePoint.ReplaceAllStringFunc(message, func(named string) string {
		code, shown, ok := strings.Cut(named, " ")
		switch {
		case ok:
			return `"` + strings.TrimSuffix(shown[1:], "'") + `"`
		case code == "U+000A":
			return "the end of the line"
		}
		return "a character that is not printed"
	})
}

// top takes a key of the document's top level.
func (s *settings) top(name string, value any) {
	switch {
	case name == "files":
		s.table(name, value, s.files)
	case name == "columns":
		s.table(name, value, s.columns)
	case name == survey.SingleUnitStrata:
		s.table(name, value, s.singleUnitStrata)
	case name == survey.DatasetTable:
		s.table(name, value, s.dataset)
	case name == harvestTable:
		s.harvest(value)
	case slices.ContainsFunc(survey.Keys, func(k survey.Key) bool { return k.Table == name }):
		s.table(name, value, func(key string, value any) { s.key(name, key, value) })
	default:
		s.key("", name, value)
	}
}

func (s *settings) table(name string, value any, each func(key string, value any)) {
	keys, ok := value.(map[string]any)
	if !ok {
		s.fault(name, s.lines.line(name), "is "+kindOf(value)+", not a table", "write ["+name+"] on a line of its own and its keys below")
		return
	}
	for key, value := range keys {
		each(key, value)
	}
}

// key takes a key that [survey.Keys] may declare.
func (s *settings) key(table, name string, value any) {
	i := slices.IndexFunc(survey.Keys, func(k survey.Key) bool { return k.Table == table && k.Name == name })
	if i < 0 {
		s.unknown(table, name)
		return
	}
	k := survey.Keys[i]
	problem := assign(k.At(&s.Settings), value, k)
	switch now := renamedIn(k.Path(), value); {
	case problem == "":
	case now != "":
		s.fault(k.Path(), s.lineOf(table, name), now, "write the new name: it means the same")
	default:
		s.fault(k.Path(), s.lineOf(table, name), problem, k.About)
	}
}

// renamedIn says of a value, or of one in a list, that it has another name now;
// "" where it never had.
func renamedIn(key string, value any) string {
	list, ok := value.([]any)
	if !ok {
		list = []any{value}
	}
	for _, v := range list {
		text, _ := v.(string)
		if now, renamed := survey.ValueNow(key, text); renamed {
			return phrase.Quote(text) + " is called " + phrase.Quote(now) + " now"
		}
	}
	return ""
}

func (s *settings) unknown(table, name string) {
	shown := survey.Key{Table: table, Name: name}.Path()
	if now, renamed := survey.KeyNow(shown); renamed {
		s.fault(shown, s.lineOf(table, name), "is called "+now+" now", "write the new name: it means the same")
		return
	}
	for _, k := range survey.Keys {
		if k.Name == name {
			s.fault(shown, s.lineOf(table, name), "is not a setting at this place", "it belongs "+placeOf(k.Table))
			return
		}
	}
	known := []string{}
	for _, k := range survey.Keys {
		if k.Table == table {
			known = append(known, k.Name)
		}
		if table == "" {
			known = append(known, k.Table)
		}
	}
	if table == "" {
		known = append(known, "files", "columns", survey.SingleUnitStrata, survey.DatasetTable, harvestTable)
	}
	s.fault(shown, s.lineOf(table, name), "is not a setting", join(meant(name, known), "remove it, or see the page SETTINGS.md for all settings"))
}

func placeOf(table string) string {
	if table == "" {
		return "at the top, before the first table"
	}
	return "under [" + table + "]"
}

func (s *settings) lineOf(table, name string) int64 {
	if table == "" {
		return s.lines.line(name)
	}
	return s.lines.line(table, name)
}

// files takes a key of [files]: a name, a glob or a list of them.
func (s *settings) files(table string, value any) {
	line := s.lines.line("files", table)
	if !slices.Contains(survey.TableNames(), table) {
		s.fault("files."+table, line, "is not a table of a survey", join(meant(table, survey.TableNames()), "the tables are "+phrase.Either(survey.TableNames())))
		return
	}
	list, ok := value.([]any)
	if !ok {
		list = []any{value}
	}
	var names []string
	for _, v := range list {
		name, ok := v.(string)
		if !ok || name == "" {
			s.fault("files."+table, line, "holds "+kindOf(v)+" where a file's name is needed", `write "`+table+`.csv", or a list of names`)
			return
		}
		names = append(names, name)
	}
	if len(names) == 0 {
		s.fault("files."+table, line, "is an empty list", "name a file, or remove the key")
		return
	}
	s.Files[table] = names
}

// columns takes a table below [columns]: the crew's headers and ours. What
// they name is checked where the headers are known.
func (s *settings) columns(table string, value any) {
	line := s.lines.line("columns", table)
	headers, ok := value.(map[string]any)
	switch {
	case !slices.Contains(survey.TableNames(), table):
		s.fault("columns."+table, line, "is not a table of a survey",
			join(meant(table, survey.TableNames()), "write [columns.TABLE], where TABLE is "+phrase.Either(survey.TableNames())))
	case !ok:
		s.fault("columns."+table, line, "is "+kindOf(value)+", not a table", "write [columns."+table+`] and below it "crew's header" = "our column"`)
	default:
		s.Columns[table] = map[string]string{}
		for header, v := range headers {
			target, ok := v.(string)
			if !ok {
				s.fault("columns."+table, s.lines.line("columns", table, header),
					"gives "+phrase.Quote(header)+" "+kindOf(v)+", not the name of a column", "write the name in quotes")
				continue
			}
			s.Columns[table][header] = target
		}
	}
}

// check holds what must be true of several keys together.
func (s *settings) check() {
	for _, m := range s.Together() {
		if m.Element >= 0 || m.Key == "title" && slices.ContainsFunc(s.faults, func(f survey.Fault) bool { return f.Name == "title" }) {
			continue // said where it was read
		}
		s.fault(m.Key, s.lines.line(strings.Split(m.Key, ".")...), m.Problem, m.Remedy)
		s.forget(m.Key)
	}
}

// forget gives a setting its default again, so that rows are not held to one
// that is at fault.
func (s *settings) forget(key string) {
	fresh := survey.Defaults()
	table, name, _ := strings.Cut(key, ".")
	switch table {
	case "files":
		s.Files[name] = fresh.Files[name]
	case "columns":
		delete(s.Columns, name)
	}
	switch key {
	case "season.last":
		s.Season = fresh.Season // no visit could lie within it
	case "lines.breaks_m":
		s.Lines.BreaksM = fresh.Lines.BreaksM
	case "lines.left_truncation_m":
		s.Lines.LeftTruncationM = fresh.Lines.LeftTruncationM
	case "lines.covariates":
		s.Lines.Covariates = fresh.Lines.Covariates
	}
}
