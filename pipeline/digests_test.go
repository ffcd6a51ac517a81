package pipeline

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The digests of the demo's result tables, of one version on one kind of
// processor, and the file that names the version.
const (
	digestsFile = "testdata/digests.txt"
	versionFile = "provenance.go"
)

// TestVersionMovesWithTheDigits holds the demo's result tables to the digests
// that were stored with this version. A version number stands for the digits:
// verify tells by it why an older folder differs. With -update the digests are
// stored anew and, where they have moved, under the next version:
//
//	go test ./pipeline -run VersionMoves -update
func TestVersionMovesWithTheDigits(t *testing.T) {
	stored, err := readDigests()
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		updateDigests(t, stored)
		return
	}
	here := processor()
	if stored.processor != here {
		t.Skipf("the digests are of %s, and this is %s", stored.processor, here)
	}
	kind := "whole"
	if testing.Short() {
		kind = "thinned"
	}
	moved := stored.moved(kind, tableDigests(wholeResults(t)))
	switch {
	case len(moved) > 0 && stored.version == Version:
		t.Errorf("digits have moved in %s, and the version is still %s: raise the version and update the digests, go test ./pipeline -run VersionMoves -update does both", strings.Join(moved, ", "), Version)
	case len(moved) > 0 || stored.version != Version:
		t.Errorf("the digests are those of version %s, and this is %s: go test ./pipeline -run VersionMoves -update stores them anew", stored.version, Version)
	}
}

// digests are those that are stored: of the whole demo and of the thinned one,
// by the names of tables.
type digests struct {
	version, processor string
	of                 map[string]map[string]string
}

// processor names what the last digits depend on beside the version.
func processor() string {
	b := thisBuild()
	return strings.TrimSpace(b.Platform+" "+b.Level) + " " + b.Arithmetic.Fingerprint
}

// moved are the tables whose digests are not those stored.
func (d digests) moved(kind string, now map[string]string) []string {
	var names []string
	for _, name := range slices.Sorted(maps.Keys(union(now, d.of[kind]))) {
		if now[name] != d.of[kind][name] {
			names = append(names, name)
		}
	}
	return names
}

func union(a, b map[string]string) map[string]string {
	all := maps.Clone(a)
	maps.Copy(all, b)
	return all
}

func tableDigests(files map[string][]byte) map[string]string {
	of := map[string]string{}
	for name, data := range files {
		if table, ok := strings.CutPrefix(name, "results/"); ok && strings.HasSuffix(name, ".csv") {
			of[strings.TrimSuffix(table, ".csv")] = sum(data)
		}
	}
	return of
}

func readDigests() (digests, error) {
	d := digests{of: map[string]map[string]string{"whole": {}, "thinned": {}}}
	text, err := os.ReadFile(digestsFile)
	for line := range strings.Lines(string(text)) {
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		switch word {
		case "version":
			d.version = rest
		case "processor":
			d.processor = rest
		case "whole", "thinned":
			table, digest, _ := strings.Cut(rest, " ")
			d.of[word][table] = digest
		}
	}
	return d, err
}

// updateDigests stores the digests of both demos. Where they have moved within a
// version, the version is raised in the source.
func updateDigests(t *testing.T, stored digests) {
	if testing.Short() {
		t.Skip("the whole demo is needed")
	}
	whole := tableDigests(wholeResults(t))
	light(t)
	now := digests{version: Version, processor: processor(), of: map[string]map[string]string{"whole": whole, "thinned": tableDigests(wholeResults(t))}}
	if stored.processor != now.processor {
		t.Logf("the digests were of %s, and this is %s: whether digits have moved is not known", stored.processor, now.processor)
	} else if moved := append(stored.moved("whole", whole), stored.moved("thinned", now.of["thinned"])...); len(moved) > 0 && stored.version == Version {
		now.version = raiseVersion(t)
		t.Logf("digits have moved in %s: the version is %s now", strings.Join(moved, ", "), now.version)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "version %s\nprocessor %s\n", now.version, now.processor)
	for _, kind := range []string{"whole", "thinned"} {
		for _, name := range slices.Sorted(maps.Keys(now.of[kind])) {
			fmt.Fprintf(&b, "%s %s %s\n", kind, name, now.of[kind][name])
		}
	}
	if err := os.WriteFile(digestsFile, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

// raiseVersion writes the next version into the source and returns it.
func raiseVersion(t *testing.T) string {
	source, err := os.ReadFile(versionFile)
	if err != nil {
		t.Fatal(err)
	}
	next, err := nextVersion(Version)
	if err != nil {
		t.Fatal(err)
	}
	old, new := strconv.Quote(Version), strconv.Quote(next)
	text := strings.Replace(string(source), "const Version = "+old, "const Version = "+new, 1)
	if text == string(source) {
		t.Fatalf("%s does not have the version %s", versionFile, old)
	}
	if err := os.WriteFile(versionFile, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return next
}

// nextVersion raises the last number of a version: 0.1.9 to 0.1.10.
func nextVersion(version string) (string, error) {
	at := strings.LastIndexByte(version, '.')
	n, err := strconv.Atoi(version[at+1:])
	if at < 0 || err != nil {
		return "", errors.New("a version without a last number: " + version)
	}
	return version[:at+1] + strconv.Itoa(n+1), nil
}

func TestNextVersion(t *testing.T) {
	for version, want := range map[string]string{"0.1.0": "0.1.1", "0.1.9": "0.1.10", "1.20.99": "1.20.100"} {
		if got, err := nextVersion(version); got != want || err != nil {
			t.Errorf("after %s comes %s (%v), want %s", version, got, err, want)
		}
	}
}
