package lessons

import (
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"posework/engine/diag"
)

// A small course that the linter finds nothing wrong with: a lesson with a task
// and its answers.
const (
	cellText = `cell:
  arm: hazel
  floor: none
  tools: {cup: {tcp: {xyz: [0, 0, 100], rpy: [0, 0, 0]}, mass: 0.4 kg}}
  frames: {rack: {xyz: [500, 0, 200], rpy: [0, 0, 0]}}
`
	taskText = `cell: {use: ../cells/cell.yaml}
task:
  goal: Go over the rack and come home.
  checks:
    - {check: starts-home, pose: home}
    - {check: ends-home, pose: home}
    - {check: top-speed}
    - {check: visits, poses: [{at: {xyz: [0, 0, 100], rpy: [180, 0, 0], frame: rack}}], must: true}
hints: [Think., Look at the frame., Go by a joint move.]
`
	quizText = `quiz:
  - {id: q, kind: one, ask: Which?, right: this one here, wrong: [that one there, another of them, none of them all], because: So., source: common practice, skill: choose}
`
	answerText = `posework: program/1
tool: cup
poses:
  home: {axes: [0, -4, 29, 0, 65, 0]}
  over: {xyz: [0, 0, 100], rpy: [180, 0, 0], frame: rack}
steps:
  - {to: home, path: joint, speed: 5 %, end: stop}
  - {to: over, path: joint, speed: 5 %, end: stop}
  - {to: home, path: joint, speed: 5 %, end: stop}
`
)

func sound() map[string]string {
	files := map[string]string{
		"cells/cell.yaml":        cellText,
		"01-a/lesson.md":         lessonText("a", taskText+quizText),
		"01-a/answers/good.yaml": answerText,
	}
	files["01-a/answers/good-two.yaml"] = strings.ReplaceAll(answerText, "5 %", "4 %")
	expect := "posework: expect/1\n"
	for _, f := range []struct{ name, old, text, code string }{
		{"one", "  - {to: home, path: joint, speed: 5 %, end: stop}\n  - {to: over", "  - {to: over", "NOT_HOME_AT_START"},
		{"two", "speed: 5 %", "speed: 60 %", "OVERSPEED_MANUAL"},
		{"three", "[0, 0, 100]", "[0, 0, 130]", "TARGET_MISSED"},
		{"four", "to: over, path: joint, speed: 5 %, end: stop", "to: over, path: joint, speed: 5 %, end: fly-by 20 mm", "BLEND_AT_WORK_POSE"},
		{"five", "[180, 0, 0]", "[170, 0, 0]", "ORIENTATION_OFF"},
		{"six", "end: stop}\n  - {to: home, path: joint, speed: 5 %, end: stop}", "end: stop}", "NOT_HOME_AT_END"},
	} {
		text := strings.ReplaceAll(answerText, f.old, f.text)
		files["01-a/answers/flawed-"+f.name+".yaml"] = text
		expect += "flawed-" + f.name + ".yaml: [" + f.code + "]\n"
	}
	files["01-a/answers/expect.yaml"] = expect
	return files
}

func asFS(files map[string]string) fs.FS {
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return fsys
}

// problems is what Check finds wrong.
func problems(fsys fs.FS, dir string) diag.List {
	l, _ := Check(fsys, dir)
	return l
}

func TestCheckSound(t *testing.T) {
	for _, p := range problems(asFS(sound()), ".") {
		t.Errorf("%s %s", p.Code, p)
	}
	for _, p := range problems(asFS(sound()), "01-a") {
		t.Errorf("alone: %s %s", p.Code, p)
	}
}

// TestCheckReports makes one thing wrong at a time and pins what is told, and
// where.
func TestCheckReports(t *testing.T) {
	const lesson = "01-a/lesson.md"
	edit := func(name, old, text string) func(map[string]string) {
		return func(f map[string]string) {
			if !strings.Contains(f[name], old) {
				t.Fatalf("%s has no %q", name, old)
			}
			f[name] = strings.Replace(f[name], old, text, 1)
		}
	}
	wide := strings.Repeat("x", 81)
	// Prose is not measured by its width: this line is long and easy.
	long := strings.TrimSpace(strings.Repeat("It is so. ", 12))
	hard := strings.Repeat("Considerable organisational responsibility necessitates comprehensive documentation of configurations. ", 3)
	for _, tt := range []struct {
		name   string
		change func(map[string]string)
		want   []string // code and place of each report
	}{
		{"unknown word", edit(lesson, "minutes: 10", "minuets: 10"), []string{"F012 01-a/lesson.md:6:1"}},
		{"missing source", edit(lesson, "sources: [common practice]\n", ""), []string{"F013 01-a/lesson.md:2:1"}},
		{"missing cautions", edit(lesson, "cautions: [Take care.]\n", ""), []string{"F013 01-a/lesson.md:2:1"}},
		{"unknown check", edit(lesson, "check: top-speed", "check: top-sped"), []string{"F017 01-a/lesson.md:16:15"}},
		{"cell that is not there", edit(lesson, "cell.yaml", "sell.yaml"), []string{"C001 01-a/lesson.md:10:13"}},
		{"no questions", edit(lesson, quizText, ""), []string{"T120 01-a/lesson.md:1:1"}},
		{"two hints", edit(lesson, "Think., ", ""), []string{"T121 01-a/lesson.md:1:1"}},
		{"no text", edit(lesson, "## A section\n\nIt is short.\n", ""), []string{"T122 01-a/lesson.md:22:1"}},
		{"hard to read", edit(lesson, "It is short.", hard), []string{"T123 01-a/lesson.md:22:1"}},
		{"wide picture", edit(lesson, "It is short.", "It is short.\n\n```\n"+wide+"\n```\n"), []string{"T124 01-a/lesson.md:28:1"}},
		{"wide table", edit(lesson, "It is short.", "It is short.\n\n| a |\n|---|\n| "+wide+" |\n"), []string{"T124 01-a/lesson.md:29:1"}},
		{"long prose is wrapped", edit(lesson, "It is short.", long), nil},
		{"dead link", edit(lesson, "It is short.", "See [this](answers/none.yaml)."), []string{"T125 01-a/lesson.md:25:1"}},
		{"dead picture", edit(lesson, "It is short.", "It is short. ![plan](plan.png)"), []string{"T125 01-a/lesson.md:25:1"}},
		{"dead link to a section", edit(lesson, "It is short.", "See [this](#a-sektion)."), []string{"T125 01-a/lesson.md:25:1"}},
		{"section with signs", edit(lesson, "## A section\n\nIt is short.", "## Stop, or round? 2\n\nSee [this](#stop-or-round-2)."), nil},
		{"answer in the text", edit(lesson, "It is short.", "It is short.\n\n```yaml\n"+answerText+"```\n"), []string{"T126 01-a/lesson.md:28:1"}},
		{"flawed program in the text", edit(lesson, "It is short.", "It is short.\n\n```yaml\n"+strings.ReplaceAll(answerText, "5 %", "60 %")+"```\n"), nil},
		{"part of an answer in the text", edit(lesson, "It is short.", "It is short.\n\n```yaml\n"+strings.TrimPrefix(answerText, "posework: program/1\n")+"```\n"), nil},
		{"question without a source", edit(lesson, ", source: common practice", ""), []string{"F013 01-a/lesson.md:20:5"}},
		{"question that says its answer", edit(lesson, "ask: Which?", "ask: \"Is it This one, here?\""), []string{"T134 01-a/lesson.md:20:5"}},
		{"question that says a part of its answer", edit(lesson, "ask: Which?", "ask: Is it this one?"), nil},
		{"question that says all its options", edit(lesson, "ask: Which?", "ask: \"This one here, that one there?\""), nil},
		{"links that lead somewhere", edit(lesson, "It is short.", "See [this](answers/good.yaml), [that](https://example.org/x) and [here](#a-section)."), nil},
		{"three options", edit(lesson, ", none of them all]", "]"), []string{"T130 01-a/lesson.md:20:5"}},
		{"right option much longer", edit(lesson, "this one here", "this one here because it alone has a reason"), []string{"T131 01-a/lesson.md:20:5"}},
		{"right option much shorter", edit(lesson, "right: this one here", "right: it"), []string{"T131 01-a/lesson.md:20:5"}},
		{"good answer that fails", edit("01-a/answers/good.yaml", "[0, 0, 100]", "[0, 0, 110]"), []string{"T115 01-a/answers/good.yaml:1:1"}},
		{"good answer that can't be read", edit("01-a/answers/good.yaml", "tool: cup", "tool: cap"), []string{"M001 01-a/answers/good.yaml:2:7"}},
		{"flawed answer that is good", func(f map[string]string) { f["01-a/answers/flawed-two.yaml"] = answerText }, []string{"T116 01-a/answers/flawed-two.yaml:1:1"}},
		{"flawed answer with another flaw", edit("01-a/answers/expect.yaml", "[ORIENTATION_OFF]", "[FAST_APPROACH]"), []string{"T116 01-a/answers/flawed-five.yaml:1:1"}},
		{"flawed answer that passes", edit(lesson, "frame: rack}}], must: true}", "frame: rack}}], points: 1}"), []string{"T117 01-a/answers/flawed-five.yaml:1:1", "T117 01-a/answers/flawed-four.yaml:1:1", "T117 01-a/answers/flawed-three.yaml:1:1"}},
		{"no such finding", edit("01-a/answers/expect.yaml", "ORIENTATION_OFF", "ORIENTATION"), []string{"T114 01-a/answers/expect.yaml:6:20", "T116 01-a/answers/flawed-five.yaml:1:1"}},
		{"flawed answer not expected", func(f map[string]string) { f["01-a/answers/flawed-new.yaml"] = answerText }, []string{"T112 01-a/answers/flawed-new.yaml:1:1"}},
		{"expected answer not there", func(f map[string]string) { f["01-a/answers/expect.yaml"] += "flawed-old.yaml: [CONTACT]\n" }, []string{"T112 01-a/answers/expect.yaml:8:1"}},
		{"no expect.yaml", func(f map[string]string) {
			delete(f, "01-a/answers/expect.yaml")
			for _, n := range []string{"two", "three", "four", "five", "six"} {
				delete(f, "01-a/answers/flawed-"+n+".yaml")
			}
		}, []string{"T102 01-a/answers/expect.yaml", "T112 01-a/answers/flawed-one.yaml:1:1", "T113 01-a/lesson.md:1:1"}},
		{"log without an answer", func(f map[string]string) { f["01-a/answers/good-three.log.yaml"] = "posework: log/1\n" }, []string{"T118 01-a/answers/good-three.log.yaml:1:1"}},
		{"log that can't be read", func(f map[string]string) {
			f["01-a/answers/good.log.yaml"] = "posework: log/1\nprogram: mine\nentries: []\n"
		}, []string{"L001 01-a/answers/good.log.yaml:2:10"}},
		{"answer with another name", func(f map[string]string) { f["01-a/answers/best.yaml"] = answerText }, []string{"T111 01-a/answers/best.yaml:1:1"}},
		{"one good answer", func(f map[string]string) { delete(f, "01-a/answers/good.yaml") }, []string{"T113 01-a/lesson.md:1:1"}},
		{"no answers at all", func(f map[string]string) {
			for name := range f {
				if strings.Contains(name, "/answers/") {
					delete(f, name)
				}
			}
		}, []string{"T113 01-a/lesson.md:1:1", "T113 01-a/lesson.md:1:1"}},
		{"spot question in a deck", func(f map[string]string) {
			f["decks/d.yaml"] = "posework: deck/1\nid: d\ntitle: D\nminutes: 5\npoints: [Look.]\nsources: [common practice]\nquiz:\n" +
				"  - {id: s, kind: spot, ask: Where?, because: There., source: ours, skill: look, program: \"posework: program/1\"}\n"
		}, []string{"T132 decks/d.yaml:8:5"}},
		{"spot question with nothing to find", edit(lesson, quizText, quizText+"  - id: s\n    kind: spot\n    ask: Where?\n    because: There.\n    source: ours\n    skill: look\n    program: |\n      "+
			strings.ReplaceAll(strings.TrimSuffix(answerText, "\n"), "\n", "\n      ")+"\n"), []string{"Q013 01-a/lesson.md:27:14"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			files := sound()
			tt.change(files)
			var got []string
			for _, p := range problems(asFS(files), ".") {
				got = append(got, p.Code+" "+p.Pos.String())
				if p.Text == "" {
					t.Errorf("%s says nothing", p.Code)
				}
			}
			if g, w := strings.Join(got, "\n"), strings.Join(tt.want, "\n"); g != w {
				t.Errorf("Check reports\n%s\nwant\n%s\nin full:", g, w)
				for _, p := range problems(asFS(files), ".") {
					t.Log(p)
				}
			}
		})
	}
}

// TestSpread holds the lengths of right options over a whole course.
func TestSpread(t *testing.T) {
	quiz := func(right string) string {
		text := "quiz:\n"
		for i := range 8 {
			text += "  - {id: q" + strconv.Itoa(i) + ", kind: one, ask: Which?, right: " + right + ", wrong: [four, five, nine], because: So., source: common practice, skill: choose}\n"
		}
		return text
	}
	for _, tt := range []struct{ right, want string }{
		{"right", "T133: the right option is the longest in 8 of 8 single choices"},
		{"two", "T133: the right option is the shortest in 8 of 8 single choices"},
		{"zero", ""},
	} {
		var got []string
		for _, p := range problems(asFS(map[string]string{"a/lesson.md": lessonText("a", quiz(tt.right))}), ".") {
			got = append(got, p.Code+": "+p.Text)
		}
		if g := strings.Join(got, "\n"); g != tt.want {
			t.Errorf("right options %q: Check reports %q, want %q", tt.right, g, tt.want)
		}
	}
}

// TestCheckOutOfReach asks for a place that the arm can't come to: beside what is
// wrong with the answers it is told that the task is at fault.
func TestCheckOutOfReach(t *testing.T) {
	for _, tt := range []struct {
		place string
		told  bool
	}{
		{"[0, 0, 3000], rpy: [180, 0, 0]", true},
		{"[100, 0, 400], rpy: [0, 90, 0]", false}, // straight ahead
		{"[0, 0, 110], rpy: [180, 0, 0]", false},
	} {
		files := sound()
		files["01-a/lesson.md"] = strings.Replace(files["01-a/lesson.md"], "[0, 0, 100], rpy: [180, 0, 0]", tt.place, 1)
		var told []string
		for _, p := range problems(asFS(files), ".") {
			if p.Code == "T119" {
				told = append(told, p.Pos.String()+": "+p.Text)
			}
		}
		want := []string(nil)
		if tt.told {
			want = []string{"01-a/lesson.md:17:7: the arm can't bring any of its tools to the pose at (0, 0, 3000) in rack"}
		}
		if !slices.Equal(told, want) {
			t.Errorf("at %s Check tells %q, want %q", tt.place, told, want)
		}
	}
}
