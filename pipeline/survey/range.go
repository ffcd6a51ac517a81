package survey

import (
	"encoding/json"
	"fmt"
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
)

// Range is a positive number that is known to lie between two; equal ones are the
// number itself. In survey.toml and in JSON it is a number, or a list of the two.
type Range struct{ Low, High float64 }

// Middle is the geometric mean of the two, by which each is as far off as the
// other.
func (r Range) Middle() float64 {
	if r.Low == r.High {
		return r.Low
	}
	return math.Sqrt(r.Low * r.High)
}

// String is "10" or "7 to 14".
func (r Range) String() string {
	if r.Low == r.High {
		return phrase.Decimal(r.Low)
	}
	return phrase.Decimal(r.Low) + " to " + phrase.Decimal(r.High)
}

// TOML is "10" or "[7, 14]", which is JSON as well.
func (r Range) TOML() string {
	if r.Low == r.High {
		return phrase.Decimal(r.Low)
	}
	return "[" + phrase.Decimal(r.Low) + ", " + phrase.Decimal(r.High) + "]"
}

// NewRange makes a range of one number or two.
func NewRange(numbers ...float64) (Range, error) {
	switch {
	case len(numbers) == 1:
		return Range{numbers[0], numbers[0]}, nil
	case len(numbers) == 2 && numbers[0] <= numbers[1]:
		return Range{numbers[0], numbers[1]}, nil
	case len(numbers) == 2:
		return Range{}, fmt.Errorf("goes from %s down to %s", phrase.Decimal(numbers[0]), phrase.Decimal(numbers[1]))
	}
	return Range{}, fmt.Errorf("holds %d numbers, not one or two", len(numbers))
}

// MarshalJSON writes a number, or a list of two.
func (r Range) MarshalJSON() ([]byte, error) {
	if r.Low == r.High {
		return json.Marshal(r.Low)
	}
	return json.Marshal([]float64{r.Low, r.High})
}

// UnmarshalJSON reads a number, or a list of one or two.
func (r *Range) UnmarshalJSON(data []byte) error {
	var numbers []float64
	var one float64
	if err := json.Unmarshal(data, &one); err == nil {
		numbers = []float64{one}
	} else if err := json.Unmarshal(data, &numbers); err != nil {
		return err
	}
	var err error
	*r, err = NewRange(numbers...)
	return err
}

// rangeProblem says why a range cannot be, "" where it can.
func rangeProblem(r Range, b column.Bounds) string {
	switch {
	case r.Low > r.High:
		return fmt.Sprintf("goes from %s down to %s", phrase.Decimal(r.Low), phrase.Decimal(r.High))
	case !b.Hold(r.Low):
		return phrase.Outside(phrase.Decimal(r.Low), r.Low, b, "")
	case !b.Hold(r.High):
		return phrase.Outside(phrase.Decimal(r.High), r.High, b, "")
	}
	return ""
}
