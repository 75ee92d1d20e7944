package records

import (
	"context"
	"database/sql"
	"time"
)

// Answer is one answer to one question of a lesson's quiz or of a deck.
type Answer struct {
	ID       int64 // given by the store
	Person   string
	Deck     string // id of the lesson or deck
	Question string // id of the question within it
	Given    string // as typed or chosen
	Right    bool
	Duration time.Duration // from showing the question to the answer; 0 when unknown
	Course   string        // version of the course that asked it
	At       time.Time
}

func (a *Answer) check() error {
	var c checks
	c.person(&a.Person)
	c.word("deck", a.Deck, false)
	c.word("question", a.Question, false)
	c.free("given", &a.Given)
	c.word("course", a.Course, true)
	c.duration(a.Duration)
	c.time(a.At)
	return c.err("answer")
}

func (a *Answer) insert(t *tx) (int64, error) {
	person, err := personID(t, a.Person, a.At)
	if err != nil {
		return 0, err
	}
	return t.id(`INSERT INTO answer (person, deck, question, given, correct, duration, course, at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING id`,
		person, a.Deck, a.Question, a.Given, bit(a.Right), a.Duration.Microseconds(), a.Course, micros(a.At))
}

// AddAnswer records an answer and returns its id.
func (s *Store) AddAnswer(ctx context.Context, a Answer) (int64, error) { return s.add(ctx, &a) }

// Answers lists a person's answers.
func (s *Store) Answers(ctx context.Context, person string, page Page) ([]Answer, error) {
	return s.answers(ctx, s.db, person, page)
}

func (s *Store) answers(ctx context.Context, q querier, person string, page Page) ([]Answer, error) {
	f := &filter{}
	if person != "" {
		id, _, err := s.knownID(ctx, q, person)
		if err != nil {
			return nil, err
		}
		f.and("a.person = %s", id)
	}
	query := `SELECT a.id, p.name, a.deck, a.question, a.given, a.correct, a.duration, a.course, a.at
		FROM answer a JOIN person p ON p.id = a.person` + f.page("a.id", page)
	var list []Answer
	err := s.rows(ctx, q, query, f.args, func(r *sql.Rows) error {
		var a Answer
		var right int
		var us, at int64
		err := r.Scan(&a.ID, &a.Person, &a.Deck, &a.Question, &a.Given, &right, &us, &a.Course, &at)
		a.Right, a.Duration, a.At = right == 1, time.Duration(us)*time.Microsecond, moment(at)
		list = append(list, a)
		return err
	})
	return list, err
}
