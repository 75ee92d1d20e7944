package grader_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/grader"
	"posework/kin"
)

// Each mistake in a task, with the code and the start of what is said of it.
func TestTaskMistakes(t *testing.T) {
	full := read(t, "cell.yaml")
	bare := "arm: hazel\nfloor: none\n"
	seen := map[string]bool{}
	for _, tt := range []struct{ name, cell, task, want string }{
		{"pass", full, "goal: x\npass: 120\nchecks: [{check: reach}]", "task.yaml:2:7: pass is 120, but a mark goes from 0 to 100"},
		{"points", full, "goal: x\nchecks: [{check: reach, points: -1}]", "points is -1, but points can't be negative"},
		{"unknown check", full, "goal: x\nchecks: [{check: clearence, least: 5 mm}]", "clearance"},
		{"unknown key", full, "goal: x\nchecks: [{check: clearance, least: 5 mm, leest: 4 mm}]", "leest"},
		{"threshold missing", full, "goal: x\nchecks: [{check: clearance}]", "least"},
		{"unit wrong", full, "goal: x\nchecks: [{check: speed-near, solid: post, within: 10 mm, at-most: 10 mm}]", "mm/s"},
		{"negative", full, "goal: x\nchecks: [{check: axis-room, least: -5 deg}]", "the threshold is negative"},
		{"range", full, "goal: x\nchecks: [{check: reach}]\nvary: {shelf.y: [5, -5]}", "runs from 5 down to -5"},
		{"start out of reach", full, "goal: x\nstart: {xyz: [0, 0, 3000], tool: cup}\nchecks: [{check: reach}]", "task.yaml:2:8: the arm can't stand at the start"},
		{"start without a tool", full, "goal: x\nstart: {xyz: [400, 0, 300]}\nchecks: [{check: reach}]", "start has no \"tool\""},
		{"home", full, "goal: x\nchecks: [{check: starts-home}]", "does not say which pose is home"},
		{"along", full, "goal: x\nchecks: [{check: approach, at: {xyz: [0, 0, 0]}, along: sideways}]", "tool-axis"},
		{"from", full, "goal: x\nchecks: [{check: approach, at: {xyz: [0, 0, 0]}, from: [50 mm]}]", "needs the least and the greatest length"},
		{"slow beyond the line", full, "goal: x\nchecks: [{check: approach, at: {xyz: [0, 0, 0]}, from: [30 mm, 90 mm], slow: 50 mm, at-most: 90 mm/s}]", "at-most holds for 50 mm next to the pose, but a straight line of 30 mm is asked"},
		{"no slow stretch", full, "goal: x\nchecks: [{check: retract, at: {xyz: [0, 0, 0]}, from: [0 mm, 90 mm], at-most: 90 mm/s}]", "at-most holds for 0 mm next to the pose"},
		{"between", full, "goal: x\nchecks: [{check: measured-frame, frame: f, true: {xyz: [0, 0, 0]}, between: [60]}]", "needs the least and the greatest angle"},
		{"singularity", full, "goal: x\nchecks: [{check: singularity-room}]", "names no distance"},
		{"manual", full, "goal: x\nmode: manual\nchecks: [{check: top-speed, at-most: 400 mm/s}]", "manual mode allows at most 250 mm/s"},
		{"automatic without limit", full, "goal: x\nmode: automatic\nchecks: [{check: top-speed}]", "at-most"},
		{"zones", bare, "goal: x\nchecks: [{check: keeps-out}]", "the cell has no zones"},
		{"solid of an empty cell", bare, "goal: x\nchecks: [{check: speed-near, solid: post, within: 10 mm, at-most: 10 mm/s}]", "the cell has no solids"},
		{"figure", full, "goal: x\nchecks: [{check: traces, figure: {frame: plate}, within: 1 mm}]", "the figure has no shape"},
		{"polyline", full, "goal: x\nchecks: [{check: traces, figure: {polyline: [[0, 0, 0]]}, within: 1 mm}]", "the polyline has 1 points"},
		{"circle", full, "goal: x\nchecks: [{check: traces, figure: {circle: 0}, within: 1 mm}]", "the circle's radius is 0 mm"},
		{"arc", full, "goal: x\nchecks: [{check: traces, figure: {arc: {radius: -4, angle: 90 deg}}, within: 1 mm}]", "the arc's radius is -4 mm"},
		{"arc of a whole turn", full, "goal: x\nchecks: [{check: traces, figure: {arc: {radius: 40, angle: 360 deg}}, within: 1 mm}]", "the arc turns by 360 deg"},
		{"unknown frame", full, "goal: x\nchecks: [{check: visits, poses: [{at: {xyz: [0, 0, 0], frame: shelv}}]}]", "shelf"},
		{"share", full, "goal: x\nchecks: [{check: proved-out, first-automatic: 250 %}]", "first-automatic is 250 %"},
		{"unknown part", full, "goal: x\nchecks: [{check: handles, part: bra, take: {signal: vacuum, confirm: part-held}}]", "bar"},
		{"too many checks", bare, "goal: x\nchecks: [" + strings.Repeat("{check: reach}, ", grader.MaxChecks+1) + "]", "the task has 101 checks, but at most 100 are read"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var l diag.List
			c := cell.Decode(source.Parse("cell.yaml", []byte(tt.cell), 1, &l), cell.Options{})
			if err := l.Err(); err != nil {
				t.Fatal(err)
			}
			grader.DecodeTask(source.Parse("task.yaml", []byte(tt.task), 1, &l), c)
			if len(l) != 1 || !strings.Contains(l[0].String(), tt.want) || !strings.HasPrefix(l[0].String(), "task.yaml:") {
				t.Errorf("got %q, want one diagnostic with %q", l.Error(), tt.want)
			}
			for _, d := range l {
				seen[d.Code] = true
			}
		})
	}
	for _, c := range grader.TaskCodes {
		if !seen[c.ID] {
			t.Errorf("no mistake above raises %s, %s", c.ID, c.Title)
		}
	}
}

// A task may say by axes or by a place where the arm stands at first. The place
// is that of the tool's centre point, and forward kinematics leads back to it.
func TestStart(t *testing.T) {
	decode := func(start string) (*cell.Cell, *grader.Task) {
		return setup(t, read(t, "cell.yaml"), "goal: x\nstart: "+start+"\nchecks: [{check: reach}]")
	}
	if _, k := decode("[10, 20, 30, 0, 50, 60]"); *k.Start != (kin.Joints{kin.Rad(10), kin.Rad(20), kin.Rad(30), 0, kin.Rad(50), kin.Rad(60)}) {
		t.Errorf("start by axes is %v", k.Start)
	}
	c, k := decode("{xyz: [450, -100, 350], rpy: [180, 0, 30], tool: cup}")
	var f kin.Frames
	c.Arm.Chain.Forward(k.Start, &f)
	worldFlange := f[6]
	i := slices.IndexFunc(c.Tools, func(t cell.Tool) bool { return t.Name == "cup" })
	worldTCP := worldFlange.Mul(&c.Tools[i].TCP)
	want := kin.Pose{R: kin.FromRPY(math.Pi, 0, kin.Rad(30)), T: kin.Vec{X: 450, Y: -100, Z: 350}}
	rel := worldTCP.R.Inv()
	rel = rel.Mul(&want.R)
	if _, angle := rel.AxisAngle(); !(worldTCP.T.Sub(want.T).Norm() <= 1e-6) || !(angle <= 1e-9) {
		t.Errorf("the arm starts with its tool at %v, want %v", worldTCP, want)
	}
	if k.Start[4] <= 0 {
		t.Errorf("the wrist is flipped: axis 5 stands at %g deg", kin.Deg(k.Start[4]))
	}
}

// A program that asks for what no setting of the axes can do is an error with a
// place, not a mark.
func TestCouldNotBeGraded(t *testing.T) {
	c, k := setup(t, read(t, "cell.yaml"), only("{check: reach}"))
	for _, tt := range []struct{ name, program, want string }{
		{"out of reach", head + "  far: {xyz: [1500, 0, 300], rpy: [180, 0, 0]}\nsteps:\n- {to: far, path: joint, speed: 9 %, end: stop}\n", "program.yaml:5:"},
		{"unknown frame", head + "  a: {xyz: [0, 0, 0], rpy: [180, 0, 0], frame: shelv}\nsteps:\n- {to: a, path: joint, speed: 9 %, end: stop}\n", "shelf"},
		{"not a number", head + "  a: {xyz: [.nan, 0, 0], rpy: [180, 0, 0]}\nsteps:\n- {to: a, path: joint, speed: 9 %, end: stop}\n", "program.yaml:5:"},
		{"empty", "", "program.yaml:1:1"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m, l := grader.Grade(c, k, "program.yaml", []byte(tt.program), grader.Options{})
			if m != nil || len(l) != 1 || !strings.Contains(l[0].String(), tt.want) {
				t.Errorf("mark %v, diagnostics %q, want one with %q", m, l.Error(), tt.want)
			}
		})
	}
}

// A motion that had to stop never passes, whatever its task asks for.
func TestHaltNeverPasses(t *testing.T) {
	program := head + "  a: {xyz: [500, 0, 400], rpy: [180, 0, 0]}\n  b: {xyz: [500, 100, 400], rpy: [180, 0, 0], config: [front, up, flipped]}\n" +
		"steps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: a, path: joint, speed: 9 %, end: stop}\n- {to: b, path: line, speed: 50 mm/s, end: stop}\n"
	m := alone(t, read(t, "cell.yaml"), "{check: clearance, least: 5 mm}", program, grader.Options{})
	if m.Passed {
		t.Errorf("passed with findings %v", codes(m))
	}
}

// Manual mode stands for its reduced speed, whether a task lists the check or
// not.
func TestManualIsReducedSpeed(t *testing.T) {
	c, k := setup(t, read(t, "cell.yaml"), "goal: x\nmode: manual\nchecks: [{check: clearance, least: 5 mm}]\n")
	for _, tt := range []struct{ share, want string }{{"5", ""}, {"50", "OVERSPEED_MANUAL"}} {
		raises(t, grade(t, c, k, "program.yaml", head+"  a: {axes: [40, -4, 29, 0, 65, 0]}\nsteps:\n- {to: home, path: joint, speed: 5 %, end: stop}\n- {to: a, path: joint, speed: "+tt.share+" %, end: stop}\n", grader.Options{}), tt.want)
	}
}

// The same motion in automatic mode is held to the cell's own limit, and only
// the tool centre point is.
func TestAutomatic(t *testing.T) {
	task := "goal: x\nmode: automatic\nchecks: [{check: top-speed, at-most: 300 mm/s}]\n"
	c, k := setup(t, read(t, "cell.yaml"), task)
	for _, tt := range []struct{ speed, want string }{{"300", ""}, {"301", "OVERSPEED_CELL"}} {
		program := head + "  a: {xyz: [550, -200, 400], rpy: [180, 0, 0]}\n  b: {xyz: [550, 200, 400], rpy: [180, 0, 0]}\n" +
			"steps:\n- {to: home, path: joint, speed: 5 %, end: stop}\n- {to: a, path: joint, speed: 5 %, end: stop}\n- {to: b, path: line, speed: " + tt.speed + " mm/s, end: stop}\n"
		raises(t, grade(t, c, k, "program.yaml", program, grader.Options{}), tt.want)
	}
}

// Grading twice gives the same mark to the last bit.
func TestDeterministic(t *testing.T) {
	c, k := setup(t, read(t, "cell.yaml"), read(t, "pick_task.yaml"))
	grade := func() string {
		m, l := grader.Grade(c, k, "p", []byte(strings.Replace(read(t, "pick.yaml"), "speed: 9 %", "speed: 19 %", 2)), grader.Options{})
		if err := l.Err(); err != nil {
			t.Fatal(err)
		}
		return fmt.Sprintf("%x", fmt.Sprintf("%#v", *m))
	}
	if a, b := grade(), grade(); a != b {
		t.Error("two gradings of one program differ")
	}
}

func BenchmarkGrade(b *testing.B) {
	for _, name := range []string{"pick", "trace"} {
		b.Run("program="+name, func(b *testing.B) {
			t := &testing.T{}
			c, k := setup(t, read(t, "cell.yaml"), read(t, "pick_task.yaml"))
			text := []byte(read(t, name+".yaml"))
			b.ReportAllocs()
			for b.Loop() {
				if _, l := grader.Grade(c, k, name, text, grader.Options{}); len(l) > 0 {
					b.Fatal(l)
				}
			}
		})
	}
}
