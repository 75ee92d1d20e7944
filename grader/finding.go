package grader

import (
	"posework/engine/diag"
	"posework/kin"
)

// Severity is how much a finding weighs.
type Severity uint8

// The severities.
const (
	Stop   Severity = iota // could hurt someone in a real cell: the attempt fails whatever its points
	Fail                   // a threshold is missed: the check's points are lost
	Advice                 // shown, no effect on the mark
)

// Finding is one thing that a check found.
type Finding struct {
	Code     string // "FAST_APPROACH"; posework explain CODE tells more
	Check    string // "approach"
	Severity Severity
	Step     string   // label of the step, "" for the whole program
	Pos      diag.Pos // the step in the program file
	From, To float64  // time span, s
	Measured Value
	Limit    Value
	Place    kin.Vec // tool centre point at the worst moment, mm in the base frame
	HasPlace bool
	Subject  string // the pair, axis, zone or pose concerned: "tool cup and crate"
	Text     string // one sentence: what happened
	Why      string // why it matters
	Try      string // one thing to try
}

// Value is a measured quantity as an interval that holds the true one, or a
// limit (Lo == Hi), in the unit that people read.
type Value struct {
	Lo, Hi float64
	Unit   string // "mm", "deg", "mm/s", "deg/s", "s", ""
}

// Mark is the outcome of grading one program.
type Mark struct {
	Points   float64 // 0 to 100
	Pass     float64 // what is needed
	Passed   bool
	Checks   []Result
	Findings []Finding // sorted: severity, time, code
	Duration float64   // of the motion, s
}

// Result is one line of the mark: a check, whether it holds, its points.
type Result struct {
	Check    string
	Title    string // in words: "clearance at least 20 mm"
	Holds    bool
	Proved   bool // false: the examination could not finish, never a pass
	Must     bool
	Points   float64
	Of       float64
	Measured Value  // the extreme that was found, also when the check holds
	Subject  string // what it was measured at, where that is not plain
}
