package grader

import (
	"fmt"
	"strings"

	"posework/engine/practice"
)

// stopsTried: by the practice log the enabling device was let go and squeezed
// while the arm moved in manual mode, and each time a step was brought to its end
// afterwards. The log counts as it does for proved-out.
type stopsTried struct {
	kinds []stopKind
	limit float64 // mm/s: no stop was tried from a greater speed
}

// stopKind is a way to stop the arm that can be tried.
type stopKind struct {
	word string
	kind practice.EntryKind
	code string
	did  string
}

var stopKinds = [...]stopKind{
	{"release", practice.ReleasedEntry, "RELEASE_NOT_TRIED", "let go"},
	{"squeeze", practice.SqueezedEntry, "SQUEEZE_NOT_TRIED", "squeezed past its middle"},
}

func decodeStopsTried(d *decoder) Check {
	c := stopsTried{limit: d.mms("at-most", reducedSpeed)}
	words := make([]string, len(stopKinds))
	for i, k := range stopKinds {
		words[i] = k.word
	}
	for _, n := range names(d.m.Need("by")) {
		if i := n.OneOf(words...); i >= 0 {
			c.kinds = append(c.kinds, stopKinds[i])
		}
	}
	return c
}

func (c stopsTried) Title() string {
	var words []string
	for _, k := range c.kinds {
		words = append(words, k.word)
	}
	return "stopped in motion by " + strings.Join(words, " and by ") + ", and gone on each time"
}

func (c stopsTried) Run(x *Exam) Outcome {
	var out Outcome
	add := func(code, format string, args ...any) *Finding {
		f := x.finding("stops-tried", code, -1)
		f.Text = fmt.Sprintf(format, args...)
		out.Findings = append(out.Findings, f)
		return &out.Findings[len(out.Findings)-1]
	}
	if why := x.otherLog(); why != "" {
		add("NO_STEP_BACK", "%s", why)
		return out
	}
	for _, k := range c.kinds {
		last := -1 // index of the last such stop
		if x.Log != nil {
			for i := range x.Log.Entries {
				e := &x.Log.Entries[i]
				if e.Kind != k.kind || e.Mode != practice.Manual || !(e.Speed > 0) {
					continue
				}
				last = i
				if e.Speed > c.limit {
					f := add("OVERSPEED_MANUAL", "the device was %s at %s, at most %s is allowed in manual mode", k.did, mms(e.Speed), mms(c.limit))
					f.Measured, f.Limit = exact(e.Speed, "mm/s"), exact(c.limit, "mm/s")
				}
			}
		}
		if last < 0 {
			add(k.code, "the enabling device was never %s while the arm moved", k.did)
			continue
		}
		if !stepsAfter(x.Log, last) {
			add("NOT_RECOVERED", "after the device was %s no step was brought to its end", k.did)
		}
	}
	return out
}

// stepsAfter reports whether a step was run to its end in manual mode after an
// entry of the log.
func stepsAfter(log *practice.Log, entry int) bool {
	for _, e := range log.Entries[entry+1:] {
		if e.Kind == practice.SteppedEntry && e.Mode == practice.Manual {
			return true
		}
	}
	return false
}
