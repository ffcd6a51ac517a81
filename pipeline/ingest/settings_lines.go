package ingest

import (
	"fmt"

	"ashtally/pipeline/survey"
)

// checkLines holds the settings of lines to each other.
func (s *settings) checkLines() {
	o := &s.Lines
	if problem, remedy := breaksProblem(o.BreaksM); problem != "" {
		s.fault("lines.breaks_m", s.lines.line("lines", "breaks_m"), problem, remedy)
		o.BreaksM = nil
	}
	if len(o.BreaksM) > 0 && o.LeftTruncationM > 0 {
		s.fault("lines.left_truncation_m", s.lines.line("lines", "left_truncation_m"), "stands beside breaks_m, whose first border says it already", "remove it, and begin breaks_m where finds are used from")
		o.LeftTruncationM = 0
	}
	if o.LeftTruncationM > 0 && o.TruncationM > 0 && o.LeftTruncationM >= o.TruncationM {
		s.fault("lines.left_truncation_m", s.lines.line("lines", "left_truncation_m"), fmt.Sprintf("%s m is not less than truncation_m, %s m, so no find lies between", decimal(o.LeftTruncationM), decimal(o.TruncationM)), "mend the one that is wrong")
		o.LeftTruncationM = 0
	}
	if problem, remedy := covariatesProblem(o.Covariates, o.Function); problem != "" {
		s.fault("lines.covariates", s.lines.line("lines", "covariates"), problem, remedy)
		o.Covariates = nil
	}
}

// breaksProblem says what keeps numbers from being the borders of classes.
func breaksProblem(breaks []float64) (problem, remedy string) {
	if len(breaks) == 1 || len(breaks) == 2 {
		return "makes fewer than two classes, which say nothing of how finds thin out with distance", "give three borders at least: [0, 1, 3]"
	}
	for i := 1; i < len(breaks); i++ {
		if breaks[i] <= breaks[i-1] {
			return fmt.Sprintf("%s m follows %s m: borders must ascend, each class beginning where the last ended", decimal(breaks[i]), decimal(breaks[i-1])), "sort them, and leave none out: finds in a gap could not have been recorded"
		}
	}
	return "", ""
}

func covariatesProblem(names []string, function string) (problem, remedy string) {
	switch {
	case len(names) > survey.MostCovariates:
		return fmt.Sprintf("names %d covariates, more than the finds of a season can tell apart", len(names)), fmt.Sprintf("name the likeliest, %d at most", survey.MostCovariates)
	case len(names) > 0 && function == "uniform":
		return "stands beside function = \"uniform\", by which all is seen whatever the covariate", "remove one of the two"
	}
	return "", ""
}
