package program

import (
	"math"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"posework/engine/diag"
	"posework/kin"
)

func readFull(t *testing.T) (*Program, []byte) {
	t.Helper()
	data, err := os.ReadFile("testdata/full.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, l := Read("full.yaml", data)
	if len(l) > 0 {
		t.Fatal(l)
	}
	return p, data
}

func at(line, column int) diag.Pos {
	return diag.Pos{Filename: "full.yaml", Line: line, Column: column}
}

func refAt(name string, line, column int) Ref { return Ref{Name: name, Pos: at(line, column)} }

// TestReadFull compares what is read with values written out by hand.
func TestReadFull(t *testing.T) {
	p, _ := readFull(t)
	const deg = math.Pi / 180
	if p.Title != "Lift one tile" || p.Tool != refAt("cup", 4, 7) || p.File != "full.yaml" {
		t.Errorf("head = %q, %v, %q", p.Title, p.Tool, p.File)
	}
	if len(p.Poses) != 12 || len(p.Steps) != 11 || len(p.Routines) != 1 {
		t.Fatalf("%d poses, %d steps, %d routines", len(p.Poses), len(p.Steps), len(p.Routines))
	}
	home := Pose{Name: "home", Pos: at(8, 3), ByAxes: true, Frame: refAt("base", 8, 10),
		Axes: kin.Joints{0, -30 * deg, 60 * deg, 0, 60 * deg, 0}}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }) // rounding of pi/180
	if d := cmp.Diff(home, p.Poses[0], near); d != "" {
		t.Errorf("home: %s", d)
	}
	for i, want := range []float64{0, -30, 60, 0, 60, 0} {
		if got := p.Poses[0].Written(i); !(math.Abs(got-want) <= 1e-12) {
			t.Errorf("Written(%d) = %v, want %v", i, got, want)
		}
	}
	rimB := Pose{Name: "rim-b", Pos: at(12, 3), Frame: refAt("base", 13, 5),
		XYZ: kin.Vec{X: 350, Y: 50, Z: 200.5}, RPY: kin.Vec{X: math.Pi, Z: math.Pi / 4},
		Config: &kin.Config{Back: true, Down: true, Flipped: true}}
	rimB.Place = kin.Pose{T: rimB.XYZ, R: kin.FromRPY(math.Pi, 0, math.Pi/4)}
	if d := cmp.Diff(rimB, p.Poses[4], near); d != "" {
		t.Errorf("rim-b: %s", d)
	}
	if got := p.Poses[2].Config; got == nil || *got != (kin.Config{}) {
		t.Errorf("grip: config = %v, want front, up, plain", got)
	}
	if got := p.Poses[1].Frame; got != refAt("rack", 9, 56) {
		t.Errorf("over: frame = %v", got)
	}
	frame := TaughtFrame{"rack", at(24, 10), refAt("r0", 24, 25), refAt("r1", 24, 38), refAt("r2", 24, 52)}
	if d := cmp.Diff([]TaughtFrame{frame}, p.Frames); d != "" {
		t.Errorf("frames: %s", d)
	}
	if len(p.Tools) != 1 || len(p.Tools[0].Touches) != 4 || p.Tools[0].Touches[3] != refAt("t4", 25, 39) {
		t.Errorf("tools = %+v", p.Tools)
	}
	steps := []Step{
		{Pos: at(29, 5), To: refAt("home", 29, 10), Speed: Speed{Share: 0.2}, SpeedPos: at(29, 36), EndPos: at(29, 47)},
		{Pos: at(30, 5), To: refAt("over", 30, 10), Speed: Speed{Share: 0.3}, SpeedPos: at(30, 36), EndPos: at(30, 47), FlyBy: 20},
		{Pos: at(34, 5), To: refAt("grip", 34, 10), Path: Line, Speed: Speed{MMS: 80}, SpeedPos: at(34, 35), EndPos: at(34, 49)},
		{Kind: Set, Pos: at(35, 5), Signals: []Signal{{"vacuum", true, at(35, 12)}, {"lamp", false, at(35, 24)}}},
		{Kind: Wait, Pos: at(36, 5), Signals: []Signal{{"part-held", true, at(36, 13)}}, AtMost: 2},
		{Pos: at(37, 5), To: refAt("over", 37, 9), Path: Line, Speed: Speed{MMS: 80}, SpeedPos: at(39, 12), EndPos: at(40, 10)},
		{Pos: at(41, 5), To: refAt("rim-b", 41, 10), Through: refAt("rim-a", 41, 26), Path: Arc, Speed: Speed{MMS: 100},
			SpeedPos: at(41, 51), EndPos: at(41, 66), FlyBy: 5},
		{Kind: Pause, Pos: at(42, 5), Pause: 0.5},
		{Kind: SelectTool, Pos: at(43, 5), Tool: refAt("probe", 43, 12)},
		{Kind: Repeat, Pos: at(44, 5), Times: 4, Shift: Shift{refAt("rack", 45, 20), kin.Vec{Z: 12}}, Steps: []Step{
			{Pos: at(47, 9), To: refAt("over", 47, 14), Speed: Speed{Share: 1}, SpeedPos: at(47, 40), EndPos: at(47, 52)},
			{Kind: Repeat, Pos: at(49, 9), Times: 2, Steps: []Step{
				{Kind: Wait, Pos: at(49, 29), Signals: []Signal{{"part-held", false, at(49, 37)}}},
				{Kind: Pause, Pos: at(49, 55), Pause: 1},
			}},
		}},
		{Kind: Call, Pos: at(50, 5), Call: refAt("retreat", 50, 12)},
	}
	if d := cmp.Diff(steps, p.Steps); d != "" {
		t.Errorf("steps (-want +got): %s", d)
	}
	if r := p.Routines[0]; r.Name != "retreat" || r.Pos != at(53, 3) || len(r.Steps) != 2 {
		t.Errorf("routine = %+v", r)
	}
}

const (
	head     = "posework: program/1\nposes: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 1]}}\n"
	go2a     = "{to: a, path: joint, speed: 20 %, end: stop}"
	onlyStep = "steps: [" + go2a + "]\n"
)

// TestMistakes pins the message of every mistake that a program can hold.
func TestMistakes(t *testing.T) {
	pose := func(s string) string {
		return "posework: program/1\nposes: {a: {axes: [0, 0, 0, 0, 0, 0]}, p: " + s + "}\n" + onlyStep
	}
	do := func(s string) string { return head + "steps:\n- " + s + "\n" }
	tests := []struct{ name, in, want string }{
		{"empty", "", "f:1:1: the file is empty; write its first key"},
		{"another file", "posework: arm/1\n" + onlyStep, `f:1:11: this file is marked "arm/1", but a program file is needed; write "posework: program/1", or hand in another file`},
		{"unknown key", head + "speed: 20 %\n" + onlyStep, `f:3:1: unknown key "speed" in the file; known here: posework, title, tool, poses, frames, tools, steps, routines`},
		{"no steps key", head, `f:1:1: the file has no "steps"; add "steps: ..."`},
		{"steps is text", head + "steps: none\n", `f:3:8: steps is "none", but a list is needed; write the items in [ ] or one a line after "- "`},
		{"no steps", head + "steps: []\n", `f:3:8: the program has no steps; add a step such as "- {to: home, path: joint, speed: 20 %, end: stop}"`},

		{"pose of nothing", pose("{}"), "f:2:43: the pose p has neither axes nor xyz and rpy; write {axes: [six angles]} or {xyz: [...], rpy: [...]}"},
		{"pose misspelt", pose("{axis: [0, 0, 0, 0, 0, 0]}"), `f:2:44: unknown key "axis" in p; did you mean "axes"?`},
		{"pose twice", pose("{axes: [0, 0, 0, 0, 0, 0], xyz: [0, 0, 0], frame: base}"), "f:2:75: xyz stands beside axes, which give the whole pose already; delete one of the two\nf:2:93: frame stands beside axes, which give the whole pose already; delete one of the two"},
		{"five axes", pose("{axes: [0, 0, 0, 0, 0]}"), "f:2:50: axes has 5 values, but 6 are needed; write 6"},
		{"no rpy", pose("{xyz: [0, 0, 0]}"), `f:2:43: p has no "rpy"; add "rpy: ..."`},
		{"not finite", pose("{xyz: [0, .nan, 0], rpy: [0, 0, .inf]}"), "f:2:53: item 2 of xyz: \".nan\" is not a number that can be reckoned with; write a finite number\nf:2:75: item 3 of rpy: \".inf\" is infinite; write a finite number"},
		{"config words", pose("{xyz: [0, 0, 0], rpy: [0, 0, 0], config: [front, upp, flat]}"), "f:2:92: item 2 of config is \"upp\", but must be one of up, down; did you mean \"up\"?\nf:2:97: item 3 of config is \"flat\", but must be one of plain, flipped; write one of plain, flipped"},
		{"config short", pose("{xyz: [0, 0, 0], rpy: [0, 0, 0], config: [front]}"), "f:2:84: config has 1 value, but 3 are needed; write 3"},
		{"pose name", "posework: program/1\nposes: {over rack: {axes: [0, 0, 0, 0, 0, 0]}}\n" + onlyStep, "f:2:9: the name \"over rack\" contains ' '; use letters a to z, digits, - and _"},
		{"pose given twice", "posework: program/1\nposes:\n  a: {axes: [0, 0, 0, 0, 0, 0]}\n  a: {axes: [0, 0, 0, 0, 0, 1]}\n" + onlyStep, `f:4:3: the key "a" stands here twice, first in line 3; keep one of the two`},

		{"frame named base", head + "frames: {base: {origin: a, along-x: b, in-plane: a}}\n" + onlyStep, `f:3:10: the frame name "base" is taken: it is a frame of every cell; choose another name`},
		{"frame half taught", head + "frames: {r: {origin: a, along-x: b}}\n" + onlyStep, `f:3:13: r has no "in-plane"; add "in-plane: ..."`},
		{"frame from two poses", head + "frames: {r: {origin: a, along-x: b, in-plane: a}}\n" + onlyStep, "f:3:10: the frame r is taught by one pose twice; teach three poses that do not lie on one line"},
		{"frame from unknown pose", head + "frames: {r: {origin: a, along-x: b, in-plane: c}}\n" + onlyStep, `f:3:47: no pose is named "c"; add it to poses`},
		{"frame by itself", "posework: program/1\nposes: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 1]}, c: {xyz: [0, 0, 0], rpy: [0, 0, 0], frame: r}}\nframes: {r: {origin: a, along-x: b, in-plane: c}}\n" + onlyStep,
			`f:3:47: the frame r is taught by itself: the pose "c" is written in the frame r; teach the frame by poses in base or by axes`},
		{"frames by each other", "posework: program/1\nposes: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 1]}, c: {xyz: [0, 0, 0], rpy: [0, 0, 0], frame: s}, d: {xyz: [0, 0, 0], rpy: [0, 0, 0], frame: r}}\nframes: {r: {origin: a, along-x: b, in-plane: c}, s: {origin: d, along-x: b, in-plane: a}}\n" + onlyStep,
			`f:3:63: the frame s is taught by itself: the pose "d" is written in the frame r; teach the frame by poses in base or by axes`},
		{"three touches", head + "tools: {probe: {touches: [a, b, a]}}\n" + onlyStep, "f:3:26: the tool probe is taught by 3 poses, but at least 4 are needed; touch the point with more orientations"},
		{"touch unknown", head + "tools: {probe: {touches: [a, b, a, x1]}}\n" + onlyStep, `f:3:36: no pose is named "x1"; add it to poses`},

		{"step of nothing", do("{}"), "f:4:3: this step does nothing; write one of to, set, wait, pause, repeat, call, tool, payload"},
		{"step is text", do("home"), `f:4:3: item 1 of steps is "home", but a mapping is needed; write "key: value" lines or {key: value}`},
		{"step misspelt", do("{pauze: 1 s}"), `f:4:4: unknown key "pauze" in item 1 of steps; did you mean "pause"?`},
		{"two things", do("{to: a, path: joint, speed: 20 %, end: stop, pause: 1 s}"), "f:4:3: a step does one thing, but this one has to and pause; make two steps of it"},
		{"move misspelt", do("{too: a, path: joint, speed: 20 %, end: stop}"), `f:4:4: unknown key "too" in item 1 of steps; did you mean "to"?`},
		{"move without all", do("{to: a}"), "f:4:3: item 1 of steps has no \"end\"; add \"end: ...\"\nf:4:3: item 1 of steps has no \"path\"; add \"path: ...\"\nf:4:3: item 1 of steps has no \"speed\"; add \"speed: ...\""},
		{"unknown pose", do("{to: aa, path: joint, speed: 20 %, end: stop}"), `f:4:8: no pose is named "aa"; add it to poses`},
		{"unknown path", do("{to: a, path: straight, speed: 20 %, end: stop}"), `f:4:17: path is "straight", but must be one of joint, line, arc; write one of joint, line, arc`},
		{"arc without through", do("{to: a, path: arc, speed: 20 mm/s, end: stop}"), `f:4:3: item 1 of steps has no "through"; add "through: ..."`},
		{"arc through its end", do("{to: a, through: a, path: arc, speed: 20 mm/s, end: stop}"), `f:4:20: the arc runs through "a", where it ends; name a third pose between the two ends`},
		{"line through", do("{to: a, through: b, path: line, speed: 20 mm/s, end: stop}"), "f:4:20: only an arc runs through a pose, but the path is line; write path: arc, or delete it"},
		{"speed without unit", do("{to: a, path: line, speed: 150, end: stop}"), "f:4:30: speed is 150 without a unit; write 150 mm/s or 150 %"},
		{"percent on a line", do("{to: a, path: line, speed: 20 %, end: stop}"), "f:4:30: the speed of a line is that of the tool: 20 % of the axis speeds says nothing about it; write the speed of the tool centre point, such as 100 mm/s"},
		{"percent on an arc", do("{to: a, through: b, path: arc, speed: 20 %, end: stop}"), "f:4:41: the speed of an arc is that of the tool: 20 % of the axis speeds says nothing about it; write the speed of the tool centre point, such as 100 mm/s"},
		{"mm/s on a joint move", do("{to: a, path: joint, speed: 20 mm/s, end: stop}"), "f:4:31: a joint move has no set tool speed, since all axes turn at once: 20 mm/s can't be promised; write a share of the rated axis speeds, such as 20 %"},
		{"no speed", do("{to: a, path: joint, speed: 0 %, end: stop}"), "f:4:31: speed is 0 %, but must be more than 0; write more than 0, at most 100 %"},
		{"too many percent", do("{to: a, path: joint, speed: 100.1 %, end: stop}"), "f:4:31: speed is 100.1 %, but the most that can be written is 100 %; write at most 100 %"},
		{"back", do("{to: a, path: line, speed: -5 mm/s, end: stop}"), "f:4:30: speed is -5 mm/s, but must be more than 0; write more than 0, at most 5000 mm/s"},
		{"too fast", do("{to: a, path: line, speed: 5001 mm/s, end: stop}"), "f:4:30: speed is 5001 mm/s, but the most that can be written is 5000 mm/s; write at most 5000 mm/s"},
		{"end misspelt", do("{to: a, path: line, speed: 5 mm/s, end: stopp}"), `f:4:43: end is "stopp", but must be one of stop, fly-by 20 mm; did you mean "stop"?`},
		{"fly-by alone", do("{to: a, path: line, speed: 5 mm/s, end: fly-by}"), `f:4:43: the end "fly-by" is neither a stop nor a fly-by with a distance; write stop, or fly-by with a distance such as fly-by 20 mm`},
		{"end of many words", do("{to: a, path: line, speed: 5 mm/s, end: round the corner by twenty-two millimetres}"), `f:4:43: the end "round the corner by twenty-two millimetr..." is neither a stop nor a fly-by with a distance; write stop, or fly-by with a distance such as fly-by 20 mm`},
		{"fly-by without unit", do("{to: a, path: line, speed: 5 mm/s, end: fly-by 20}"), "f:4:50: end is 20 without a unit; write 20 mm"},
		{"fly-by of nothing", do("{to: a, path: line, speed: 5 mm/s, end: fly-by 0 mm}"), "f:4:50: a fly-by of 0 mm passes no corner; write stop, or a distance of more than 0 mm"},
		{"fly-by too far", do("{to: a, path: line, speed: 5 mm/s, end: fly-by 1001 mm}"), "f:4:50: a fly-by of 1001 mm is more than 1000 mm, the most that can be written; write at most 1000 mm"},
		{"end is a list", do("{to: a, path: line, speed: 5 mm/s, end: [stop]}"), "f:4:43: end is a list, but a text is needed; write a text, in quotes if need be"},

		{"set nothing", do("{set: {}}"), "f:4:9: no signal is named; write {signal: on}"},
		{"set a word", do("{set: vacuum}"), `f:4:9: set is "vacuum", but a mapping is needed; write "key: value" lines or {key: value}`},
		{"set yes", do("{set: {vacuum: yes}}"), `f:4:18: vacuum is "yes", but must be on or off; write on`},
		{"wait for nothing", do("{wait: {at-most: 2 s}}"), "f:4:10: the wait names no signal; write {signal: on, at-most: 2 s}"},
		{"wait for two", do("{wait: {x: on, y: on}}"), "f:4:10: the wait names 2 signals, but waits for one; wait for one after the other"},
		{"wait without unit", do("{wait: {x: on, at-most: 2}}"), "f:4:27: at-most is 2 without a unit; write 2 s"},
		{"wait for ever", do("{wait: {x: on, at-most: 3601 s}}"), "f:4:27: at-most is 3601 s, but the most that can be written is 3600 s; write at most 3600 s"},
		{"pause back", do("{pause: -1 s}"), "f:4:11: pause is -1 s, but must be more than 0; write more than 0, at most 3600 s"},
		{"repeat half", do("{repeat: 1.5, steps: [{pause: 1 s}]}"), `f:4:12: repeat: "1.5" is not a whole number; write a whole number`},
		{"repeat never", do("{repeat: 0, steps: [{pause: 1 s}]}"), "f:4:12: repeat is 0, but must be from 1 to 1000; write a whole number from 1 to 1000"},
		{"repeat nothing", do("{repeat: 2, steps: []}"), "f:4:3: the repeat has no steps; add a step or delete the repeat"},
		{"repeat without steps", do("{repeat: 2}"), `f:4:3: item 1 of steps has no "steps"; add "steps: ..."`},
		{"shift without by", do("{repeat: 2, shift: {frame: rack}, steps: [{pause: 1 s}]}"), `f:4:22: shift has no "by"; add "by: ..."`},
		{"payload without centre", do("{payload: {mass: 2 kg}}"), `f:4:13: payload has no "at"; add "at: ..."`},
		{"payload without unit", do("{payload: {mass: 2, at: [0, 0, 50]}}"), "f:4:20: mass is 2 without a unit; write 2 kg"},
		{"payload below nothing", do("{payload: {mass: -2 kg, at: [0, 0, 50]}}"), "f:4:20: mass is -2 kg, but must be from 0 to 10000 kg; write 0 to 10000 kg"},
		{"payload far away", do("{payload: {mass: 2 kg, at: [0, 0, 10001]}}"), "f:4:30: at lies 10001 mm from the flange, but the most that can be written is 10000 mm; write at most 10000 mm"},
		{"payload of one number", do("{payload: {mass: 2 kg, at: 50}}"), `f:4:30: at is "50", but a list is needed; write the items in [ ] or one a line after "- "`},
		{"unknown routine", do("{call: retraet}") + "routines: {retreat: [{pause: 1 s}]}\n", `f:4:10: no routine is named "retraet"; did you mean "retreat"?`},
		{"no routine", do("{call: retreat}"), `f:4:10: no routine is named "retreat"; add it to routines`},
		{"routine of nothing", head + onlyStep + "routines: {retreat: []}\n", "f:4:12: the routine retreat has no steps; add a step or delete the routine"},
		{"routine calls itself", head + onlyStep + "routines: {r: [{call: r}]}\n", "f:4:23: the routine r calls itself and would never end: r -> r; use repeat to do steps again"},
		{"ring of routines", do("{call: x}") + "routines: {x: [{call: y}], y: [{repeat: 2, steps: [{call: z}]}], z: [{pause: 1 s}, {call: y}]}\n", "f:5:91: the routine y calls itself and would never end: y -> z -> y; use repeat to do steps again"},
		{"long ring", do("{call: q1}") + "routines: {q1: [{call: q2}], q2: [{call: q3}], q3: [{call: q4}], q4: [{call: q5}], q5: [{call: q6}], q6: [{call: q1}]}\n", "f:5:114: the routine q1 calls itself and would never end: q1 -> q2 -> q3 -> ... -> q6 -> q1; use repeat to do steps again"},
		{"too many steps", do("{repeat: 1000, steps: [{repeat: 10, steps: [{pause: 1 s}]}]}"), "f:4:3: the program runs more than 10000 steps, the most that are read, when repeats and calls are written out; repeat less often or split the program"},
		{"far too many steps", do("{call: r9}") + bomb(), "f:4:3: the program runs more than 10000 steps, the most that are read, when repeats and calls are written out; repeat less often or split the program"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p, l := Read("f", []byte(tt.in))
			if got := l.Error(); got != tt.want {
				t.Errorf("Read reports\n%s\nwant\n%s", got, tt.want)
			}
			if p != nil {
				t.Error("Read returned a program")
			}
		})
	}
}

// bomb is ten routines each of which calls the one before it 1,000 times: 10^30
// steps in all.
func bomb() string {
	var b strings.Builder
	b.WriteString("routines:\n  r0: [{pause: 1 s}]\n")
	for c := '1'; c <= '9'; c++ {
		b.WriteString("  r" + string(c) + ": [{repeat: 1000, steps: [{call: r" + string(c-1) + "}]}]\n")
	}
	return b.String()
}

// TestLimitsAreInclusive reads programs exactly at each limit.
func TestLimitsAreInclusive(t *testing.T) {
	do := func(s string) string { return head + "steps:\n- " + s + "\n" }
	for _, in := range []string{
		do("{to: a, path: joint, speed: 100 %, end: fly-by 1000 mm}"),
		do("{to: a, path: line, speed: 5000 mm/s, end: stop}"),
		do("{pause: 3600 s}"),
		// 1 + 9999: the repeat itself and nine steps in 1,000 rounds, one apart.
		head + "steps:\n- {repeat: 999, steps: [" + strings.Repeat("{pause: 1 s},", 10) + "]}\n" + strings.Repeat("- {pause: 1 s}\n", 9),
	} {
		if _, l := Read("f", []byte(in)); len(l) > 0 {
			t.Errorf("Read reports %v", l)
		}
	}
	over := head + "steps:\n- {repeat: 999, steps: [" + strings.Repeat("{pause: 1 s},", 10) + "]}\n" + strings.Repeat("- {pause: 1 s}\n", 10)
	if _, l := Read("f", []byte(over)); len(l) != 1 || l[0].Code != "P015" {
		t.Errorf("one step over the limit: Read reports %v", l)
	}
}

// TestCodes holds the table to order, and every code to an example in
// TestMistakes or its like.
func TestCodes(t *testing.T) {
	last := ""
	for _, c := range Codes {
		if c.ID <= last || c.Title == "" || c.Meaning == "" || c.Bad == "" || c.Good == "" {
			t.Errorf("code %+v is out of order or not whole", c)
		}
		last = c.ID
	}
}

// TestMalformed pins what a learner sees of files that are broken in the ways
// that a course meets: one message each, with its place.
func TestMalformed(t *testing.T) {
	step := func(s string) string { return head + "steps:\n  - " + s + "\n" }
	tests := []struct{ name, in, want string }{
		{"unknown key", step("{to: a, path: joint, speeed: 20 %, end: stop}"), `pick.yaml:4:26: unknown key "speeed" in item 1 of steps; did you mean "speed"?`},
		{"missing unit", step("{to: a, path: line, speed: 80, end: stop}"), "pick.yaml:4:32: speed is 80 without a unit; write 80 mm/s or 80 %"},
		{"not a number", strings.Replace(step("{to: a, path: joint, speed: 20 %, end: stop}"), "[0, 0, 0, 0, 0, 1]", "[0, 0, NaN, 0, 0, 1]", 1), `pick.yaml:2:57: item 3 of axes: "NaN" is not a number that can be reckoned with; write a finite number`},
		{"empty", "", "pick.yaml:1:1: the file is empty; write its first key"},
		{"10 MB of junk", strings.Repeat("\x00junk", 2<<20), "pick.yaml:1:1: the file is larger than 256 kB, the greatest size that is read; split it or delete what it does not need"},
		{"1,000-deep nesting", head + "steps: " + strings.Repeat("[", 1000) + strings.Repeat("]", 1000), "pick.yaml:3:68: lists and mappings are nested deeper than 60, the greatest depth that is read; write it flatter"},
		{"alias bomb", "a: &a [x, x]\nb: &b [*a, *a, *a]\nc: &c [*b, *b, *b]\n", "pick.yaml:1:4: anchors (&name) are not read; delete the anchor, and write the value again where it was used"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p, l := Read("pick.yaml", []byte(tt.in))
			if got := l.Error(); got != tt.want || p != nil {
				t.Errorf("Read reports\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}

// TestCodeExamples reads the examples of the table: each bad one raises its code
// and no other, each good one none.
func TestCodeExamples(t *testing.T) {
	const poses = "a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 1]}, r0: {axes: [0, 0, 0, 0, 0, 2]}, r1: {axes: [0, 0, 0, 0, 0, 3]}, r2: {axes: [0, 0, 0, 0, 0, 4]}, " +
		"t1: {axes: [0, 0, 0, 0, 0, 5]}, t2: {axes: [0, 0, 0, 0, 0, 6]}, t3: {axes: [0, 0, 0, 0, 0, 7]}, t4: {axes: [0, 0, 0, 0, 0, 8]}, "
	whole := func(ex string) string {
		ex = strings.ReplaceAll(ex, "[...]", "[{pause: 1 s}]")
		var extra, section string
		if !strings.HasPrefix(ex, "home:") {
			extra += "home: {axes: [0, 0, 0, 0, 0, 9]}, "
		}
		if !strings.HasPrefix(ex, "over:") {
			extra += "over: {axes: [0, 0, 0, 0, 0, 10]}, "
		}
		switch key, _, _ := strings.Cut(ex, ":"); {
		case strings.HasPrefix(ex, "- "):
			section = "steps:\n" + ex
		case key == "home" || key == "over":
			extra += ex
		case key == "speed":
			section = "steps: [{to: home, path: line, end: stop, " + ex + "}]"
		case key == "end":
			section = "steps: [{to: home, path: joint, speed: 20 %, " + ex + "}]"
		default:
			section = ex
		}
		if !strings.HasPrefix(section, "steps") {
			section += "\nsteps: [{pause: 1 s}]"
		}
		if !strings.Contains(section, "routines") {
			section += "\nroutines: {retreat: [{pause: 1 s}]}"
		}
		return "posework: program/1\nposes: {" + poses + extra + "}\n" + section + "\n"
	}
	for _, c := range Codes {
		_, l := Read("f", []byte(whole(c.Bad)))
		for _, d := range l {
			if d.Code != c.ID {
				t.Errorf("%s: the bad example raises %s: %v", c.ID, d.Code, d)
			}
		}
		if len(l) == 0 {
			t.Errorf("%s: the bad example is read", c.ID)
		}
		if _, l := Read("f", []byte(whole(c.Good))); len(l) > 0 {
			t.Errorf("%s: the good example raises %v", c.ID, l)
		}
	}
}
