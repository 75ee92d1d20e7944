package plain

import (
	"os"
	"strings"
	"testing"
	"time"

	"posework/cmd/posework/internal/seat"
	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/grader"
	"posework/lessons"
)

const testCell = `
arm: hazel
floor: -300
tools: {cup: {tcp: {xyz: [0, 0, 180]}, mass: 1.4 kg, solids: [{name: stem, cylinder: {radius: 20, height: 170}, xyz: [0, 0, 85]}]}}
frames: {stand: {xyz: [600, 0, 200]}}
solids: [{name: table, box: [200, 200, 40], xyz: [600, 0, 180]}]
parts: [{name: slab, box: [120, 120, 40], frame: stand, xyz: [0, 0, 20], mass: 0.6 kg}]
signals: {vacuum: output, part-held: input}
events:
  - {when: {vacuum: on, near: slab}, then: {part-held: on, hold: slab}, after: 0.15 s}
`

const testTask = `
goal: Go to the stand and back.
checks:
  - {check: top-speed, at-most: 250 mm/s, points: 50}
  - {check: proved-out, points: 50}
`

func benchSeat(t *testing.T) *seat.Seat {
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
	lesson := &lessons.Lesson{ID: "lift", Title: "Lift", Module: "First", Minutes: 30, Cell: c, Task: task, Cautions: []string{"A simulation proves nothing."}}
	return &seat.Seat{Course: &lessons.Course{Lessons: []*lessons.Lesson{lesson}}, Person: "Jo", Now: func() time.Time { return time.Unix(0, 0) }, Seed: 1}
}

// atBench types lines at the bench of a lesson, in an empty folder, and returns
// everything that was said.
func atBench(t *testing.T, lines ...string) string {
	t.Helper()
	var out strings.Builder
	all := append(append([]string{"1", "p", ""}, lines...), "leave", "b", "q")
	if err := Run(t.Context(), benchSeat(t), strings.NewReader(strings.Join(all, "\n")+"\n"), &out, ""); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func fileText(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("lift.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// A whole lesson in words: record poses, write the program, step it through,
// run it in automatic mode, hand it in.
func TestBenchWholeLesson(t *testing.T) {
	t.Chdir(t.TempDir())
	got := atBench(t, "speed 250", "record home axes", "frame stand", "hold z -200", "hold about y 30", "record there",
		"add move to home", "edit 1 speed 5 %", "add move to there", "edit 2 path line", "edit 2 speed 100", "add pause after 2", "steps",
		"automatic", "hold return", "hold step", "hold step", "hold step", "steps", "hold back", "hold step",
		"set up", "hold return", "gate closed", "automatic", "speed 25 %", "start", "hand in")
	says(t, got, "Caution: A simulation proves nothing.", "Axis 1: 0.00 degrees", "no point faster than 250 mm/s",
		"Saved.", "home: axes 0 0 0 0 60 0", "Tool cup in stand", "The fastest point moved at 2", "there:",
		"Step 1: joint to home, 10 %, stop", "Step 1: joint to home, 5 %, stop", "Step 2: line to there, 50 mm/s, stop", "Step 2: line to there, 100 mm/s, stop",
		"3. pause 0.5 s", "0 of 3 steps were run singly",
		"The gate is open", "1 of 3 steps", "3. pause 0.5 s (run singly)", "3 of 3 steps were run singly. The program is at its end.",
		"Signals and parts are as at the start", "Gate closed.", "Mode automatic", "25 % of the programmed speed", "Step 2 comes next.",
		"PASSED: 100 of 100 points")
	if text := fileText(t); !strings.Contains(text, "  - {to: there, path: line, speed: 100 mm/s, end: stop}") {
		t.Errorf("the file:\n%s", text)
	}
}

func TestBenchStopsAndDevices(t *testing.T) {
	t.Chdir(t.TempDir())
	got := atBench(t, "hold z -100 for 1", "hold z -100 for 1 s squeeze", "hold z -10", "release", "hold z 10 for 0.5 emergency",
		"reset", "unlatch", "hold z 1", "reset", "hold z 1", "hold axis 5 90", "speed 250", "hold axis 5 90")
	says(t, got, "Stopped after", "of 100.00 mm: the control was let go",
		"squeezed past its middle", "The enabling device was squeezed past its middle; release it fully", "Enabling device released",
		"emergency stop", "still pressed; unlatch it first", "A stop is in force", "Mode manual")
	if !strings.Contains(got, "Axis 5 is at its upper limit of 120.0 deg.") {
		t.Errorf("the limit is not told:\n%s", got)
	}
}

func TestBenchMistakes(t *testing.T) {
	t.Chdir(t.TempDir())
	got := atBench(t, "dance", "hold axis 9 1", "hold axis 1 much", "hold z 0", "hold z 5 for ever", "hold z 5 for 1 anyhow", "hold z 5 now",
		"hold to nowhere", "hold step", "frame moon", "tool spoon", "set vacuum", "set part-held on", "set lamp on", "record a b c", "record two words",
		"again a", "rename a", "delete a", "edit 7 speed 1", "add dance", "add move", "copy 1", "paste", "up 1", "remove 1", "undo", "redo", "start", "teach frame", "?")
	for _, want := range []string{
		`There is no command "dance"`, "The axes are 1 to 6", `"much" is not a number of degrees`, `"0" is not a number of mm`, `"ever" is not a number of seconds`,
		"A hold ends by", `"now" is not understood`, "No pose is named", "There is no program", "The frames are base, tool, stand", "The tools are cup",
		"Write set, a signal", "part-held is an input", `There is no signal "lamp"`, "There is no frame", "No pose is named", "Write rename",
		"There is no step 7", "Write add and a kind", "Record a pose first", "There is no step 1", "Nothing has been copied", "There is nothing to take back",
		"There is nothing to do again", "This is for automatic mode", "Type a name and the poses", "Commands. Capitals stand for",
	} {
		if !strings.Contains(strings.ToLower(got), strings.ToLower(want)) {
			t.Errorf("%q is not said:\n%s", want, got)
		}
	}
}

func TestBenchEdit(t *testing.T) {
	t.Chdir(t.TempDir())
	got := atBench(t, "record a axes", "record b stand", "add move to a", "add move to b", "copy 1", "paste 2", "up 3", "fields 1",
		"add repeat", "add pause within 4", "edit 4.1 pause 3", "rename b c", "delete c", "delete c with steps", "undo", "redo", "poses", "remove 1", "signals", "set vacuum on", "signals")
	says(t, got, "Step 3: joint to a", "Step 2: joint to a", "to is a. Choices: a, b.", "speed is 10 %", "or another number",
		"Step 4: repeat 2 times", "Step 4.1: pause 0.5 s", "Step 4.1: pause 3 s", "The pose c is used by 1 of the steps", "a: axes", "vacuum: off", "vacuum: on", "The tool holds nothing")
	text := fileText(t)
	if strings.Contains(text, "c:") || strings.Count(text, "to: a") != 1 || !strings.Contains(text, "pause: 3 s") {
		t.Errorf("the file:\n%s", text)
	}
}

func TestBenchFiles(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("lift.yaml", []byte("posework: program/1\nsteps: [{go: home}]\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	got := talkAtBench(t, "1", "p", "", "p", "no/where.yaml", "b", "q")
	says(t, got, "has to be mended first", "lift.yaml:2:", "no such file")
	if err := os.Remove("lift.yaml"); err != nil {
		t.Fatal(err)
	}
	// The file that was worked on last is offered again.
	got = talkAtBench(t, "1", "p", "other.yaml", "record a axes", "leave", "p", "", "leave", "b", "q")
	says(t, got, "Saved.", "enter alone: other.yaml", "Axis 1:")
}

func talkAtBench(t *testing.T, lines ...string) string {
	t.Helper()
	var out strings.Builder
	if err := Run(t.Context(), benchSeat(t), strings.NewReader(strings.Join(lines, "\n")+"\n"), &out, ""); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// Every command is in the list, and its first words lead to it.
func TestBenchOrders(t *testing.T) {
	seen := map[string]string{}
	for _, o := range orders() {
		key := strings.Join(fixedWords(o.words), " ")
		if other, ok := seen[key]; ok {
			t.Errorf("%q and %q begin alike", o.words, other)
		}
		seen[key] = o.words
		if o.run == nil {
			t.Errorf("%q does nothing", o.words)
		}
	}
}
