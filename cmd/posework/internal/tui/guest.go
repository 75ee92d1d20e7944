package tui

import (
	"context"
	"errors"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"posework/lessons"
)

// What a host sends to the App of a learner who is its guest.
type (
	// Notice is one line below the head of every screen until another one, or an
	// empty one, takes its place.
	Notice struct{ Text string }
	// RulesChanged says that [seat.Seat.Enter] may answer otherwise than before.
	RulesChanged struct{}
)

// Pace has pictures that move drawn no more often than apart says, and the App told
// the time by [App.CatchUp] before each: keys then cost next to nothing between
// two pictures.
func (a *App) Pace(apart func() time.Duration) { a.clock.apart = apart }

// CatchUp lets time pass until now, before a picture.
func (a *App) CatchUp() { a.broadcast(timeNow{a.clock.now()}) }

// Where is where a learner is, for those who teach.
type Where struct {
	Lesson string // id; "" for none
	Doing  string // in a word or two
	Change int    // of the program at the bench; grows with each change
}

// Where returns where the learner is now.
func (a *App) Where() Where {
	for i := len(a.stack) - 1; i >= 0; i-- {
		if s, ok := a.stack[i].(interface{ Where() Where }); ok {
			return s.Where()
		}
	}
	return Where{Doing: "chooses a lesson"}
}

// Where is for [App.Where].
func (s *lessonScreen) Where() Where { return Where{Lesson: s.lesson.ID, Doing: "reads"} }

// Where is for [App.Where].
func (s *practiceScreen) Where() Where {
	w := Where{Lesson: s.lesson.ID, Doing: "practises"}
	if s.bench != nil {
		_, w.Change = s.bench.Text()
	}
	return w
}

// Where is for [App.Where].
func (s *handInScreen) Where() Where { return Where{Lesson: s.lesson.ID, Doing: "hands in"} }

// Where is for [App.Where].
func (s *findingsScreen) Where() Where {
	return Where{Lesson: s.outcome.Lesson.ID, Doing: "reads findings"}
}

// Where is for [App.Where].
func (s *momentScreen) Where() Where {
	return Where{Lesson: s.outcome.Lesson.ID, Doing: "looks at a finding"}
}

// Where is for [App.Where].
func (s *quizScreen) Where() Where { return Where{Lesson: s.lesson.ID, Doing: "answers questions"} }

// Where is for [App.Where].
func (s *refresherScreen) Where() Where { return Where{Doing: "takes a refresher"} }

// Practising reports whether the practice screen is shown.
func (a *App) Practising() bool {
	_, ok := a.top().(*practiceScreen)
	return ok
}

// Save keeps what the screens have not kept yet: the program at a bench and the
// log of its practice. It is called when no more messages come.
func (a *App) Save(ctx context.Context) error {
	var errs []error
	for _, s := range a.stack {
		if s, ok := s.(interface{ Save(context.Context) error }); ok {
			errs = append(errs, s.Save(ctx))
		}
	}
	return errors.Join(errs...)
}

// Save is for [App.Save].
func (s *practiceScreen) Save(ctx context.Context) error {
	if s.bench == nil {
		return nil
	}
	var err error
	if text, version := s.bench.Text(); version != s.version {
		err = s.saver.Save(text, version, false)
	}
	log := s.bench.Control.Log()
	return errors.Join(err, s.saver.KeepLog(log), s.seat.KeepPractice(ctx, s.lesson, log))
}

// openHandIn opens the screen that hands in; where the learner may not say which
// file, only when there is one.
func (a *App) openHandIn(l *lessons.Lesson) tea.Cmd {
	if a.seat.Folder != "" && !a.seat.HasFile(l) {
		a.note = "there is no program of this lesson yet; p practises, and writes one"
		return nil
	}
	return a.push(newHandInScreen(a.ctx, a.seat, l, a.files[l.ID], false))
}

// rulesChanged leaves a lesson that is no longer as it was entered.
func (a *App) rulesChanged() tea.Cmd {
	first, ok := a.lessonScreen()
	if !ok {
		return nil
	}
	now, err := a.seat.Enter(a.inCourse(first.lesson))
	if err == nil && same(now, first.lesson) {
		return nil
	}
	cmds := []tea.Cmd{a.readStandings()}
	for _, s := range a.stack[1:] {
		if p, ok := s.(*practiceScreen); ok && p.bench != nil {
			p.bench.Control.Stop()
			cmds = append(cmds, func() tea.Msg {
				if err := p.Save(a.ctx); err != nil {
					return say{err.Error()}
				}
				return nil
			})
		}
	}
	a.stack = a.stack[:1]
	a.note = "the instructor has changed what is open; your program is kept"
	if err != nil {
		a.note = err.Error() + "; your program is kept"
	}
	return tea.Batch(cmds...)
}

func (a *App) lessonScreen() (*lessonScreen, bool) {
	for _, s := range a.stack {
		if l, ok := s.(*lessonScreen); ok {
			return l, true
		}
	}
	return nil, false
}

// inCourse is the lesson of the course that l is a variant of.
func (a *App) inCourse(l *lessons.Lesson) *lessons.Lesson {
	if c := a.seat.Course.Find(l.ID); c != nil {
		return c
	}
	return l
}

// same reports whether two variants of a lesson are alike.
func same(a, b *lessons.Lesson) bool {
	return a.ID == b.ID && a.Seed == b.Seed && len(a.Hints) == len(b.Hints) && len(a.Quiz) == len(b.Quiz)
}
