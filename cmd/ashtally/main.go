// Ashtally turns the sheets of a post-fire fungus survey into densities,
// comparisons, figures and an archive. Run "ashtally help" for its commands.
package main

import (
	"context"
	"os"
)

func main() {
	os.Exit(run(context.Background(), os.Args[1:], os.Stdout, os.Stderr))
}
