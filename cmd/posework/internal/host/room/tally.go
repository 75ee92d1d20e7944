package room

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"posework/grader"
	"posework/grader/records"
)

// tally is what a person has handed in since the room opened.
type tally struct {
	lessons map[string]*lessonTally
	last    time.Time
}

type lessonTally struct {
	misses int // hand-ins in a row that did not pass
	passed bool
	best   float64
}

func (r *Room) readAttempts(ctx context.Context) error {
	r.mu.Lock()
	after := r.attempts.after()
	r.mu.Unlock()
	for {
		list, err := r.Store.Attempts(ctx, records.AttemptFilter{}, records.Page{After: after, Limit: page})
		if err != nil {
			return err
		}
		for i := range list {
			if err := r.siteOf(ctx, list[i].Person); err != nil {
				return err
			}
			r.count(&list[i])
			after = list[i].ID
		}
		if len(list) < page {
			return nil
		}
	}
}

// siteOf looks up whose site a person is at, once.
func (r *Room) siteOf(ctx context.Context, person string) error {
	fold := records.Fold(person)
	r.mu.Lock()
	_, known := r.people[fold]
	r.mu.Unlock()
	if known {
		return nil
	}
	p, err := r.Store.Person(ctx, person)
	if err != nil {
		return err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.people[fold] = p.Site
	return nil
}

// count takes in one attempt.
func (r *Room) count(a *records.Attempt) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.attempts.take(a.ID) {
		return
	}
	r.changed()
	fold := records.Fold(a.Person)
	t := r.tallies[fold]
	if t == nil {
		t = &tally{lessons: map[string]*lessonTally{}}
		r.tallies[fold] = t
	}
	l := t.lessons[a.Lesson]
	if l == nil {
		l = &lessonTally{}
		t.lessons[a.Lesson] = l
	}
	if a.Corrects != 0 {
		// A correction is the instructor's doing; the learner begins afresh.
		*l = lessonTally{}
		return
	}
	t.last = r.Now()
	if a.Verdict == records.Passed {
		l.misses, l.passed = 0, true
	} else {
		l.misses++
	}
	l.best = max(l.best, a.Points)
	for _, code := range codesOf(a.Findings) {
		s := r.people[fold]
		if r.found[s] == nil {
			r.found[s] = map[string]int{}
		}
		r.found[s][code]++
	}
}

// codesOf lists the codes in an attempt's findings, each once. Only those that the
// grader has are told: the rest could be anything.
func codesOf(findings json.RawMessage) []string {
	var list []struct {
		Code string `json:"code"`
	}
	if json.Unmarshal(findings, &list) != nil {
		return nil
	}
	var codes []string
	for _, f := range list {
		if _, ok := grader.Lookup(f.Code); ok {
			codes = append(codes, f.Code)
		}
	}
	slices.Sort(codes)
	return slices.Compact(codes)
}

// When a person is called stuck, or away.
const (
	StuckAfter  = 10 * time.Minute // in a lesson without anything new
	StuckMisses = 3                // hand-ins in a row that did not pass
	away        = 5 * time.Minute  // without a key
)

// Row is one person as others see them.
type Row struct {
	Name, Crew string
	Number     int    // of the person on this host, from 1: tells them apart without a name
	Lesson     string // id, "" for none
	Title      string // of the lesson
	Doing      string
	Since      time.Time // in this lesson
	Away       bool
	Stuck      string // why; "": not stuck
	Misses     int    // hand-ins of this lesson in a row that did not pass
	Passed     bool   // this lesson, since the room opened
}

// Found is how often something was found.
type Found struct {
	Code  string
	Title string
	Count int // hand-ins
}

// State is the room at one moment.
type State struct {
	At     time.Time
	Rows   []Row
	Found  []Found // the most frequent first
	Exam   *ExamState
	Closed []string // ids of the lessons that are closed
}

// State returns how things stand at a site, or at all of them for "".
func (r *Room) State(siteName string) State {
	r.mu.Lock()
	defer r.mu.Unlock()
	s := State{At: r.Now(), Exam: r.exam(siteName)}
	for _, v := range r.visitorsOf(siteName) {
		s.Rows = append(s.Rows, r.row(v, s.At))
	}
	s.Closed = r.closedLessons(siteName)
	counts := map[string]int{}
	for name, found := range r.found {
		if siteName == "" || siteName == name {
			for code, n := range found {
				counts[code] += n
			}
		}
	}
	for code, n := range counts {
		doc, _ := grader.Lookup(code)
		s.Found = append(s.Found, Found{code, doc.Title, n})
	}
	slices.SortFunc(s.Found, func(a, b Found) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), strings.Compare(a.Code, b.Code))
	})
	return s
}

func (r *Room) row(v *Visitor, now time.Time) Row {
	row := Row{Name: v.Name, Number: r.numbers[records.Fold(v.Name)], Crew: v.Crew, Lesson: v.lesson, Doing: v.doing, Since: v.since, Away: now.Sub(v.key) >= away}
	if v.lesson == "" {
		return row
	}
	row.Title = r.title(v.lesson)
	progress := v.progress
	if t := r.tallies[records.Fold(v.Name)]; t != nil {
		if t.last.After(progress) {
			progress = t.last
		}
		if l := t.lessons[v.lesson]; l != nil {
			row.Misses, row.Passed = l.misses, l.passed
		}
	}
	switch {
	case row.Misses >= StuckMisses:
		row.Stuck = fmt.Sprintf("%d hand-ins in a row have not passed", row.Misses)
	case !row.Passed && now.Sub(progress) >= StuckAfter:
		row.Stuck = "nothing new for a while"
	}
	return row
}
