package detect

import (
	"fmt"
	"math"
)

// parameters turns what was climbed on into what is shown.
func parameters(f *Fit) []Parameter {
	l := f.likelihood
	var list []Parameter
	if l.scales() == 1 {
		list = append(list, exponential(f, "scale", 0, f.sample.scale))
	} else if l.scales() > 1 {
		list = logScales(f)
	}
	at := l.scales()
	if l.parameters() > 1 {
		list = append(list, exponential(f, "shape", at, 1))
		at++
	}
	for i, order := range l.orders {
		gradient := make([]float64, l.size())
		gradient[at+i] = 1
		list = append(list, parameter(f, fmt.Sprintf("%s(%d)", f.Model.Series, order), f.peak.X[at+i], gradient))
		list[len(list)-1].AtLimit = f.peak.AtBound[at+i]
	}
	return list
}

func parameter(f *Fit, name string, value float64, gradient []float64) Parameter {
	return Parameter{Name: name, Value: value, SE: math.Sqrt(f.variance(gradient))}
}

// exponential is unit times exp of parameter i.
func exponential(f *Fit, name string, i int, unit float64) Parameter {
	value := unit * math.Exp(f.peak.X[i])
	gradient := make([]float64, f.likelihood.size())
	gradient[i] = value
	p := parameter(f, name, value, gradient)
	p.AtLimit = f.peak.AtBound[i]
	return p
}

// logScales undoes the centring and scaling of covariates.
func logScales(f *Fit) []Parameter {
	l := f.likelihood
	intercept := math.Log(f.sample.scale) + f.peak.X[0]
	gradient := make([]float64, l.size())
	gradient[0] = 1
	var effects []Parameter
	for k, c := range l.columns {
		i := k + 1
		intercept -= f.peak.X[i] * c.centre / c.spread
		gradient[i] = -c.centre / c.spread
		own := make([]float64, l.size())
		own[i] = 1 / c.spread
		p := parameter(f, "log scale: "+c.name, f.peak.X[i]/c.spread, own)
		p.AtLimit = f.peak.AtBound[i]
		effects = append(effects, p)
	}
	first := parameter(f, "log scale", intercept, gradient)
	first.AtLimit = f.peak.AtBound[0]
	return append([]Parameter{first}, effects...)
}
