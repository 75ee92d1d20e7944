package lessons

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/adrg/frontmatter"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/grader"
	"posework/grader/quiz"
)

// lessonFile is what makes a folder a lesson.
const lessonFile = "lesson.md"

// mostBytes is the greatest size of a lesson's file.
const mostBytes = 1 << 20

// Load reads the course in the folder dir of fsys: every folder with a
// lesson.md, in the order of their names, and decks/*.yaml. When dir itself
// holds a lesson.md, the course is that one lesson.
//
// What is wrong is reported, each thing at its place. A lesson or deck with
// something wrong in it is left out of the course: a file is read whole or not
// at all.
func Load(fsys fs.FS, dir string) (*Course, diag.List) {
	var l diag.List
	c := &Course{}
	alone := isLesson(fsys, dir)
	parsed := new(cell.Parsed) // lessons share their cells
	var broken []string        // ids of lessons that are left out
	for _, d := range lessonDirs(fsys, dir, &l) {
		before := len(l)
		lesson := loadLesson(fsys, d, parsed, &l)
		switch {
		case len(l) == before:
			c.Lessons = append(c.Lessons, lesson)
		case lesson != nil:
			broken = append(broken, lesson.ID)
		}
	}
	decks, _ := fs.Glob(fsys, path.Join(dir, "decks", "*.yaml")) // the pattern is sound
	for _, name := range decks {
		if deck := loadDeck(fsys, name, &l); deck != nil {
			c.Decks = append(c.Decks, deck)
		}
	}
	if len(c.Lessons)+len(c.Decks)+len(l) == 0 {
		l.Add(diag.Pos{Filename: dir}, "T101", "name a folder that holds lessons, or one lesson", "there is no %s here or one folder below", lessonFile)
	}
	c.unique(&l)
	if !alone {
		c.checkNeeds(broken, &l)
	}
	c.group()
	l.Sort()
	return c, l
}

func isLesson(fsys fs.FS, dir string) bool {
	info, err := fs.Stat(fsys, path.Join(dir, lessonFile))
	if err != nil { // one that can't be read is told of when it is
		return !errors.Is(err, fs.ErrNotExist)
	}
	return !info.IsDir()
}

// lessonDirs lists the folders of lessons: dir itself, or those one level below.
func lessonDirs(fsys fs.FS, dir string, l *diag.List) []string {
	if isLesson(fsys, dir) {
		return []string{dir}
	}
	entries, err := fs.ReadDir(fsys, dir)
	if err != nil { // there is no telling more: the folder is not there, or not to be opened
		l.Add(diag.Pos{Filename: dir}, "T101", "name a folder that holds lessons, or one lesson", "the folder can't be read")
		return nil
	}
	var dirs []string
	for _, e := range entries {
		if d := path.Join(dir, e.Name()); e.IsDir() && isLesson(fsys, d) {
			dirs = append(dirs, d)
		}
	}
	return dirs
}

// read returns a file of at most mostBytes without a byte order mark, or nil.
func read(fsys fs.FS, name string, l *diag.List) []byte {
	data, err := source.ReadFile(fsys, name, mostBytes)
	switch {
	case err != nil:
		l.Add(diag.Pos{Filename: name}, "T102", "check its name", "the file can't be read: %v", err)
		return nil
	case len(data) > mostBytes:
		l.Add(diag.Pos{Filename: name}, "T102", "split it", "the file is larger than %d kB, the greatest size of a lesson", mostBytes>>10)
		return nil
	}
	return bytes.TrimPrefix(data, []byte("\ufeff"))
}

// front splits a lesson's file into its front matter, parsed with true
// positions, and its text, which begins in line bodyLine.
func front(name string, data []byte, l *diag.List) (root *source.Node, body []byte, bodyLine int) {
	var matter []byte
	format := frontmatter.NewFormat("---", "---", func(m []byte, _ any) error {
		matter = m
		return nil
	})
	body, err := frontmatter.MustParse(bytes.NewReader(data), nil, format)
	if err != nil {
		l.Add(diag.Pos{Filename: name, Line: 1, Column: 1}, "T103",
			"begin with a line \"---\", write \"posework: lesson/1\" and the other keys, and end with a line \"---\"",
			"the file has no front matter")
		return nil, nil, 0
	}
	head := data[:len(data)-len(body)]
	// The closing delimiter is the last line of head, the front matter ends
	// where that line begins.
	end := bytes.LastIndexByte(bytes.TrimRight(head, "\r\n"), '\n') + 1
	firstLine := 1 + bytes.Count(head[:end-len(matter)], []byte("\n"))
	before := len(*l)
	root = source.Parse(name, matter, firstLine, l)
	if root == nil && len(*l) == before {
		l.Add(diag.Pos{Filename: name, Line: firstLine, Column: 1}, "T103", "write \"posework: lesson/1\" and the other keys", "the front matter is empty")
	}
	return root, body, 1 + bytes.Count(head, []byte("\n"))
}

// loadLesson reads one lesson. It is whole only when nothing was reported, and
// nil when there was nothing to read.
func loadLesson(fsys fs.FS, dir string, parsed *cell.Parsed, l *diag.List) *Lesson {
	before := len(*l)
	name := path.Join(dir, lessonFile)
	data := read(fsys, name, l)
	if data == nil {
		return nil
	}
	root, body, bodyLine := front(name, data, l)
	if root == nil {
		return nil
	}
	plainText(name, body, bodyLine, l)
	m := root.Map()
	m.Format("lesson/1")
	lesson := &Lesson{
		ID:         m.Need("id").Name(),
		Title:      sentence(m.Need("title")),
		Module:     sentence(m.Need("module")),
		Minutes:    m.Need("minutes").Int(1, 240),
		Objectives: sentences(m.Need("objectives")),
		Cautions:   sentences(m.Need("cautions")),
		Hints:      sentences(m.Get("hints")),
		Sources:    sentences(m.Need("sources")),
		Body:       withoutComments(string(body)),
		Dir:        dir,
		Pos:        diag.Pos{Filename: name, Line: 1, Column: 1},
		BodyPos:    diag.Pos{Filename: name, Line: bodyLine, Column: 1},
	}
	for _, n := range m.Get("needs").List() {
		lesson.Needs = append(lesson.Needs, n.Name())
		lesson.needs = append(lesson.needs, ref{n.Str(), n.Pos()})
	}
	cellNode, task, files := m.Get("cell"), m.Get("task"), &kept{fsys, map[string]keptFile{}}
	lesson.plan = &plan{cellNode.Copy(nil), task.Copy(nil), cell.Options{FS: files, Dir: dir, Parsed: parsed, ID: lesson.ID}}
	lesson.Cell, lesson.Task = cellAndTask(cellNode, task, lesson.plan.options)
	lesson.Quiz = quiz.Decode(m.Get("quiz"))
	m.Close()
	if len(*l) == before {
		lesson.checkRanges(l)
	}
	files.close()
	return lesson
}

// plainText reports the first character of a lesson's text that is not seen, or
// would give orders to the terminal that shows it.
func plainText(name string, body []byte, firstLine int, l *diag.List) {
	for i, line := range bytes.Split(body, []byte("\n")) {
		line = bytes.TrimSuffix(line, []byte("\r"))
		at := diag.Pos{Filename: name, Line: firstLine + i}
		if bad := bytes.IndexFunc(line, source.Hidden); bad >= 0 {
			at.Column = 1 + utf8.RuneCount(line[:bad])
			r, _ := utf8.DecodeRune(line[bad:])
			l.Add(at, "T109", "delete it", "this is an invisible character (U+%04X)", r)
			return
		}
		if !utf8.Valid(line) {
			at.Column = 1
			l.Add(at, "T109", "save the file as UTF-8 text", "this line is no UTF-8 text")
			return
		}
	}
}

// cellAndTask reads the cell of a lesson and the task that is done in it.
func cellAndTask(cellNode, task *source.Node, o cell.Options) (*cell.Cell, *grader.Task) {
	c := cell.Decode(cellNode, o)
	switch {
	case task == nil:
	case cellNode == nil:
		task.Errorf("T104", "add \"cell: {use: ...}\"", "the lesson has a task, but no cell to do it in")
	case c != nil:
		return c, grader.DecodeTask(task, c)
	}
	return c, nil
}

// withoutComments blanks the lines of HTML comments, which are for the next
// editor and not for a reader. Lines keep their numbers, and code its text.
func withoutComments(body string) string {
	lines := strings.Split(body, "\n")
	fenced, comment := false, false
	for i, line := range lines {
		text := strings.TrimSpace(line)
		if !comment && strings.HasPrefix(text, "```") {
			fenced = !fenced
		}
		comment = comment || !fenced && strings.HasPrefix(text, "<!--")
		if comment {
			comment = !strings.HasSuffix(text, "-->")
			lines[i] = ""
		}
	}
	return strings.Join(lines, "\n")
}

func loadDeck(fsys fs.FS, name string, l *diag.List) *Deck {
	before := len(*l)
	data := read(fsys, name, l)
	if data == nil {
		return nil
	}
	root := source.Parse(name, data, 1, l)
	if root == nil {
		return nil
	}
	m := root.Map()
	m.Format("deck/1")
	d := &Deck{
		ID:      m.Need("id").Name(),
		Title:   sentence(m.Need("title")),
		Minutes: m.Need("minutes").Int(1, 60),
		Points:  sentences(m.Need("points")),
		Quiz:    quiz.Decode(m.Need("quiz")),
		Sources: sentences(m.Need("sources")),
		Pos:     diag.Pos{Filename: name, Line: 1, Column: 1},
	}
	m.Close()
	if len(*l) > before {
		return nil
	}
	return d
}

// sentence is a text that is not blank.
func sentence(n *source.Node) string {
	s := strings.TrimSpace(n.Str())
	if s == "" && n.OK() {
		n.Errorf("T105", "write a sentence", "%s is empty", n.Label())
	}
	return s
}

// sentences is a list of at least one sentence.
func sentences(n *source.Node) []string {
	if n == nil {
		return nil
	}
	items := n.List()
	if len(items) == 0 && n.OK() {
		n.Errorf("T105", "write at least one", "%s is empty", n.Label())
	}
	list := make([]string, len(items))
	for i, item := range items {
		list[i] = sentence(item)
	}
	return list
}

// unique reports ids that stand twice. Lessons and decks share them, since
// records are kept under them.
func (c *Course) unique(l *diag.List) {
	first := map[string]diag.Pos{}
	see := func(id string, pos diag.Pos) {
		if p, twice := first[id]; twice {
			l.Add(pos, "T106", "choose another id", "the id %q is already that of %s", id, p.Filename)
			return
		}
		first[id] = pos
	}
	for _, lesson := range c.Lessons {
		see(lesson.ID, lesson.Pos)
	}
	for _, d := range c.Decks {
		see(d.ID, d.Pos)
	}
}

// checkNeeds reports needs that do not exist, and rounds of lessons that need
// each other. broken holds the ids of lessons that are there, but were left out.
func (c *Course) checkNeeds(broken []string, l *diag.List) {
	ids := make([]string, len(c.Lessons))
	for i, lesson := range c.Lessons {
		ids[i] = lesson.ID
	}
	const (
		open = iota
		onPath
		done
	)
	state := map[*Lesson]int{}
	var visit func(lesson *Lesson)
	visit = func(lesson *Lesson) {
		state[lesson] = onPath
		for _, need := range lesson.needs {
			before := c.Find(need.name)
			switch {
			case before == nil && slices.Contains(broken, need.name):
			case before == nil:
				fix := "name a lesson of this course"
				if near := diag.Nearest(need.name, ids); near != "" {
					fix = fmt.Sprintf("did you mean %q?", near)
				}
				l.Add(need.pos, "T107", fix, "the lesson needs %q, but there is no such lesson", need.name)
			case state[before] == onPath:
				l.Add(need.pos, "T108", "take one of the needs away", "%s and %s need each other, so neither can be begun", lesson.ID, before.ID)
			case state[before] == open:
				visit(before)
			}
		}
		state[lesson] = done
	}
	for _, lesson := range c.Lessons {
		if state[lesson] == open {
			visit(lesson)
		}
	}
}

// group fills Modules: lessons of one module in the order of the course, modules
// in the order of their first lessons.
func (c *Course) group() {
	for _, lesson := range c.Lessons {
		i := slices.IndexFunc(c.Modules, func(m Module) bool { return m.Title == lesson.Module })
		if i < 0 {
			i = len(c.Modules)
			c.Modules = append(c.Modules, Module{Title: lesson.Module})
		}
		c.Modules[i].Lessons = append(c.Modules[i].Lessons, lesson)
	}
}
