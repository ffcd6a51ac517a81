package coverage

// Figure is what is estimated in a world, and how the program does it.
type Figure struct {
	Name    string   // in the table
	Title   string   // of its part of the page
	About   string   // of its worlds, on the page
	Default string   // the method of the program unless it is told otherwise
	Methods []string // that are scored
	Sizes   []int    // pieces of a sample: plots, sites or lines

	// The goal is that of samples of at least so many pieces and expected finds.
	LeastPieces int
	LeastFinds  float64
	Layouts     []string // the variances of layouts for which it is the goal too
	MostCovered float64  // upper end of the goal; 0: that of all figures
	Tolerance   float64  // standard errors that a coverage may leave the goal by

	// doubtful tells the codes that say an interval may not keep its level from
	// those that say something else.
	doubtful func(code string) bool
}

// Figures lists what is tried, in the order of the table.
func Figures() []Figure {
	return []Figure{Plots(), Areas(), Lines(), Ratios(), Adaptive(), Changes(), Crops(), Corrected()}
}

// Grid is every cell of the published table, those of a world together.
func Grid() []Cell {
	var cells []Cell
	for _, of := range [][]Cell{plotCells(), areaCells(), lineCells(), ratioCells(), adaptiveCells(), changeCells(), cropCells(), correctedCells()} {
		cells = append(cells, of...)
	}
	return cells
}

// Most is the upper end of the goal.
func (f Figure) Most() float64 {
	if f.MostCovered > 0 {
		return f.MostCovered
	}
	return MostCovered
}

// over makes cells of all sizes of a figure in some worlds.
func (f Figure) over(worlds []World) []Cell {
	var cells []Cell
	for _, w := range worlds {
		for _, n := range f.Sizes {
			cells = append(cells, Cell{Figure: f, World: w, N: n, Methods: f.Methods})
		}
	}
	return cells
}
