package program

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"posework/kin"
)

func open(t *testing.T, text string) *File {
	t.Helper()
	f, l := Open("f", []byte(text))
	if len(l) > 0 {
		t.Fatalf("Open reports %v for\n%s", l, text)
	}
	return f
}

// TestUnchanged holds an open file without edits to its bytes.
func TestUnchanged(t *testing.T) {
	full, err := os.ReadFile("testdata/full.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range [][]byte{
		full,
		bytes.ReplaceAll(full, []byte("\n"), []byte("\r\n")),
		append([]byte("\ufeff"), full...),
		bytes.TrimRight(full, "\n"),
		[]byte("{posework: program/1, steps: []}"),
	} {
		f := open(t, string(text))
		if got := f.Bytes(); !bytes.Equal(got, text) {
			t.Errorf("Bytes differ from what was opened:\n%s", got)
		}
	}
}

// TestEdits pins the whole text after each kind of edit. The head of the file,
// the mark, is left out on both sides.
func TestEdits(t *testing.T) {
	pause := &Step{Kind: Pause, Pause: 1}
	goA := &Step{To: Ref{Name: "a"}, Speed: Speed{Share: 0.2}}
	axes := func(name string, last float64) *Pose {
		return &Pose{Name: name, ByAxes: true, Axes: kin.Joints{5: kin.Rad(last)}}
	}
	place := func(name string) *Pose {
		return &Pose{Name: name, XYZ: kin.Vec{X: 1, Y: 2, Z: 3.5}, RPY: kin.Vec{X: kin.Rad(180)}, Frame: Ref{Name: "rack"}, Config: &kin.Config{Down: true}}
	}
	loop := &Step{Kind: Repeat, Times: 2, Steps: []Step{*pause, {Kind: Call, Call: Ref{Name: "r"}}}}
	const routine = "routines: {r: [{pause: 3 s}]}\n"
	tests := []struct {
		name, in string
		edit     func(f *File) (*File, error)
		want     string
	}{
		{"title", "title: old   # note\nsteps: []\n",
			func(f *File) (*File, error) { return f.SetTitle("Lift: it's #1") },
			"title: \"Lift: it's #1\"   # note\nsteps: []\n"},
		{"title, long", "title: |\n  old\n  one\n# c\nsteps: []\n",
			func(f *File) (*File, error) { return f.SetTitle("new") },
			"title: new\n# c\nsteps: []\n"},
		{"title, new", "tool: cup\nsteps: []\n",
			func(f *File) (*File, error) { return f.SetTitle("Söap") },
			"title: Söap\ntool: cup\nsteps: []\n"},
		{"title, none", "title: old # note\ntool: cup\nsteps: []\n",
			func(f *File) (*File, error) { return f.SetTitle("") },
			"tool: cup\nsteps: []\n"},
		{"tool, new", "title: a  # note\n\n# c\nsteps: []\n",
			func(f *File) (*File, error) { return f.SetTool("cup") },
			"title: a  # note\ntool: cup\n\n# c\nsteps: []\n"},
		{"tool, none to delete", "steps: []\n",
			func(f *File) (*File, error) { return f.SetTool("") }, "steps: []\n"},

		{"first pose", "title: a\n# c\nsteps: []\n",
			func(f *File) (*File, error) { return f.PutPose(axes("home", 30)) },
			"title: a\nposes:\n  home: {axes: [0, 0, 0, 0, 0, 30]}\n# c\nsteps: []\n"},
		{"another pose", "poses:\n  # taught\n  a: {axes: [0, 0, 0, 0, 0, 0]}  # note\n\nsteps: []\n",
			func(f *File) (*File, error) { return f.PutPose(place("over")) },
			"poses:\n  # taught\n  a: {axes: [0, 0, 0, 0, 0, 0]}  # note\n  over: {xyz: [1, 2, 3.5], rpy: [180, 0, 0], frame: rack, config: [front, down, plain]}\n\nsteps: []\n"},
		{"pose in brackets", "poses: {a: {axes: [0, 0, 0, 0, 0, 0]}} # note\nsteps: []\n",
			func(f *File) (*File, error) { return f.PutPose(axes("b", 1)) },
			"poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 1]}} # note\nsteps: []\n"},
		{"pose in empty brackets", "poses: { }\nsteps: []\n",
			func(f *File) (*File, error) { return f.PutPose(axes("b", 1)) },
			"poses: {b: {axes: [0, 0, 0, 0, 0, 1]}}\nsteps: []\n"},
		{"pose in brackets over lines", "poses: {\n  a: {axes: [0, 0, 0, 0, 0, 0]}, # one\n  b: {axes: [0, 0, 0, 0, 0, 0]}  # two\n}\nsteps: []\n",
			func(f *File) (*File, error) { return f.PutPose(axes("c", 1)) },
			"poses: {\n  a: {axes: [0, 0, 0, 0, 0, 0]}, # one\n  b: {axes: [0, 0, 0, 0, 0, 0]},\n  c: {axes: [0, 0, 0, 0, 0, 1]}  # two\n}\nsteps: []\n"},
		{"pose taught anew", "poses:\n  a:   {axes: [0,  0,  0, 0, 0, 0]}  # note\nsteps: []\n",
			func(f *File) (*File, error) { return f.PutPose(axes("a", 30)) },
			"poses:\n  a:   {axes: [0, 0, 0, 0, 0, 30]}  # note\nsteps: []\n"},
		{"pose unchanged", "poses:\n  a:   {axes: [0,  0,  0, 0, 0, 0.0]}  # note\nsteps: []\n",
			func(f *File) (*File, error) { return f.PutPose(axes("a", 0)) },
			"poses:\n  a:   {axes: [0,  0,  0, 0, 0, 0.0]}  # note\nsteps: []\n"},
		{"axes to place", "poses:\n  a:\n    # by hand\n    axes: [0, 0, 0, 0, 0, 0] # note\nsteps: []\n",
			func(f *File) (*File, error) { return f.PutPose(place("a")) },
			"poses:\n  a:\n    # by hand\n    xyz: [1, 2, 3.5]\n    rpy: [180, 0, 0]\n    frame: rack\n    config: [front, down, plain]\nsteps: []\n"},
		{"place to axes", "poses: {a: {xyz: [0, 0, 0], rpy: [0, 0, 0], frame: rack}}\nsteps: []\n",
			func(f *File) (*File, error) { return f.PutPose(axes("a", 1)) },
			"poses: {a: {axes: [0, 0, 0, 0, 0, 1]}}\nsteps: []\n"},
		{"config only", "poses:\n  a: {frame: rack, rpy: [180, 0, 0], xyz: [1, 2, 3.5]}\nsteps: []\n",
			func(f *File) (*File, error) { return f.PutPose(place("a")) },
			"poses:\n  a: {frame: rack, rpy: [180, 0, 0], xyz: [1, 2, 3.5], config: [front, down, plain]}\nsteps: []\n"},
		{"delete pose", "poses:\n  a: {axes: [0, 0, 0, 0, 0, 0]}\n  # c\n  b: {axes: [0, 0, 0, 0, 0, 0]} # gone\nsteps: []\n",
			func(f *File) (*File, error) { return f.DeletePose("b") },
			"poses:\n  a: {axes: [0, 0, 0, 0, 0, 0]}\n  # c\nsteps: []\n"},
		{"delete the last pose", "poses:\n  # c\n  b: {axes: [0, 0, 0, 0, 0, 0]}\nsteps: []\n",
			func(f *File) (*File, error) { return f.DeletePose("b") },
			"steps: []\n"},
		{"rename pose", "poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {xyz: [0, 0, 0], rpy: [0, 0, 0]}, c: {xyz: [9, 0, 0], rpy: [0, 0, 0]}, d: {xyz: [0, 9, 0], rpy: [0, 0, 0]}}\nframes: {f: {origin: b, along-x: c, in-plane: d}}\ntools: {t: {touches: [a, b, c, b]}}\ntool: b\nsteps:\n- {to: \"b\", path: joint, speed: 1 %, end: stop} # to b\n- repeat: 2\n  steps: [{to: c, through: b, path: arc, speed: 1 mm/s, end: stop}]\n- {set: {b: on}}\n- {call: b}\nroutines: {b: [{to: b, path: joint, speed: 1 %, end: stop}]}\n",
			func(f *File) (*File, error) { return f.RenamePose("b", "rim-1") },
			"poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, rim-1: {xyz: [0, 0, 0], rpy: [0, 0, 0]}, c: {xyz: [9, 0, 0], rpy: [0, 0, 0]}, d: {xyz: [0, 9, 0], rpy: [0, 0, 0]}}\nframes: {f: {origin: rim-1, along-x: c, in-plane: d}}\ntools: {t: {touches: [a, rim-1, c, rim-1]}}\ntool: b\nsteps:\n- {to: rim-1, path: joint, speed: 1 %, end: stop} # to b\n- repeat: 2\n  steps: [{to: c, through: rim-1, path: arc, speed: 1 mm/s, end: stop}]\n- {set: {b: on}}\n- {call: b}\nroutines: {b: [{to: rim-1, path: joint, speed: 1 %, end: stop}]}\n"},
		{"teach a frame", "poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}, c: {axes: [0, 0, 0, 0, 0, 0]}}\nsteps: []\n",
			func(f *File) (*File, error) {
				return f.PutFrame(&TaughtFrame{Name: "rack", Origin: Ref{Name: "a"}, AlongX: Ref{Name: "b"}, InPlan: Ref{Name: "c"}})
			},
			"poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}, c: {axes: [0, 0, 0, 0, 0, 0]}}\nframes:\n  rack: {origin: a, along-x: b, in-plane: c}\nsteps: []\n"},
		{"teach a frame anew", "poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}, c: {axes: [0, 0, 0, 0, 0, 0]}}\nframes: {rack: {origin: b, in-plane: c, along-x: a}}\nsteps: []\n",
			func(f *File) (*File, error) {
				return f.PutFrame(&TaughtFrame{Name: "rack", Origin: Ref{Name: "a"}, AlongX: Ref{Name: "b"}, InPlan: Ref{Name: "c"}})
			},
			"poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}, c: {axes: [0, 0, 0, 0, 0, 0]}}\nframes: {rack: {origin: a, in-plane: c, along-x: b}}\nsteps: []\n"},
		{"forget a frame", "poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}, c: {axes: [0, 0, 0, 0, 0, 0]}}\nframes: {rack: {origin: b, in-plane: c, along-x: a}}\nsteps: []\n",
			func(f *File) (*File, error) { return f.DeleteFrame("rack") },
			"poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}, c: {axes: [0, 0, 0, 0, 0, 0]}}\nsteps: []\n"},
		{"teach a tool", "poses: {a: {axes: [0, 0, 0, 0, 0, 0]}}\nsteps: []\n",
			func(f *File) (*File, error) {
				return f.PutTool(&TaughtTool{Name: "tip", Touches: []Ref{{Name: "a"}, {Name: "a"}, {Name: "a"}, {Name: "a"}}})
			},
			"poses: {a: {axes: [0, 0, 0, 0, 0, 0]}}\ntools:\n  tip: {touches: [a, a, a, a]}\nsteps: []\n"},
		{"forget one of two tools", "poses: {a: {axes: [0, 0, 0, 0, 0, 0]}}\ntools: {t: {touches: [a, a, a, a]}, u: {touches: [a, a, a, a]}}\nsteps: []\n",
			func(f *File) (*File, error) { return f.DeleteTool("t") },
			"poses: {a: {axes: [0, 0, 0, 0, 0, 0]}}\ntools: {u: {touches: [a, a, a, a]}}\nsteps: []\n"},

		{"first step", "steps: []   # none yet\n# c\n" + routine,
			func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{0}}, pause) },
			"steps:   # none yet\n  - {pause: 1 s}\n# c\n" + routine},
		{"first step in brackets", "routines: {q: [], r: [{pause: 3 s}]}\nsteps: [{pause: 2 s}]\n",
			func(f *File) (*File, error) { return f.InsertStep(At{"q", []int{0}}, loop) },
			"routines: {q: [{repeat: 2, steps: [{pause: 1 s}, {call: r}]}], r: [{pause: 3 s}]}\nsteps: [{pause: 2 s}]\n"},
		{"first, before a comment", "steps:\n# c\n- {pause: 2 s}\n",
			func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{0}}, pause) },
			"steps:\n- {pause: 1 s}\n# c\n- {pause: 2 s}\n"},
		{"between", "steps:\n  - {pause: 2 s}  # two\n\n  # four\n  - {pause: 4 s}\n",
			func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{1}}, pause) },
			"steps:\n  - {pause: 2 s}  # two\n\n  - {pause: 1 s}\n  # four\n  - {pause: 4 s}\n"},
		{"last, a repeat", "steps:\n  - {pause: 2 s}  # two\n    # deeper\n# c\n" + routine,
			func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{1}}, loop) },
			"steps:\n  - {pause: 2 s}  # two\n    # deeper\n  - repeat: 2\n    steps:\n      - {pause: 1 s}\n      - {call: r}\n# c\n" + routine},
		{"last, no line end", "steps:\n- {pause: 2 s}",
			func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{1}}, pause) },
			"steps:\n- {pause: 2 s}\n- {pause: 1 s}"},
		{"in brackets", "steps: [{pause: 2 s}, {pause: 3 s}]\n",
			func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{1}}, pause) },
			"steps: [{pause: 2 s}, {pause: 1 s}, {pause: 3 s}]\n"},
		{"in brackets over lines", "steps: [\n  {pause: 2 s}, # two\n  {pause: 3 s}, # three\n]\n",
			func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{1}}, pause) },
			"steps: [\n  {pause: 2 s}, # two\n  {pause: 1 s},\n  {pause: 3 s}, # three\n]\n"},
		{"in a repeat", "steps:\n  - repeat: 3\n    steps:\n    - {pause: 2 s}\n" + routine,
			func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{0, 1}}, pause) },
			"steps:\n  - repeat: 3\n    steps:\n    - {pause: 2 s}\n    - {pause: 1 s}\n" + routine},
		{"in an empty repeat", "steps:\n  - steps: []\n    repeat: 3\n",
			func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{0, 0}}, pause) },
			"steps:\n  - steps:\n      - {pause: 1 s}\n    repeat: 3\n"},
		{"in an empty repeat in brackets", "steps:\n  - {repeat: 3, steps: []}\n",
			func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{0, 0}}, pause) },
			"steps:\n  - {repeat: 3, steps: [{pause: 1 s}]}\n"},
		{"in a routine", "steps: [{pause: 1 s}]\nroutines:\n  r:\n    - {pause: 2 s}\n",
			func(f *File) (*File, error) { return f.InsertStep(At{"r", []int{0}}, pause) },
			"steps: [{pause: 1 s}]\nroutines:\n  r:\n    - {pause: 1 s}\n    - {pause: 2 s}\n"},

		{"speed", "poses: {a: {axes: [0, 0, 0, 0, 0, 0]}}\nsteps:\n  - {to: a,  path: joint,   speed: 5 %,   end: stop}  # note\n",
			func(f *File) (*File, error) { return f.ReplaceStep(At{Index: []int{0}}, goA) },
			"poses: {a: {axes: [0, 0, 0, 0, 0, 0]}}\nsteps:\n  - {to: a,  path: joint,   speed: 20 %,   end: stop}  # note\n"},
		{"arc to joint over lines", "poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}}\nsteps:\n  - through: b # by b\n    # c\n    to: a\n    end: fly-by 5 mm\n    path: arc # round\n    speed: 5 mm/s\n",
			func(f *File) (*File, error) { return f.ReplaceStep(At{Index: []int{0}}, goA) },
			"poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}}\nsteps:\n  - # c\n    to: a\n    end: stop\n    path: joint # round\n    speed: 20 %\n"},
		{"joint to arc", "poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}}\nsteps:\n  - {to: a, path: joint, speed: 5 %, end: stop} # note\n",
			func(f *File) (*File, error) {
				return f.ReplaceStep(At{Index: []int{0}}, &Step{To: Ref{Name: "a"}, Through: Ref{Name: "b"}, Path: Arc, Speed: Speed{MMS: 7.5}, FlyBy: 2.5})
			},
			"poses: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}}\nsteps:\n  - {to: a, through: b, path: arc, speed: 7.5 mm/s, end: fly-by 2.5 mm} # note\n"},
		{"another kind", "steps:\n  - set: {x: on}   # note\n  - {pause: 2 s}\n" + routine,
			func(f *File) (*File, error) { return f.ReplaceStep(At{Index: []int{0}}, loop) },
			"steps:\n  - repeat: 2\n    steps:\n      - {pause: 1 s}\n      - {call: r}   # note\n  - {pause: 2 s}\n" + routine},
		{"rounds", "steps:\n  - repeat: 3   # note\n    steps:\n      # inner\n      - {pause: 2 s}\n",
			func(f *File) (*File, error) {
				return f.ReplaceStep(At{Index: []int{0}}, &Step{Kind: Repeat, Times: 24, Shift: Shift{Ref{Name: "rack"}, kin.Vec{Z: 12}}})
			},
			"steps:\n  - repeat: 24   # note\n    shift: {frame: rack, by: [0, 0, 12]}\n    steps:\n      # inner\n      - {pause: 2 s}\n"},

		{"delete", "steps:\n  # one\n  - {pause: 1 s}\n  # two\n  - {pause: 2 s} # gone\n\n  # three\n  - {pause: 3 s}\n",
			func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{1}}) },
			"steps:\n  # one\n  - {pause: 1 s}\n  # two\n\n  # three\n  - {pause: 3 s}\n"},
		{"delete the only one", "steps: # c\n  # one\n  - {pause: 1 s}\n# d\n",
			func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{0}}) },
			"steps: [] # c\n  # one\n# d\n"},
		{"delete in brackets", "steps: [{pause: 1 s}, {pause: 2 s}, {pause: 3 s}]\n",
			func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{1}}) },
			"steps: [{pause: 1 s}, {pause: 3 s}]\n"},
		{"delete the last in brackets", "steps: [{pause: 1 s}, {pause: 2 s}]\n",
			func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{1}}) },
			"steps: [{pause: 1 s}]\n"},
		{"delete the only one in brackets", "steps: [{pause: 1 s}]\n",
			func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{0}}) },
			"steps: []\n"},
		{"delete in brackets over lines", "steps: [\n  {pause: 1 s},\n  {pause: 2 s}, # gone\n  {pause: 3 s} ]\n",
			func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{1}}) },
			"steps: [\n  {pause: 1 s},\n  {pause: 3 s} ]\n"},
		{"delete the last in brackets over lines", "steps: [\n  {pause: 1 s}, # kept\n  {pause: 2 s}\n  ]\n",
			func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{1}}) },
			"steps: [\n  {pause: 1 s} # kept\n  ]\n"},
		{"delete a repeat", "steps:\n  - {pause: 1 s}\n  - repeat: 2\n    steps:\n      - {pause: 1 s}\n      # end\n  # c\n",
			func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{1}}) },
			"steps:\n  - {pause: 1 s}\n  # c\n"},
		{"delete in a dash of its own", "steps:\n  -\n    pause: 1 s\n  - {pause: 2 s}\n",
			func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{0}}) },
			"steps:\n  - {pause: 2 s}\n"},

		{"move down", "steps:\n  # one\n  - {pause: 1 s} # 1\n  # two\n  - {pause: 2 s}\n  - {pause: 3 s}\n",
			func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{0}}, At{Index: []int{2}}) },
			"steps:\n  # two\n  - {pause: 2 s}\n  # one\n  - {pause: 1 s} # 1\n  - {pause: 3 s}\n"},
		{"move up", "steps:\n  - {pause: 1 s}\n  - {pause: 2 s}\n  # three\n  - pause:\n      3 s\n",
			func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{2}}, At{Index: []int{0}}) },
			"steps:\n  # three\n  - pause:\n      3 s\n  - {pause: 1 s}\n  - {pause: 2 s}\n"},
		{"move to the end", "steps:\n  - {pause: 1 s}\n  - {pause: 2 s}\n",
			func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{0}}, At{Index: []int{2}}) },
			"steps:\n  - {pause: 2 s}\n  - {pause: 1 s}\n"},
		{"move nowhere", "steps:\n  - {pause: 1 s}\n  - {pause: 2 s}\n",
			func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{1}}, At{Index: []int{2}}) },
			"steps:\n  - {pause: 1 s}\n  - {pause: 2 s}\n"},
		{"move into a repeat", "steps:\n  # one\n  - {pause: 1 s} # 1\n  - repeat: 2\n    steps:\n      - {pause: 2 s}\n",
			func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{0}}, At{Index: []int{1, 1}}) },
			"steps:\n  - repeat: 2\n    steps:\n      - {pause: 2 s}\n      # one\n      - {pause: 1 s} # 1\n"},
		{"move out of a repeat", "steps:\n  - repeat: 2\n    steps:\n      # two\n      - pause:\n          2 s\n      - {pause: 3 s}\n",
			func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{0, 0}}, At{Index: []int{0}}) },
			"steps:\n  # two\n  - pause:\n      2 s\n  - repeat: 2\n    steps:\n      - {pause: 3 s}\n"},
		{"move the only one to an empty routine", "steps:\n# one\n- {pause: 1 s}\nroutines:\n  r: []\n",
			func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{0}}, At{"r", []int{0}}) },
			"steps: []\nroutines:\n  r:\n    # one\n    - {pause: 1 s}\n"},
		{"move in brackets", "steps: [{pause: 1 s}, {pause: 2 s}]\n",
			func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{1}}, At{Index: []int{0}}) },
			"steps: [{pause: 2 s}, {pause: 1 s}]\n"},
	}
	const mark = "posework: program/1\n"
	for _, tt := range tests {
		for _, eol := range []string{"\n", "\r\n"} {
			for _, bom := range []string{"", "\ufeff"} {
				in := bom + strings.ReplaceAll(mark+tt.in, "\n", eol)
				before := open(t, in)
				after, err := tt.edit(before)
				if err != nil {
					t.Errorf("%s: %v", tt.name, err)
					continue
				}
				if got, want := string(after.Bytes()), bom+strings.ReplaceAll(mark+tt.want, "\n", eol); got != want {
					t.Errorf("%s: got\n%s\nwant\n%s", tt.name, got, want)
				}
				if string(before.Bytes()) != in {
					t.Errorf("%s: the file before the edit has changed", tt.name)
				}
			}
		}
	}
}

// TestRefusedEdits pins why an edit is refused.
func TestRefusedEdits(t *testing.T) {
	const text = "posework: program/1\nposes: {a: {axes: [0, 0, 0, 0, 0, 0]}, b: {axes: [0, 0, 0, 0, 0, 0]}}\n" +
		"steps:\n  - {to: a, path: joint, speed: 5 %, end: stop}\n  - {repeat: 2, steps: [{pause: 1 s}]}\n"
	pause := &Step{Kind: Pause, Pause: 1}
	tests := []struct {
		name string
		edit func(f *File) (*File, error)
		want string
	}{
		{"used pose", func(f *File) (*File, error) { return f.DeletePose("a") }, "the pose a is used in line 4"},
		{"no pose", func(f *File) (*File, error) { return f.DeletePose("x") }, `no pose is named "x"`},
		{"no frame", func(f *File) (*File, error) { return f.DeleteFrame("x") }, `no frame named "x" is taught here`},
		{"no tool", func(f *File) (*File, error) { return f.DeleteTool("x") }, `no tool named "x" is taught here`},
		{"rename to a taken name", func(f *File) (*File, error) { return f.RenamePose("a", "b") }, `a pose is named "b" already`},
		{"rename no pose", func(f *File) (*File, error) { return f.RenamePose("x", "y") }, `no pose is named "x"`},
		{"rename to no name", func(f *File) (*File, error) { return f.RenamePose("a", "x y") }, "f:2:9: the name \"x y\" contains ' '; use letters a to z, digits, - and _\nf:4:10: the name \"x y\" contains ' '; use letters a to z, digits, - and _"},
		{"tool of no name", func(f *File) (*File, error) { return f.SetTool("x: y: z") }, `f:2:8: a ": " can't stand here; mend the indentation, or put the text in quotes, or the mapping in { }`},
		{"insert past the end", func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{3}}, pause) }, "no step stands there"},
		{"insert before the beginning", func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{-1}}, pause) }, "no step stands there"},
		{"insert nowhere", func(f *File) (*File, error) { return f.InsertStep(At{}, pause) }, "no step stands there"},
		{"insert into a move", func(f *File) (*File, error) { return f.InsertStep(At{Index: []int{0, 0}}, pause) }, "no step stands there"},
		{"insert into no routine", func(f *File) (*File, error) { return f.InsertStep(At{"r", []int{0}}, pause) }, "no step stands there"},
		{"insert an unsound step", func(f *File) (*File, error) {
			return f.InsertStep(At{Index: []int{0}}, &Step{To: Ref{Name: "a"}, Path: Line})
		}, "f:4:32: speed is 0 mm/s, but must be more than 0; write more than 0, at most 5000 mm/s"},
		{"replace past the end", func(f *File) (*File, error) { return f.ReplaceStep(At{Index: []int{2}}, pause) }, "no step stands there"},
		{"replace in nothing", func(f *File) (*File, error) { return f.ReplaceStep(At{Index: []int{2, 1}}, pause) }, "no step stands there"},
		{"delete past the end", func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{2}}) }, "no step stands there"},
		{"delete in nothing", func(f *File) (*File, error) { return f.DeleteStep(At{Index: []int{2, 0}}) }, "no step stands there"},
		{"move past the end", func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{2}}, At{Index: []int{0}}) }, "no step stands there"},
		{"move from nothing", func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{0, 0}}, At{Index: []int{0}}) }, "no step stands there"},
		{"move to nothing", func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{0}}, At{Index: []int{4}}) }, "no step stands there"},
		{"move into itself", func(f *File) (*File, error) { return f.MoveStep(At{Index: []int{1}}, At{Index: []int{1, 0}}) }, "a repeat can't be moved into itself"},
	}
	for _, tt := range tests {
		f := open(t, text)
		got, err := tt.edit(f)
		if err == nil || err.Error() != tt.want {
			t.Errorf("%s: error %v, want %s", tt.name, err, tt.want)
		}
		if got != nil {
			t.Errorf("%s: a file comes with the error", tt.name)
		}
	}
	f := open(t, text)
	if g, err := f.RenamePose("a", "a"); g != f || err != nil {
		t.Errorf("renaming to the same name: %v", err)
	}
}

func TestNewAndStep(t *testing.T) {
	f := New("f", "Lift: one")
	if got, want := string(f.Bytes()), "posework: program/1\ntitle: \"Lift: one\"\nsteps: []\n"; got != want {
		t.Errorf("New writes %q, want %q", got, want)
	}
	if f.Step(At{Index: []int{0}}) != nil || f.Step(At{}) != nil {
		t.Error("a new file has a step")
	}
	f, err := f.InsertStep(At{Index: []int{0}}, &Step{Kind: Pause, Pause: 1.5})
	if err != nil {
		t.Fatal(err)
	}
	if s := f.Step(At{Index: []int{0}}); s == nil || s.Pause != 1.5 || f.Program().Title != "Lift: one" {
		t.Errorf("step = %+v", s)
	}
	if _, l := Open("f", []byte("posework: program/1\n")); len(l) != 1 {
		t.Errorf("Open without steps reports %v", l)
	}
}
