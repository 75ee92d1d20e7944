package plain

import (
	"context"
	"errors"
	"fmt"
	"io"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/grader/quiz"
	"posework/grader/records"
	"posework/grader/report"
)

// ErrNotSigned says that a refresher ended without a sign-off.
var ErrNotSigned = errors.New("the refresher was not signed")

// signTries is how often a mistyped name may be mended.
const signTries = 3

// Refresh leads a learner through a refresher and has it signed. It returns
// [ErrNotSigned] when the pass mark was not reached or the learner left.
func Refresh(ctx context.Context, s *seat.Seat, r *seat.Refresher, in io.Reader, out io.Writer) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	t := &talk{ctx: ctx, seat: s, out: out, lines: readLines(ctx, in)}
	t.say("Refresher for %s: %d questions, five minutes at most.", s.Person, len(r.Choices))
	t.para("%s", seat.RefresherCaution)
	err := t.refresh(r)
	if t.fault != nil {
		return t.fault
	}
	if errors.Is(err, errEnd) {
		return ErrNotSigned
	}
	return err
}

// refresher leads through a refresher of the course's list.
func (t *talk) refresher(d seat.DeckStanding) error {
	r, err := t.seat.NewRefresher(t.ctx, d.ID(), seat.FullMarks)
	if err != nil {
		t.say("%v", err)
		return nil
	}
	t.say("\n%s", d.Title())
	if d.Deck != nil {
		for _, p := range d.Deck.Points {
			t.para("%s", "- "+p)
		}
	}
	t.para("%s", seat.RefresherCaution)
	if err := t.refresh(r); !errors.Is(err, ErrNotSigned) {
		return err
	}
	return nil
}

func (t *talk) refresh(r *seat.Refresher) error {
	for {
		sheet, place, l := r.Current(t.ctx)
		if len(l) > 0 {
			return cannotAsk(l)
		}
		if sheet == nil {
			break
		}
		if err := t.refreshQuestion(r, sheet, place); err != nil {
			return err
		}
	}
	result := r.Result()
	t.say("\n%d of %d right at once, %s of 100 points, %s needed.", len(result.Asked)-len(result.Missed), len(result.Asked),
		report.Points(result.Points), report.Points(result.Needed))
	if !result.Passed() {
		t.say("Not passed, so there is nothing to sign. What was missed comes again.")
		return ErrNotSigned
	}
	return t.sign(r)
}

// cannotAsk turns what is wrong with a question into an error.
func cannotAsk(l diag.List) error {
	return fmt.Errorf("a question of the course can't be asked:\n%w", l)
}

// refreshQuestion asks one question until it is answered.
func (t *talk) refreshQuestion(r *seat.Refresher, sheet *quiz.Sheet, place string) error {
	answer, took, stop, err := t.answer(sheet, place)
	if err != nil {
		return err
	}
	if stop {
		t.say("Stopped, so there is nothing to sign. Your answers are kept.")
		return ErrNotSigned
	}
	v, err := r.Answer(t.ctx, answer, took)
	t.tell(sheet, v)
	if err != nil {
		return err // without its answer on record, a sign-off would prove less than it says
	}
	return t.fault
}

// sign asks for the name.
func (t *talk) sign(r *seat.Refresher) error {
	for range signTries {
		typed, err := t.ask(fmt.Sprintf("Passed. Type your name, %s, to sign; enter alone leaves it unsigned", t.seat.Person))
		if err != nil {
			return err
		}
		if typed == "" {
			break
		}
		if !records.SameName(typed, t.seat.Person) {
			t.say("That is not %s. If you are someone else, your name goes with --name.", t.seat.Person)
			continue
		}
		head, err := r.Sign(t.ctx, typed)
		if err != nil {
			return err
		}
		t.say("Signed as entry %d of site %s.", head.Place, head.Site)
		return t.fault
	}
	t.say("Not signed.")
	return ErrNotSigned
}
