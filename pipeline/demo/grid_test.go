package demo

import "testing"

// TestSquaresFollowTheRule: a square is added only beside one that met the
// threshold, every neighbour of one that met it is there, and networks are the
// squares that met it about a drawn one that did.
func TestSquaresFollowTheRule(t *testing.T) {
	var about []searched
	for _, s := range surveyWorld.gridUnits(gridPlaces) {
		if !s.added {
			followsTheRule(t, about)
			about = nil
		}
		about = append(about, s)
	}
	followsTheRule(t, about)
}

func followsTheRule(t *testing.T, about []searched) {
	t.Helper()
	met := map[square]bool{}
	for _, s := range about {
		met[s.at] = s.met()
	}
	for _, s := range about {
		rich := false
		for _, n := range []square{{s.at.x, s.at.y + 1}, {s.at.x + 1, s.at.y}, {s.at.x, s.at.y - 1}, {s.at.x - 1, s.at.y}} {
			_, searched := met[n]
			rich = rich || met[n]
			if met[s.at] && !searched {
				t.Errorf("%s met the threshold and %v beside it was not searched", s.id, n)
			}
		}
		if s.added && !rich {
			t.Errorf("%s was added beside none that met the threshold", s.id)
		}
		if (s.network != "") != met[s.at] {
			t.Errorf("%s is of network %q, met the threshold: %t", s.id, s.network, met[s.at])
		}
		if s.network != "" && s.network != about[0].network {
			t.Errorf("%s is of network %q, the drawn square of %q", s.id, s.network, about[0].network)
		}
	}
}

// TestSquaresHaveTheirDensity: over many draws the drawn squares hold what the
// stratum's constants lead to, whatever the patches do.
func TestSquaresHaveTheirDensity(t *testing.T) {
	var got, want float64
	for i := range 20_000 {
		s := world{seed: 13, scale: 1}.searchSquare(i, gridPlaces+i, square{})
		for _, f := range s.finds {
			if f.Mode != "" {
				got += float64(f.Count.Value)
			}
		}
		want += GroupMean * (s.groups(saprotrophic) + s.groups(hostAssociated)) * s.detection() * s.seenShare()
	}
	near(t, "fruit bodies in drawn squares", got, want)
}
