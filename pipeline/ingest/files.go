package ingest

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// File is a CSV file of the survey folder.
type File struct {
	Name  string // slash path within the folder
	Table string
	Bytes int64 // its size on disk when it was found
}

// finder looks for the files of each table.
type finder struct {
	root     *os.Root
	dir      string
	settings *settings
	files    []File
	info     []fs.FileInfo   // of each of files
	told     map[string]bool // names that a fault speaks of
	broken   map[string]bool // tables of which a file could not be taken
	fault    func(survey.Fault)
	notice   func(survey.Fault)
}

// maxFiles is far above what a season has of a table: a file a day, or a plot.
const maxFiles = 2000

// find returns the table's files in order of name.
func (f *finder) find(table string) []File {
	first := len(f.files)
	patterns := f.settings.Files[table]
	if slices.Equal(patterns, survey.Defaults().Files[table]) {
		f.standard(table)
	} else {
		for _, p := range patterns {
			f.pattern(table, p)
		}
	}
	found := slices.Clone(f.files[first:])
	slices.SortFunc(found, func(a, b File) int { return strings.Compare(a.Name, b.Name) })
	if len(found) > maxFiles {
		f.broken[table] = true
		f.fault(fileFault(found[maxFiles].Name, fmt.Sprintf("is file %d of %d of %s, more than %d", maxFiles+1, len(found), table,
			maxFiles), "join files, and check the pattern under [files] in "+settingsName))
		found = found[:maxFiles]
	}
	return found
}

// standard looks for the default name: plain, compressed, or as Parquet.
func (f *finder) standard(table string) {
	var there []string
	for _, ending := range []string{".csv", ".csv.gz", parquetEnding} {
		if f.there(table + ending) {
			there = append(there, table+ending)
		}
	}
	for i, name := range there {
		if i == 0 {
			f.add(table, name)
			continue
		}
		f.told[name] = true
		f.fault(fileFault(name, "stands beside "+there[0]+": only one of them can be the table", "remove one, or name the files under [files] in "+settingsName))
	}
	if len(there) == 0 {
		f.parts(table)
	}
}

// parts looks for the Parquet files of a survey that is divided, here or by season
// and region.
func (f *finder) parts(table string) {
	for _, pattern := range []string{table + "-*" + parquetEnding, inPartitions + table + "-*" + parquetEnding} {
		names, _ := fs.Glob(f.root.FS(), pattern) // the pattern is a good one
		for _, name := range names {
			f.add(table, name)
		}
		if len(names) > 0 {
			return
		}
	}
}

func (f *finder) there(name string) bool {
	_, err := f.root.Lstat(name)
	return err == nil
}

// pattern looks for the files of one text under [files].
func (f *finder) pattern(table, pattern string) {
	line := f.settings.lines.line("files", table)
	fault := func(problem, remedy string) {
		f.broken[table] = true
		f.settings.fault("files."+table, line, phrase.Quote(pattern)+" "+problem, remedy)
	}
	switch {
	case strings.ContainsRune(pattern, '\\'):
		fault("has a backslash", "write / between folders")
	case !filepath.IsLocal(filepath.FromSlash(pattern)):
		fault("leads out of the survey folder", "copy the file into the folder and name it from there")
	case !strings.ContainsAny(pattern, "*?["):
		if !f.there(pattern) {
			fault("is not in the folder", meant(pattern, f.listing()))
			return
		}
		f.add(table, pattern)
	default:
		names, err := fs.Glob(f.root.FS(), pattern)
		names = slices.DeleteFunc(names, hidden)
		if err != nil {
			fault("is not a pattern of names", "use * for any text and ? for one character, and close every [")
		} else if len(names) == 0 {
			fault("matches no file in the folder", meant(pattern, f.listing()))
		}
		for _, name := range names {
			f.add(table, name)
		}
	}
}

// hidden reports whether a name begins with a dot, as the companions do that
// some systems leave beside a file; no pattern means those.
func hidden(name string) bool { return strings.HasPrefix(filepath.Base(name), ".") }

// add takes a file, after a look at what it is.
func (f *finder) add(table, name string) {
	info, err := f.root.Stat(name)
	if err == nil && !info.Mode().IsRegular() {
		err = errNotFile
	}
	if err != nil {
		problem, remedy := f.statProblem(name, err)
		f.fault(fileFault(name, problem, remedy))
		f.broken[table] = true
		return
	}
	if i := slices.IndexFunc(f.info, func(before fs.FileInfo) bool { return os.SameFile(before, info) }); i >= 0 {
		f.again(table, name, f.files[i])
		return
	}
	f.files = append(f.files, File{Name: name, Table: table, Bytes: info.Size()})
	f.info = append(f.info, info)
}

// again tells of a file that was taken before, under this name or, through a
// link of either kind, under another. It is read once.
func (f *finder) again(table, name string, before File) {
	f.told[name] = true
	if before.Table != table {
		problem := "is read twice"
		if before.Name != name {
			problem = "is the same file as " + before.Name
		}
		f.fault(fileFault(name, problem+", as "+before.Table+" and as "+table, "name each file once under [files] in "+settingsName))
		return
	}
	problem := "is named twice under [files]"
	if before.Name != name {
		problem = "is the same file as " + before.Name + ", through a link"
	}
	f.notice(fileFault(name, problem, "it is read once"))
}

// statProblem says why a name that is there is no file to read.
func (f *finder) statProblem(name string, err error) (problem, remedy string) {
	link, lerr := f.root.Lstat(name)
	switch {
	case lerr != nil || errors.Is(err, errNotFile) || link.Mode()&fs.ModeSymlink == 0:
		return readProblem(err)
	case errors.Is(err, fs.ErrNotExist):
		return "is a link to a file that is not there", "put the file in its place"
	case errors.Is(err, fs.ErrPermission):
		return readProblem(err)
	}
	return "is a link that leads out of the survey folder", "put the file in its place, or link to it by a relative path within the folder"
}

// required reports the tables that are not there though a survey needs them.
func (f *finder) required() {
	has := map[string]bool{}
	for _, file := range f.files {
		has[file.Table] = true
	}
	for _, table := range []string{survey.Strata.Name, survey.Visits.Name, survey.Finds.Name} {
		if !has[table] && !f.blamed(table) {
			f.broken[table] = true
			f.lacks(table+".csv", "is not in the folder, and it is needed")
		}
	}
	plots, transects := survey.Plots.Name, survey.Transects.Name
	if !has[plots] && !has[transects] && !f.blamed(plots) && !f.blamed(transects) {
		f.broken[plots] = true
		f.lacks(plots+".csv", "is not in the folder, nor is "+transects+".csv; one of them is needed")
	}
}

// blamed reports whether a fault says already why a table has no file.
func (f *finder) blamed(table string) bool {
	if !slices.Equal(f.settings.Files[table], survey.Defaults().Files[table]) {
		return true
	}
	return f.there(table+".csv") || f.there(table+".csv.gz") || f.there(table+parquetEnding) ||
		slices.ContainsFunc(f.files, func(file File) bool { return file.Table == table })
}

func (f *finder) lacks(name, problem string) {
	remedy := "write it, or name the file that holds it under [files] in " + settingsName
	if near := nearest(name, f.listing()); near != "" {
		f.told[near] = true
		remedy = "if " + phrase.Quote(near) + " is it, rename it or name it under [files] in " + settingsName
	}
	f.fault(fileFault(name, problem, remedy))
}

// listing returns the names in the folder that no table has taken.
func (f *finder) listing() []string {
	entries, err := fs.ReadDir(f.root.FS(), ".")
	if err != nil {
		return nil // a nearest name cannot be given then
	}
	var names []string
	for _, e := range entries {
		taken := slices.ContainsFunc(f.files, func(file File) bool { return file.Name == e.Name() })
		if !taken && e.Name() != settingsName && !hidden(e.Name()) {
			names = append(names, e.Name())
		}
	}
	return names
}

// maxUnread is how many files that nothing reads are named one by one.
const maxUnread = 20

// unread notes the tables of the folder that nothing reads: a misspelt name
// of an optional table would go unseen.
func (f *finder) unread(notice func(survey.Fault)) {
	n := 0
	for _, name := range f.listing() {
		lower := strings.TrimSuffix(strings.ToLower(name), ".gz")
		if f.told[name] || !strings.HasSuffix(lower, ".csv") && !strings.HasSuffix(lower, ".tsv") && !isParquet(lower) {
			continue
		}
		if n++; n > maxUnread {
			continue
		}
		var defaults []string
		for _, table := range survey.TableNames() {
			defaults = append(defaults, table+".csv")
		}
		notice(fileFault(name, "is not read: it is the file of no table", join(meant(name, defaults), "name it under [files] in "+settingsName+" if it should be")))
	}
	if n > maxUnread {
		notice(fileFault(".", "more files of the folder are not read", "name them under [files] in "+settingsName+" if they should be"))
	}
}

func fileFault(name, problem, remedy string) survey.Fault {
	return survey.Fault{Place: survey.Place{File: name}, Problem: problem, Remedy: remedy}
}
