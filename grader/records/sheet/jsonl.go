package sheet

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"time"
	"unicode/utf8"

	"posework/engine/diag"
	"posework/grader/records"
)

// The kinds of lines that JSONL writes. Fields stay as they are from one version
// to the next; new ones may be added.
type (
	personLine struct {
		Kind string `json:"kind"` // "person"
		Name string `json:"name"`
		Crew string `json:"crew"`
		Site string `json:"site"`
		Role string `json:"role"`
	}
	attemptLine struct {
		Kind          string          `json:"kind"` // "attempt"
		ID            int64           `json:"id"`
		Person        string          `json:"person"`
		Lesson        string          `json:"lesson"`
		Seed          uint64          `json:"seed,string"`
		Verdict       string          `json:"verdict"`
		Points        float64         `json:"points"`
		Seconds       float64         `json:"seconds"`
		Course        string          `json:"course"`
		Findings      json.RawMessage `json:"findings"`
		Program       string          `json:"program,omitempty"`
		ProgramBase64 []byte          `json:"programBase64,omitempty"` // when it is no text
		Corrects      int64           `json:"corrects,omitempty"`
		Regrades      int64           `json:"regrades,omitempty"` // the attempt whose program was graded again
		Log           json.RawMessage `json:"log,omitempty"`      // practice log handed in with the program
		At            time.Time       `json:"at"`
	}
	answerLine struct {
		Kind     string    `json:"kind"` // "answer"
		ID       int64     `json:"id"`
		Person   string    `json:"person"`
		Deck     string    `json:"deck"`
		Question string    `json:"question"`
		Given    string    `json:"given"`
		Right    bool      `json:"right"`
		Seconds  float64   `json:"seconds"`
		Course   string    `json:"course"`
		At       time.Time `json:"at"`
	}
	practiceLine struct {
		Kind   string          `json:"kind"` // "practice"
		ID     int64           `json:"id"`
		Person string          `json:"person"`
		Lesson string          `json:"lesson"`
		Seed   uint64          `json:"seed,string"`
		What   string          `json:"what"`
		Data   json.RawMessage `json:"data"`
		At     time.Time       `json:"at"`
	}
	signOffLine struct {
		Kind     string          `json:"kind"` // "sign-off" or "erasure"
		Site     string          `json:"site"`
		Place    int64           `json:"place"`
		Person   string          `json:"person,omitempty"` // none when it was erased
		Typed    string          `json:"typed,omitempty"`
		Crew     string          `json:"crew,omitempty"`
		Note     string          `json:"note,omitempty"`
		Deck     string          `json:"deck,omitempty"`
		Course   string          `json:"course,omitempty"`
		Points   float64         `json:"points"`
		Needed   float64         `json:"needed"`
		Passed   bool            `json:"passed"`
		Corrects int64           `json:"corrects,omitempty"`
		Detail   json.RawMessage `json:"detail"`
		At       time.Time       `json:"at"`
		Hash     string          `json:"hash"`
	}
)

// What says what to write: of one person or of all, and from when on.
type What struct {
	Person string // "" for all
	Since  time.Time
}

// JSONL writes people, attempts, answers, practice logs and sign-offs as one JSON
// object a line.
func JSONL(ctx context.Context, w io.Writer, s *records.Store, what What) error {
	out := bufio.NewWriter(w)
	l := &lines{out: json.NewEncoder(diag.Escaped(out)), since: what.Since}
	l.people(ctx, s, what.Person)
	for a, err := range s.AllAttempts(ctx, records.AttemptFilter{Person: what.Person, Since: what.Since}) {
		l.attempt(&a, err)
	}
	for a, err := range s.AllAnswers(ctx, what.Person) {
		l.put(a.At, answerLine{"answer", a.ID, a.Person, a.Deck, a.Question, a.Given, a.Right, a.Duration.Seconds(), a.Course, a.At}, err)
	}
	for p, err := range s.AllPractices(ctx, what.Person) {
		l.put(p.At, practiceLine{"practice", p.ID, p.Person, p.Lesson, p.Seed, p.Kind, p.Data, p.At}, err)
	}
	entries := s.AllEntries(ctx, "")
	if what.Person != "" {
		entries = s.AllSignOffs(ctx, what.Person)
	}
	for e, err := range entries {
		l.entry(&e, err)
	}
	if l.err != nil {
		return l.err
	}
	return out.Flush()
}

// lines writes lines until something fails.
type lines struct {
	out   *json.Encoder
	since time.Time
	err   error
}

// put writes a line of the time at, unless it is too old.
func (l *lines) put(at time.Time, line any, err error) {
	if l.err == nil {
		l.err = err
	}
	if l.err == nil && !at.Before(l.since) {
		l.err = l.out.Encode(line)
	}
}

func (l *lines) people(ctx context.Context, s *records.Store, name string) {
	if name != "" {
		p, err := s.Person(ctx, name)
		l.put(l.since, personLine{"person", p.Name, p.Crew, p.Site, p.Role}, err)
		return
	}
	for p, err := range s.AllPeople(ctx, records.PeopleFilter{}) {
		l.put(l.since, personLine{"person", p.Name, p.Crew, p.Site, p.Role}, err)
	}
}

func (l *lines) attempt(a *records.Attempt, err error) {
	line := attemptLine{Kind: "attempt", ID: a.ID, Person: a.Person, Lesson: a.Lesson, Seed: a.Seed, Verdict: string(a.Verdict), Points: a.Points,
		Seconds: a.Duration.Seconds(), Course: a.Course, Findings: a.Findings, Corrects: a.Corrects, Regrades: a.Regrades, Log: a.Log, At: a.At}
	if utf8.Valid(a.Program) {
		line.Program = string(a.Program)
	} else {
		line.ProgramBase64 = a.Program
	}
	l.put(a.At, line, err)
}

func (l *lines) entry(e *records.Entry, err error) {
	line := signOffLine{Kind: e.Kind, Site: e.Site, Place: e.Place, Deck: e.Deck, Course: e.Course, Points: e.Points, Needed: e.Needed,
		Passed: e.Passed, Corrects: e.Corrects, Detail: json.RawMessage(e.Detail), At: e.At, Hash: e.Hash.String()}
	if g := e.Signer; g != nil {
		line.Person, line.Typed, line.Crew, line.Note = g.Name, g.Typed, g.Crew, g.Note
	}
	l.put(e.At, line, err)
}
