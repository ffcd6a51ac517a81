// Command beam reduces the finds of a survey folder of Parquet by an Apache Beam
// pipeline, as reduction.sql does by SQL.
//
//	go run . --from FROM --to TO
//	go run -tags portable . --from FROM --to TO --runner prism
//
// Without a tag it has Beam's direct runner alone, which works within the process. The
// tag portable brings in the runners that start a job elsewhere, prism on this
// machine, Flink and Dataflow, and the file systems that these reach.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"strings"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem"
	_ "github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem/local"
	_ "github.com/apache/beam/sdks/v2/go/pkg/beam/runners/direct"
)

var (
	from   = flag.String("from", "", "survey folder of Parquet")
	to     = flag.String("to", "", "folder for the reduced survey")
	runner = flag.String("runner", "direct", "Beam runner")
	shards = flag.Int("shards", 1, "files of finds to write")
)

func main() {
	flag.Parse()
	beam.Init()
	if err := run(context.Background(), *from, *to, *runner, *shards); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// tables are those of a survey but for the finds: small, and copied as they are.
var tables = []string{"strata", "plots", "transects", "visits", "trees", "reference_points", "weather"}

func run(ctx context.Context, from, to, runner string, shards int) error {
	if from == "" || to == "" || shards < 1 {
		return errors.New("give --from FROM and --to TO")
	}
	from, to = strings.TrimRight(from, "/"), strings.TrimRight(to, "/")
	finds, err := filesOf(ctx, from, "finds")
	if err != nil {
		return err
	}
	if len(finds) == 0 {
		return fmt.Errorf("%s has no finds", from)
	}
	transects, err := filesOf(ctx, from, "transects")
	if err != nil {
		return err
	}
	p, s := beam.NewPipelineWithRoot()
	reduce(s, finds, transects, to, shards)
	if _, err := beam.Run(ctx, runner, p); err != nil {
		return err
	}
	for _, name := range tables {
		files, err := filesOf(ctx, from, name)
		if err != nil {
			return err
		}
		for _, f := range files {
			if err := copyFile(ctx, f, to+strings.TrimPrefix(f, from)); err != nil {
				return err
			}
		}
	}
	return copyFile(ctx, from+"/survey.toml", to+"/survey.toml")
}

// filesOf are the files of a table, as ashtally looks for them in a folder; a survey in
// folders by season and region is reduced a folder at a time.
func filesOf(ctx context.Context, from, name string) ([]string, error) {
	fs, err := filesystem.New(ctx, from)
	if err != nil {
		return nil, err
	}
	defer fs.Close()
	for _, pattern := range []string{name + ".parquet", name + "-*.parquet"} {
		files, err := fs.List(ctx, from+"/"+pattern)
		if err != nil || len(files) > 0 {
			return files, err
		}
	}
	return nil, nil
}

func copyFile(ctx context.Context, from, to string) error {
	data, err := readFile(ctx, from)
	if err != nil {
		return err
	}
	return writeFile(ctx, to, data)
}
