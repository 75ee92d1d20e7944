package lessons

import (
	"io/fs"
	"path"
	"slices"
	"strings"

	"posework/engine/diag"
	"posework/engine/practice"
	"posework/engine/source"
	"posework/grader"
)

// The answers that every task has: enough of both to show that the task can be
// done in more than one way, and that the usual mistakes are caught.
const (
	fewestGood   = 2
	fewestFlawed = 6
)

const expectFile = "expect.yaml"

// answer is one answer of a lesson with what it must lead to.
type answer struct {
	name string // file name
	path string
	log  string // path of the practice log beside it, "" when there is none
	pos  diag.Pos
	good bool
	want []string // finding codes, sorted; flawed answers only
}

// isLog reports whether a file is a practice log.
func isLog(file string) bool {
	_, log := practice.CutLogFile(file)
	return log
}

// answers lists the answers of a lesson and reports what is wrong with their
// names and with expect.yaml.
func (c *checker) answers(lesson *Lesson) []answer {
	dir := path.Join(lesson.Dir, "answers")
	files, _ := fs.Glob(c.fsys, path.Join(dir, "*.yaml")) // the pattern is sound
	var logs []string
	files = slices.DeleteFunc(files, func(f string) bool {
		if isLog(f) {
			logs = append(logs, f)
		}
		return isLog(f)
	})
	want := c.expected(dir, slices.ContainsFunc(files, isFlawed))
	var all []answer
	good, flawed := 0, 0
	for _, file := range files {
		a := answer{name: path.Base(file), path: file, pos: diag.Pos{Filename: file, Line: 1, Column: 1}}
		if i := slices.Index(logs, practice.LogFile(file)); i >= 0 {
			a.log = logs[i]
			logs = slices.Delete(logs, i, i+1)
		}
		switch {
		case a.name == expectFile:
			continue
		case strings.HasPrefix(a.name, "good"):
			a.good = true
			good++
		case isFlawed(file):
			flawed++
			w, ok := want[a.name]
			if !ok {
				c.add(a.pos, "T112", "add \""+a.name+": [CODE, ...]\" to "+expectFile, "%s does not say what this answer must raise", expectFile)
				continue
			}
			a.want = w.codes
			w.used = true
			want[a.name] = w
		default:
			c.add(a.pos, "T111", "call it good*.yaml or flawed-*.yaml", "the file is neither a good answer nor a flawed one")
			continue
		}
		all = append(all, a)
	}
	for _, log := range logs {
		c.add(diag.Pos{Filename: log, Line: 1, Column: 1}, "T118", "call it as its answer, with .log.yaml for .yaml", "the practice log lies beside no answer")
	}
	for name, w := range want {
		if !w.used {
			c.add(w.pos, "T112", "take the line out, or add the file", "there is no answer %s", name)
		}
	}
	if good < fewestGood {
		c.add(lesson.Pos, "T113", "add answers/good-....yaml in another style", "the lesson has %d good answers; at least %d show that there is more than one way", good, fewestGood)
	}
	if flawed < fewestFlawed {
		c.add(lesson.Pos, "T113", "add answers/flawed-....yaml for the usual mistakes", "the lesson has %d flawed answers; at least %d show that mistakes are caught", flawed, fewestFlawed)
	}
	return all
}

func isFlawed(file string) bool { return strings.HasPrefix(path.Base(file), "flawed-") }

type expectation struct {
	codes []string
	pos   diag.Pos
	used  bool
}

// expected reads expect.yaml: the codes that each flawed answer must raise.
func (c *checker) expected(dir string, needed bool) map[string]expectation {
	name := path.Join(dir, expectFile)
	if _, err := fs.Stat(c.fsys, name); err != nil && !needed {
		return nil
	}
	data := read(c.fsys, name, &c.list)
	if data == nil {
		return nil
	}
	root := source.Parse(name, data, 1, &c.list)
	if root == nil {
		return nil
	}
	want := map[string]expectation{}
	m := root.Map()
	m.Format("expect/1")
	for _, e := range m.Names() {
		if e.Key == "posework" {
			continue
		}
		x := expectation{pos: e.KeyPos}
		for _, n := range e.Value.List() {
			code := n.Str()
			if _, ok := grader.Lookup(code); !ok && n.OK() {
				n.Errorf("T114", "posework explain lists them", "%s is not the code of a finding", code)
			}
			x.codes = append(x.codes, code)
		}
		slices.Sort(x.codes)
		want[e.Key] = x
	}
	m.Close()
	return want
}

// grade checks one answer against what it must lead to, and tells whether it does.
func (c *checker) grade(lesson *Lesson, a answer) bool {
	before := len(c.list)
	data := read(c.fsys, a.path, &c.list)
	if data == nil {
		return false
	}
	mark, l := grader.Grade(lesson.Cell, lesson.Task, a.path, data, grader.Options{Log: c.log(a)})
	if len(l) > 0 {
		c.list = append(c.list, l...)
		return false
	}
	got := findingCodes(mark)
	switch {
	case a.good && !flawless(mark):
		pos := a.pos
		text := ""
		if len(mark.Findings) > 0 {
			f := &mark.Findings[0]
			text = ": " + f.Code + ", " + f.Text
			if f.Pos.Line > 0 {
				pos = f.Pos
			}
		}
		c.add(pos, "T115", "mend the answer, or the task if the answer is right", "a good answer scores %.4g instead of 100%s", mark.Points, text)
	case a.good:
	case !slices.Equal(got, a.want):
		c.add(a.pos, "T116", "mend the answer, or "+expectFile, "the answer raises %s, but %s are expected", words(got), words(a.want))
	case mark.Passed:
		c.add(a.pos, "T117", "add \"must: true\" to the check that it misses", "a flawed answer passes with %.4g points", mark.Points)
	}
	return len(c.list) == before
}

// reach tells why a task has no good answer, where that is because it asks for
// places that no setting of the axes brings any tool of the cell to.
func (c *checker) reach(lesson *Lesson) {
	for _, p := range lesson.Task.Places() {
		if !p.Reachable(lesson.Cell) {
			c.add(p.Pos, "T119", "move the place, or turn the tool there", "the arm can't bring any of its tools to %s", p.Name)
		}
	}
}

// flawless reports whether a mark is that of a good answer: full points and no
// findings.
func flawless(m *grader.Mark) bool { return m.Points >= 100 && m.Passed && len(m.Findings) == 0 }

// log reads the practice log of an answer, nil when there is none.
func (c *checker) log(a answer) *practice.Log {
	if a.log == "" {
		return nil
	}
	data := read(c.fsys, a.log, &c.list)
	if data == nil {
		return nil
	}
	log, l := practice.ReadLog(a.log, data)
	c.list = append(c.list, l...)
	return log
}

// findingCodes returns the codes of a mark's findings, sorted, each once.
func findingCodes(m *grader.Mark) []string {
	var codes []string
	for i := range m.Findings {
		codes = append(codes, m.Findings[i].Code)
	}
	slices.Sort(codes)
	return slices.Compact(codes)
}

func words(codes []string) string {
	if len(codes) == 0 {
		return "nothing"
	}
	return strings.Join(codes, ", ")
}
