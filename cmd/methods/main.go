// Methods writes the page METHOD.md of each estimator, from the doc comments of
// its package, and the list of them in stats/README.md.
//
// Usage, in the top folder of the checkout:
//
//	go run ./cmd/methods
//
// A test holds the pages to the comments.
package main

import (
	"fmt"
	"os"
	"path/filepath"
)

func main() {
	if err := run("."); err != nil {
		fmt.Fprintln(os.Stderr, "methods:", err)
		os.Exit(1)
	}
}

// run writes the pages below the top folder of a checkout.
func run(top string) error {
	pages, err := all(top)
	if err != nil {
		return err
	}
	for _, p := range pages {
		if err := os.WriteFile(filepath.Join(top, p.path), p.text, 0o644); err != nil {
			return err
		}
	}
	return nil
}
