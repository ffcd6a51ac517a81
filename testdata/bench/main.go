// Bench measures how long the program takes with an invented survey of any size,
// in runs that alternate with those of a column engine, DuckDB, which takes the
// finds alone from CSV to Parquet. It is a module of its own, as DuckDB is large.
//
//	go build -o /tmp/ashtally ../../cmd/ashtally
//	go run . -command /tmp/ashtally -finds 1000000 -plots 25000 -rounds 5
//
// The jobs are
//
//	duckdb  the finds from CSV to Parquet with zstd, by the engine
//	check   the survey read and checked
//	read    the survey read, checked and archived, and no more: it has a fault after all finds
//	run     the whole run
//	demo    the whole run of the demonstration survey
//
// Every run is a process of its own, of which the time on the clock, the time of
// the processors (user and system) and the most memory are measured. Where other
// programs use the processors, the time on the clock tells nothing.
package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"time"

	"ashtally/pipeline/demo"
)

func main() {
	command := flag.String("command", "ashtally", "the program to be measured")
	finds := flag.Int("finds", 1_000_000, "finds of the survey")
	plots := flag.Int("plots", 25_000, "plots of the survey")
	rounds := flag.Int("rounds", 5, "runs of each job, in turn")
	dir := flag.String("dir", filepath.Join(os.TempDir(), "ashtally-bench"), "folder for surveys, which are kept, and results, which are not")
	jobs := flag.String("jobs", "duckdb,check,read,run,demo", "what to measure")
	copyTo := flag.String("copy", "", "copy the finds of the survey to this Parquet file by DuckDB, and end; for the runs themselves")
	flag.Parse()
	b := bench{command: *command, dir: *dir, finds: *finds, plots: *plots}
	err := b.write()
	switch {
	case err != nil:
	case *copyTo != "":
		err = copyFinds(filepath.Join(b.survey(), "finds.csv"), *copyTo)
	default:
		err = b.measure(strings.Split(*jobs, ","), *rounds)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// bench is a survey and the program that is measured.
type bench struct {
	command, dir string
	finds, plots int
}

func (b bench) survey() string {
	return filepath.Join(b.dir, fmt.Sprintf("survey-%d-%d", b.finds, b.plots))
}

// write makes the survey, unless it is there: the same one for the same size.
func (b bench) write() error {
	if _, err := os.Stat(b.survey()); err == nil {
		return nil
	}
	making := b.survey() + ".unfinished"
	if err := os.MkdirAll(making, 0o777); err != nil {
		return err
	}
	var files []*os.File
	var buffers []*bufio.Writer
	err := demo.Scaled(demo.Size{Plots: b.plots, Finds: b.finds}, 1, func(name string) (io.Writer, error) {
		f, err := os.Create(filepath.Join(making, name))
		if err != nil {
			return nil, err
		}
		files, buffers = append(files, f), append(buffers, bufio.NewWriterSize(f, 1<<20))
		return buffers[len(buffers)-1], nil
	})
	for i, f := range files {
		if err == nil {
			err = buffers[i].Flush()
		}
		if closed := f.Close(); err == nil {
			err = closed
		}
	}
	if err != nil {
		return err
	}
	return os.Rename(making, b.survey())
}

// faulty makes the survey with a tree that stands nowhere: its fault comes once the
// finds are archived, and ends the run.
func (b bench) faulty() (string, error) {
	dir := b.survey() + "-faulty"
	if _, err := os.Stat(dir); err == nil {
		return dir, nil
	}
	trees, err := os.ReadFile(filepath.Join(b.survey(), "trees.csv"))
	if err != nil {
		return "", err
	}
	files, err := os.ReadDir(b.survey())
	if err != nil {
		return "", err
	}
	if err := os.Mkdir(dir, 0o777); err != nil {
		return "", err
	}
	for _, f := range files {
		if f.Name() == "trees.csv" {
			continue
		}
		if err := os.Link(filepath.Join(b.survey(), f.Name()), filepath.Join(dir, f.Name())); err != nil {
			return "", err
		}
	}
	_, rest, _ := bytes.Cut(trees, []byte("\n"))
	first, _, _ := bytes.Cut(rest, []byte("\n"))
	_, tree, _ := bytes.Cut(first, []byte(","))
	return dir, os.WriteFile(filepath.Join(dir, "trees.csv"), append(trees, "NOWHERE,"+string(tree)+"\n"...), 0o666)
}

// run is one run of a job.
type run struct{ clock, processors, reading, peakMB float64 }

// once runs a job in a process of its own.
func (b bench) once(job string) (run, error) {
	out := filepath.Join(b.dir, "results")
	defer os.RemoveAll(out)
	cmd := exec.Command(b.command)
	switch job {
	case "duckdb":
		self, err := os.Executable()
		if err != nil {
			return run{}, err
		}
		defer os.Remove(out + ".parquet")
		cmd = exec.Command(self, "-dir", b.dir, "-finds", fmt.Sprint(b.finds), "-plots", fmt.Sprint(b.plots), "-copy", out+".parquet")
	case "check":
		cmd.Args = append(cmd.Args, "check", b.survey())
	case "read":
		faulty, err := b.faulty()
		if err != nil {
			return run{}, err
		}
		cmd.Args = append(cmd.Args, "run", faulty, "--out", out)
	case "run":
		cmd.Args = append(cmd.Args, "run", b.survey(), "--out", out)
	case "demo":
		cmd.Args = append(cmd.Args, "demo", out)
	default:
		return run{}, fmt.Errorf("no job %q", job)
	}
	start := time.Now()
	if said, err := cmd.CombinedOutput(); (err != nil) != (job == "read") {
		return run{}, fmt.Errorf("%s: %w\n%s", job, err, said)
	}
	used := cmd.ProcessState.SysUsage().(*syscall.Rusage)
	r := run{clock: time.Since(start).Seconds(), peakMB: float64(used.Maxrss) / 1024} // in KiB on Linux
	r.processors = (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
	r.reading = reading(filepath.Join(out, "run.json"))
	return r, nil
}

// reading is how long the first stage of a run took; 0 without one.
func reading(record string) float64 {
	var r struct {
		Stages []struct {
			Stage   string
			Seconds float64
		}
	}
	data, err := os.ReadFile(record)
	if err != nil || json.Unmarshal(data, &r) != nil {
		return 0
	}
	for _, s := range r.Stages {
		if s.Stage == "reading" {
			return s.Seconds
		}
	}
	return 0
}

// measure runs the jobs in turn and prints medians, and their ratios to the first.
func (b bench) measure(jobs []string, rounds int) error {
	runs := map[string][]run{}
	for range rounds {
		for _, job := range jobs {
			r, err := b.once(job)
			if err != nil {
				return err
			}
			runs[job] = append(runs[job], r)
		}
	}
	fmt.Printf("%s, %s, %d processors, %d finds, %d plots, medians of %d runs\n\n", time.Now().Format(time.DateOnly), runtime.Version(),
		runtime.NumCPU(), b.finds, b.plots, rounds)
	fmt.Println("| job | clock s | of it reading s | processors s | peak MB | clock, to " + jobs[0] + " | processors, to " + jobs[0] + " |")
	fmt.Println("|---|---|---|---|---|---|---|")
	clock, processors := func(r run) float64 { return r.clock }, func(r run) float64 { return r.processors }
	first := runs[jobs[0]]
	for _, job := range jobs {
		of := runs[job]
		fmt.Printf("| %s | %.2f | %s | %.2f | %.0f | %.2f | %.2f |\n", job, median(of, clock), stage(median(of, func(r run) float64 { return r.reading })),
			median(of, processors), median(of, func(r run) float64 { return r.peakMB }),
			median(of, clock)/median(first, clock), median(of, processors)/median(first, processors))
	}
	return nil
}

func stage(seconds float64) string {
	if seconds == 0 {
		return ""
	}
	return fmt.Sprintf("%.2f", seconds)
}

func median(runs []run, of func(run) float64) float64 {
	values := make([]float64, len(runs))
	for i, r := range runs {
		values[i] = of(r)
	}
	slices.Sort(values)
	n := len(values)
	return (values[(n-1)/2] + values[n/2]) / 2
}
