package pipeline

import (
	"math"
	"time"
)

// StageTime is how long a stage of a run took. Times stand outside of what is
// sealed and compared: they are of the day, not of the survey.
type StageTime struct {
	Stage   string  `json:"stage"`
	Seconds float64 `json:"seconds"`
}

// clock takes the time of each stage and tells of it.
type clock struct {
	watch Watch
	stage string
	began time.Time
	times []StageTime
}

// turn ends the stage before, if there is one, and begins another.
func (c *clock) turn(stage string) {
	c.stop()
	c.stage, c.began = stage, time.Now()
	c.watch.stage(stage)
}

// stop ends the stage and returns the times of all.
func (c *clock) stop() []StageTime {
	if c.stage != "" {
		seconds := math.Round(time.Since(c.began).Seconds()*1e3) / 1e3
		c.times = append(c.times, StageTime{Stage: c.stage, Seconds: seconds})
		c.stage = ""
	}
	return c.times
}
