package grader_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/grader"
)

// edit is a change to a text: the old words, which must stand there once, and
// the new ones.
type edit [2]string

// line replaces the whole line that carries a tag such as "s3".
func line(tag, text string) edit { return edit{"# " + tag + ".", text} }

func apply(t *testing.T, text string, edits []edit) string {
	t.Helper()
	for _, e := range edits {
		if strings.HasPrefix(e[0], "# ") {
			lines := strings.Split(text, "\n")
			i := slices.IndexFunc(lines, func(l string) bool { return strings.HasSuffix(l, e[0]) })
			if i < 0 {
				t.Fatalf("no line is tagged %q", e[0])
			}
			lines[i] = e[1]
			text = strings.Join(lines, "\n")
			continue
		}
		if n := strings.Count(text, e[0]); n != 1 {
			t.Fatalf("%q stands %d times in the text, want once", e[0], n)
		}
		text = strings.Replace(text, e[0], e[1], 1)
	}
	return text
}

func read(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// setup reads a cell and a task from their texts.
func setup(t *testing.T, cellText, taskText string) (*cell.Cell, *grader.Task) {
	t.Helper()
	var l diag.List
	c := cell.Decode(source.Parse("cell.yaml", []byte(cellText), 1, &l), cell.Options{})
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	task := grader.DecodeTask(source.Parse("task.yaml", []byte(taskText), 1, &l), c)
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	return c, task
}

func codes(m *grader.Mark) []string {
	var out []string
	for _, f := range m.Findings {
		if !slices.Contains(out, f.Code) {
			out = append(out, f.Code)
		}
	}
	slices.Sort(out)
	return out
}

// scenario is a program and task made by edits to those in testdata, with the
// findings that must be raised, all of them and no others.
type scenario struct {
	name    string
	cell    []edit
	program []edit
	task    []edit
	want    string // codes, sorted, blank between
}

func run(t *testing.T, program, task string, s scenario) {
	t.Helper()
	c, k := setup(t, apply(t, read(t, "cell.yaml"), s.cell), apply(t, read(t, task), s.task))
	m := grade(t, c, k, program, apply(t, read(t, program), s.program), grader.Options{})
	raises(t, m, s.want)
	if sound := s.want == ""; m.Passed != sound || m.Points == 100 != sound {
		t.Errorf("mark %.1f, passed %v, with findings %q", m.Points, m.Passed, s.want)
	}
}

// raised holds the codes that the tests of this package have seen.
var raised = map[string]bool{}

func scenarios(t *testing.T, program, task string, all []scenario) {
	for _, s := range all {
		t.Run(s.name, func(t *testing.T) { run(t, program, task, s) })
	}
}

// TestPick grades changes to a sound pick-and-lay program: each of them unsafe,
// or wanting, in one way, with the findings that it must raise and no others.
func TestPick(t *testing.T) {
	scenarios(t, "pick.yaml", "pick_task.yaml", []scenario{
		{name: "good"},
		{
			name:    "outputs put into a known state first",
			program: []edit{{"steps:", "steps:\n  - {set: {vacuum: off}}"}},
		}, {
			name:    "joint move to the grip",
			program: []edit{line("s3", "  - {to: grip, path: joint, speed: 3 %, end: stop}")},
			want:    "NO_APPROACH",
		}, {
			name:    "approach from the side",
			program: []edit{{"shelf-over: {xyz: [0, 0, 110]", "shelf-over: {xyz: [12, 0, 110]"}},
			want:    "APPROACH_TILTED RETRACT_TILTED",
		}, {
			name:    "approach with the tool turning",
			program: []edit{{"shelf-over: {xyz: [0, 0, 110], rpy: [180, 0, 0]", "shelf-over: {xyz: [0, 0, 110], rpy: [180, 0, 9]"}},
			want:    "APPROACH_TILTED RETRACT_TILTED",
		}, {
			name:    "approach too low",
			program: []edit{{"shelf-over: {xyz: [0, 0, 110]", "shelf-over: {xyz: [0, 0, 75]"}},
			want:    "APPROACH_TOO_LOW FAST_NEAR_FIXTURE RETRACT_TOO_LOW",
		}, {
			name:    "approach too high",
			program: []edit{{"shelf-over: {xyz: [0, 0, 110]", "shelf-over: {xyz: [0, 0, 140]"}},
			want:    "APPROACH_TOO_HIGH",
		}, {
			name:    "approach too fast",
			program: []edit{line("s3", "  - {to: grip, path: line, speed: 140 mm/s, end: stop}")},
			want:    "FAST_APPROACH",
		}, {
			name:    "retract too fast",
			program: []edit{line("s13", "  - {to: bin-over, path: line, speed: 140 mm/s, end: stop}")},
			want:    "FAST_RETRACT",
		}, {
			name:    "too fast near the shelf",
			program: []edit{line("s3", "  - {to: grip, path: line, speed: 200 mm/s, end: stop}")},
			want:    "FAST_APPROACH FAST_NEAR_FIXTURE",
		}, {
			name:    "fly-by at the grip",
			program: []edit{line("s3", "  - {to: grip, path: line, speed: 80 mm/s, end: fly-by 1 mm}")},
			want:    "BLEND_AT_WORK_POSE GRIP_ON_THE_FLY",
		}, {
			name:    "no way out of the bin",
			program: []edit{line("s13", "")},
			want:    "FAST_NEAR_FIXTURE NO_RETRACT",
		}, {
			name:    "grip missed",
			program: []edit{{"grip: {xyz: [0, 0, 30]", "grip: {xyz: [6, 0, 30]"}},
			want:    "PLACE_OFF TARGET_MISSED",
		}, {
			name:    "grip turned",
			program: []edit{{"grip: {xyz: [0, 0, 30], rpy: [180, 0, 0]", "grip: {xyz: [0, 0, 30], rpy: [180, 0, 4]"}},
			want:    "APPROACH_TILTED ORIENTATION_OFF PLACE_OFF RETRACT_TILTED",
		}, {
			// Straight along the tool axis, slow, but with the tool leaning: only
			// the pose itself is wrong.
			name:    "grip and approach leaning",
			program: []edit{{"grip: {xyz: [0, 0, 30], rpy: [180, 0, 0]", "grip: {xyz: [0, 0, 30], rpy: [180, 8, 0]"}, {"shelf-over: {xyz: [0, 0, 110], rpy: [180, 0, 0]", "shelf-over: {xyz: [11.134, 0, 109.22], rpy: [180, 8, 0]"}},
			want:    "CONTACT ORIENTATION_OFF PLACE_OFF",
		}, {
			name:    "into the shelf",
			program: []edit{{"grip: {xyz: [0, 0, 30]", "grip: {xyz: [0, 0, 18]"}},
			want:    "CLEARANCE_LOW CONTACT PLACE_OFF TARGET_MISSED",
		}, {
			name:    "lift without confirmation",
			program: []edit{line("s5", "  - {pause: 0.5 s}")},
			want:    "LIFT_BEFORE_CONFIRM",
		}, {
			name:    "lift at once",
			program: []edit{line("s5", "")},
			want:    "GRIP_ON_THE_FLY LIFT_BEFORE_CONFIRM PART_NOT_TAKEN",
		}, {
			name:    "vacuum never on",
			program: []edit{line("s4", "")},
			want:    "NOT_HOME_AT_END NO_RETRACT PART_NOT_TAKEN TARGET_MISSED WAIT_TIMED_OUT",
		}, {
			name:    "wait without limit",
			program: []edit{line("s5", "  - {wait: {part-held: on}}")},
			want:    "WAIT_WITHOUT_LIMIT",
		}, {
			name:    "dropped from above the bin",
			program: []edit{line("s9", "  - {pause: 0.1 s}")},
			want:    "PART_DROPPED TARGET_MISSED",
		}, {
			name:    "laid askew",
			program: []edit{{"lay: {xyz: [0, 0, 30]", "lay: {xyz: [1.8, 0, 30]"}},
			want:    "PLACE_OFF",
		}, {
			name:    "never laid",
			program: []edit{line("s10", ""), line("s11", "")},
			want:    "PART_NOT_LAID",
		}, {
			// In the model a part stays where it was let go; at a real arm it falls.
			name: "dropped in mid-air and caught again",
			program: []edit{line("s6", "  - {to: shelf-over, path: line, speed: 80 mm/s, end: stop}\n  - {set: {vacuum: off}}\n  - {wait: {part-held: off, at-most: 1 s}}\n  - {pause: 0.2 s}\n"+
				"  - {set: {vacuum: on}}\n  - {wait: {part-held: on, at-most: 1 s}}")},
			want: "PART_DROPPED",
		}, {
			name:    "let go on the way",
			program: []edit{line("s11", ""), line("s12", "")},
			want:    "GRIP_ON_THE_FLY LEFT_BEFORE_RELEASE PLACE_OFF",
		}, {
			name:    "too fast for manual mode",
			program: []edit{line("s2", "  - {to: shelf-over, path: joint, speed: 30 %, end: stop}")},
			want:    "OVERSPEED_MANUAL",
		}, {
			name:    "does not start at home",
			program: []edit{line("s1", "")},
			want:    "NOT_HOME_AT_START",
		}, {
			name:    "does not end at home",
			program: []edit{line("s14", "")},
			want:    "NOT_HOME_AT_END",
		}, {
			name:    "flies by home at the end",
			program: []edit{line("s14", "  - {to: home, path: joint, speed: 9 %, end: fly-by 20 mm}")},
			want:    "HOME_BLENDED",
		}, {
			name:    "lifts without waiting for the release",
			program: []edit{line("s11", "")},
			want:    "LEFT_BEFORE_RELEASE",
		}, {
			name:    "through the wall of the bin with the bar",
			program: []edit{line("s8", "  - {to: beside, path: joint, speed: 7 %, end: stop}\n  - {to: bin-over, path: line, speed: 80 mm/s, end: stop}"), {"  lay:", "  beside: {xyz: [-130, 0, 60], rpy: [180, 0, 0], frame: bin}\n  lay:"}},
			want:    "CLEARANCE_LOW CONTACT",
		},
	})
}

// only returns a task with one check, in automatic mode: manual mode would add
// its own.
func only(check string) string {
	return "goal: test\nmode: automatic\nchecks:\n  - " + check + "\n"
}

// alone grades a program against one check.
func alone(t *testing.T, cellText, check, program string, o grader.Options) *grader.Mark {
	t.Helper()
	c, k := setup(t, cellText, only(check))
	return grade(t, c, k, "program.yaml", program, o)
}

// head is the beginning of the small programs below.
const head = "posework: program/1\ntool: cup\nposes:\n  home: {axes: [0, -4, 29, 0, 65, 0]}\n"

// A pose where a gauge is read, and the check that it is read twice.
const (
	gauge     = "  g: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\nsteps:\n"
	restCheck = "{check: visits, times: 2, poses: [{at: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}, rest: 1 s}]}"
)

// TestAlone holds one check at a time against a sound motion and an unsafe one.
func TestAlone(t *testing.T) {
	for _, tt := range []struct {
		name, check, program, want string
	}{
		{"axis room kept", "{check: axis-room, least: 20 deg}", head +
			"steps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n", ""},
		{"axis room missed in the middle of nowhere", "{check: axis-room, least: 20 deg}", head +
			"  bent: {axes: [0, -4, 29, 0, 105, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: bent, path: joint, speed: 10 %, end: stop}\n- {to: home, path: joint, speed: 10 %, end: stop}\n", "NEAR_AXIS_LIMIT"},

		{"visited with the tool that the arm carries", "{check: visits, tool: cup, poses: [{at: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}}]}", head +
			"  a: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: a, path: joint, speed: 10 %, end: stop}\n", ""},
		{"visited with another tool of the same length", "{check: visits, tool: cup, poses: [{at: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}}]}", strings.Replace(head, "tool: cup", "tool: needle", 1) +
			"  a: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: a, path: joint, speed: 10 %, end: stop}\n", "WRONG_TOOL_SELECTED"},
		{"the tool is changed on the way", "{check: visits, tool: cup, poses: [{at: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}}]}", head +
			"  a: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {tool: needle}\n- {to: a, path: joint, speed: 10 %, end: stop}\n", "WRONG_TOOL_SELECTED"},

		// The needle is slim enough to pass where the cup that hangs on the arm is not.
		{"past the post with the tool that the arm carries", "{check: clearance, least: 10 mm, tool: needle}", strings.Replace(head, "cup", "needle", 1) +
			"  a: {xyz: [590, -170, 200], rpy: [180, 0, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: a, path: joint, speed: 10 %, end: stop}\n", ""},
		{"past the post with a slimmer one", "{check: clearance, least: 10 mm, tool: cup}", head +
			"  a: {xyz: [590, -170, 200], rpy: [180, 0, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {tool: needle}\n- {to: a, path: joint, speed: 10 %, end: stop}\n", "WRONG_TOOL_SELECTED"},
		{"past the post with the tool itself", "{check: clearance, least: 10 mm, tool: cup}", head +
			"  a: {xyz: [590, -170, 200], rpy: [180, 0, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: a, path: joint, speed: 10 %, end: stop}\n", "CLEARANCE_LOW"},
		{"rested, twice", restCheck, head + gauge + "- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: g, path: joint, speed: 10 %, end: stop}\n- {pause: 1 s}\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: g, path: joint, speed: 10 %, end: stop}\n", ""},
		{"left a little too soon", restCheck, head + gauge + "- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: g, path: joint, speed: 10 %, end: stop}\n- {pause: 0.99 s}\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: g, path: joint, speed: 10 %, end: stop}\n", "LEFT_TOO_SOON"},
		{"once where twice is asked", restCheck, head + gauge + "- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: g, path: joint, speed: 10 %, end: stop}\n- {pause: 1 s}\n- {to: home, path: joint, speed: 10 %, end: stop}\n", "TARGET_MISSED"},

		// Example E2.5 of the arm: at 5 degrees from wrist alignment a sideways
		// 250 mm/s needs 251 deg/s of axis 4.
		{"wrist alignment passed in the middle of a line", "{check: singularity-room, wrist: 10 deg}", head +
			"  left: {axes: [0, 20, -32, 0, 12, 0]}\n  right: {axes: [0, 20, -11, 0, -9, 0]}\nsteps:\n- {to: left, path: joint, speed: 10 %, end: stop}\n- {to: right, path: line, speed: 50 mm/s, end: stop}\n", "NEAR_WRIST_SINGULARITY PATH_SINGULAR"},
		{"wrist near alignment on a line", "{check: singularity-room, wrist: 10 deg}", head +
			"  left: {xyz: [903.485, -30, 707.931], rpy: [180, -72, 0]}\n  right: {xyz: [903.485, 30, 707.931], rpy: [180, -72, 0]}\nsteps:\n- {to: left, path: joint, speed: 5 %, end: stop}\n- {to: right, path: line, speed: 50 mm/s, end: stop}\n", "NEAR_WRIST_SINGULARITY"},
		{"a joint move may cross", "{check: singularity-room, wrist: 10 deg}", head +
			"  a: {axes: [0, 0, 20, 0, 40, 0]}\n  b: {axes: [0, 0, 20, 0, -40, 0]}\nsteps:\n- {to: a, path: joint, speed: 10 %, end: stop}\n- {to: b, path: joint, speed: 10 %, end: stop}\n", ""},
		// The wrist comes to 7 degrees on the joint move's side of the corner; the line
		// begins at 12.
		{"the rounding of a joint move may cross", "{check: singularity-room, wrist: 10 deg}", head +
			"  a: {axes: [0, 0, 20, 0, -25, 0]}\n  v: {axes: [0, 0, 20, 0, 12, 0]}\n  b: {axes: [0, 0, 26, 0, 25, 0]}\nsteps:\n- {to: a, path: joint, speed: 10 %, end: stop}\n- {to: v, path: joint, speed: 10 %, end: fly-by 30 mm}\n- {to: b, path: line, speed: 80 mm/s, end: stop}\n", ""},
		{"the rounding of two lines may not", "{check: singularity-room, wrist: 16 deg}", head +
			"  a: {axes: [0, 0, 26, 0, 25, 0]}\n  v: {axes: [0, 0, 20, 0, 12, 0]}\n  b: {axes: [10, 0, 26, 0, 25, 0]}\nsteps:\n- {to: a, path: joint, speed: 10 %, end: stop}\n- {to: v, path: line, speed: 40 mm/s, end: fly-by 5 mm}\n- {to: b, path: line, speed: 40 mm/s, end: stop}\n", "NEAR_WRIST_SINGULARITY"},
		{"stretched elbow", "{check: singularity-room, elbow: 15 deg}", head +
			"  near: {xyz: [700, 0, 300], rpy: [180, 0, 0]}\n  far: {xyz: [911, 0, 300], rpy: [180, 0, 0]}\nsteps:\n- {to: near, path: joint, speed: 10 %, end: stop}\n- {to: far, path: line, speed: 50 mm/s, end: stop}\n", "NEAR_ELBOW_SINGULARITY"},
		{"wrist centre over axis 1", "{check: singularity-room, shoulder: 80 mm}", head +
			"  front: {xyz: [435, 0, 900], rpy: [0, 90, 0]}\n  back: {xyz: [345, 0, 900], rpy: [0, 90, 0]}\nsteps:\n- {to: front, path: joint, speed: 10 %, end: stop}\n- {to: back, path: line, speed: 50 mm/s, end: stop}\n", "NEAR_SHOULDER_SINGULARITY"},

		{"axis asked for too much", "{check: axis-speed}", head +
			"  left: {xyz: [903.485, -30, 707.931], rpy: [180, -72, 0]}\n  right: {xyz: [903.485, 30, 707.931], rpy: [180, -72, 0]}\nsteps:\n- {to: left, path: joint, speed: 10 %, end: stop}\n- {to: right, path: line, speed: 600 mm/s, end: stop}\n", "AXIS_OVERSPEED"},
		{"axis asked to accelerate too hard", "{check: axis-speed}", head +
			"  left: {xyz: [600, -60, 300], rpy: [180, 0, 0]}\n  mid: {xyz: [630, 0, 300], rpy: [180, 0, 0]}\n  right: {xyz: [600, 60, 300], rpy: [180, 0, 0]}\nsteps:\n- {to: left, path: joint, speed: 5 %, end: stop}\n- {to: right, through: mid, path: arc, speed: 900 mm/s, end: stop}\n", "AXIS_OVERLOAD"},
		{"axis within its rating", "{check: axis-speed}", head +
			"  left: {xyz: [550, -150, 400], rpy: [180, 0, 0]}\n  right: {xyz: [550, 150, 400], rpy: [180, 0, 0]}\nsteps:\n- {to: left, path: joint, speed: 10 %, end: stop}\n- {to: right, path: line, speed: 200 mm/s, end: stop}\n", ""},
		{"named axis over the cell's limit on a joint move", "{check: axis-speed, axes: [6], at-most: 100 deg/s}", head +
			"  turned: {axes: [0, -4, 29, 0, 65, 170]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: turned, path: joint, speed: 40 %, end: stop}\n", "AXIS_OVERSPEED"},

		// Both lines keep axis 4 below 80 deg/s; the corner between them lies nearer
		// to the alignment and turns it at 115.
		{"named axis over the cell's limit in a corner", "{check: axis-speed, axes: [4], at-most: 100 deg/s}", head +
			"  a: {xyz: [880, -120, 760], rpy: [180, -72, 0]}\n  v: {xyz: [903.485, 0, 707.931], rpy: [180, -72, 0]}\n  c: {xyz: [880, 120, 760], rpy: [180, -72, 0]}\nsteps:\n- {to: a, path: joint, speed: 5 %, end: stop}\n" +
			"- {to: v, path: line, speed: 200 mm/s, end: fly-by 30 mm}\n- {to: c, path: line, speed: 200 mm/s, end: stop}\n", "AXIS_OVERSPEED"},

		{"into the walkway", "{check: keeps-out}", head +
			"  out: {axes: [125, 10, 10, 0, 60, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: out, path: joint, speed: 5 %, end: stop}\n", "KEEP_OUT_ENTERED"},
		{"through the corner of the walkway and back out of it", "{check: keeps-out}", head +
			"  out: {axes: [168, 40, 0, 0, 50, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: out, path: joint, speed: 5 %, end: stop}\n", "KEEP_OUT_ENTERED"},
		{"too fast in the reach-in zone", "{check: keeps-out}", head +
			"  a: {xyz: [0, -250, 200], rpy: [180, 0, 0], frame: bin}\n  b: {xyz: [0, 150, 200], rpy: [180, 0, 0], frame: bin}\nsteps:\n- {to: a, path: joint, speed: 10 %, end: stop}\n- {to: b, path: line, speed: 400 mm/s, end: stop}\n", "ZONE_TOO_FAST"},
		{"zones kept", "{check: keeps-out}", head +
			"steps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n", ""},

		// With axis 3 at 50 degrees forearm and upper arm are about 19 mm apart.
		{"links near each other, as the arm is built", "{check: clearance, least: 50 mm}", head +
			"  folded: {axes: [0, -30, 50, 0, 60, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: folded, path: joint, speed: 10 %, end: stop}\n", ""},
		{"links nearer to each other than the task allows", "{check: clearance, least: 50 mm, own: 30 mm}", head +
			"  folded: {axes: [0, -30, 50, 0, 60, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: folded, path: joint, speed: 10 %, end: stop}\n", "CLEARANCE_LOW"},
		{"the forearm folded into the upper arm", "{check: clearance, least: 50 mm}", head +
			"  folded: {axes: [0, -60, 72, 0, 60, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: folded, path: joint, speed: 10 %, end: stop}\n", "CLEARANCE_LOW CONTACT"},
		{"one solid of the tool may come close", "{check: clearance, least: 50 mm, except: [{body: pin, solid: plate-top, least: 5 mm}]}", strings.Replace(head, "cup", "needle", 1) +
			"  over: {xyz: [0, 0, 10], rpy: [180, 0, 0], frame: plate}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: over, path: joint, speed: 10 %, end: stop}\n", ""},
		{"another solid of the tool may not", "{check: clearance, least: 50 mm, except: [{body: neck, solid: plate-top, least: 5 mm}]}", head +
			"  over: {xyz: [0, 0, 10], rpy: [180, 0, 0], frame: plate}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: over, path: joint, speed: 10 %, end: stop}\n", "CLEARANCE_LOW"},
		{"a rod between two samples", "{check: clearance, least: 10 mm}", head +
			"  left: {xyz: [640, -300, 200], rpy: [180, 0, 0]}\n  right: {xyz: [640, -60, 200], rpy: [180, 0, 0]}\nsteps:\n- {to: left, path: joint, speed: 10 %, end: stop}\n- {to: right, path: line, speed: 800 mm/s, end: stop}\n", "CONTACT"},
		{"nothing but pauses", "{check: clearance, least: 10 mm}", head + "steps:\n- {pause: 1 s}\n", "NO_MOTION"},
		{"too long", "{check: cycle-time, at-most: 2 s}", head +
			"steps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {pause: 3 s}\n", "CYCLE_TARGET"},
		{"in time", "{check: cycle-time, at-most: 4 s}", head +
			"steps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {pause: 3 s}\n", ""},

		{"beyond an axis limit", "{check: reach}", head +
			"  over: {axes: [0, -4, 29, 0, 119, 0]}\n  past: {xyz: [189.49, 0, 542.62], rpy: [180, 60, 0]}\nsteps:\n- {to: over, path: joint, speed: 10 %, end: stop}\n- {to: past, path: line, speed: 50 mm/s, end: stop}\n", "BEYOND_AXIS_LIMIT"},
		{"a turn out of reach in its middle", "{check: reach}", head +
			"  a: {xyz: [850, -5, 420], rpy: [225, 8.1, 0]}\n  b: {xyz: [850, 5, 420], rpy: [135, 8.1, 0]}\nsteps:\n- {to: a, path: joint, speed: 10 %, end: stop}\n- {to: b, path: line, speed: 50 mm/s, end: stop}\n", "OUT_OF_REACH"},
		{"a line through the arm's own column", "{check: reach}", head +
			"  a: {xyz: [450, -50, 400], rpy: [180, 0, 0]}\n  b: {xyz: [-450, 50, 400], rpy: [180, 0, 0]}\nsteps:\n- {to: a, path: joint, speed: 10 %, end: stop}\n- {to: b, path: line, speed: 50 mm/s, end: stop}\n", "PATH_SINGULAR"},
		{"a line through a singularity", "{check: reach}", head +
			"  left: {axes: [0, 0, 0, 0, 20, 0]}\n  right: {axes: [0, 0, 0, 180, 20, 180]}\nsteps:\n- {to: left, path: joint, speed: 10 %, end: stop}\n- {to: right, path: line, speed: 50 mm/s, end: stop}\n", "PATH_SINGULAR"},
		{"another configuration at the end", "{check: reach}", head +
			"  a: {xyz: [500, 0, 400], rpy: [180, 0, 0]}\n  b: {xyz: [500, 100, 400], rpy: [180, 0, 0], config: [front, up, flipped]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: a, path: joint, speed: 10 %, end: stop}\n- {to: b, path: line, speed: 50 mm/s, end: stop}\n", "CONFIGURATION_FLIP"},
		{"a stop where a fly-by is asked", "{check: visits, poses: [{at: {xyz: [500, 0, 400], rpy: [180, 0, 0]}, within: 5 mm, by: fly-by}]}", head +
			"  a: {xyz: [500, 0, 400], rpy: [180, 0, 0]}\nsteps:\n- {to: home, path: joint, speed: 10 %, end: stop}\n- {to: a, path: joint, speed: 10 %, end: stop}\n- {to: home, path: joint, speed: 10 %, end: stop}\n", "STOP_IN_FREE_AIR"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := alone(t, read(t, "cell.yaml"), tt.check, tt.program, grader.Options{})
			raises(t, m, tt.want)
			if m.Passed != (tt.want == "") {
				t.Errorf("passed %v with findings %q", m.Passed, tt.want)
			}
		})
	}
}
