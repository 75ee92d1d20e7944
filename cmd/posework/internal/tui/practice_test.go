package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/seat"
	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/practice"
	"posework/engine/source"
	"posework/grader"
	"posework/grader/records"
	"posework/kin"
	"posework/lessons"
)

const testCell = `
arm: hazel
floor: -300
tools: {cup: {tcp: {xyz: [0, 0, 180]}, mass: 1.4 kg, solids: [{name: stem, cylinder: {radius: 20, height: 170}, xyz: [0, 0, 85]}]}}
frames: {stand: {xyz: [600, 0, 200]}}
solids:
  - {name: plinth, box: [360, 360, 300], xyz: [0, 0, -150]}
  - {name: table, box: [200, 200, 40], xyz: [600, 0, 180]}
  - {name: foot, box: [120, 120, 460], xyz: [600, 0, -70]}
  - {name: post, box: [60, 60, 560], xyz: [590, -260, -20]}
zones: [{name: walkway, box: [900, 200, 1300], xyz: [400, 700, 350], rule: keep-out}]
parts: [{name: slab, box: [120, 120, 40], frame: stand, xyz: [0, 0, 20], mass: 0.6 kg}]
signals: {vacuum: output, part-held: input}
events:
  - {when: {vacuum: on, near: slab}, then: {part-held: on, hold: slab}, after: 0.15 s}
  - {when: {vacuum: off}, then: {part-held: off, release: slab}, after: 0.1 s}
`

const testTask = `
goal: Lift the slab off the stand and bring the arm home.
checks:
  - {check: top-speed, at-most: 250 mm/s, points: 50}
  - {check: clearance, least: 20 mm, points: 50}
`

const liftProgram = `posework: program/1
title: Lift the slab # a comment that stays
tool: cup
poses:
  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}
  over: {xyz: [0, 0, 140], rpy: [180, 0, 0], frame: stand}
  beside: {xyz: [-150, -160, 60], rpy: [180, 0, 0], frame: stand}
steps:
  - {to: home, path: joint, speed: 20 %, end: stop}
  - {to: over, path: joint, speed: 10 %, end: stop}
  - {set: {vacuum: on}}
  - {pause: 0.5 s}
  - {to: beside, path: line, speed: 400 mm/s, end: stop}
`

// benchSeat is a course with one lesson that has a bench.
func benchSeat(t testing.TB) *seat.Seat {
	t.Helper()
	var l diag.List
	c := cell.Decode(source.Parse("cell.yaml", []byte(testCell), 1, &l), cell.Options{})
	if len(l) > 0 {
		t.Fatal(l.Err())
	}
	task := grader.DecodeTask(source.Parse("task.yaml", []byte(testTask), 1, &l), c)
	if len(l) > 0 {
		t.Fatal(l.Err())
	}
	lesson := &lessons.Lesson{
		ID: "lift", Title: "Lift the slab", Module: "Moving by hand", Minutes: 30, Body: testBody, Cell: c, Task: task,
		Cautions: []string{"A simulation teaches habits; it proves no cell safe."},
	}
	return &seat.Seat{Course: &lessons.Course{Lessons: []*lessons.Lesson{lesson}}, Person: "Jo", Now: func() time.Time { return time.Unix(0, 0) }, Seed: 1}
}

// benchDriver is a driver whose time passes only when told.
type benchDriver struct {
	*driver
	now time.Time
}

// atBench opens the bench with a program in the file; "" begins a new one.
func atBench(t testing.TB, program string) *benchDriver {
	t.Helper()
	t.Chdir(t.TempDir())
	if program != "" {
		if err := os.WriteFile("lift.yaml", []byte(program), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	b := &benchDriver{start(t, benchSeat(t)), time.Unix(1000, 0)}
	b.app.clock = clock{
		tick: func(time.Duration, func(time.Time) tea.Msg) tea.Cmd { return nil },
		now:  func() time.Time { return b.now },
	}
	b.keys("enter", "p", "enter")
	if b.screenOf().bench == nil {
		t.Fatalf("the bench does not open:\n%s", b.screen())
	}
	return b
}

func (b *benchDriver) screenOf() *practiceScreen { return b.app.top().(*practiceScreen) }

// pass lets time pass, frame by frame.
func (b *benchDriver) pass(seconds float64) {
	for range int(seconds/frameTime.Seconds() + 0.5) {
		b.now = b.now.Add(frameTime)
		b.send(timePassed{b.now})
	}
}

// hold holds a key as a terminal repeats it, with the device in the middle.
func (b *benchDriver) hold(key string, seconds float64) {
	b.t.Helper()
	b.keys("space")
	for range int(seconds/frameTime.Seconds() + 0.5) {
		b.keys(key)
		b.now = b.now.Add(frameTime)
		b.send(timePassed{b.now})
	}
}

// until holds a key until the arm has come to rest, then lets go.
func (b *benchDriver) until(key string) {
	b.t.Helper()
	for range 100 {
		b.hold(key, 0.5)
		if !b.reading().Moving {
			b.pass(0.5)
			return
		}
	}
	b.t.Fatalf("%s never ends", key)
}

func (b *benchDriver) reading() practice.Reading { return b.screenOf().bench.Control.Read() }

func (b *benchDriver) fileText() string {
	b.t.Helper()
	text, err := os.ReadFile("lift.yaml")
	if err != nil {
		b.t.Fatal(err)
	}
	return string(text)
}

// goldenWide compares what is shown at the sizes of the practice screen.
func (b *benchDriver) goldenWide(name string) {
	b.t.Helper()
	for _, size := range []struct{ width, height int }{{80, 24}, {120, 40}, {200, 50}} {
		b.size(size.width, size.height)
		got := b.screen()
		checkSize(b.t, b.app.View(), size.width, size.height)
		path := filepath.Join(testdata, fmt.Sprintf("%s-%dx%d.txt", name, size.width, size.height))
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				b.t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			b.t.Fatal(err)
		}
		if got != string(want) {
			b.t.Errorf("%s differs:\n%s\nwant:\n%s", path, got, want)
		}
	}
	b.size(80, 24)
}

func TestPracticeGolden(t *testing.T) {
	t.Run("file", func(t *testing.T) {
		t.Chdir(t.TempDir())
		d := start(t, benchSeat(t))
		d.keys("enter", "p")
		d.golden("bench-file")
	})
	t.Run("new", func(t *testing.T) { atBench(t, "").goldenWide("bench-new") })
	t.Run("moving", func(t *testing.T) {
		b := atBench(t, liftProgram)
		b.keys("]", "]")
		b.hold("right", 1.5)
		b.goldenWide("bench-moving")
	})
	t.Run("steps", func(t *testing.T) {
		b := atBench(t, liftProgram)
		b.keys("]", "]", "]", "]", "tab", "tab")
		b.until(".")
		b.hold(".", 1)
		b.pass(1)
		b.goldenWide("bench-steps")
	})
	t.Run("edit", func(t *testing.T) {
		b := atBench(t, liftProgram)
		b.keys("tab", "tab", "down", "enter", "down", "down")
		b.goldenWide("bench-edit")
	})
	t.Run("solid", func(t *testing.T) {
		b := atBench(t, liftProgram)
		b.keys("]", "]", "]", "]", "tab", "down")
		b.until("g")
		b.keys("shift+tab", "j", "down", "down")
		b.until("left")
		b.goldenWide("bench-solid")
	})
}

// Nothing moves without the device, nor without a key held.
func TestDeviceAndHold(t *testing.T) {
	b := atBench(t, "")
	q := b.reading().Q
	b.keys("right", "right")
	b.pass(0.5)
	b.shows("hold the enabling device in its middle position first")
	b.keys("space")
	b.pass(0.5)
	if b.reading().Q != q {
		t.Fatal("the arm has moved")
	}
	b.shows("device in the middle", "drives on")
	b.hold("right", 0.5)
	if !b.reading().Moving {
		t.Fatal("the arm does not move")
	}
	b.shows("MOVING")
	b.pass(0.3)
	if b.reading().Moving {
		t.Fatal("the arm still moves 0.3 s after the last key")
	}
	b.shows("the control was let go")
	b.pass(1.5)
	b.shows("device released", "drives off")
	if b.screenOf().tick {
		t.Error("nothing changes, and still it ticks")
	}
}

func TestSqueezeAndEmergency(t *testing.T) {
	b := atBench(t, "")
	b.hold("right", 0.3)
	b.keys("x")
	b.pass(0.3)
	b.shows("device SQUEEZED", "squeezed past its middle")
	b.keys("space")
	b.shows("release it first", "release it fully")
	b.keys("z")
	b.hold("right", 0.3)
	b.keys("!")
	b.pass(0.3)
	b.shows("EMERGENCY STOP IS IN")
	b.keys("k")
	b.shows("unlatch it first")
	b.keys("!")
	b.shows("A STOP IS IN FORCE", "k resets the stop")
	b.hold("right", 0.2)
	b.shows("a stop is in force")
	b.keys("k")
	b.hold("right", 0.2)
	if !b.reading().Moving {
		t.Error("after the reset the arm can't be moved")
	}
	b.keys("s")
	b.pass(0.3)
	if b.reading().Moving {
		t.Error("the stop key does not stop")
	}
}

func TestJogByIncrementInFrame(t *testing.T) {
	b := atBench(t, liftProgram)
	b.keys("j", "f", "f", "i", "i", "i", "]", "]") // straight, in the stand's frame, by 10
	b.shows("straight, in stand, by 10")
	from := b.reading().TCP.T
	b.keys("down") // y
	b.until("right")
	if d := b.reading().TCP.T.Sub(from).Sub(kin.Vec{Y: 10}).Norm(); d > 1e-3 {
		t.Errorf("%g mm off 10 mm along y", d)
	}
	b.keys("down", "down") // about x
	r := b.reading().TCP.R
	b.until("left")
	want := kin.FromRPY(kin.Rad(-10), 0, 0)
	want = want.Mul(&r)
	got := b.reading().TCP.R
	if d := got.Z.Sub(want.Z).Norm(); d > 1e-6 {
		t.Errorf("turned to %v, want %v", got, want)
	}
}

func TestRecordPoses(t *testing.T) {
	b := atBench(t, "")
	b.keys("r")
	b.shows("Record in base as: p1")
	b.keys("ctrl+u", "start", "enter")
	b.shows("recorded start", "lift.yaml, saved")
	if !strings.Contains(b.fileText(), "  start: {xyz: [") {
		t.Fatalf("the file:\n%s", b.fileText())
	}
	b.keys("tab", "w", "r", "enter") // by axes
	if !strings.Contains(b.fileText(), "  p1: {axes: [0, 0, 0, 0, 60, 0]}") {
		t.Fatalf("the file:\n%s", b.fileText())
	}
	b.keys("n", "ctrl+u", "park", "enter")
	b.shows("park")
	b.keys("r", "ctrl+u", "park", "enter")
	b.shows(`a pose is named "park" already`)
	b.keys("r", "ctrl+u", "two words", "enter")
	b.shows("letters, digits, - and _", "lift.yaml, saved")
	before := b.fileText()
	b.keys("up", "up")
	b.keys("d")
	if strings.Contains(b.fileText(), "start:") {
		t.Errorf("start is not deleted:\n%s", b.fileText())
	}
	b.keys("u")
	if b.fileText() != before {
		t.Errorf("after undo the file holds\n%s\nwant\n%s", b.fileText(), before)
	}
	b.keys("y")
	if strings.Contains(b.fileText(), "start:") {
		t.Error("redo does not delete again")
	}
}

func TestDeleteUsedPose(t *testing.T) {
	b := atBench(t, liftProgram)
	b.keys("tab", "down", "d")
	b.shows("over is used by 1 step. Delete it with them? y or esc")
	b.keys("esc")
	if b.fileText() != liftProgram {
		t.Error("something was deleted without consent")
	}
	b.keys("d", "y")
	if text := b.fileText(); strings.Contains(text, "over") || !strings.Contains(text, "# a comment that stays") {
		t.Errorf("the file:\n%s", text)
	}
}

func TestTeachAgainAndGo(t *testing.T) {
	b := atBench(t, liftProgram)
	b.keys("]", "]", "]", "]", "tab", "down")
	b.until("g")
	if d := b.reading().TCP.T.Sub(kin.Vec{X: 600, Z: 340}).Norm(); d > 1e-3 {
		t.Fatalf("%g mm off the pose", d)
	}
	b.keys("down")
	b.until("l")
	if d := b.reading().TCP.T.Sub(kin.Vec{X: 450, Y: -160, Z: 260}).Norm(); d > 1e-3 {
		t.Fatalf("%g mm off the pose, by a straight line", d)
	}
	b.keys("up", "t")
	if !strings.Contains(b.fileText(), "  over: {xyz: [-150, -160, 60]") {
		t.Errorf("the file:\n%s", b.fileText())
	}
	b.keys("enter")
	b.shows("over is in the middle of the picture")
}

func TestEditSteps(t *testing.T) {
	b := atBench(t, liftProgram)
	b.keys("tab", "tab", "down", "enter")
	b.shows("EDIT STEP 2", "< over >", "joint", "10 %", "stop")
	b.keys("down", "right") // path: line
	b.shows("< line >", "50 mm/s")
	b.keys("down", "right", "down", "right", "right")
	b.shows("80 mm/s", "< fly-by 2 mm >")
	b.keys("up", "65", "enter")
	b.shows("< 65 mm/s >")
	b.keys("9", "esc", "enter")
	if !strings.Contains(b.fileText(), "  - {to: over, path: line, speed: 65 mm/s, end: fly-by 2 mm}\n") {
		t.Fatalf("the file:\n%s", b.fileText())
	}
	b.keys("c", "p", ">")
	b.shows("step 4: line to over, 65 mm/s, fly-by 2 mm")
	b.keys("<", "<")
	b.shows("step 2: line to over, 65 mm/s, fly-by 2 mm")
	b.keys("d", "a", "down", "down", "down", "enter")
	b.shows("EDIT STEP 3", "pause", "0.5 s")
	b.keys("u") // within the form, too
	b.keys("esc")
	for range 12 {
		b.keys("u")
	}
	if b.fileText() != liftProgram {
		t.Errorf("after all undone the file holds\n%s\nwant\n%s", b.fileText(), liftProgram)
	}
	b.shows("there is nothing to take back")
}

func TestRepeatOnScreen(t *testing.T) {
	b := atBench(t, liftProgram)
	b.keys("tab", "tab", "w")
	b.shows("step 1 is no repeat")
	b.keys("a", "down", "down", "down", "down", "enter", "esc")
	b.shows("repeat 2 times")
	b.keys("w", "enter", "esc")
	b.shows("2.1 joint to home, 10 %, stop")
	text := b.fileText()
	if !strings.Contains(text, "repeat: 2") || !strings.Contains(text, "steps:") {
		t.Errorf("the file:\n%s", text)
	}
}

// The whole way: step the program through, run it by hand, select automatic,
// start it, hand it in, look at a finding's moment.
func TestProveRunHandIn(t *testing.T) {
	b := atBench(t, liftProgram)
	b.keys("]", "]", "]", "]", "m")
	b.shows("the gate is open")
	b.keys("o", "m")
	b.shows("not every step has been run singly in manual mode yet", "step 1")
	for range 5 {
		b.until(".")
	}
	b.keys("tab", "tab")
	b.shows("at the end, 5 of 5 proved")
	b.until(",")
	b.shows("next 5,")
	b.keys("e")
	b.until("b")
	b.keys("m", "]", "]", "]", "]")
	b.shows("AUTOMATIC", "100 % speed")
	b.keys("/")
	b.pass(0.5)
	b.shows("MOVING")
	b.keys("m")
	b.pass(0.5)
	b.shows("MANUAL", "automatic mode was left")
	b.keys("m", "/")
	b.pass(6)
	b.shows("at the end")
	log := b.screenOf().bench.Log()
	if n := len(log.Entries); n < 6 || log.Entries[n-1].Kind != practice.RanEntry {
		t.Errorf("log %+v", log)
	}
	b.keys("h")
	b.shows("NOT PASSED", "OVERSPEED")
	b.golden("bench-findings")
	b.keys("v")
	b.shows("step 5", "OVERSPEED", "measured")
	m := b.app.top().(*momentScreen)
	f := m.finding()
	if m.at < f.From || m.at > f.To {
		t.Errorf("the moment is %.2f s, the finding from %.2f to %.2f", m.at, f.From, f.To)
	}
	b.goldenWide("moment")
	b.keys("home", "left")
	b.shows("beside the finding")
	b.keys("pgup", "pgup")
	at := m.at
	b.keys("space")
	b.pass(0.5)
	if d := m.at - at; d < 0.4 || d > 0.6 {
		t.Errorf("in half a second %.2f s are played", d)
	}
	b.keys("space", "down", "v", "+", "a", "esc")
	b.shows("NOT PASSED")
	b.keys("esc")
	b.shows("Steps", "5 of 5 proved")
	b.keys("esc")
	b.shows("Lift the slab")
}

// Whatever the program on disk becomes, nothing is lost without being asked.
func TestFileChangedByOthers(t *testing.T) {
	b := atBench(t, liftProgram)
	if err := os.WriteFile("lift.yaml", []byte("theirs\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	b.keys("r", "enter")
	b.shows("The file was changed by something else. Write this program over it? y or esc", "NOT SAVED")
	b.keys("esc")
	if b.fileText() != "theirs\n" {
		t.Error("written over without consent")
	}
	b.keys("esc")
	b.shows("is not saved", "Leave and lose it? y or esc")
	b.keys("esc", "u")
	b.shows("Write this program over it?")
	b.keys("y")
	b.shows("saved")
	if b.fileText() != liftProgram {
		t.Errorf("the file:\n%s", b.fileText())
	}
}

func TestOpenBrokenFile(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("lift.yaml", []byte("posework: program/1\nsteps: [{too: home}]\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	d := start(t, benchSeat(t))
	d.keys("enter", "p", "enter")
	d.shows("! lift.yaml:2:")
	d.keys("ctrl+u", "nowhere/x.yaml", "enter")
	d.shows("no such file")
	d.keys("ctrl+u", "enter")
	d.shows("type the name")
	d.keys("ctrl+u", "new.yaml", "enter")
	d.shows("new.yaml, unchanged", "Move")
	if _, err := os.Stat("new.yaml"); err == nil {
		t.Error("a file is written before there is anything in it")
	}
}

func TestSignalsOnScreen(t *testing.T) {
	b := atBench(t, liftProgram)
	b.keys("tab", "tab", "tab")
	b.shows("out vacuum off", "the tool holds nothing")
	b.keys("enter")
	b.shows("out vacuum ON")
	b.keys("down", "enter")
	b.shows("part-held is an input")
}

func TestViewKeys(t *testing.T) {
	b := atBench(t, liftProgram)
	seen := map[string]string{b.screen(): "start"}
	b.keys("tab", "tab", "tab", "tab")
	seen[b.screen()] = "tab"
	for _, k := range []string{"left", "right", "right", "up", "down", "down", "+", "-", "-", "pgup", "end", "g", "v", "v", "v"} {
		b.keys(k)
		if was, ok := seen[b.screen()]; ok && k != "right" && k != "down" && k != "-" {
			t.Errorf("after %s the screen is as after %s", k, was)
		}
		seen[b.screen()] = k
	}
	b.keys("0", "v") // whole, from the corner again
	b.shows("mm across")
}

// The list of keys fits, and says every key that the screen obeys.
func TestPracticeKeys(t *testing.T) {
	for in := range areas {
		table := practiceKeys(in)
		taken := map[string]action{}
		for _, k := range table {
			if k.long == "" {
				t.Errorf("%s: the key %s is not explained", in, k.name)
			}
			for _, name := range k.keys {
				if other, ok := taken[name]; ok && other != k.do {
					t.Errorf("%s: the key %q means two things", in, name)
				}
				taken[name] = k.do
			}
		}
	}
}

// At any size the screen fits, and nothing of it is lost by resizing.
func TestPracticeResize(t *testing.T) {
	b := atBench(t, liftProgram)
	b.hold("right", 0.3)
	want := b.screen()
	for _, size := range [][2]int{{200, 50}, {60, 16}, {81, 25}, {300, 90}, {10, 3}, {110, 30}, {150, 24}, {80, 60}} {
		b.size(size[0], size[1])
		checkSize(t, b.app.View(), size[0], size[1])
		b.keys("tab")
		checkSize(t, b.app.View(), size[0], size[1])
	}
	b.size(80, 24)
	for range 8 % int(areas) {
		b.keys("shift+tab")
	}
	if got := b.screen(); got != want {
		t.Errorf("resized to and fro the screen is\n%s\nwant\n%s", got, want)
	}
}

// Every key of the bench can be read at 80x24: the list has pages.
func TestKeyPages(t *testing.T) {
	b := atBench(t, liftProgram)
	b.keys("?")
	b.shows("KEYS 1 of 2", "space shows the next page")
	seen := b.screen()
	b.keys("space")
	b.shows("KEYS 2 of 2", "any key closes this list")
	seen += b.screen()
	for _, k := range practiceKeys(inMove) {
		if !strings.Contains(seen, k.long) {
			t.Errorf("no page says %q", k.long)
		}
	}
	b.keys("space")
	b.shows("[Move]")
	b.keys("?", "esc")
	b.shows("[Move]")
}

// Beside the text of a lesson stands its cell, where there is room.
func TestCellBesideLesson(t *testing.T) {
	d := start(t, benchSeat(t))
	d.size(200, 50)
	d.keys("enter")
	d.shows("plinth", "walkway: keep out", "THE TASK", "Lift the slab off the stand")
	d.size(200, 30)
	d.hides("walkway")
	d.size(100, 50)
	d.hides("walkway")
}

// A frame and a tool are taught from recorded poses, and can be jogged in.
func TestTeachOnScreen(t *testing.T) {
	b := atBench(t, liftProgram)
	b.keys("tab", "F")
	b.shows("The frame's name, then three poses")
	b.keys("bench home over beside", "enter")
	if !strings.Contains(b.fileText(), "bench: {origin: home, along-x: over, in-plane: beside}") {
		t.Fatalf("the file:\n%s", b.fileText())
	}
	b.keys("shift+tab", "j", "f", "f", "f")
	b.shows("straight, in bench")
	b.keys("tab", "T", "probe home over", "enter")
	b.shows("at least 4 touches")
	b.keys("u", "shift+tab", "t")
	b.shows("cup")
}

// What was done at the bench is kept when it is left.
func TestPracticeLogIsKept(t *testing.T) {
	store, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	b := atBench(t, liftProgram)
	b.screenOf().seat.Store = store
	b.keys("]", "]", "]", "]")
	b.until(".")
	b.hold("right", 0.3)
	b.keys("x")
	b.pass(0.5)
	b.keys("esc")
	b.shows("Lift the slab")
	list, err := store.Practices(t.Context(), "Jo", "lift", records.Page{})
	if err != nil || len(list) != 1 {
		t.Fatalf("%d practices kept, %v", len(list), err)
	}
	for _, want := range []string{`"kind":"step"`, `"step":"1"`, `"kind":"squeeze"`, `"program":"`} {
		if !strings.Contains(string(list[0].Data), want) {
			t.Errorf("the log %s does not hold %s", list[0].Data, want)
		}
	}
}

// Keys that come in one piece are as many keys, and letters that spell the name
// of a key are letters.
func TestKeysInOnePiece(t *testing.T) {
	b := atBench(t, "")
	b.keys("r", "ctrl+u")
	for _, word := range []string{"home", "enter", "esc"} {
		b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(word)})
	}
	b.shows("Record in base as: homeenteresc_")
	b.keys("enter", "]")
	b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("]]")})
	b.shows("at most 100 mm/s")
}

// At 80 columns nothing that is told at the bench is cut in the middle, and zero
// has no sign.
func TestBenchIsToldWhole(t *testing.T) {
	b := atBench(t, liftProgram)
	b.keys("x", "!")
	if banner := strings.Split(b.screen(), "\n")[2]; !strings.HasSuffix(banner, "(z lets go)") {
		t.Errorf("the state of the devices ends in the middle of a word: %q", banner)
	}
	b.keys("!", "k", "z", "j", "i", "i", "i")
	b.hold("right", 2)
	b.shows("in base, by 10 (10.00 mm)")
	b.hides("-0.0")
	// The next increment may be chosen while the last one still stands there.
	b.keys("i")
	b.shows("in base, held (10.00 mm)")
}

// What was worked on at the bench is what the learner hands in, and goes on with.
func TestBenchFileIsOfferedAgain(t *testing.T) {
	b := atBench(t, liftProgram)
	for _, name := range []string{"early.yaml", "mine.yaml"} {
		if err := os.WriteFile(name, []byte(liftProgram), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	b.keys("esc", "p", "ctrl+u", "mine.yaml", "enter", "esc", "h")
	b.shows("▸ mine.yaml")
	b.keys("esc", "p")
	b.shows("THE PROGRAM FILE", "mine.yaml")
}
