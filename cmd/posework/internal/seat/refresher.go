package seat

import (
	"context"
	"errors"
	"fmt"
	"time"

	"posework/engine/diag"
	"posework/grader/quiz"
	"posework/grader/records"
	"posework/grader/refresher"
	"posework/lessons"
)

// MixedDeck is the name under which refreshers are signed that take questions
// from all decks.
const MixedDeck = "refresher"

// RefresherCaution stands before every refresher.
const RefresherCaution = "A simulation proves no cell safe. Local codes, your employer's procedures and the people responsible for the cell come first."

// Refresher is one refresher of one learner: the questions that are most urgent
// for them, asked one after the other, what was missed once more, and signed in
// the end.
type Refresher struct {
	Choices []refresher.Choice // what is asked and why
	Deck    string             // what the sign-off names

	seat    *Seat
	pool    []pooled
	sitting *refresher.Sitting
	sheets  map[int]*quiz.Sheet // drawn so far, by index in Choices; drawn anew when asked again
}

// pooled is a question that a refresher may ask.
type pooled struct {
	deck   string          // id of its deck or lesson
	lesson *lessons.Lesson // nil for a deck's
	ask    *quiz.Question
}

func (p pooled) id() string { return p.deck + "/" + p.ask.ID }

// NewRefresher picks the questions of a refresher: from all decks and from the
// lessons that the learner has begun; from one deck when it is named. A
// spot-the-hazard question is always among them, if need be from a lesson that
// was not begun. needed is the pass mark, 0 to 100.
func (s *Seat) NewRefresher(ctx context.Context, deck string, needed float64) (*Refresher, error) {
	if s.Store == nil {
		return nil, errors.New("a refresher needs the records: it is chosen by what was answered before, and signed into them")
	}
	r := &Refresher{seat: s, Deck: MixedDeck, sheets: map[int]*quiz.Sheet{}}
	if deck != "" {
		r.Deck = deck
	}
	standings, err := s.Standings(ctx)
	if err != nil {
		return nil, err
	}
	if err := r.gather(deck, standings); err != nil {
		return nil, err
	}
	memory, err := s.memory(ctx, r.pool)
	if err != nil {
		return nil, err
	}
	questions := make([]refresher.Question, len(r.pool))
	for i, p := range r.pool {
		questions[i] = refresher.Question{ID: p.id(), Time: refresher.TimeFor(p.ask.Kind == quiz.Spot), Spot: p.ask.Kind == quiz.Spot}
	}
	if r.Choices, err = refresher.Pick(questions, memory, s.Now(), 0); err != nil {
		return nil, err
	}
	ids := make([]string, len(r.Choices))
	for i, c := range r.Choices {
		ids[i] = c.ID
	}
	r.sitting = refresher.NewSitting(ids, needed)
	return r, nil
}

// gather fills the pool.
func (r *Refresher) gather(deck string, standings map[string]Standing) error {
	known := deck == ""
	for _, d := range r.seat.Course.Decks {
		if deck != "" && d.ID != deck {
			continue
		}
		known = true
		for i := range d.Quiz {
			r.pool = append(r.pool, pooled{deck: d.ID, ask: &d.Quiz[i]})
		}
	}
	if !known {
		var ids []string
		for _, d := range r.seat.Course.Decks {
			ids = append(ids, d.ID)
		}
		if near := diag.Nearest(deck, ids); near != "" {
			return fmt.Errorf("there is no deck %q; did you mean %q?", deck, near)
		}
		return fmt.Errorf("there is no deck %q; posework refresher decks lists them", deck)
	}
	begun := func(l *lessons.Lesson) bool {
		st := standings[l.ID].State
		return st == Started || st == Passed
	}
	spots := 0
	for _, l := range r.seat.Course.Lessons {
		for i := range l.Quiz {
			q := &l.Quiz[i]
			spot := q.Kind == quiz.Spot && l.Task != nil
			// Of a deck that was named, only the spot question comes from elsewhere.
			if begun(l) && (deck == "" && q.Kind != quiz.Spot || spot) {
				r.pool = append(r.pool, pooled{deck: l.ID, lesson: l, ask: q})
				if spot {
					spots++
				}
			}
		}
	}
	for _, l := range r.seat.Course.Lessons {
		for i := range l.Quiz {
			if q := &l.Quiz[i]; spots == 0 && q.Kind == quiz.Spot && l.Task != nil {
				r.pool = append(r.pool, pooled{deck: l.ID, lesson: l, ask: q})
			}
		}
	}
	return nil
}

// memory returns how well the learner knows the questions of a pool.
func (s *Seat) memory(ctx context.Context, pool []pooled) (map[string]refresher.Memory, error) {
	takes := map[string]time.Duration{}
	for _, p := range pool {
		takes[p.id()] = refresher.TimeFor(p.ask.Kind == quiz.Spot)
	}
	var replies []refresher.Reply
	for a, err := range s.Store.AllAnswers(ctx, s.Person) {
		if errors.Is(err, records.ErrNotFound) {
			break // a newcomer
		}
		if err != nil {
			return nil, fmt.Errorf("read the records: %w", err)
		}
		replies = append(replies, refresher.Reply{Question: a.Deck + "/" + a.Question, Right: a.Right, Took: a.Duration, At: a.At})
	}
	return refresher.Recall(replies, func(id string) time.Duration { return takes[id] }), nil
}

// Current draws the question to ask now; nil at the end. place says which of how
// many it is, and why it is asked. The list says why it can't be asked.
func (r *Refresher) Current(ctx context.Context) (sheet *quiz.Sheet, place string, l diag.List) {
	i, again := r.sitting.Next()
	if i < 0 {
		return nil, "", nil
	}
	c := r.Choices[i]
	p := r.pool[c.At]
	place = fmt.Sprintf("Question %d of %d, %s", i+1, len(r.Choices), c.Why)
	if again {
		place = fmt.Sprintf("Question %d of %d, missed just now", i+1, len(r.Choices))
	}
	if s := r.sheets[i]; s != nil {
		return s, place, nil
	}
	seed := r.seat.Seed
	if again {
		seed++ // options in another order, other numbers
	}
	var spot quiz.Spotter
	if p.lesson != nil && p.lesson.Task != nil {
		spot = p.lesson.Spotter()
	}
	sheet, l = p.ask.Draw(ctx, seed, spot)
	if len(l) == 0 {
		r.sheets[i] = sheet
	}
	return sheet, place, l
}

// Answer marks the answer to the current question and keeps it. took is how long
// the question was before the learner.
func (r *Refresher) Answer(ctx context.Context, a quiz.Answer, took time.Duration) (quiz.Verdict, error) {
	i, _ := r.sitting.Next()
	sheet := r.sheets[i]
	v := sheet.Mark(a)
	delete(r.sheets, i)
	r.sitting.Reply(v.Right)
	p := r.pool[r.Choices[i].At]
	_, err := r.seat.Store.AddAnswer(ctx, records.Answer{
		Person: r.seat.Person, Deck: p.deck, Question: p.ask.ID, Given: v.Given, Right: v.Right,
		Duration: max(0, took), Course: r.seat.Version, At: r.seat.Now(),
	})
	if err != nil {
		return v, fmt.Errorf("keep the answer: %w", err)
	}
	return v, nil
}

// Result returns the outcome so far.
func (r *Refresher) Result() refresher.Result { return r.sitting.Result() }

// Sign records the sign-off under the name that was typed, which must be the
// learner's.
func (r *Refresher) Sign(ctx context.Context, typed string) (records.Head, error) {
	result := r.Result()
	if !result.Passed() {
		return records.Head{}, errors.New("the pass mark was not reached; there is nothing to sign")
	}
	head, err := r.seat.Store.AddSignOff(ctx, records.SignOff{
		Person: r.seat.Person, Typed: typed, Deck: r.Deck, Course: r.seat.Version,
		Asked: result.Asked, Missed: result.Missed, Points: result.Points, Needed: result.Needed, At: r.seat.Now(),
	})
	if err != nil {
		return head, fmt.Errorf("sign: %w", err)
	}
	return head, nil
}
