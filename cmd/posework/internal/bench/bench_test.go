package bench

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"sync"
	"testing"

	"posework/engine/cell"
	"posework/engine/practice"
	"posework/engine/program"
	"posework/grader"
	"posework/kin"
	"posework/kin/arm"
)

const soap = `cell:
  arm: hazel
  floor: -300
  tools: {cup: {tcp: {xyz: [0, 0, 180]}, mass: 1.4 kg, solids: [{name: stem, cylinder: {radius: 20, height: 170}, xyz: [0, 0, 85]}]}}
  frames: {stand: {xyz: [600, 0, 200]}}
  solids: [{name: table, box: [200, 200, 40], xyz: [600, 0, 180]}]
  parts: [{name: slab, box: [120, 120, 40], frame: stand, xyz: [0, 0, 20], mass: 0.6 kg}]
  signals: {vacuum: output, lamp: output, part-held: input}
  events:
    - {when: {vacuum: on, near: slab}, then: {part-held: on, hold: slab}, after: 0.15 s}
    - {when: {vacuum: off}, then: {part-held: off, release: slab}, after: 0.1 s}
`

func soapCell(t *testing.T) *cell.Cell {
	t.Helper()
	file := filepath.Join(t.TempDir(), "cell.yaml")
	if err := os.WriteFile(file, []byte(soap), 0o644); err != nil {
		t.Fatal(err)
	}
	c, l := cell.Read(filepath.Base(file), cell.Options{FS: os.DirFS(filepath.Dir(file))})
	if len(l) > 0 {
		t.Fatal(l.Err())
	}
	return c
}

const lift = `posework: program/1
title: Lift the slab
tool: cup
poses:
  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]} # away from everything
  over: {xyz: [0, 0, 140], rpy: [180, 0, 0], frame: stand}
  spare: {xyz: [0, 50, 140], rpy: [180, 0, 0], frame: stand}
steps:
  # begin at home
  - {to: home, path: joint, speed: 20 %, end: stop}
  - {to: over, path: line, speed: 80 mm/s, end: fly-by 10 mm}
  - repeat: 2
    shift: {frame: stand, by: [0, 0, 5]}
    steps:
      - {to: over, path: line, speed: 80 mm/s, end: stop}
  - {set: {vacuum: on}}
  - {wait: {part-held: on, at-most: 2 s}}
  - {pause: 0.5 s}
  - {to: home, path: joint, speed: 20 %, end: stop}
`

func open(t *testing.T, text string) *Bench {
	t.Helper()
	var data []byte
	if text != "" {
		data = []byte(text)
	}
	b, l := Open(soapCell(t), nil, "lift.yaml", data, "Lift")
	if len(l) > 0 {
		t.Fatal(l.Err())
	}
	return b
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func (b *Bench) text() string { text, _ := b.Text(); return string(text) }

func TestOpenNew(t *testing.T) {
	b := open(t, "")
	if want := "posework: program/1\ntitle: Lift\ntool: cup\nsteps: []\n"; b.text() != want {
		t.Errorf("a new program is\n%s\nwant\n%s", b.text(), want)
	}
	if b.Planning() || len(b.Trouble()) > 0 {
		t.Errorf("planning %v, trouble %v", b.Planning(), b.Trouble())
	}
	r := b.Control.Read()
	if r.Alignments.Wrist < kin.Rad(30) || r.Gap.MM < 100 {
		t.Errorf("the arm begins %v deg from its wrist alignment, %v mm from %s", kin.Deg(r.Alignments.Wrist), r.Gap.MM, r.Gap.B)
	}
}

func TestOpenBroken(t *testing.T) {
	_, l := Open(soapCell(t), nil, "lift.yaml", []byte("posework: program/1\nsteps: [{go: home}]\n"), "")
	if len(l) == 0 {
		t.Error("a broken program is opened")
	}
}

func TestOpenStartsWhereTheProgramBegins(t *testing.T) {
	b := open(t, lift)
	if q := b.Control.Read().Q; kin.Deg(q[4]) < 64.25 || kin.Deg(q[4]) > 64.27 {
		t.Errorf("axis 5 stands at %v deg, want that of home", kin.Deg(q[4]))
	}
	if err := b.Control.Read().OnTrack; err != nil {
		t.Errorf("not at the first step: %v", err)
	}
	start := kin.Joints{4: kin.Rad(45)}
	b, _ = Open(soapCell(t), &start, "lift.yaml", []byte(lift), "")
	if q := b.Control.Read().Q; q != start {
		t.Errorf("the arm stands at %v, want where the task says", q)
	}
}

func TestRecord(t *testing.T) {
	b := open(t, lift)
	must(t, b.Record("here", ByAxes))
	if !strings.Contains(b.text(), "  here: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}\n") {
		t.Errorf("recorded by axes:\n%s", b.text())
	}
	must(t, b.Record("there", "stand"))
	if !strings.Contains(b.text(), "frame: stand, config: [front, up, plain]}\n") {
		t.Errorf("recorded in a frame:\n%s", b.text())
	}
	if err := b.Record("here", ByAxes); err == nil || !strings.Contains(err.Error(), "already") {
		t.Errorf("recorded twice: %v", err)
	}
	if err := b.Record("bad name", ByAxes); err == nil {
		t.Error("a name with a blank in it is taken")
	}
	// Comments stay, and recording again keeps the form.
	must(t, b.RecordAgain("over"))
	if !strings.Contains(b.text(), "# away from everything") || !strings.Contains(b.text(), "frame: stand") {
		t.Errorf("recorded again:\n%s", b.text())
	}
	if err := b.RecordAgain("nowhere"); err == nil {
		t.Error("an unknown pose is recorded again")
	}
	if got := b.FreeName(); got != "p1" {
		t.Errorf("free name %q, want p1", got)
	}
}

func TestRenameAndDelete(t *testing.T) {
	b := open(t, lift)
	must(t, b.Rename("over", "above"))
	if n := strings.Count(b.text(), "above"); n != 3 {
		t.Errorf("the new name stands in %d places, want 3:\n%s", n, b.text())
	}
	if err := b.Delete("above"); err == nil || !strings.Contains(err.Error(), "used in line") {
		t.Errorf("deleted though used: %v", err)
	}
	must(t, b.Delete("spare"))
	if steps, taught := b.Uses("above"); steps != 2 || taught {
		t.Errorf("used by %d steps, taught %v", steps, taught)
	}
	before := b.text()
	must(t, b.DeleteWithSteps("above"))
	if strings.Contains(b.text(), "above") || !strings.Contains(b.text(), "# begin at home") {
		t.Errorf("deleted with its steps:\n%s", b.text())
	}
	must(t, b.Undo())
	if b.text() != before {
		t.Error("it takes more than one undo to take it back")
	}
}

func TestDeleteWhatTeaches(t *testing.T) {
	b := open(t, strings.Replace(lift, "steps:\n  #", "frames: {bench: {origin: home, along-x: over, in-plane: spare}}\nsteps:\n  #", 1))
	if err := b.DeleteWithSteps("spare"); err == nil || !strings.Contains(err.Error(), "teaches") {
		t.Errorf("deleted a pose that teaches a frame: %v", err)
	}
}

func TestUndoRedoWithoutLimit(t *testing.T) {
	b := open(t, "")
	versions := []string{b.text()}
	for range 100 {
		must(t, b.Record(b.FreeName(), ByAxes))
		versions = append(versions, b.text())
	}
	for i := len(versions) - 2; i >= 0; i-- {
		must(t, b.Undo())
		if b.text() != versions[i] {
			t.Fatalf("undo to version %d:\n%s", i, b.text())
		}
	}
	if err := b.Undo(); !errors.Is(err, errNothingToUndo) {
		t.Errorf("one more: %v", err)
	}
	for _, want := range versions[1:] {
		must(t, b.Redo())
		if b.text() != want {
			t.Fatal("redo differs")
		}
	}
	if err := b.Redo(); !errors.Is(err, errNothingToRedo) {
		t.Errorf("one more: %v", err)
	}
	must(t, b.Undo())
	must(t, b.Record("other", ByAxes))
	if err := b.Redo(); err == nil {
		t.Error("after a change what was taken back can still be done again")
	}
}

func TestRows(t *testing.T) {
	b := open(t, lift)
	var got []string
	for _, r := range b.Rows() {
		got = append(got, strings.Repeat(" ", r.Depth)+r.Number+": "+r.Text)
	}
	want := []string{
		"1: joint to home, 20 %, stop",
		"2: line to over, 80 mm/s, fly-by 10 mm",
		"3: repeat 2 times, each time shifted by 0 0 5 in stand",
		" 3.1: line to over, 80 mm/s, stop",
		"4: set vacuum on",
		"5: wait for part-held on, at most 2 s",
		"6: pause 0.5 s",
		"7: joint to home, 20 %, stop",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("rows\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestSteps(t *testing.T) {
	b := open(t, lift)
	for kind := range Kinds() {
		s, err := b.Fresh(kind, "over")
		if Kinds()[kind] == "call a routine" {
			if err == nil {
				t.Error("a call without routines")
			}
			continue
		}
		must(t, err)
		must(t, b.Insert(program.At{Index: []int{0}}, s))
		if got := b.Rows()[0].Step.Kind; got != program.Kind(kind) {
			t.Errorf("inserted kind %d, it is %d", kind, got)
		}
		must(t, b.Undo())
	}
	first, last := program.At{Index: []int{0}}, program.At{Index: []int{6}}
	must(t, b.Copy(last))
	must(t, b.Paste(first))
	if got := b.Rows()[0].Text; got != "joint to home, 20 %, stop" {
		t.Errorf("pasted %q", got)
	}
	at, err := b.Move(first, true)
	must(t, err)
	if at.Index[0] != 1 {
		t.Errorf("moved to %v", at)
	}
	if _, err := b.Move(first, false); err == nil {
		t.Error("the first step is moved up")
	}
	if _, err := b.Move(program.At{Index: []int{7}}, true); err == nil {
		t.Error("the last step is moved down")
	}
	must(t, b.Remove(program.At{Index: []int{0}}))
	must(t, b.Insert(Within(program.At{Index: []int{2}}), &program.Step{Kind: program.Pause, Pause: 1}))
	if got := b.Rows()[3].Text; got != "pause 1 s" {
		t.Errorf("within the repeat stands %q", got)
	}
	must(t, b.Insert(After(program.At{Index: []int{2, 0}}), &program.Step{Kind: program.Pause, Pause: 2}))
	if got := b.Rows()[4].Text; got != "pause 2 s" {
		t.Errorf("after it stands %q", got)
	}
	if err := b.Copy(program.At{Index: []int{99}}); err == nil {
		t.Error("copied nothing")
	}
	empty := open(t, "")
	if _, err := empty.Fresh(0, ""); err == nil || !strings.Contains(err.Error(), "record a pose") {
		t.Errorf("a move without poses: %v", err)
	}
	if err := empty.Paste(first); err == nil {
		t.Error("pasted nothing")
	}
}

// Every field of every kind of step can be set to every one of its choices, and
// shows it afterwards.
func TestEveryFieldByChoosing(t *testing.T) {
	text := strings.Replace(lift, "steps:\n  #", "routines: {a: [{pause: 1 s}], b: [{pause: 2 s}]}\nsteps:\n  #", 1) +
		"  - {to: over, through: spare, path: arc, speed: 80 mm/s, end: stop}\n  - {call: a}\n  - {tool: cup}\n"
	b := open(t, text)
	seen := map[string]bool{}
	for i := range b.Rows() {
		row := b.Rows()[i]
		names := b.Fields(row.At)
		if len(names) == 0 {
			t.Errorf("step %s has no fields", row.Number)
		}
		for k := range names {
			name := names[k].Name
			seen[name] = true
			for _, choice := range names[k].Choices {
				fields := b.Fields(row.At)
				f := &fields[k]
				if f.Name != name { // another field has changed which there are
					continue
				}
				before := b.text()
				if err := b.SetField(row.At, f, choice); err != nil {
					if name == "lamp" || name == "vacuum" { // nothing would be left to set
						continue
					}
					t.Fatalf("step %s: %s to %q: %v", row.Number, name, choice, err)
				}
				fields = b.Fields(row.At)
				if f.Value == choice {
					if b.text() != before {
						t.Errorf("step %s: setting %s to what it is changes the file", row.Number, name)
					}
				} else if got := fields[k].Value; got != choice {
					t.Errorf("step %s: %s is %q, want %q", row.Number, name, got, choice)
				}
				for b.text() != before {
					must(t, b.Undo())
				}
			}
		}
	}
	for _, name := range []string{"to", "path", "through", "speed", "end", "vacuum", "signal", "is", "at most", "pause", "times", "shift in", "by z", "routine", "tool"} {
		if !seen[name] {
			t.Errorf("no step has the field %q", name)
		}
	}
}

func TestTypedFields(t *testing.T) {
	b := open(t, lift)
	line := program.At{Index: []int{1}}
	field := func(name string) *Field {
		for _, f := range b.Fields(line) {
			if f.Name == name {
				return &f
			}
		}
		t.Fatalf("no field %q", name)
		return nil
	}
	for _, c := range []struct{ name, typed, want string }{
		{"speed", "123.5", "123.5 mm/s"},
		{"speed", " 90 mm/s ", "90 mm/s"},
		{"end", "7", "fly-by 7 mm"},
		{"end", "fly-by 3 mm", "fly-by 3 mm"},
		{"end", "stop", "stop"},
	} {
		must(t, b.SetField(line, field(c.name), c.typed))
		f := field(c.name)
		if f.Value != c.want || !strings.Contains(strings.Join(f.Choices, "|"), c.want) {
			t.Errorf("%s typed %q: %q among %q", c.name, c.typed, f.Value, f.Choices)
		}
	}
	for name, bad := range map[string]string{"speed": "fast", "end": "fly-by nan mm", "to": "nowhere", "path": "curve"} {
		if err := b.SetField(line, field(name), bad); err == nil {
			t.Errorf("%s took %q", name, bad)
		}
	}
	if err := b.SetField(line, field("speed"), "9999"); err == nil {
		t.Error("a speed beyond what can be written was taken")
	}
	f := Field{Value: "b", Choices: []string{"a", "b", "c"}}
	if f.Next(1) != "c" || f.Next(5) != "c" || f.Next(-1) != "a" {
		t.Errorf("next choices %q %q %q", f.Next(1), f.Next(5), f.Next(-1))
	}
}

func TestTarget(t *testing.T) {
	b := open(t, lift)
	q, err := b.Target("over")
	must(t, err)
	var f kin.Frames
	b.Cell.Arm.Chain.Forward(&q, &f)
	tip := f[6].Apply(kin.Vec{Z: 180})
	if d := tip.Sub(kin.Vec{X: 600, Z: 340}).Norm(); d > 1e-6 {
		t.Errorf("the tip gets to %v, %g mm off", tip, d)
	}
	if _, err := b.Target("nowhere"); err == nil {
		t.Error("a way to no pose")
	}
	far := open(t, strings.Replace(lift, "spare: {xyz: [0, 50, 140]", "spare: {xyz: [0, 5000, 140]", 1))
	if _, err := far.Target("spare"); err == nil || !strings.Contains(err.Error(), "reach") {
		t.Errorf("a way to a pose out of reach: %v", err)
	}
}

func TestPlanBeside(t *testing.T) {
	b := open(t, lift)
	plan := b.Plan()
	must(t, b.Record("late", ByAxes))
	if b.Accept(plan()) {
		t.Error("a plan of an older version is taken")
	}
	if !b.Planning() {
		t.Error("the change needs no planning")
	}
	if !b.Accept(b.Plan()()) || b.Planning() {
		t.Error("the plan of this version is not taken")
	}
	must(t, b.Rename("over", "up"))
	bad := b.Rows()[0].At
	must(t, b.SetField(bad, &b.Fields(bad)[0], "spare"))
	b.Accept(b.Plan()())
	if len(b.Trouble()) > 0 || b.Control.Read().Plan == nil {
		t.Errorf("trouble %v", b.Trouble())
	}
}

// While the arm moves the program can't be changed: what runs is what is seen.
func TestNoChangeInMotion(t *testing.T) {
	b := open(t, lift)
	b.Control.Grip(practice.Middle)
	must(t, b.Control.Hold(practice.Action{Kind: practice.JogAxis}))
	b.Control.Advance(0.1)
	for name, err := range map[string]error{
		"record": b.Record("x", ByAxes), "again": b.RecordAgain("over"), "rename": b.Rename("over", "y"),
		"remove": b.Remove(program.At{Index: []int{0}}), "undo": b.Undo(),
	} {
		if !errors.Is(err, practice.ErrMoving) {
			t.Errorf("%s in motion: %v", name, err)
		}
	}
}

func TestLog(t *testing.T) {
	b := open(t, lift)
	for range 400 {
		b.Control.Grip(practice.Middle)
		if b.Control.Hold(practice.Action{Kind: practice.StepForward}) != nil || b.Control.Read().Step == 1 {
			break
		}
		b.Control.Advance(0.05)
	}
	b.Control.Advance(0.05)
	b.Control.Grip(practice.Released)
	log := b.Log()
	text, _ := b.Text()
	if log.Program != grader.Digest(text) {
		t.Errorf("log of %q", log.Program)
	}
	if len(log.Entries) != 1 || log.Entries[0].Kind != practice.SteppedEntry || log.Entries[0].Step != "1" || log.Entries[0].Mode != practice.Manual {
		t.Errorf("entries %+v", log.Entries)
	}
}

func TestReadyForEveryArm(t *testing.T) {
	for _, name := range arm.Names() {
		m, _ := arm.Builtin(name)
		c := &cell.Cell{Arm: m, Mount: kin.IdentityPose}
		q := Ready(c)
		if s := comfort(c, &q); s < 0.5 {
			t.Errorf("%s: %v is no place to begin: %.2f", name, q, s)
		}
	}
}

func TestSave(t *testing.T) {
	file := filepath.Join(t.TempDir(), "lift.yaml")
	s := NewSaver(file, nil)
	must(t, s.Save([]byte("one"), 1, false))
	must(t, s.Save([]byte("three"), 3, false))
	must(t, s.Save([]byte("two"), 2, false)) // late: the newer one stays
	expect := func(want string) {
		t.Helper()
		got, err := os.ReadFile(file)
		if err != nil || string(got) != want {
			t.Errorf("the file holds %q (%v), want %q", got, err, want)
		}
	}
	expect("three")
	must(t, os.WriteFile(file, []byte("theirs"), 0o600))
	must(t, os.Chmod(file, 0o600))
	if err := s.Save([]byte("four"), 4, false); !errors.Is(err, ErrChanged) {
		t.Errorf("over somebody else's: %v", err)
	}
	expect("theirs")
	must(t, s.Save([]byte("four"), 4, true))
	expect("four")
	if info, _ := os.Stat(file); runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, want that of the file before", info.Mode())
	}
	must(t, os.Remove(file))
	if err := s.Save([]byte("five"), 5, false); !errors.Is(err, ErrChanged) {
		t.Errorf("over a file that was taken away: %v", err)
	}
	entries, _ := os.ReadDir(filepath.Dir(file))
	if len(entries) != 0 {
		t.Errorf("left behind: %v", entries)
	}
	if err := NewSaver(filepath.Join(file, "no", "folder"), nil).Save(nil, 1, false); err == nil || strings.Contains(err.Error(), "-*") {
		t.Errorf("in no folder: %v", err)
	}
	taken := NewSaver(file, nil)
	must(t, os.WriteFile(file, []byte("there"), 0o644))
	if err := taken.Save([]byte("new"), 1, false); !errors.Is(err, ErrChanged) {
		t.Errorf("over a file that was not there before: %v", err)
	}
}

// The log lies beside the program that it was made with, and beside no other.
func TestKeepLog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.yaml")
	beside := filepath.Join(filepath.Dir(path), "a.log.yaml")
	text := []byte("posework: program/1\n")
	log := practice.Log{Program: grader.Digest(text), Entries: []practice.Entry{{Kind: practice.SteppedEntry, At: 3, Nth: 1, Step: "1", Speed: 20}}}
	read := func() *practice.Log {
		t.Helper()
		data, err := os.ReadFile(beside)
		if err != nil {
			return nil
		}
		l, wrong := practice.ReadLog(beside, data)
		must(t, wrong.Err())
		return l
	}
	s := NewSaver(path, nil)
	must(t, s.KeepLog(log))
	if l := read(); l != nil {
		t.Errorf("a log of a program that was not saved is kept: %+v", l)
	}
	must(t, s.Save(text, 1, false))
	must(t, s.KeepLog(practice.Log{Program: log.Program}))
	if l := read(); l != nil {
		t.Errorf("a log without entries is kept: %+v", l)
	}
	must(t, s.KeepLog(log))
	again := NewSaver(path, text) // another sitting
	must(t, again.KeepLog(practice.Log{Program: log.Program, Entries: []practice.Entry{{Kind: practice.RanEntry, At: 4, Speed: 30}}}))
	l := read()
	if l == nil || l.Program != log.Program || len(l.Entries) != 2 || l.Entries[0].Step != "1" || l.Entries[1].Kind != practice.RanEntry || l.Entries[1].At != 7 {
		t.Errorf("two sittings leave %+v", l)
	}
	elsewhere := practice.Log{Program: log.Program, Cell: "jogging", Entries: log.Entries}
	must(t, again.KeepLog(elsewhere))
	if got := read(); got.Cell != "jogging" || len(got.Entries) != 1 {
		t.Errorf("what was done in another cell is added to the log: %+v", got)
	}
	must(t, again.KeepLog(*l))
	changed := []byte("posework: program/1\ntitle: other\n")
	must(t, again.Save(changed, 2, false))
	must(t, again.KeepLog(log))
	if got := read(); !reflect.DeepEqual(got, l) {
		t.Errorf("the log of the text before was kept once more: %+v", got)
	}
	log.Program = grader.Digest(changed)
	must(t, again.KeepLog(log))
	if l := read(); l.Program != log.Program || len(l.Entries) != 1 {
		t.Errorf("the log of the changed program is %+v", l)
	}
}

func TestSaveThroughLink(t *testing.T) {
	dir := t.TempDir()
	must(t, os.WriteFile(filepath.Join(dir, "real.yaml"), []byte("old"), 0o644))
	if err := os.Symlink("real.yaml", filepath.Join(dir, "link.yaml")); err != nil {
		t.Skip("no links here: ", err)
	}
	must(t, NewSaver(filepath.Join(dir, "link.yaml"), []byte("old")).Save([]byte("new"), 1, false))
	if got, _ := os.ReadFile(filepath.Join(dir, "real.yaml")); string(got) != "new" {
		t.Errorf("behind the link stands %q", got)
	}
	if target, err := os.Readlink(filepath.Join(dir, "link.yaml")); err != nil || target != "real.yaml" {
		t.Errorf("the link is %q, %v", target, err)
	}
}

// Whoever reads the file at any moment reads a whole version of it, and in the
// end the newest one.
func TestSaveIsWhole(t *testing.T) {
	file := filepath.Join(t.TempDir(), "lift.yaml")
	version := func(i int) []byte { return []byte(strings.Repeat(string(rune('a'+i%26)), 5000+i)) }
	s := NewSaver(file, nil)
	must(t, s.Save(version(0), 0, false))
	done := make(chan bool)
	go func() {
		defer close(done)
		var wg sync.WaitGroup
		for i := 1; i < 40; i++ {
			wg.Go(func() {
				if err := s.Save(version(i), i, false); err != nil {
					t.Error(err)
				}
			})
		}
		wg.Wait()
	}()
	for reading := true; reading; {
		select {
		case <-done:
			reading = false
		default:
		}
		text, err := os.ReadFile(file)
		if err != nil || len(text) < 5000 || strings.Trim(string(text), string(text[:1])) != "" {
			t.Fatalf("read a torn file of %d bytes: %v", len(text), err)
		}
	}
	if got, _ := os.ReadFile(file); string(got) != string(version(39)) {
		t.Errorf("in the end the file holds a version of %d bytes, want the newest of %d", len(got), len(version(39)))
	}
}

func TestTeach(t *testing.T) {
	b := open(t, lift)
	must(t, b.Record("a", "base"))
	must(t, b.Teach(false, "rack home, over spare"))
	if !strings.Contains(b.text(), "rack: {origin: home, along-x: over, in-plane: spare}") {
		t.Errorf("the file:\n%s", b.text())
	}
	must(t, b.Teach(true, "probe home over spare a"))
	if !strings.Contains(b.text(), "probe: {touches: [home, over, spare, a]}") {
		t.Errorf("the file:\n%s", b.text())
	}
	for typed, want := range map[string]string{"": "type a name", "rack home over": "three poses", "rack home over nowhere": "no pose"} {
		if err := b.Teach(false, typed); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", typed, err, want)
		}
	}
	if err := b.Teach(true, "probe home over spare"); err == nil || !strings.Contains(err.Error(), "at least 4") {
		t.Errorf("three touches: %v", err)
	}
	must(t, b.Teach(true, "probe"))
	must(t, b.Teach(false, "rack"))
	if strings.Contains(b.text(), "rack") || strings.Contains(b.text(), "probe") {
		t.Errorf("taken back:\n%s", b.text())
	}
}

func TestTakeTool(t *testing.T) {
	b := open(t, "")
	tools := b.Tools()
	if len(tools) != 1 || tools[0].Name != "cup" {
		t.Fatalf("tools %+v", tools)
	}
	other := tools[0]
	other.Name, other.TCP.T.Z = "long", 300
	must(t, b.TakeTool(other))
	if !strings.Contains(b.text(), "tool: long") || b.Control.Read().Tool.Name != "long" {
		t.Errorf("an empty program keeps its tool:\n%s", b.text())
	}
	b = open(t, lift)
	must(t, b.TakeTool(other))
	if !strings.Contains(b.text(), "tool: cup") {
		t.Errorf("a program with steps gets another tool:\n%s", b.text())
	}
}
