package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strings"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/register"
	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/zstd"
)

func init() {
	register.DoFn3x1[context.Context, string, func(Find), error](&readFinds{})
	register.DoFn3x1[context.Context, string, func(string), error](&readLines{})
	register.DoFn3x1[Find, func(*string) bool, func(string, Alike), error](&keyOf{})
	register.DoFn3x1[string, Alike, func(int, string), error](&toShard{})
	register.DoFn3x1[context.Context, int, func(*string) bool, error](&writeShard{})
	register.Combiner1[Alike](&sum{})
	register.Emitter1[Find]()
	register.Emitter1[string]()
	register.Emitter2[string, Alike]()
	register.Emitter2[int, string]()
	register.Iter1[string]()
}

// Find is a row of finds, reduced or not: the columns that the reduction looks at.
type Find struct {
	Unit               string   `parquet:"unit"`
	Date               int32    `parquet:"date,date"`
	Pass               *int64   `parquet:"pass,optional"`
	Taxon              string   `parquet:"taxon"`
	Count              *int64   `parquet:"count,optional"`
	Mode               *string  `parquet:"mode,optional"`
	Tree               *string  `parquet:"tree,optional"`
	TreeDistanceM      *float64 `parquet:"tree_distance_m,optional"`
	TreeAlive          *bool    `parquet:"tree_alive,optional"`
	DistanceM          *float64 `parquet:"distance_m,optional"`
	SeenBy             *string  `parquet:"seen_by,optional"`
	MassG              *float64 `parquet:"mass_g,optional"`
	Hollow             *string  `parquet:"hollow,optional"`
	GroundCoverPercent *float64 `parquet:"ground_cover_percent,optional"`
	Rows               *int64   `parquet:"rows,optional"`
}

// Alike are the finds of one key.
type Alike struct{ Rows, Micrograms int64 }

// reduce is the pipeline of reduction.sql: from the files of finds and transects to
// shards of reduced finds in the folder to.
func reduce(s beam.Scope, finds, transects []string, to string, shards int) {
	lines := beam.CreateList(s, []string{})
	if len(transects) > 0 {
		lines = beam.ParDo(s, &readLines{}, beam.CreateList(s, transects))
	}
	rows := beam.ParDo(s, &readFinds{}, beam.Reshuffle(s, beam.CreateList(s, finds)))
	keyed := beam.ParDo(s, &keyOf{}, rows, beam.SideInput{Input: lines})
	summed := beam.CombinePerKey(s, &sum{}, keyed)
	sharded := beam.ParDo(s, &toShard{Shards: shards}, summed)
	beam.ParDo0(s, &writeShard{To: to}, beam.GroupByKey(s, sharded))
}

// readFinds reads a Parquet file whole: it is the piece of work that goes to one worker.
type readFinds struct{}

// ProcessElement emits the rows of a file.
func (*readFinds) ProcessElement(ctx context.Context, path string, emit func(Find)) error {
	return each(ctx, path, emit)
}

type transect struct {
	Transect string  `parquet:"transect"`
	Kind     *string `parquet:"kind,optional"`
}

// readLines reads which transects are lines.
type readLines struct{}

// ProcessElement emits the names of a file's lines.
func (*readLines) ProcessElement(ctx context.Context, path string, emit func(string)) error {
	return each(ctx, path, func(t transect) {
		if t.Kind != nil && *t.Kind == "line" {
			emit(t.Transect)
		}
	})
}

// each hands on the rows of a Parquet file of any file system that the program knows.
func each[R any](ctx context.Context, path string, take func(R)) error {
	data, err := readFile(ctx, path)
	if err != nil {
		return err
	}
	in := parquet.NewGenericReader[R](bytes.NewReader(data))
	defer in.Close()
	left := in.NumRows()
	rows := make([]R, 1024)
	for left > 0 {
		clear(rows)
		n, err := in.Read(rows)
		for _, r := range rows[:n] {
			take(r)
		}
		if left -= int64(n); n == 0 {
			return fmt.Errorf("%s: %d rows are missing: %v", path, left, err)
		}
	}
	return nil
}

func readFile(ctx context.Context, path string) ([]byte, error) {
	fs, err := filesystem.New(ctx, path)
	if err != nil {
		return nil, err
	}
	defer fs.Close()
	return filesystem.Read(ctx, fs, path)
}

func writeFile(ctx context.Context, path string, data []byte) error {
	fs, err := filesystem.New(ctx, path)
	if err != nil {
		return err
	}
	defer fs.Close()
	return filesystem.Write(ctx, fs, path, data)
}

const (
	centimetresPerMetre = 100
	microgramsPerGram   = 1e6
)

// keyOf gives a find its key: what an estimate tells finds apart by, as a row without
// a mass and a number of rows.
type keyOf struct{ lines map[string]bool }

// ProcessElement emits the key of a find with its mass.
func (f *keyOf) ProcessElement(find Find, lines func(*string) bool, emit func(string, Alike)) error {
	if f.lines == nil {
		f.lines = map[string]bool{}
		var name string
		for lines(&name) {
			f.lines[name] = true
		}
	}
	all := Alike{Rows: or(find.Rows, 1)}
	k := Key{Find: find}
	k.Pass, k.Count, k.Mode = new(or(find.Pass, 1)), new(or(find.Count, 1)), new(or(find.Mode, "undetermined"))
	k.Rows, k.MassG = nil, nil
	if find.MassG != nil {
		k.Weighed, all.Micrograms = true, int64(math.Round(*find.MassG*microgramsPerGram))
	}
	if d := find.TreeDistanceM; d != nil {
		k.TreeDistanceM = new(math.Round(*d*centimetresPerMetre) / centimetresPerMetre)
	}
	if !f.lines[find.Unit] {
		k.DistanceM, k.GroundCoverPercent = nil, nil
	}
	text, err := json.Marshal(k)
	if err != nil {
		return err
	}
	emit(string(text), all)
	return nil
}

// Key is what is alike in finds. It goes from worker to worker as JSON, which writes
// each number by its shortest decimal, and so equal keys alike.
type Key struct {
	Find
	Weighed bool
}

func or[V any](v *V, other V) V {
	if v == nil {
		return other
	}
	return *v
}

// sum adds up finds that are alike, in whole numbers.
type sum struct{}

// MergeAccumulators adds.
func (*sum) MergeAccumulators(a, b Alike) Alike {
	return Alike{a.Rows + b.Rows, a.Micrograms + b.Micrograms}
}

// toShard gives the rows of a unit to one shard, each as JSON.
type toShard struct{ Shards int }

// ProcessElement emits a reduced row.
func (f *toShard) ProcessElement(key string, all Alike, emit func(int, string)) error {
	var k Key
	if err := json.Unmarshal([]byte(key), &k); err != nil {
		return err
	}
	k.Find.Rows = &all.Rows
	if k.Weighed {
		k.MassG = new(float64(all.Micrograms) / microgramsPerGram)
	}
	text, err := json.Marshal(k.Find)
	if err != nil {
		return err
	}
	h := fnv.New32a()
	h.Write([]byte(k.Unit))
	emit(int(h.Sum32()%uint32(f.Shards)), string(text))
	return nil
}

// writeShard writes the rows of a shard in order.
type writeShard struct{ To string }

// ProcessElement writes finds-N.parquet.
func (f *writeShard) ProcessElement(ctx context.Context, shard int, rows func(*string) bool) error {
	var list []Find
	var text string
	for rows(&text) {
		var r Find
		if err := json.Unmarshal([]byte(text), &r); err != nil {
			return err
		}
		list = append(list, r)
	}
	slices.SortFunc(list, compare)
	var b bytes.Buffer
	out := parquet.NewGenericWriter[Find](&b, parquet.Compression(&zstd.Codec{}))
	if _, err := out.Write(list); err != nil {
		return err
	}
	if err := out.Close(); err != nil {
		return err
	}
	return writeFile(ctx, fmt.Sprintf("%s/finds-%d.parquet", strings.TrimRight(f.To, "/"), shard), b.Bytes())
}

// compare orders rows as the other reductions do: what is not known comes first.
func compare(a, b Find) int {
	return cmp.Or(strings.Compare(a.Unit, b.Unit), cmp.Compare(a.Date, b.Date), optional(a.Pass, b.Pass), strings.Compare(a.Taxon, b.Taxon),
		optional(a.Count, b.Count), optional(a.Mode, b.Mode), optional(a.Tree, b.Tree), optional(a.TreeDistanceM, b.TreeDistanceM),
		truth(a.TreeAlive, b.TreeAlive), optional(a.DistanceM, b.DistanceM), optional(a.SeenBy, b.SeenBy), optional(a.Hollow, b.Hollow),
		optional(a.GroundCoverPercent, b.GroundCoverPercent), optional(a.MassG, b.MassG))
}

func optional[V cmp.Ordered](a, b *V) int {
	switch {
	case a == nil && b == nil:
		return 0
	case a == nil:
		return -1
	case b == nil:
		return 1
	}
	return cmp.Compare(*a, *b)
}

func truth(a, b *bool) int {
	place := func(t *bool) int {
		switch {
		case t == nil:
			return 0
		case !*t:
			return 1
		}
		return 2
	}
	return cmp.Compare(place(a), place(b))
}
