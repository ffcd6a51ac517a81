package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"ashtally/pipeline/ingest"
)

// The files that tell what a folder is.
const (
	surveyMark  = "survey.toml"
	resultsMark = "run.json"
)

// surveyFolder says why a path cannot be a survey folder, nil where it can: what is
// wrong within it is for the check to say.
func surveyFolder(path string) error {
	if err := folder(path); err != nil {
		return err
	}
	if !has(path, surveyMark) && has(path, resultsMark) {
		return fmt.Errorf("%s is a results folder; give the folder of the survey, which holds %s", path, surveyMark)
	}
	return nil
}

// resultsFolder says why a path cannot be a results folder.
func resultsFolder(path string) error {
	if err := folder(path); err != nil {
		return err
	}
	if has(path, resultsMark) || !has(path, surveyMark) {
		return nil
	}
	results := filepath.Clean(path) + "-results"
	if has(results, resultsMark) {
		return fmt.Errorf("%s is a survey, not a results folder; did you mean %s?", path, results)
	}
	return fmt.Errorf("%s is a survey, not a results folder; make one with: ashtally run %s", path, shown(path))
}

// folder says why a path is no folder, and names one that is near.
func folder(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("there is no folder %s%s", path, didYouMean(neighbour(path)))
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s may not be opened; ask whoever owns the folder", path)
	case err != nil:
		return err
	case !info.IsDir():
		return fmt.Errorf("%s is a file, not a folder", path)
	}
	return nil
}

func has(dir, name string) bool {
	_, err := os.Stat(filepath.Join(dir, name))
	return err == nil
}

// neighbour is a folder beside a path that is not there, with nearly its name.
func neighbour(path string) string {
	parent := filepath.Dir(path)
	entries, err := os.ReadDir(parent)
	if err != nil {
		return ""
	}
	var names []string
	for _, e := range entries {
		if e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
			names = append(names, e.Name())
		}
	}
	near := ingest.Nearest(filepath.Base(path), names)
	if near == "" {
		return ""
	}
	return filepath.Join(parent, near)
}
