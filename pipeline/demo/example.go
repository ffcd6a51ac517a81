package demo

import (
	"embed"
	"io/fs"
)

// example is a season of 24 plots in the short form of the sheets. Its rows were
// drawn once and are kept as files, so that anyone can read and change them.
//
//go:embed example
var example embed.FS

// Example returns a small invented season, filled in as a crew would.
func Example() []File {
	entries, err := fs.ReadDir(example, "example")
	if err != nil {
		panic("demo: " + err.Error())
	}
	var files []File
	for _, e := range entries {
		data, err := example.ReadFile("example/" + e.Name())
		if err != nil {
			panic("demo: " + err.Error())
		}
		files = append(files, File{Name: e.Name(), Data: data})
	}
	return files
}
