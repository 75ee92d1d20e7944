package lessons

import (
	"context"
	"io/fs"
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"
	"unicode"

	"posework/engine/diag"
	"posework/grader"
	"posework/grader/quiz"
)

// Check tells an author everything wrong with the course, or the one lesson, in
// the folder dir of fsys: what [Load] reports, and what shows only when answers
// are graded and texts are measured. The list is sorted by place. Check also tells
// how even the difficulty of the varied lessons is, by lesson and answer; a lesson
// with something wrong in its answers has no spread.
func Check(fsys fs.FS, dir string) (diag.List, []Spread) {
	course, l := Load(fsys, dir)
	// Lessons are looked at next to each other: grading takes its time.
	each := make([]checker, len(course.Lessons))
	spreads := make([][]Spread, len(course.Lessons))
	var all sync.WaitGroup
	room := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, lesson := range course.Lessons {
		each[i].fsys = fsys
		all.Go(func() {
			room <- struct{}{}
			spreads[i] = each[i].lesson(lesson)
			<-room
		})
	}
	c := &checker{fsys: fsys, list: l}
	for _, d := range course.Decks {
		c.quiz(d.Quiz, nil)
	}
	c.lengths(course)
	all.Wait()
	for i := range each {
		c.list = append(c.list, each[i].list...)
	}
	c.list.Sort()
	return c.list, slices.Concat(spreads...)
}

type checker struct {
	fsys fs.FS
	list diag.List
}

func (c *checker) add(pos diag.Pos, code, fix, format string, args ...any) {
	c.list.Add(pos, code, fix, format, args...)
}

func (c *checker) lesson(lesson *Lesson) []Spread {
	c.text(lesson)
	if len(lesson.Quiz) == 0 {
		c.add(lesson.Pos, "T120", "add \"quiz:\" with a few questions", "the lesson asks no questions")
	}
	c.quiz(lesson.Quiz, lesson)
	if lesson.Task == nil {
		return nil
	}
	if len(lesson.Hints) != 3 {
		c.add(lesson.Pos, "T121", "write a nudge, a direction and the way", "the lesson has %d hints; a task has three, from a nudge to the way", len(lesson.Hints))
	}
	before := len(c.list)
	answers := c.answers(lesson)
	solved := false
	for _, a := range answers {
		solved = c.grade(lesson, a) && a.good || solved
	}
	if !solved {
		c.reach(lesson)
	}
	if len(c.list) > before || len(lesson.Task.Vary) == 0 {
		return nil // what is wrong as written would be told once more for each cell
	}
	return c.vary(lesson, answers)
}

// text checks the lesson's words and pictures.
func (c *checker) text(lesson *Lesson) {
	p := readPage(lesson.Body)
	at := func(line int) diag.Pos {
		pos := lesson.BodyPos
		pos.Line += line
		return pos
	}
	if strings.TrimSpace(p.prose) == "" {
		c.add(lesson.BodyPos, "T122", "write the text below the front matter", "the lesson has no text")
	}
	if g := Grade(p.prose); g > MostGrade {
		c.add(lesson.BodyPos, "T123", "shorten sentences and take plainer words", "the text reads at grade %.1f (Flesch-Kincaid); at most %g is wanted", g, MostGrade)
	}
	for _, line := range wideLines(lesson.Body) {
		c.add(at(line), "T124", "make the picture, program or table narrower", "the line is wider than %d columns, and it is not wrapped", MostColumns)
	}
	for _, l := range p.links {
		c.link(lesson, &p, l, at(l.line))
	}
	for _, b := range p.blocks {
		c.shown(lesson, b, at(b.line))
	}
}

// link checks that a link leads somewhere: to a section of the text, to a file
// beside the lesson, or to a web address, which is not followed.
func (c *checker) link(lesson *Lesson, p *page, l link, pos diag.Pos) {
	to, section, _ := strings.Cut(l.to, "#")
	if to == "" && !slices.ContainsFunc(p.titles, func(title string) bool { return anchor(title) == section }) {
		c.add(pos, "T125", "write the section's title in lower case, with - for spaces", "the link leads to the section #%s, which is not there", section)
	}
	if to == "" || strings.HasPrefix(to, "https://") || strings.HasPrefix(to, "http://") || strings.HasPrefix(to, "mailto:") {
		return
	}
	if _, err := fs.Stat(c.fsys, path.Join(lesson.Dir, to)); err != nil {
		c.add(pos, "T125", "mend the path; it is relative to the lesson's folder", "the link leads to %s, which is not there", to)
	}
}

// anchor is what a link to the section of a title is called: lower case, with
// dashes for spaces, and without other signs.
func anchor(title string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == ' ':
			return '-'
		case r == '-', r == '_', unicode.IsLetter(r), unicode.IsDigit(r):
			return unicode.ToLower(r)
		}
		return -1
	}, title)
}

// shown checks that a program in the text does not give the answer away.
func (c *checker) shown(lesson *Lesson, b block, pos diag.Pos) {
	if lesson.Task == nil || !strings.Contains(b.text, "posework: program/") {
		return
	}
	m, l := grader.Grade(lesson.Cell, lesson.Task, lesson.Pos.Filename, []byte(b.text), grader.Options{})
	if len(l) == 0 && m.Passed {
		c.add(pos, "T126", "show a part of it, or one with a flaw to find", "the program in the text passes with %.4g points, so it gives the answer away", m.Points)
	}
}

// quiz checks questions one by one. lesson is nil for a deck.
func (c *checker) quiz(questions []quiz.Question, lesson *Lesson) {
	for i := range questions {
		q := &questions[i]
		if q.Kind == quiz.One {
			if n := len(q.Right) + len(q.Wrong); n < fewestOptions {
				c.add(q.Pos, "T130", "add wrong options that are tempting", "the question offers %d options; with fewer than %d a guess is right too often", n, fewestOptions)
			}
			if quoted(q) {
				c.add(q.Pos, "T134", "ask in other words", "the question itself says %q, which is the right option", q.Right[0])
			}
			if how := lengthGiveaway(q); how != "" {
				c.add(q.Pos, "T131", "make the options equally long", "the right option is %s than the others, so its length gives it away", how)
			}
		}
		if q.Kind == quiz.Spot {
			c.spot(q, lesson)
		}
	}
}

// spot checks that the program of a question shows something to find.
func (c *checker) spot(q *quiz.Question, lesson *Lesson) {
	if lesson == nil || lesson.Task == nil {
		c.add(q.Pos, "T132", "move it to a lesson with a task, or ask in another way", "a spot question is marked by the grader, but there is no cell and task here")
		return
	}
	_, l := q.Draw(context.Background(), 1, lesson.Spotter())
	for _, d := range l {
		// Places inside the program are told at the program's place in the lesson.
		if d.Pos.Filename != q.ProgramPos.Filename {
			d.Pos = diag.Pos{Filename: q.ProgramPos.Filename, Line: q.ProgramPos.Line + d.Pos.Line, Column: d.Pos.Column}
		}
		c.list = append(c.list, d)
	}
}

// Spotter returns what marks the spot questions of a lesson with a task: the
// checks and the cell of the lesson as written, for which their programs were
// written.
func (lesson *Lesson) Spotter() quiz.Spotter {
	lesson = lesson.asWritten()
	return func(_ context.Context, name string, program []byte) ([]grader.Finding, diag.List) {
		mark, l := grader.Grade(lesson.Cell, lesson.Task, name, program, grader.Options{})
		if len(l) > 0 {
			return nil, l
		}
		return mark.Findings, nil
	}
}

// lengths checks over the whole course that right answers can't be told by being
// the longest or the shortest.
func (c *checker) lengths(course *Course) {
	all, longest, shortest := 0, 0, 0
	count := func(questions []quiz.Question) {
		a, l, s := extremes(questions)
		all, longest, shortest = all+a, longest+l, shortest+s
	}
	for _, lesson := range course.Lessons {
		count(lesson.Quiz)
	}
	for _, d := range course.Decks {
		count(d.Quiz)
	}
	const few = 8 // below that many questions the shares say nothing
	if all < few {
		return
	}
	pos := diag.Pos{Filename: "quiz"}
	if float64(longest) > longShare*float64(all) {
		c.add(pos, "T133", "lengthen wrong options or shorten right ones", "the right option is the longest in %d of %d single choices", longest, all)
	}
	if float64(shortest) > longShare*float64(all) {
		c.add(pos, "T133", "shorten wrong options or lengthen right ones", "the right option is the shortest in %d of %d single choices", shortest, all)
	}
}
