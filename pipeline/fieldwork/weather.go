package fieldwork

import (
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

// Temperature is a reading of the weather.
type Temperature struct {
	Date    column.Date
	Celsius float64
}

func (s collector) takeWeather(b table.Batch) {
	dates, degrees, stations := b.Dates("date"), b.Floats("temperature_c"), b.Texts("station")
	if s.Weather == nil {
		s.Weather = map[string][]Temperature{}
	}
	for i := range b.Rows() {
		station := strings.Clone(stations.At(i))
		s.Weather[station] = append(s.Weather[station], Temperature{dates.At(i), degrees.At(i).Value})
	}
}
