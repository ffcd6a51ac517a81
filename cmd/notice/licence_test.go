package main

import (
	"slices"
	"strings"
	"testing"
)

const (
	mit  = "MIT License\n\nCopyright (c) 2017 Ada Stone.\n\nPermission is hereby granted, free of charge,\nto any person obtaining a copy"
	bsd2 = "Copyright 2009 The Authors. All rights reserved.\nRedistribution and use in source and binary forms, with or without\nmodification, are permitted"
	bsd3 = bsd2 + "\n * Neither the name may be used to endorse or promote products"
	own  = "Apache License\nVersion 2.0, January 2004\n\n Copyright [yyyy] [name of copyright owner]"
)

func TestKindOf(t *testing.T) {
	for body, want := range map[string]string{
		mit: "MIT", bsd2: "BSD-2-Clause", bsd3: "BSD-3-Clause", own: "Apache-2.0",
		"SIL OPEN FONT LICENSE\nVersion 1.1":                 "OFL-1.1",
		"Additional IP Rights Grant (Patents)":               "",
		"All rights reserved. Nobody may do anything at all": "",
	} {
		if got := kindOf(body); got != want {
			t.Errorf("%.30q is %q, want %q", body, got, want)
		}
	}
}

func TestCopyrights(t *testing.T) {
	text := mit + "\n" + bsd2 + "\n// Copyright © 2020 Ben\n * (c) 1999 Cy\n  Copyright notices must be retained\nCopyright [yyyy] [name]\nCopyright (c) 2017 Ada Stone\n"
	want := []string{"Copyright (c) 2017 Ada Stone", "Copyright 2009 The Authors. All rights reserved", "Copyright © 2020 Ben", "(c) 1999 Cy"}
	if got := copyrights(text); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestIsLicence(t *testing.T) {
	for name, want := range map[string]bool{
		"LICENSE": true, "LICENSE.txt": true, "LICENSE-SIL": true, "LICENCE.md": true, "COPYING": true, "NOTICE.txt": true, "PATENTS": true,
		"license.go": false, "licenses": false, "README.md": false, "notices_test.go": false,
	} {
		if got := isLicence(name); got != want {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

// TestNotice: a text of two modules stands once, that of ashtally not at all, and
// each module is named.
func TestNotice(t *testing.T) {
	got := string(notice([]module{
		{path: "example.org/a", version: "v1.2.3", texts: []text{{"LICENSE", mit}}},
		{path: "example.org/b", version: "v0.1.0", texts: []text{{"LICENSE", strings.ReplaceAll(mit, "\n", " \n")}, {"NOTICE", "Thanks to all."}}},
		{path: "example.org/c", version: "v2.0.0", texts: []text{{"LICENSE", own}}},
	}, own))
	for _, want := range []string{"example.org/a v1.2.3\n    MIT\n    Copyright (c) 2017 Ada Stone\n", "example.org/b v0.1.0\n    MIT\n", "example.org/c v2.0.0\n    Apache-2.0\n", "example.org/a: LICENSE\nexample.org/b: LICENSE\n=", "Thanks to all."} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in:\n%s", want, got)
		}
	}
	if n := strings.Count(got, "Permission is hereby"); n != 1 || strings.Contains(got, "[yyyy]") {
		t.Errorf("the text stands there %d times:\n%s", n, got)
	}
}

// TestEveryModuleHasALicence reads the modules themselves.
func TestEveryModuleHasALicence(t *testing.T) {
	t.Chdir("../..")
	modules, err := linkedModules()
	if err != nil {
		t.Fatal(err)
	}
	for i := range modules {
		m := &modules[i]
		if err := m.read(); err != nil {
			t.Error(err)
		} else if m.licences() == "" {
			t.Errorf("%s: no licence that is known", m.path)
		}
	}
	if len(modules) < 20 {
		t.Errorf("only %d modules", len(modules))
	}
}
