package grader_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"posework/grader"
)

// A frame at (500, 100, 50), turned by 15 degrees about Z, touched at its origin
// and at points 300 mm along X and Y. The numbers are the exact ones with what a
// case does to them.
func TestMeasuredFrame(t *testing.T) {
	const check = "{check: measured-frame, frame: bed, true: {xyz: [500, 100, 50], rpy: [0, 0, 15]}, within: 1 mm, angle: 0.5 deg, legs: 200 mm, between: [60, 120]}"
	program := func(x, y [3]float64) string {
		return fmt.Sprintf("posework: program/1\ntool: cup\nposes:\n  home: {axes: [0, -4, 29, 0, 65, 0]}\n  o: {xyz: [500, 100, 50], rpy: [180, 0, 0]}\n"+
			"  x: {xyz: [%g, %g, %g], rpy: [180, 0, 0]}\n  y: {xyz: [%g, %g, %g], rpy: [180, 0, 0]}\nframes:\n  bed: {origin: o, along-x: x, in-plane: y}\n"+
			"steps:\n- {to: home, path: joint, speed: 9 %%, end: stop}\n", x[0], x[1], x[2], y[0], y[1], y[2])
	}
	// 300 (cos 15, sin 15) and 300 (-sin 15, cos 15).
	x, y := [3]float64{789.7777, 177.6457, 50}, [3]float64{422.3543, 389.7777, 50}
	for _, tt := range []struct{ name, program, want string }{
		{"good", program(x, y), ""},
		{"x touched 4 mm beside its mark", program([3]float64{788.7424, 181.5094, 50}, y), "FRAME_OFF"},
		{"y taken on the other side", program(x, [3]float64{577.6457, -189.7777, 50}), "FRAME_HANDEDNESS"},
		{"short legs", program([3]float64{596.5926, 125.8819, 50}, [3]float64{474.1181, 196.5926, 50}), "SHORT_LEGS"},
		{"legs nearly in line", program(x, [3]float64{750, 300, 50}), "LEGS_NEARLY_COLLINEAR"},
		{"not taught", strings.Replace(program(x, y), "frames:\n  bed: {origin: o, along-x: x, in-plane: y}\n", "", 1), "FRAME_MISSING"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, alone(t, read(t, "cell.yaml"), check, tt.program, grader.Options{}), tt.want)
		})
	}
}

// The touches of EXAMPLES E5: a true tool of (12, -5, 180) held on the fixed tip
// (600, 150, 250) in six orientations. Own data, computed apart from this code.
// Poses are written with the bare flange as the tool.
func TestMeasuredTool(t *testing.T) {
	exact := []string{
		"{xyz: [588.000, 145.000, 430.000], rpy: [180, 0, 0]}",
		"{xyz: [665.196, 145.000, 418.207], rpy: [180, 25, 0]}",
		"{xyz: [510.496, 140.916, 406.447], rpy: [160, -20, 45]}",
		"{xyz: [564.546, 108.574, 422.035], rpy: [-165, 10, -60]}",
	}
	slipped := slices.Clone(exact)
	slipped[3] = "{xyz: [567.546, 108.574, 422.035], rpy: [-165, 10, -60]}"
	// Nearly one orientation, each touch off by a millimetre or so: the residual
	// stays small and the tool is still wrong.
	alike := []string{
		"{xyz: [588.000, 145.000, 430.000], rpy: [180, 0, 0]}",
		"{xyz: [588.000, 145.000, 430.000], rpy: [180, 18, 0]}",
		"{xyz: [588.000, 145.000, 430.000], rpy: [198, 0, 0]}",
		"{xyz: [588.000, 145.000, 430.000], rpy: [180, 0, 18]}",
	}
	program := func(touches []string) string {
		s := "posework: program/1\ntool: bare\nposes:\n  home: {axes: [0, -4, 29, 0, 65, 0]}\n"
		var names []string
		for i, p := range touches {
			s += fmt.Sprintf("  t%d: %s\n", i+1, p)
			names = append(names, fmt.Sprintf("t%d", i+1))
		}
		if len(names) > 0 {
			s += "tools:\n  probe: {touches: [" + strings.Join(names, ", ") + "]}\n"
		}
		return s + "steps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n"
	}
	const cellText = "arm: hazel\nfloor: -300\ntools:\n  bare: {tcp: {xyz: [0, 0, 0], rpy: [0, 0, 0]}, mass: 0.1 kg}\n"
	const check = "{check: measured-tool, tool: probe, true: [12, -5, 180], apart: 20, farthest: 40, residual: 0.5 mm, within: 1 mm%s}"
	for _, tt := range []struct{ name, extra, program, want string }{
		{"exact", "", program(exact), ""},
		{"one touch slipped by 3 mm", "", program(slipped), "RESIDUAL_HIGH TCP_OFF"},
		{"all alike", "", program(alike), "POOR_SPREAD TCP_OFF"},
		{"five asked", ", touches: 5", program(exact), "TOO_FEW_TOUCHES"},
		{"not taught", "", program(nil), "TOOL_MISSING"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, alone(t, cellText, fmt.Sprintf(check, tt.extra), tt.program, grader.Options{}), tt.want)
		})
	}
}

// An examination that could not finish is never a pass.
func TestNotProved(t *testing.T) {
	c, k := setup(t, read(t, "cell.yaml"), only("{check: clearance, least: 400 mm}"))
	m, l := grader.Grade(c, k, "program.yaml", []byte(read(t, "pick.yaml")), grader.Options{Work: 1})
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	for _, f := range m.Findings {
		raised[f.Code] = true
	}
	if !slices.Contains(codes(m), "NOT_PROVED") || m.Passed || m.Checks[len(m.Checks)-1].Holds {
		t.Errorf("findings %q, passed %v, want NOT_PROVED and not passed", codes(m), m.Passed)
	}
}
