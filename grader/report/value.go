package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"posework/grader"
	"posework/kin"
)

// Measured writes a measured value: one number where both ends of its interval
// are the same at the precision that people read, else the interval, or its
// lower end where no more was looked for. A value that was never measured, or is
// beyond everything, is "".
func Measured(v grader.Value) string {
	if math.IsNaN(v.Lo) || math.IsNaN(v.Hi) || math.IsInf(v.Lo, 0) || math.IsInf(v.Hi, 0) {
		return ""
	}
	lo, hi := Number(v.Lo, v.Unit), Number(v.Hi, v.Unit)
	if lo == hi {
		return withUnit(lo, v.Unit)
	}
	if wide(v) {
		return "at least " + withUnit(lo, v.Unit)
	}
	return withUnit(lo+" to "+hi, v.Unit)
}

// wide reports whether an interval is one of an examination that stopped as soon
// as a limit was seen to be kept: its lower end is then all that is known.
func wide(v grader.Value) bool { return v.Unit == "mm" && v.Hi-v.Lo > 0.5 }

// Number writes a number with the decimals that its unit makes sense of: speeds
// to 1 mm/s2 or deg/s2 and 0.1 mm/s or deg/s, lengths, angles and times to 0.01.
// Trailing zeros are left out.
func Number(v float64, unit string) string {
	decimals := 2
	switch unit {
	case "mm/s", "deg/s", "%":
		decimals = 1
	case "mm/s2", "deg/s2":
		decimals = 0
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	return s
}

func withUnit(s, unit string) string {
	if unit == "" {
		return s
	}
	return s + " " + unit
}

// Points writes points without needless decimals.
func Points(v float64) string {
	// Rounding must never show a mark as the pass mark that it missed.
	return strings.TrimSuffix(strconv.FormatFloat(math.Floor(v*10+1e-6)/10, 'f', 1, 64), ".0")
}

// Span writes a time span, or a moment where both ends are the same.
func Span(from, to float64) string {
	a, b := strconv.FormatFloat(from, 'f', 2, 64), strconv.FormatFloat(to, 'f', 2, 64)
	if a == b {
		return "at " + a + " s"
	}
	return a + " to " + b + " s"
}

// Place writes a place of the tool centre point.
func Place(p kin.Vec) string {
	n := func(v float64) string {
		s := strconv.FormatFloat(v, 'f', 1, 64)
		if s == "-0.0" {
			s = "0.0"
		}
		return s
	}
	return fmt.Sprintf("x %s, y %s, z %s mm", n(p.X), n(p.Y), n(p.Z))
}

// Severity is the word for a severity.
func Severity(s grader.Severity) string {
	switch s {
	case grader.Stop:
		return "stop"
	case grader.Fail:
		return "fail"
	}
	return "advice"
}

// Verdict is the word for the outcome of a mark.
func Verdict(m *grader.Mark) string {
	if m.Passed {
		return "passed"
	}
	return "not passed"
}
