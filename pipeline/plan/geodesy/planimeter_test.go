package geodesy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"

	"ashtally/stats/statstest"
)

// TestAreaPlanimeter compares random polygons of 10 m to 30 km with Planimeter
// of Debian's geographiclib-tools.
func TestAreaPlanimeter(t *testing.T) {
	planimeter, err := exec.LookPath("Planimeter")
	if err != nil {
		t.Skip("no Planimeter here: it is in Debian's geographiclib-tools")
	}
	r := rand.New(rand.NewPCG(15, 1))
	var rings [][]Position
	var input strings.Builder
	for range 300 {
		ring := star(r)
		rings = append(rings, ring)
		for _, p := range ring {
			fmt.Fprintf(&input, "%.12f %.12f\n", p.Lat, p.Lon)
		}
		input.WriteString("\n")
	}
	command := exec.Command(planimeter, "-p", "9")
	command.Stdin = strings.NewReader(input.String())
	output, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	for i, line := range strings.Split(strings.TrimSpace(string(output)), "\n") {
		var vertices int
		var length, area float64
		if _, err := fmt.Sscan(line, &vertices, &length, &area); err != nil {
			t.Fatal(err)
		}
		statstest.Near(t, fmt.Sprintf("area of %v", rings[i]), Area(rings[i]), area, 2e-4+1e-10*math.Abs(area)) // four decimals are printed
		statstest.Relative(t, fmt.Sprintf("perimeter of %v", rings[i]), perimeter(rings[i]), length, 1e-9)
	}
}

// star draws a polygon that does not cross itself, with up to 40 vertices that
// are rounded as they are written.
func star(r *rand.Rand) []Position {
	center := Position{r.Float64()*360 - 180, math.Asin(r.Float64()*1.98-0.99) / degree}
	l, size := NewLocal(center), 10*math.Pow(3000, r.Float64())
	ring := make([]Position, 3+r.IntN(38))
	for i := range ring {
		distance := size * (0.2 + 0.8*r.Float64())
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
		p := l.Inverse(distance*cos, distance*sin)
		ring[i] = Position{math.Round(p.Lon*1e12) / 1e12, math.Round(p.Lat*1e12) / 1e12}
	}
	return ring
}
