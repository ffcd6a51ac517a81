package detect

// uniform finds everything, up to the half-width.
type uniform struct{}

func (uniform) parameters() int { return 0 }

func (uniform) log(spot, *local) keyJet { return keyJet{} }

func (uniform) value(spot, *local) keyJet { return keyJet{value: 1} }

func (uniform) slope(float64, *local) slopeJet { return slopeJet{} }

func (uniform) spread(from, to float64, _ *local, q *nodes) { q.straight(from, to) }

func (uniform) starts(float64) [][2]float64 { return [][2]float64{{1, 1}} }
