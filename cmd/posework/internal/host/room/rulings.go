package room

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"posework/cmd/posework/internal/seat"
	"posework/grader/records"
)

// site is what an instructor has ruled for the learners of one site.
type site struct {
	closed map[string]bool
	exam   *exam
}

type exam struct {
	id     int64
	lesson string
	since  time.Time
	until  time.Time
}

// The kinds of ruling.
const (
	ruleClose = "close"
	ruleOpen  = "open"
	ruleExam  = "exam"
	ruleEnd   = "end" // of an examination
	ruleNote  = "note"
	ruleReset = "reset" // of an attempt: told here, done in the records of attempts
)

// ruled is what a ruling holds beside its lesson.
type ruled struct {
	Minutes int    `json:"minutes,omitempty"`
	Text    string `json:"text,omitempty"`
	Person  string `json:"person,omitempty"`
	Attempt int64  `json:"attempt,omitempty"`
}

// Limits of what an instructor may say. Errors name them.
const (
	MostMinutes = 8 * 60
	MostNote    = 200 // characters
)

func (r *Room) site(name string) *site {
	s := r.sites[name]
	if s == nil {
		s = &site{closed: map[string]bool{}}
		r.sites[name] = s
	}
	return s
}

// obey takes in one ruling.
func (r *Room) obey(o *records.Ruling) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.rulings.take(o.ID) {
		return
	}
	s := r.site(o.Site)
	var d ruled
	_ = json.Unmarshal(o.Data, &d) // what is not understood is empty
	e := Event{Kind: Ruled, At: o.At}
	switch o.Kind {
	case ruleClose:
		s.closed[o.Lesson] = true
	case ruleOpen:
		delete(s.closed, o.Lesson)
	case ruleExam:
		s.exam = &exam{id: o.ID, lesson: o.Lesson, since: o.At, until: o.At.Add(time.Duration(d.Minutes) * time.Minute)}
	case ruleEnd:
		s.exam = nil
	case ruleNote:
		e = Event{Kind: Noted, From: o.By, Text: clean(d.Text), At: o.At}
	}
	r.tellSite(o.Site, e)
	r.changed()
}

// Rules is what holds for a lesson at a site now.
func (r *Room) Rules(siteName, lesson string) seat.Rules {
	r.mu.Lock()
	defer r.mu.Unlock()
	s := r.sites[siteName]
	if s == nil {
		return seat.Rules{}
	}
	if e := r.running(s); e != nil {
		if e.lesson == lesson {
			return seat.Rules{Exam: &seat.Examination{ID: e.id, Since: e.since, Until: e.until}}
		}
		return seat.Rules{Closed: "an examination is going on; until it ends only its lesson is open: " + r.title(e.lesson)}
	}
	if s.closed[lesson] {
		return seat.Rules{Closed: "the instructor has closed this lesson for now"}
	}
	return seat.Rules{}
}

// running is the examination of a site that is going on. One whose time is over
// lets everybody go on by itself.
func (r *Room) running(s *site) *exam {
	if s == nil || s.exam == nil || !r.Now().Before(s.exam.until) {
		return nil
	}
	return s.exam
}

func (r *Room) title(lesson string) string {
	if l := r.Course.Find(lesson); l != nil {
		return l.Title
	}
	return lesson
}

// ExamState is an examination that is going on.
type ExamState struct {
	Lesson string // id
	Title  string
	Until  time.Time
}

// Exam returns the examination that is going on at a site, of "" the first one
// anywhere; nil where none is.
func (r *Room) Exam(siteName string) *ExamState {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.exam(siteName)
}

func (r *Room) exam(siteName string) *ExamState {
	e := r.running(r.sites[siteName])
	if siteName == "" {
		for _, name := range slices.Sorted(maps.Keys(r.sites)) {
			if e = r.running(r.sites[name]); e != nil {
				break
			}
		}
	}
	if e == nil {
		return nil
	}
	return &ExamState{Lesson: e.lesson, Title: r.title(e.lesson), Until: e.until}
}

// Closed reports whether a lesson is closed at a site.
func (r *Room) Closed(siteName, lesson string) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	s := r.sites[siteName]
	return s != nil && s.closed[lesson]
}

// Instructor rules in a room.
type Instructor struct {
	Room *Room
	Name string
	Site string
}

// ErrNotInstructor says that a person may not rule.
var ErrNotInstructor = errors.New("only instructors may do this")

// may refuses who is no instructor any more: the roster may have changed since the
// session began.
func (i *Instructor) may(ctx context.Context) error {
	p, err := i.Room.Store.Person(ctx, i.Name)
	if err == nil && p.Role != records.Instructor {
		err = ErrNotInstructor
	}
	return err
}

func (i *Instructor) rule(ctx context.Context, kind, lesson string, d ruled) error {
	if err := i.may(ctx); err != nil {
		return err
	}
	data, err := json.Marshal(d)
	if err != nil {
		return err
	}
	_, err = i.Room.Store.AddRuling(ctx, records.Ruling{Site: i.Site, By: i.Name, Kind: kind, Lesson: lesson, Data: data, At: i.Room.Now()})
	if err != nil {
		return err
	}
	return i.Room.readRulings(ctx)
}

// Close closes a lesson.
func (i *Instructor) Close(ctx context.Context, lesson string) error {
	return i.rule(ctx, ruleClose, lesson, ruled{})
}

// Open opens a lesson.
func (i *Instructor) Open(ctx context.Context, lesson string) error {
	return i.rule(ctx, ruleOpen, lesson, ruled{})
}

// Examine begins an examination in a lesson with a task.
func (i *Instructor) Examine(ctx context.Context, lesson string, minutes int) error {
	l := i.Room.Course.Find(lesson)
	switch {
	case l == nil || l.Task == nil:
		return errors.New("this lesson has no program to hand in; choose one with a task")
	case minutes < 1 || minutes > MostMinutes:
		return fmt.Errorf("an examination lasts from 1 to %d minutes", MostMinutes)
	case i.Room.Exam(i.Site) != nil:
		return errors.New("an examination is going on; end it first")
	}
	return i.rule(ctx, ruleExam, lesson, ruled{Minutes: minutes})
}

// EndExam ends the examination.
func (i *Instructor) EndExam(ctx context.Context) error {
	if i.Room.Exam(i.Site) == nil {
		return errors.New("no examination is going on")
	}
	return i.rule(ctx, ruleEnd, "", ruled{})
}

// Note tells everybody something.
func (i *Instructor) Note(ctx context.Context, text string) error {
	text = strings.TrimSpace(clean(text))
	switch n := utf8.RuneCountInString(text); {
	case n == 0:
		return errors.New("the note is empty")
	case n > MostNote:
		return fmt.Errorf("the note has %d characters, but at most %d are sent", n, MostNote)
	}
	return i.rule(ctx, ruleNote, "", ruled{Text: text})
}

// Attempts lists a learner's newest attempts that count, newest first.
func (i *Instructor) Attempts(ctx context.Context, person string) ([]records.Attempt, error) {
	if err := i.mine(ctx, person); err != nil {
		return nil, err
	}
	const some = 20
	list, err := i.Room.Store.Attempts(ctx, records.AttemptFilter{Person: person, Standing: true}, records.Page{Limit: some, Newest: true})
	if errors.Is(err, records.ErrNotFound) {
		err = nil
	}
	return list, err
}

// mine refuses learners of other sites, and who is no instructor.
func (i *Instructor) mine(ctx context.Context, person string) error {
	if err := i.may(ctx); err != nil {
		return err
	}
	p, err := i.Room.Store.Person(ctx, person)
	if err == nil && p.Site != i.Site {
		err = fmt.Errorf("%s is at another site", p.Name)
	}
	return err
}

// Reset withdraws an attempt: it does not count any more, and in an examination
// the learner may hand in again.
func (i *Instructor) Reset(ctx context.Context, attempt int64) error {
	a, err := i.Room.Store.Attempt(ctx, attempt)
	if err != nil {
		return err
	}
	if err := i.mine(ctx, a.Person); err != nil {
		return err
	}
	if err := i.rule(ctx, ruleReset, a.Lesson, ruled{Person: a.Person, Attempt: a.ID}); err != nil {
		return err
	}
	_, err = i.Room.Store.AddAttempt(ctx, records.Attempt{
		Person: a.Person, Lesson: a.Lesson, Seed: a.Seed, Verdict: records.Withdrawn, Course: a.Course, Corrects: a.ID, At: i.Room.Now(),
	})
	if err != nil {
		return err
	}
	return i.Room.readAttempts(ctx)
}

// clean leaves out what is not seen: a note is shown on other people's screens.
func clean(text string) string {
	return strings.Map(func(c rune) rune {
		if c != ' ' && !unicode.IsGraphic(c) {
			return -1
		}
		return c
	}, strings.ToValidUTF8(text, ""))
}

// closedLessons lists the closed lessons of a site, by id.
func (r *Room) closedLessons(siteName string) []string {
	var ids []string
	if s := r.sites[siteName]; s != nil {
		for id := range s.closed {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}
