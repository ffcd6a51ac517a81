package pipeline

import (
	"errors"

	"ashtally/pipeline/analyze"
)

// writeModel writes the tables of the model of counts.
func writeModel(work *staging, m analyze.ModelAnswers) error {
	return errors.Join(
		writeTable(work, analyze.ModelFitTable, m.Fits),
		writeTable(work, analyze.ModelTestTable, m.Tests),
		writeTable(work, analyze.ModelTable, m.Coefficients),
		writeTable(work, analyze.PredictedTable, m.Predicted),
		writeTable(work, analyze.ContrastTable, m.Contrasts),
		writeTable(work, analyze.DeclineTable, m.Declines),
	)
}
