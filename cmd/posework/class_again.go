package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"
	"time"

	"posework/cmd/posework/internal/class"
	"posework/cmd/posework/internal/marking"
	"posework/cmd/posework/internal/queue"
	"posework/engine/practice"
	"posework/grader"
	"posework/grader/records"
	"posework/lessons"
)

// again grades recorded attempts again.
func (c *classCmd) again(s *session, course *course) error {
	g := &regrader{cmd: c, course: course, local: &marking.Local{Course: course.Course, Version: course.version}}
	var err error
	if c.Queue {
		g.queue, g.store, err = s.queue()
	} else {
		g.store, err = s.oldStore()
	}
	if err != nil {
		return err
	}
	defer g.store.Close()
	if err := g.run(s); err != nil {
		return err
	}
	if c.Keep {
		if err := g.keep(s.ctx); err != nil {
			return err
		}
	}
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{{c.CSV, g.out.CSV}, {c.JSON, g.out.JSON}} {
		if f.name == "" {
			continue
		}
		if err := save(f.name, s.out, f.write); err != nil {
			return err
		}
	}
	if !c.toOut() {
		if err := g.out.Text(s.out); err != nil {
			return err
		}
	}
	if len(g.out.Changes) > 0 {
		return status(statusNotPassed)
	}
	return nil
}

// regrader grades recorded attempts and notes what changed.
type regrader struct {
	cmd    *classCmd
	course *course
	local  *marking.Local
	queue  *queue.Queue // nil: graded in this process
	store  *records.Store
	out    class.Again
	new    []records.Attempt // marks that changed, without the programs
}

// recorded is an attempt with what came of it now.
type recorded struct {
	records.Attempt
	result marking.Result
	err    error
}

// attempts goes through what counts, corrections in place of what they correct.
func (g *regrader) attempts(ctx context.Context) iter.Seq[recorded] {
	return func(yield func(recorded) bool) {
		for a, err := range g.store.AllAttempts(ctx, records.AttemptFilter{Lesson: g.cmd.Lesson, Standing: true}) {
			if !yield(recorded{Attempt: a, err: err}) || err != nil {
				return
			}
		}
	}
}

// run grades everything that is on record.
func (g *regrader) run(s *session) error {
	g.out = class.Again{Course: g.course.version, Changes: []class.Change{}}
	at := newProgress(s, 0)
	defer at.end()
	n := g.cmd.Cores
	if g.queue != nil {
		n = inQueue
		stop := at.watch(s.ctx, g.queue, g.course.version)
		defer stop()
	}
	for r, err := range marking.Stream(s.ctx, n, g.attempts(s.ctx), g.grade) {
		if err != nil {
			return at.left(g.queue, err)
		}
		g.out.Attempts++
		change, any, err := class.Compare(&r.Attempt, &r.result)
		if err != nil {
			return err
		}
		if any {
			g.out.Changes = append(g.out.Changes, change)
		}
		if any && change.Trouble == "" && g.cmd.Keep {
			a, err := r.result.Record()
			if err != nil {
				return err
			}
			a.Program, a.Log, a.Duration = nil, nil, r.Duration
			g.new = append(g.new, a)
		}
		at.step(r.result.Mark == nil)
	}
	return nil
}

// grade grades one attempt again, in the cell that it was made for.
func (g *regrader) grade(ctx context.Context, r recorded) (recorded, error) {
	if err := errors.Join(r.err, ctx.Err()); err != nil {
		return r, err
	}
	j := marking.Job{
		Key:     marking.Key("again", g.course.version, fmt.Sprint(r.ID), grader.Digest(r.Program)),
		Learner: r.Person, Lesson: r.Lesson, File: fmt.Sprintf("attempt-%d.yaml", r.ID), Text: r.Program, Course: g.course.version,
		Seeded: true, Seed: r.Seed, Corrects: r.ID, Regrades: r.Regrades,
	}
	if j.Regrades == 0 {
		j.Regrades = r.ID
	}
	var err error
	if j.Log, err = g.log(ctx, &r.Attempt, g.course.Find(r.Lesson)); err != nil {
		return r, err
	}
	if g.queue != nil {
		r.result, err = g.queue.GradePile(ctx, j)
	} else {
		r.result = g.local.Examine(j)
	}
	if j.Log == nil && proofMissing(&r) {
		r.result.Mark, r.result.Trouble = nil, "the practice log that it was handed in with is not on record"
	}
	r.Program, r.result.Job.Text = nil, nil
	return r, err
}

// proofMissing tells whether the steps of a program count as not proved out only
// because its practice log is not on record: once they were proved.
func proofMissing(r *recorded) bool {
	const code = "PROVE_STEP_SKIPPED"
	return r.Verdict != records.Ungraded && !bytes.Contains(r.Findings, []byte(code)) && r.result.Mark != nil &&
		slices.ContainsFunc(r.result.Mark.Findings, func(f grader.Finding) bool { return f.Code == code })
}

// log returns the practice log of an attempt. Older attempts were recorded without
// it; theirs is looked for among what is on record of the bench.
func (g *regrader) log(ctx context.Context, a *records.Attempt, lesson *lessons.Lesson) (*practice.Log, error) {
	if len(a.Log) > 0 {
		log := &practice.Log{}
		if err := json.Unmarshal(a.Log, log); err != nil {
			return nil, fmt.Errorf("attempt %d: its practice log can't be read: %w", a.ID, err)
		}
		return log, nil
	}
	if lesson == nil || lesson.Task == nil || !lesson.Task.UsesLog() {
		return nil, nil
	}
	digest := grader.Digest(a.Program)
	page := records.Page{Limit: 100, Newest: true}
	for {
		list, err := g.store.Practices(ctx, a.Person, a.Lesson, page)
		if err != nil {
			return nil, err
		}
		for _, p := range list {
			var log practice.Log
			if p.Kind == "session" && json.Unmarshal(p.Data, &log) == nil && log.Program == digest {
				return &log, nil
			}
		}
		if len(list) < page.Limit {
			return nil, nil
		}
		page.After = list[len(list)-1].ID
	}
}

// keep records the marks that changed, as corrections of the old ones.
func (g *regrader) keep(ctx context.Context) error {
	now := time.Now()
	for i := range g.new {
		a := &g.new[i]
		old, err := g.store.Attempt(ctx, a.Corrects)
		if err != nil {
			return err
		}
		a.Program, a.Log, a.At = old.Program, old.Log, now
		a.Job = marking.Key("graded again", a.Course, fmt.Sprint(a.Corrects))
		if _, err := g.store.AddAttempt(ctx, *a); err != nil {
			return fmt.Errorf("keep the new mark of attempt %d: %w", a.Corrects, err)
		}
		a.Program, a.Log = nil, nil
		g.out.Kept++
	}
	return nil
}
