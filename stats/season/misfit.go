package season

type Misfit struct{ P float64 }
