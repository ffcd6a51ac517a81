package ingest

import "ashtally/pipeline/survey"

// checks is what rows, sheets and settings are held against, and how what is
// wrong with them is said: what is known of the survey so far, and the way to
// the sink.
type checks struct {
	folder   *Folder
	files    []File // of the folder, as spots have them
	options  Options
	known    *known
	kinds    map[string]*names // of units, sites, taxa and so on
	searches int               // for near names, which are bounded
	asker    *asker            // nil where nothing is asked

	sink    Sink
	told    map[string]bool // notices that are given once
	summary Summary
	done    int64 // bytes, of total
	total   int64
	err     error // the first of the sink
}

// fault hands a fault on; once the sink has failed nothing more is handed on.
func (c *checks) fault(f survey.Fault) {
	c.summary.Faults++
	if c.err == nil && c.sink.Fault != nil {
		c.err = c.sink.Fault(f)
	}
}

// block hands on a fault that setting rows aside cannot help.
func (c *checks) block(f survey.Fault) {
	c.summary.Blocking++
	c.fault(f)
}

func (c *checks) notice(f survey.Fault) {
	if c.err == nil && c.sink.Notice != nil {
		c.err = c.sink.Notice(f)
	}
}

// once hands on a notice of which one is enough.
func (c *checks) once(key string, f survey.Fault) {
	if !c.told[key] {
		c.told[key] = true
		c.notice(f)
	}
}

func (c *checks) tick(n int) {
	c.done += int64(n)
	if c.options.Progress != nil {
		c.options.Progress(c.done, c.total)
	}
}

func (c *checks) names(kind string) *names {
	if c.kinds[kind] == nil {
		c.kinds[kind] = newNames(kind)
	}
	return c.kinds[kind]
}
