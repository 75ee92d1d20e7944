package grader_test

import (
	"strings"
	"testing"

	"posework/grader"
)

// The square of the trace program, 100 mm on the turned plate.
const square = "figure: {rectangle: [100, 100], frame: plate}"

const squareTask = `
goal: Trace the square.
mode: manual
checks:
  - {check: traces, ` + square + `, within: 1 mm, corner: 2 mm, gap: 0.5 mm, speed: 80 mm/s, steady: 10, away-from-corners: 20 mm, tilt: 2 deg, lead: 20 mm}
`

func TestTrace(t *testing.T) {
	task := strings.Replace(squareTask, "steady: 10,", "steady: 10 %,", 1)
	traced := func(t *testing.T, edits ...edit) *grader.Mark {
		c, k := setup(t, read(t, "cell.yaml"), task)
		return grade(t, c, k, "trace.yaml", apply(t, read(t, "trace.yaml"), edits), grader.Options{})
	}
	for _, tt := range []struct {
		name  string
		edits []edit
		want  string
	}{
		{"good, sharp corners", nil, ""},
		{"good, corners rounded within tolerance", []edit{
			line("s5", "  - {to: c2, path: line, speed: 80 mm/s, end: fly-by 4 mm}"),
			line("s6", "  - {to: c3, path: line, speed: 80 mm/s, end: fly-by 4 mm}"),
		}, ""},
		{"corners rounded too much", []edit{line("s6", "  - {to: c3, path: line, speed: 80 mm/s, end: fly-by 14 mm}")}, "CORNER_CUT"},
		{"one corner 4 mm off", []edit{{"c3: {xyz: [50, 50, 0]", "c3: {xyz: [54, 50, 0]"}}, "PATH_OFF"},
		{"above the plate", []edit{{"c3: {xyz: [50, 50, 0]", "c3: {xyz: [50, 50, 3]"}, {"c4: {xyz: [-50, 50, 0]", "c4: {xyz: [-50, 50, 3]"}}, "CORNER_CUT PATH_OFF"},
		{"a joint move on a side", []edit{line("s7", "  - {to: c4, path: joint, speed: 5 %, end: stop}")}, "JOINT_MOVE_ON_PATH PATH_OFF"},
		{"one side missing", []edit{line("s8", ""), {"out: {xyz: [-50, -80, 0]", "out: {xyz: [-80, 50, 0]"}, {"out-over: {xyz: [-50, -80, 80]", "out-over: {xyz: [-80, 50, 80]"}}, "SQUARE_OPEN"},
		{"good, run in and out along the sides", []edit{line("s4", ""), line("s8", "")}, ""},
		{"good, the first corner flown by on a straight run-in", []edit{line("s4", "  - {to: c1, path: line, speed: 80 mm/s, end: fly-by 5 mm}")}, ""},
		{"good, run in along the side and round its end", []edit{line("s4", ""), line("s5", "  - {to: c2, path: line, speed: 80 mm/s, end: fly-by 5 mm}")}, ""},
		{"good, run in across the first corner, rounded", []edit{line("s4", "  - {to: c1, path: line, speed: 80 mm/s, end: fly-by 5 mm}"), {"beside: {xyz: [-80, -50, 0]", "beside: {xyz: [-50, -80, 0]"}, {"beside-over: {xyz: [-80, -50, 80]", "beside-over: {xyz: [-50, -80, 80]"}}, ""},
		{"good, run out across the last corner, rounded", []edit{line("s8", "  - {to: c1, path: line, speed: 80 mm/s, end: fly-by 5 mm}"), {"out: {xyz: [-50, -80, 0]", "out: {xyz: [-80, -50, 0]"}, {"out-over: {xyz: [-50, -80, 80]", "out-over: {xyz: [-80, -50, 80]"}}, ""},
		{"run in across the first corner, rounded too much", []edit{line("s4", "  - {to: c1, path: line, speed: 80 mm/s, end: fly-by 14 mm}"), {"beside: {xyz: [-80, -50, 0]", "beside: {xyz: [-50, -80, 0]"}, {"beside-over: {xyz: [-80, -50, 80]", "beside-over: {xyz: [-50, -80, 80]"}}, "CORNER_CUT"},
		{"run out beside the last side", []edit{line("s8", ""), {"out: {xyz: [-50, -80, 0]", "out: {xyz: [-56, -80, 0]"}}, "SQUARE_OPEN"},
		{"not closed by 8 mm", []edit{line("s8", "  - {to: short, path: line, speed: 80 mm/s, end: stop}"), line("s9", ""), {"  out:", "  short: {xyz: [-50, -42, 0], rpy: [180, 0, 0], frame: plate}\n  out:"}}, "NO_LEAD_IN SQUARE_OPEN"},
		{"a side too fast", []edit{line("s7", "  - {to: c4, path: line, speed: 100 mm/s, end: stop}")}, "SPEED_UNSTEADY"},
		{"a side too slow", []edit{line("s7", "  - {to: c4, path: line, speed: 60 mm/s, end: stop}")}, "SPEED_UNSTEADY"},
		{"a stop in the middle of a side", []edit{line("s6", "  - {to: mid, path: line, speed: 80 mm/s, end: stop}\n  - {to: c3, path: line, speed: 80 mm/s, end: stop}"), {"  out:", "  mid: {xyz: [50, 0, 0], rpy: [180, 0, 0], frame: plate}\n  out:"}}, "SPEED_UNSTEADY"},
		{"tilted at one corner", []edit{{"c3: {xyz: [50, 50, 0], rpy: [180, 0, 0]", "c3: {xyz: [50, 50, 0], rpy: [175, 0, 0]"}}, "TILT_DRIFT"},
		{"plunges into the corner", []edit{line("s2", "  - {to: c1-over, path: joint, speed: 9 %, end: stop}"), line("s3", ""), line("s4", "  - {to: c1, path: line, speed: 40 mm/s, end: stop}"), {"  out:", "  c1-over: {xyz: [-50, -50, 80], rpy: [180, 0, 0], frame: plate}\n  out:"}}, "NO_LEAD_IN"},
		{"plunges into the corner before the run-in", []edit{line("s3", "  - {to: c1, path: line, speed: 60 mm/s, end: stop}"), line("s4", "  - {to: beside, path: line, speed: 80 mm/s, end: stop}")}, "NO_LEAD_IN"},
		{"comes back to the corner and lifts off there", []edit{line("s8", "  - {to: out, path: line, speed: 80 mm/s, end: stop}"), line("s9", "  - {to: c1, path: line, speed: 80 mm/s, end: stop}")}, "NO_LEAD_IN"},
		{"lifts off at the corner", []edit{line("s9", "")}, "NO_LEAD_IN"},
		{"runs in from inside", []edit{{"beside: {xyz: [-80, -50, 0]", "beside: {xyz: [-20, -20, 0]"}}, "NO_LEAD_IN"},
		{"never there", []edit{line("s4", ""), line("s5", ""), line("s6", ""), line("s7", ""), line("s8", "")}, "NOT_TRACED"},
		{"in the base frame while the plate is turned", []edit{
			{"c1: {xyz: [-50, -50, 0], rpy: [180, 0, 0], frame: plate}", "c1: {xyz: [550, -50, 200], rpy: [180, 0, 0]}"},
			{"c2: {xyz: [50, -50, 0], rpy: [180, 0, 0], frame: plate}", "c2: {xyz: [650, -50, 200], rpy: [180, 0, 0]}"},
			{"c3: {xyz: [50, 50, 0], rpy: [180, 0, 0], frame: plate}", "c3: {xyz: [650, 50, 200], rpy: [180, 0, 0]}"},
			{"c4: {xyz: [-50, 50, 0], rpy: [180, 0, 0], frame: plate}", "c4: {xyz: [550, 50, 200], rpy: [180, 0, 0]}"},
		}, "CORNER_CUT PATH_OFF SPEED_UNSTEADY"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, traced(t, tt.edits...), tt.want)
		})
	}
}

// The run-in may be circular, and a circle has no corners.
func TestTraceCircle(t *testing.T) {
	program := func(extra string) string {
		return "posework: program/1\ntool: needle\nposes:\n  home: {axes: [0, -4, 29, 0, 65, 0]}\n" +
			"  beside: {xyz: [75, -30, 0], rpy: [180, 0, 0], frame: plate}\n  e: {xyz: [40, 0, 0], rpy: [180, 0, 0], frame: plate}\n" +
			"  n: {xyz: [0, 40, 0], rpy: [180, 0, 0], frame: plate}\n  w: {xyz: [-40, 0, 0], rpy: [180, 0, 0], frame: plate}\n" +
			"  s: {xyz: [0, -40, 0], rpy: [180, 0, 0], frame: plate}\nsteps:\n" +
			"- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: beside, path: joint, speed: 9 %, end: stop}\n- {to: e, path: line, speed: 50 mm/s, end: stop}\n" +
			extra + "- {to: beside, path: line, speed: 50 mm/s, end: stop}\n"
	}
	const check = "{check: traces, figure: {circle: 40, frame: plate}, within: 0.5 mm, gap: 0.5 mm, lead: 20 mm}"
	both := program("- {to: w, through: n, path: arc, speed: 50 mm/s, end: stop}\n- {to: e, through: s, path: arc, speed: 50 mm/s, end: stop}\n")
	half := program("- {to: w, through: n, path: arc, speed: 50 mm/s, end: stop}\n")
	chord := program("- {to: w, through: n, path: arc, speed: 50 mm/s, end: stop}\n- {to: s, path: line, speed: 50 mm/s, end: stop}\n- {to: e, path: line, speed: 50 mm/s, end: stop}\n")
	for _, tt := range []struct{ name, program, want string }{
		{"whole", both, ""},
		{"half", half, "SQUARE_OPEN"},
		{"two chords", chord, "PATH_OFF"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, alone(t, read(t, "cell.yaml"), check, tt.program, grader.Options{}), tt.want)
		})
	}
}

// An arc is traced from its beginning to its end; what is left out of it, or goes
// straight, is found.
func TestTraceArc(t *testing.T) {
	const (
		check = "{check: traces, figure: {arc: {radius: 40, angle: 180 deg}, frame: plate}, within: 0.5 mm, lead: 20 mm, speed: 50 mm/s, away-from-corners: 10 mm}"
		begin = "posework: program/1\ntool: needle\nposes:\n  home: {axes: [0, -4, 29, 0, 65, 0]}\n" +
			"  beside: {xyz: [75, -30, 0], rpy: [180, 0, 0], frame: plate}\n  e: {xyz: [40, 0, 0], rpy: [180, 0, 0], frame: plate}\n" +
			"  ne: {xyz: [24, 32, 0], rpy: [180, 0, 0], frame: plate}\n  n: {xyz: [0, 40, 0], rpy: [180, 0, 0], frame: plate}\n  w: {xyz: [-40, 0, 0], rpy: [180, 0, 0], frame: plate}\n" +
			"  past: {xyz: [-75, -30, 0], rpy: [180, 0, 0], frame: plate}\nsteps:\n" +
			"- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: beside, path: joint, speed: 9 %, end: stop}\n- {to: e, path: line, speed: 50 mm/s, end: stop}\n"
		leave = "- {to: past, path: line, speed: 50 mm/s, end: stop}\n"
	)
	for _, tt := range []struct{ name, steps, want string }{
		{"whole", "- {to: w, through: n, path: arc, speed: 50 mm/s, end: stop}\n" + leave, ""},
		{"half of it", "- {to: n, through: ne, path: arc, speed: 50 mm/s, end: stop}\n- {to: past, path: line, speed: 50 mm/s, end: stop}\n", "SQUARE_OPEN"},
		{"straight across", "- {to: w, path: line, speed: 50 mm/s, end: stop}\n" + leave, "PATH_OFF"},
		{"too fast", "- {to: w, through: n, path: arc, speed: 90 mm/s, end: stop}\n" + leave, "SPEED_UNSTEADY"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, alone(t, read(t, "cell.yaml"), check, begin+tt.steps, grader.Options{}), tt.want)
		})
	}
}

// Of several runs along the figure the longest is the trace; poses that are a
// little off it belong to it, and a run-in of a few millimetres does not.
func TestWhichRunIsTheTrace(t *testing.T) {
	const (
		plain = "{check: traces, " + square + ", within: 1 mm, corner: 2 mm, gap: 0.5 mm}"
		begin = "posework: program/1\ntool: needle\nposes:\n  home: {axes: [0, -4, 29, 0, 65, 0]}\n" +
			"  over: {xyz: [0, 0, 80], rpy: [180, 0, 0], frame: plate}\n  c1: {xyz: [-50, -50, 0], rpy: [180, 0, 0], frame: plate}\n" +
			"  c2: {xyz: [50, -50, 0], rpy: [180, 0, 0], frame: plate}\n  c3: {xyz: [50, 50, 0], rpy: [180, 0, 0], frame: plate}\n" +
			"  c4: {xyz: [-50, 50, 0], rpy: [180, 0, 0], frame: plate}\n  off: {xyz: [54, 50, 0], rpy: [180, 0, 0], frame: plate}\n" +
			"  beside: {xyz: [-60, -50, 0], rpy: [180, 0, 0], frame: plate}\n  past: {xyz: [-50, -60, 0], rpy: [180, 0, 0], frame: plate}\nsteps:\n" +
			"- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: over, path: joint, speed: 9 %, end: stop}\n"
	)
	line := func(poses ...string) (s string) {
		for _, p := range poses {
			s += "- {to: " + p + ", path: line, speed: 80 mm/s, end: stop}\n"
		}
		return s
	}
	for _, tt := range []struct{ name, check, steps, want string }{
		{"once round", plain, line("c1", "c2", "c3", "c4", "c1", "over"), ""},
		{"one side, and then once round", plain, line("c1", "c2", "over", "c1", "c2", "c3", "c4", "c1", "over"), ""},
		{"once round, and then one side", plain, line("c1", "c2", "c3", "c4", "c1", "over", "c1", "c2", "over"), ""},
		{"three sides twice", plain, line("c1", "c2", "c3", "c4", "over", "c1", "c2", "c3", "c4", "over"), "SQUARE_OPEN"},
		{"a corner 4 mm off", plain, line("c1", "c2", "off", "c4", "c1", "over"), "PATH_OFF"},
		{"a run-in of 10 mm", strings.Replace(plain, "gap:", "lead: 10 mm, gap:", 1), "- {to: beside, path: joint, speed: 9 %, end: stop}\n" + line("c1", "c2", "c3", "c4", "c1", "past"), ""},
		{"ends where it runs out", plain, line("c1", "c2", "c3", "c4", "c1"), ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, alone(t, read(t, "cell.yaml"), tt.check, begin+tt.steps, grader.Options{}), tt.want)
		})
	}
}
