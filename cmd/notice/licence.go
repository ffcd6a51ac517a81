package main

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// more are files that hold a module's licences under names that do not say so.
// Of the two that freetype can be had under, that of its own name is taken.
var more = map[string][]string{
	"github.com/JohnCGriffin/overflow": {"README.md"},
	"github.com/golang/freetype":       {"licenses/ftl.txt"},
	"gonum.org/v1/gonum": {
		"THIRD_PARTY_LICENSES/Bogaert-LICENSE", "THIRD_PARTY_LICENSES/Boost-LICENSE", "THIRD_PARTY_LICENSES/Cephes-LICENSE", "THIRD_PARTY_LICENSES/Fike-LICENSE",
		"THIRD_PARTY_LICENSES/Go-LICENSE", "THIRD_PARTY_LICENSES/MT19937-64-LICENSE", "THIRD_PARTY_LICENSES/MT19937-LICENSE", "THIRD_PARTY_LICENSES/Oxford-LICENSE",
		"THIRD_PARTY_LICENSES/Probab-LICENSE", "THIRD_PARTY_LICENSES/Sun-LICENSE", "THIRD_PARTY_LICENSES/W3C-BSD-LICENSE",
		"THIRD_PARTY_LICENSES/W3C-TestSuite-LICENSE",
	},
}

var licenceName = regexp.MustCompile(`(?i)^(licen[cs]e|copying|copyright|notice|patents|unlicense)([-._][-\w.]*)?$`)

// isLicence reports whether a file is a licence or notice by its name.
func isLicence(name string) bool {
	return licenceName.MatchString(name) && !strings.HasSuffix(name, ".go")
}

// licencePart is the licence in a file: all of it, or where the file is about
// something else, what follows the licence's name.
func licencePart(file, body string) string {
	body = strings.ReplaceAll(body, "\r\n", "\n")
	if strings.HasPrefix(file, "README") {
		if at := strings.Index(body, "MIT License"); at >= 0 {
			body = body[at:]
		}
	}
	return strings.TrimSpace(body)
}

// kinds are the licences that are known, by words that no other has. The first
// that fits counts.
var kinds = []struct{ name, words string }{
	{"Apache-2.0", "apache license version 2 0 january 2004"},
	{"MPL-2.0", "mozilla public license version 2 0"},
	{"OFL-1.1", "sil open font license version 1 1"},
	{"CC-BY-4.0", "creative commons attribution 4 0 international"},
	{"FTL", "the freetype project license"},
	{"BSL-1.0", "boost software license version 1 0"},
	{"ISC", "permission to use copy modify and or distribute this software"},
	{"MIT", "permission is hereby granted free of charge to any person obtaining a copy"},
	{"BSD-3-Clause", "redistribution and use in source and binary forms with or without modification are permitted"},
}

// kindOf names the licence of a text by SPDX, "" for a notice that is none.
func kindOf(body string) string {
	flat := strings.Join(strings.FieldsFunc(strings.ToLower(body), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }), " ")
	for _, k := range kinds {
		if strings.Contains(flat, k.words) {
			if k.name == "BSD-3-Clause" && !strings.Contains(flat, "endorse or promote") {
				return "BSD-2-Clause"
			}
			return k.name
		}
	}
	return ""
}

// licences names those of a module.
func (m module) licences() string {
	var names []string
	for _, t := range m.texts {
		if name := kindOf(t.body); name != "" && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, ", ")
}

var copyrightLine = regexp.MustCompile(`(?i)^[\s*/#-]*(copyright\s+(\(c\)|©|\d).*|\(c\)\s+\d.*|©\s*\d.*)$`)

// copyrights are the lines of a text that say whose it is.
func copyrights(body string) []string {
	var list []string
	for line := range strings.Lines(body) {
		m := copyrightLine.FindStringSubmatch(strings.TrimRight(line, " \t\n."))
		if m == nil || strings.Contains(m[1], "[yyyy]") || strings.Contains(m[1], "{yyyy}") {
			continue
		}
		if whose := strings.Join(strings.Fields(strings.TrimRight(m[1], " *,")), " "); !slices.Contains(list, whose) {
			list = append(list, whose)
		}
	}
	return list
}

// notice writes the whole file. Texts that are the same stand there once, and
// those that are the licence of ashtally itself stand in LICENSE.
func notice(modules []module, own string) []byte {
	var b bytes.Buffer
	b.WriteString(`ashtally is licensed under the Apache License 2.0, whose text is in LICENSE.
The program is linked from the modules below, each under its own licence. This
file is made by

    go run ./cmd/notice > NOTICE

and lists each module with its version, its licences and whose it is; then all
texts of licences and notices, each once, with the modules that they came with.

`)
	for _, m := range modules {
		fmt.Fprintf(&b, "%s\n    %s\n", strings.TrimSpace(m.path+" "+m.version), m.licences())
		var whose []string
		for _, t := range m.texts {
			for _, line := range copyrights(t.body) {
				if len(whose) < mostLines && !slices.Contains(whose, line) {
					whose = append(whose, line)
				}
			}
		}
		for _, line := range whose {
			fmt.Fprintf(&b, "    %s\n", line)
		}
	}
	writeTexts(&b, modules, own)
	return b.Bytes()
}

// mostLines is how many copyright lines the list has of a module; all stand in
// its texts.
const mostLines = 8

func writeTexts(b *bytes.Buffer, modules []module, own string) {
	done := map[string]bool{sameText(own): true}
	rule := strings.Repeat("=", 78) + "\n"
	for i, m := range modules {
		for _, t := range m.texts {
			key := sameText(t.body)
			if done[key] {
				continue
			}
			done[key] = true
			b.WriteString("\n" + rule)
			for _, other := range modules[i:] {
				for _, o := range other.texts {
					if sameText(o.body) == key {
						fmt.Fprintf(b, "%s: %s\n", other.path, o.file)
					}
				}
			}
			b.WriteString(rule + "\n" + t.body + "\n")
		}
	}
}

// sameText is a text without what lines and spaces make of it.
func sameText(body string) string { return strings.Join(strings.Fields(body), " ") }
