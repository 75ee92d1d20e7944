package lessons

import (
	"strings"
	"testing"
	"testing/fstest"

	"posework/engine/diag"
)

// lessonText makes the file of a small sound lesson. extra are more lines of the
// front matter.
func lessonText(id, extra string) string {
	return `---
posework: lesson/1
id: ` + id + `
title: A lesson
module: First
minutes: 10
objectives: [Know it.]
cautions: [Take care.]
sources: [common practice]
` + extra + `---

## A section

It is short.
`
}

func load(t *testing.T, files map[string]string) (*Course, diag.List) {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return Load(fsys, ".")
}

func TestLoad(t *testing.T) {
	c, l := load(t, map[string]string{
		"01-a/lesson.md":   lessonText("a", ""),
		"02-b/lesson.md":   strings.Replace(lessonText("b", "needs: [a]\n"), "First", "Second", 1),
		"03-c/lesson.md":   lessonText("c", "needs: [a, b]\n"),
		"cells/readme.txt": "no lesson",
		"decks/d.yaml": `posework: deck/1
id: d
title: A deck
minutes: 5
points: [Look.]
sources: [common practice]
quiz:
  - {id: q, kind: number, ask: "How many?", answer: 2, tolerance: 0, because: Two., source: arithmetic, skill: count}
`,
	})
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	if len(c.Lessons) != 3 || c.Lessons[1].ID != "b" || c.Lessons[1].Dir != "02-b" {
		t.Errorf("lessons = %v", c.Lessons)
	}
	if len(c.Modules) != 2 || c.Modules[0].Title != "First" || len(c.Modules[0].Lessons) != 2 {
		t.Errorf("modules = %v", c.Modules)
	}
	if got := c.Find("c"); got == nil || strings.Join(got.Needs, " ") != "a b" || !strings.HasPrefix(got.Body, "\n## A section") {
		t.Errorf("Find(c) = %+v", got)
	}
	if c.Find("d") != nil {
		t.Error("Find finds a deck")
	}
}

// TestLoadReports pins what each mistake is told as, and where.
func TestLoadReports(t *testing.T) {
	for _, tt := range []struct {
		name  string
		files map[string]string
		want  string
	}{
		{"nothing there", map[string]string{"x/readme.txt": ""},
			".: there is no lesson.md here or one folder below; name a folder that holds lessons, or one lesson"},
		{"no front matter", map[string]string{"a/lesson.md": "# Text\n"},
			`a/lesson.md:1:1: the file has no front matter; begin with a line "---", write "posework: lesson/1" and the other keys, and end with a line "---"`},
		{"front matter never ends", map[string]string{"a/lesson.md": "---\nposework: lesson/1\n"},
			`a/lesson.md:1:1: the file has no front matter; begin with a line "---", write "posework: lesson/1" and the other keys, and end with a line "---"`},
		{"front matter empty", map[string]string{"a/lesson.md": "---\n---\ntext\n"},
			"a/lesson.md:2:1: the file is empty; write its first key"},
		{"another version", map[string]string{"a/lesson.md": strings.Replace(lessonText("a", ""), "lesson/1", "lesson/2", 1)},
			`a/lesson.md:2:11: "lesson/2" is not a version that this posework reads; it reads version 1; write "posework: lesson/1"`},
		{"unknown key", map[string]string{"a/lesson.md": lessonText("a", "neds: [b]\n")},
			`a/lesson.md:10:1: unknown key "neds" in the file; did you mean "needs"?`},
		{"missing key", map[string]string{"a/lesson.md": strings.Replace(lessonText("a", ""), "sources: [common practice]\n", "", 1)},
			`a/lesson.md:2:1: the file has no "sources"; add "sources: ..."`},
		{"empty list", map[string]string{"a/lesson.md": strings.Replace(lessonText("a", ""), "[Take care.]", "[]", 1)},
			`a/lesson.md:8:11: cautions is empty; write at least one`},
		{"blank text", map[string]string{"a/lesson.md": strings.Replace(lessonText("a", ""), "A lesson", "' '", 1)},
			`a/lesson.md:4:8: title is empty; write a sentence`},
		{"task without a cell", map[string]string{"a/lesson.md": lessonText("a", "task: {goal: Do it., checks: [{check: reach}]}\n")},
			`a/lesson.md:10:7: the lesson has a task, but no cell to do it in; add "cell: {use: ...}"`},
		{"byte order mark and CRLF", map[string]string{"a/lesson.md": "\ufeff" + strings.ReplaceAll(lessonText("a", "neds: [b]\n"), "\n", "\r\n")},
			`a/lesson.md:10:1: unknown key "neds" in the file; did you mean "needs"?`},
		{"blank lines before", map[string]string{"a/lesson.md": "\n\n" + lessonText("a", "neds: [b]\n")},
			`a/lesson.md:12:1: unknown key "neds" in the file; did you mean "needs"?`},
		{"same id", map[string]string{"a/lesson.md": lessonText("x", ""), "b/lesson.md": lessonText("x", "")},
			`b/lesson.md:1:1: the id "x" is already that of a/lesson.md; choose another id`},
		{"needs what is not there", map[string]string{"a/lesson.md": lessonText("alpha", ""), "b/lesson.md": lessonText("beta", "needs: [alhpa]\n")},
			`b/lesson.md:10:9: the lesson needs "alhpa", but there is no such lesson; did you mean "alpha"?`},
		{"needs each other", map[string]string{"a/lesson.md": lessonText("a", "needs: [b]\n"), "b/lesson.md": lessonText("b", "needs: [a]\n")},
			`b/lesson.md:10:9: b and a need each other, so neither can be begun; take one of the needs away`},
		{"needs itself", map[string]string{"a/lesson.md": lessonText("a", "needs: [a]\n"), "b/lesson.md": lessonText("b", "")},
			`a/lesson.md:10:9: a and a need each other, so neither can be begun; take one of the needs away`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, l := load(t, tt.files)
			if got := l.Error(); got != tt.want {
				t.Errorf("Load reports\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}

// A lesson with something wrong in it is not half read.
func TestLoadLeavesOutWhatIsWrong(t *testing.T) {
	c, l := load(t, map[string]string{
		"a/lesson.md": lessonText("a", "neds: [b]\n"),
		"b/lesson.md": lessonText("b", ""),
	})
	if len(l) == 0 || len(c.Lessons) != 1 || c.Lessons[0].ID != "b" {
		t.Errorf("Load gives %d lessons and reports %v", len(c.Lessons), l)
	}
}

// One lesson alone may need lessons that are elsewhere.
func TestLoadOne(t *testing.T) {
	fsys := fstest.MapFS{"a/lesson.md": {Data: []byte(lessonText("a", "needs: [b]\n"))}}
	c, l := Load(fsys, "a")
	if err := l.Err(); err != nil || len(c.Lessons) != 1 {
		t.Errorf("Load(a) gives %d lessons and reports %v", len(c.Lessons), err)
	}
}

// The text begins right after the closing line, and knows its line.
func TestBodyPos(t *testing.T) {
	c, l := load(t, map[string]string{"a/lesson.md": "\n" + lessonText("a", "")})
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	if got := c.Lessons[0].BodyPos.Line; got != 12 {
		t.Errorf("the text begins in line %d, want 12", got)
	}
}

// Comments are for the next editor: a reader does not see them, and the lines
// below keep their numbers.
func TestComments(t *testing.T) {
	for in, want := range map[string]string{
		"<!-- from memory -->\ntext\n":     "\ntext\n",
		"<!-- from\nmemory -->\ntext\n":    "\n\ntext\n",
		"a\n  <!-- b -->\nc":               "a\n\nc",
		"```\n<!-- code -->\n```\n":        "```\n<!-- code -->\n```\n",
		"text <!-- in the middle --> text": "text <!-- in the middle --> text",
	} {
		if got := withoutComments(in); got != want {
			t.Errorf("withoutComments(%q) = %q, want %q", in, got, want)
		}
	}
}

// FuzzLoad feeds any text to the loader as a lesson: it must not panic, and what
// it reports must lie inside the file.
func FuzzLoad(f *testing.F) {
	f.Add(lessonText("a", taskText+quizText))
	f.Add("---\n---\n")
	f.Add("---\r\nposework: lesson/1\r\n---")
	f.Add("\ufeff\n---\nid: [\n---\n<!-- x\n")
	f.Fuzz(func(t *testing.T, text string) {
		fsys := fstest.MapFS{"a/lesson.md": {Data: []byte(text)}, "cells/cell.yaml": {Data: []byte(cellText)}}
		c, l := Load(fsys, ".")
		if len(c.Lessons) == 0 && len(l) == 0 {
			t.Error("no lesson, and no reason")
		}
		lines := strings.Count(strings.ReplaceAll(text, "\r", "\n"), "\n") + 1
		for _, d := range l {
			if d.Pos.Filename == "a/lesson.md" && (d.Pos.Line < 0 || d.Pos.Line > lines) {
				t.Errorf("%s lies outside the %d lines of the file", d, lines)
			}
		}
	})
}
