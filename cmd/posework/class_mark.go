package main

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"io"
	"iter"
	"time"

	"posework/cmd/posework/internal/class"
	"posework/cmd/posework/internal/marking"
	"posework/cmd/posework/internal/queue"
	"posework/engine/diag"
	"posework/grader"
	"posework/grader/records"
	"posework/grader/report/page"
	"posework/lessons"
)

// marker grades the programs of a folder and keeps what the sheet and its forms
// need of them; marks and pictures in full wait in files, since a class may be
// large.
type marker struct {
	cmd    *classCmd
	course *course
	lesson *lessons.Lesson
	folder *class.Folder
	local  *marking.Local
	queue  *queue.Queue // nil: graded in this process
	store  *records.Store
	now    time.Time

	sheet *class.Sheet
	marks *spill        // JSON lines, one a learner; nil when nobody asked
	parts *spill        // parts of the report, one a learner; nil when nobody asked
	rows  []records.Row // attempts that wait to be recorded
	held  graded        // of the learner whose programs come in, the best
}

// graded is a result with the learner's part of the report.
type graded struct {
	marking.Result
	part []byte
}

// task is a program with its learner's number in the class, from 1.
type task struct {
	class.Program
	number int
}

func (c *classCmd) marker(course *course, folder *class.Folder, names *class.Names) *marker {
	return &marker{
		cmd: c, course: course, lesson: course.Find(c.Lesson), folder: folder, now: time.Now(),
		local: &marking.Local{Course: course.Course, Version: course.version},
		sheet: class.NewSheet(c.Lesson, course.version, names),
	}
}

// open opens what the grading needs; close it also after an error.
func (m *marker) open(s *session) (err error) {
	switch {
	case m.cmd.Queue:
		m.queue, m.store, err = s.queue()
	case m.cmd.Keep:
		m.store, err = s.store()
	}
	if err != nil {
		return err
	}
	if m.cmd.JSON != "" {
		if m.marks, err = newSpill(); err != nil {
			return err
		}
	}
	if m.cmd.HTML != "" {
		m.parts, err = newSpill()
	}
	return err
}

func (m *marker) close() {
	m.marks.close()
	m.parts.close()
	if m.store != nil {
		m.store.Close()
	}
}

// tasks numbers the learners.
func (m *marker) tasks() iter.Seq[task] {
	return func(yield func(task) bool) {
		number := 0
		for i, p := range m.folder.Programs {
			if p.Learner != "" && (i == 0 || p.Learner != m.folder.Programs[i-1].Learner) {
				number++
			}
			if !yield(task{p, number}) {
				return
			}
		}
	}
}

// run grades everything.
func (m *marker) run(s *session) error {
	at := newProgress(s, len(m.folder.Programs))
	defer at.end()
	n := m.cmd.Cores
	if m.queue != nil {
		n = inQueue
		stop := at.watch(s.ctx, m.queue, m.course.version)
		defer stop()
	}
	for g, err := range marking.Stream(s.ctx, n, m.tasks(), m.grade) {
		if err != nil {
			return at.left(m.queue, err)
		}
		if err := m.take(s.ctx, &g); err != nil {
			return err
		}
		at.step(g.Mark == nil)
	}
	if err := m.release(); err != nil {
		return err
	}
	m.sheet.Close()
	return m.flush(s.ctx)
}

// inQueue is how many programs wait in the queue at a time for one class: enough
// to keep many workers busy.
const inQueue = 256

// grade grades one program.
func (m *marker) grade(ctx context.Context, t task) (g graded, err error) {
	if err := ctx.Err(); err != nil {
		return g, err
	}
	j := marking.Job{Learner: t.Learner, Lesson: m.lesson.ID, File: t.File, Course: m.course.version, At: m.now, Keep: m.cmd.Keep, Seeded: m.cmd.AsWritten}
	j.Text, j.Unread = m.folder.Read(t.Program)
	if j.Unread == "" && m.lesson.Task.UsesLog() {
		j.Log, j.Unread = m.folder.ReadLog(t.Program)
	}
	j.Key = marking.Key("class", j.Course, j.Lesson, records.Fold(j.Learner), grader.Digest(j.Text), fmt.Sprint(j.Keep, j.Seeded))
	var x *grader.Exam
	if m.queue != nil {
		if g.Result, err = m.queue.GradePile(ctx, j); err != nil {
			return g, err
		}
		if m.parts != nil {
			x = m.local.Prepare(j)
		}
	} else {
		g.Result, x = m.local.Exam(j)
	}
	if m.parts != nil && t.number > 0 {
		g.part, err = m.part(t.number, &g.Result, x)
	}
	return g, err
}

// take takes the next result.
func (m *marker) take(ctx context.Context, g *graded) error {
	if err := m.keep(ctx, &g.Result); err != nil {
		return err
	}
	first := g.Job.Learner != "" && m.held.Job.Learner != g.Job.Learner
	if first {
		if err := m.release(); err != nil {
			return err
		}
	}
	if m.sheet.Add(&g.Result) || first {
		m.held = *g
	}
	return nil
}

// keep records an attempt, together with others, in the order of the sheet.
// Workers of a queue have done so themselves.
func (m *marker) keep(ctx context.Context, r *marking.Result) error {
	if m.store != nil && m.queue == nil && r.Trouble == "" {
		a, err := r.Record()
		if err != nil {
			return err
		}
		m.rows = append(m.rows, &a)
	}
	// What is not needed any more would wait with the best of the learner.
	r.Job.Text, r.Job.Log = nil, nil
	const together = 100
	if len(m.rows) < together {
		return nil
	}
	return m.flush(ctx)
}

// flush records what is waiting for it.
func (m *marker) flush(ctx context.Context) error {
	if len(m.rows) == 0 {
		return nil
	}
	if _, err := m.store.Add(ctx, m.rows...); err != nil {
		return fmt.Errorf("keep the attempts: %w", err)
	}
	m.rows = m.rows[:0]
	return nil
}

// release puts away what is told in full of the learner whose programs are all
// in.
func (m *marker) release() error {
	if len(m.sheet.Rows) == 0 {
		return nil
	}
	if m.marks != nil {
		line, err := class.MarkLine(m.held.Document())
		if err != nil {
			return err
		}
		if err := m.marks.add(line); err != nil {
			return err
		}
	}
	if m.parts != nil {
		return m.parts.add(m.held.part)
	}
	return nil
}

// about is what the report says of the lesson.
func (m *marker) about() page.Lesson {
	return page.Lesson{ID: m.lesson.ID, Title: m.lesson.Title, Goal: m.lesson.Task.Goal}
}

// attempt is a result as the report takes it.
func (m *marker) attempt(number int, r *marking.Result, x *grader.Exam) *page.Attempt {
	a := &page.Attempt{Number: number, Learner: r.Job.Learner, File: r.Job.File, Lesson: m.about(), Own: r.Own, Mark: r.Mark, Exam: x, Errors: r.Errors}
	if r.Trouble != "" {
		a.Errors = diag.List{{Pos: diag.Pos{Filename: r.Job.File}, Text: r.Trouble}}
	}
	if x == nil {
		a.Mark = nil
	}
	return a
}

func (m *marker) part(number int, r *marking.Result, x *grader.Exam) ([]byte, error) {
	var b bytes.Buffer
	err := page.Section(&b, m.attempt(number, r, x))
	return b.Bytes(), err
}

func (m *marker) writeJSON(w io.Writer) error { return m.sheet.JSON(w, m.marks.all()) }

func (m *marker) writeHTML(w io.Writer) error {
	c := page.Class{Title: cmp.Or(m.cmd.Title, m.lesson.Title), Lesson: m.about()}
	for i := range m.sheet.Rows {
		r := &m.sheet.Rows[i]
		c.Rows = append(c.Rows, page.Row{
			Learner: r.Learner, File: r.File, Graded: r.Graded, Passed: r.Passed, Points: r.Points, Pass: r.Needed, Findings: r.Codes,
		})
	}
	for i := range m.sheet.Absent {
		c.Absent = append(c.Absent, m.sheet.Absent[i].Name)
	}
	return c.Write(w, m.parts.each())
}
