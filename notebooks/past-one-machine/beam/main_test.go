package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/parquet-go/parquet-go"
)

var with = flag.String("with", "direct", "Beam runner of the tests; prism needs -tags portable")

func TestMain(m *testing.M) {
	flag.Parse()
	beam.Init()
	os.Exit(m.Run())
}

// The command ashtally has to be on the PATH, and ASHTALLY_OUT to name results folders,
// divided by the sign that divides the PATH.

func ashtally(t *testing.T, args ...string) {
	t.Helper()
	if text, err := exec.Command("ashtally", args...).CombinedOutput(); err != nil {
		t.Fatalf("ashtally %s: %v\n%s", strings.Join(args, " "), err, text)
	}
}

func findsOf(t *testing.T, dir string) (all []Find) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "finds*.parquet"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%s has no finds: %v", dir, err)
	}
	for _, f := range files {
		rows, err := parquet.ReadFile[Find](f)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, rows...)
	}
	return all
}

// TestReduction holds the pipeline to what ashtally itself reduces the same finds to, row
// by row and in the same order, and the result tables to those of the finds.
func TestReduction(t *testing.T) {
	outs := filepath.SplitList(os.Getenv("ASHTALLY_OUT"))
	if len(outs) == 0 {
		t.Fatal("ASHTALLY_OUT names no results folder")
	}
	for _, out := range outs {
		t.Run(filepath.Base(out), func(t *testing.T) {
			dir := t.TempDir()
			whole, byGo, byBeam := filepath.Join(dir, "whole"), filepath.Join(dir, "by-go"), filepath.Join(dir, "by-beam")
			ashtally(t, "export", out, "--to", "partitioned", "--into", whole)
			ashtally(t, "export", out, "--to", "reduced", "--into", byGo)
			parts, err := filepath.Glob(filepath.Join(whole, "season=*", "region=*"))
			if err != nil || len(parts) != 1 {
				t.Fatalf("%q is not one season of one region: %v", parts, err)
			}
			if err := run(context.Background(), parts[0], byBeam, *with, 1); err != nil {
				t.Fatal(err)
			}
			got, want := findsOf(t, byBeam), findsOf(t, byGo)
			if len(got) != len(want) || len(want) < 1000 {
				t.Fatalf("%d rows by Beam, %d by ashtally", len(got), len(want))
			}
			for i := range want {
				if !reflect.DeepEqual(got[i], want[i]) {
					t.Fatalf("row %d differs", i+1)
				}
			}
			ashtally(t, "run", byBeam, "--out", filepath.Join(dir, "out"))
			files, err := filepath.Glob(filepath.Join(out, "results", "*.parquet"))
			if err != nil || len(files) < 15 {
				t.Fatalf("%d tables: %v", len(files), err)
			}
			for _, f := range files {
				a, err := os.ReadFile(f)
				if err != nil {
					t.Fatal(err)
				}
				if b, err := os.ReadFile(filepath.Join(dir, "out", "results", filepath.Base(f))); err != nil || !bytes.Equal(a, b) {
					t.Errorf("%s is another: %v", filepath.Base(f), err)
				}
			}
			sharded := filepath.Join(dir, "sharded")
			if err := run(context.Background(), parts[0], sharded, *with, 3); err != nil {
				t.Fatal(err)
			}
			rows := int64(0)
			for _, f := range findsOf(t, sharded) {
				rows += *f.Rows
			}
			if files, _ := filepath.Glob(filepath.Join(sharded, "finds-*.parquet")); len(files) != 3 {
				t.Errorf("%d shards", len(files))
			}
			for _, f := range want {
				rows -= *f.Rows
			}
			if rows != 0 {
				t.Errorf("three shards stand for %d finds more than one", rows)
			}
		})
	}
}
