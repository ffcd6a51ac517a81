package pipeline

import (
	"encoding/binary"
	"encoding/hex"
	"hash/fnv"
	"math"
	"runtime"
	"runtime/debug"
	"strings"
)

// Build is the program that made a results folder, and what the last digits of
// its figures depend on beside the sources.
type Build struct {
	Program  string `json:"program"`
	Version  string `json:"version"`
	Revision string `json:"revision,omitempty"` // of the sources; "+" after it where they had been changed
	Go       string `json:"go"`
	Platform string `json:"platform"`
	// Level is the least of processors that the compiler wrote for, such as v1.
	Level      string     `json:"processor_level,omitempty"`
	Arithmetic Arithmetic `json:"arithmetic"`
}

// Arithmetic is how the processor computes with fractions.
type Arithmetic struct {
	// Fused tells that x*y + z is one operation, rounded once. Go makes it so
	// on arm64 and on amd64 from level v3 on; the last digit may differ by it.
	Fused bool `json:"fused_multiply_add"`
	// Fingerprint is of some thousand results of the functions that estimates
	// call. Go's exp, for one, takes another way on processors without the
	// fused operation. Where fingerprints differ, last digits may.
	Fingerprint string `json:"fingerprint"`
}

func thisBuild() Build {
	b := Build{
		Program: "ashtally", Version: Version,
		Go: runtime.Version(), Platform: runtime.GOOS + "/" + runtime.GOARCH,
		Arithmetic: Arithmetic{Fused: fuses(1+0x1p-30, 1-0x1p-30, -1), Fingerprint: fingerprint()},
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return b
	}
	changed := ""
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			b.Revision = s.Value
		case "vcs.modified":
			if s.Value == "true" {
				changed = "+"
			}
		case "GO" + strings.ToUpper(runtime.GOARCH): // GOAMD64, GOARM64 ...
			b.Level = s.Value
		}
	}
	if b.Revision != "" {
		b.Revision += changed
	}
	return b
}

// String names the build in a line.
func (b Build) String() string {
	name := b.Program + " " + b.Version
	if b.Revision != "" {
		name += " of " + b.Revision[:min(len(b.Revision), 12)]
		if strings.HasSuffix(b.Revision, "+") {
			name += " with changes"
		}
	}
	return name + " (" + b.Go + ", " + strings.TrimSpace(b.Platform+" "+b.Level) + ", arithmetic " + b.Arithmetic.Fingerprint + ")"
}

// fuses reports whether x*y + z is rounded once. It is kept from being worked
// out by the compiler, whose own arithmetic is exact.
//
//go:noinline
func fuses(x, y, z float64) bool { return x*y+z != float64(x*y)+z }

// fingerprint hashes results of the functions of package math whose last digit
// may depend on the processor.
func fingerprint() string {
	h := fnv.New64a()
	var bytes [8]byte
	for i := range 500 {
		x := 1e-3 + float64(i)*0.037
		gamma, _ := math.Lgamma(x)
		for _, v := range []float64{math.Exp(x), math.Exp(-x), math.Log(x), math.Pow(x, 1.7), math.Sqrt(x), math.Erfc(x / 4), math.Sin(x), gamma} {
			binary.LittleEndian.PutUint64(bytes[:], math.Float64bits(v))
			h.Write(bytes[:])
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}
