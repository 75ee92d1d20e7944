package xapi

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"

	"posework/grader/records"
)

// The verbs and activity types are those of the vocabulary that ADL publishes at
// their own addresses; "voided" is the one verb that the standard itself defines.
const (
	verbBase = "http://adlnet.gov/expapi/verbs/"
	typeBase = "http://adlnet.gov/expapi/activities/"
	language = "en"
)

// Maker makes statements from records.
type Maker struct {
	records   uuid.UUID
	home      string
	pseudonym bool
}

// NewMaker makes statements of the records with the identity id. home is the
// address of the organisation's own system, https://training.example.org: people
// are accounts of it, lessons and decks lie below it. With pseudonym, people
// appear under a number that only who has the records and their names can
// compute, instead of by name.
func NewMaker(id, home string, pseudonym bool) (*Maker, error) {
	u, err := uuid.Parse(id)
	if err != nil {
		return nil, fmt.Errorf("identity of the records %q is not a UUID", id)
	}
	h, err := url.Parse(home)
	if err != nil || h.Scheme != "https" && h.Scheme != "http" || h.Host == "" || h.RawQuery != "" || h.Fragment != "" {
		return nil, fmt.Errorf("home %q is not the address of a web site; write it as https://training.example.org", home)
	}
	return &Maker{records: u, home: strings.TrimSuffix(h.String(), "/"), pseudonym: pseudonym}, nil
}

// id returns the UUID of the statement about a row.
func (m *Maker) id(row string, key any) string {
	return uuid.NewSHA1(m.records, fmt.Appendf(nil, "%s/%v", row, key)).String()
}

// iri returns the address of a thing below home.
func (m *Maker) iri(parts ...string) string {
	var b strings.Builder
	b.WriteString(m.home)
	b.WriteString("/posework")
	for _, p := range parts {
		b.WriteString("/" + url.PathEscape(p))
	}
	return b.String()
}

func (m *Maker) person(name string) Actor {
	a := Actor{ObjectType: "Agent", Name: name, Account: Account{HomePage: m.home, Name: name}}
	if m.pseudonym {
		// Spellings of one name give one number.
		a.Name, a.Account.Name = "", m.id("person", strings.ToLower(name))
	}
	return a
}

func (m *Maker) activity(kind, typ string, ids ...string) Object {
	return Object{ObjectType: "Activity", ID: m.iri(append([]string{kind}, ids...)...),
		Definition: &Definition{Name: Words{language: ids[len(ids)-1]}, Type: typeBase + typ}}
}

func verb(word string) Verb { return Verb{ID: verbBase + word, Display: Words{language: word}} }

func (m *Maker) context(course string) *Context {
	return &Context{Platform: "posework", Revision: course}
}

// stamp returns a time as RFC 3339 has it, which every edition accepts.
func stamp(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000000Z") }

// duration returns a duration as ISO 8601 has it, "" for none.
func duration(d time.Duration) string {
	if d == 0 {
		return ""
	}
	return "PT" + strconv.FormatFloat(d.Seconds(), 'f', -1, 64) + "S"
}

func score(points float64) *Score {
	return &Score{Scaled: points / 100, Raw: points, Min: 0, Max: 100}
}

// Attempt returns the statements about an attempt: what it replaces is voided;
// then comes the attempt itself, unless it only withdraws.
func (m *Maker) Attempt(a *records.Attempt) []Statement {
	var list []Statement
	if a.Corrects != 0 {
		list = append(list, m.void("attempt", a.Corrects, a.At))
	}
	if a.Verdict == records.Withdrawn {
		return list
	}
	passed, done := a.Verdict == records.Passed, true
	s := Statement{ID: m.id("attempt", a.ID), Actor: m.person(a.Person), Verb: verb("failed"),
		Object: m.activity("lessons", "assessment", a.Lesson), Context: m.context(a.Course), Timestamp: stamp(a.At),
		Result: &Result{Score: score(a.Points), Success: &passed, Completion: &done, Duration: duration(a.Duration)}}
	switch a.Verdict {
	case records.Passed:
		s.Verb = verb("passed")
	case records.Ungraded:
		s.Verb = verb("attempted")
		s.Result.Score, s.Result.Success, s.Result.Completion = nil, nil, new(bool)
	}
	// As text: numbers above 2^53 get lost in some readers.
	s.Context.Extensions = map[string]any{m.iri("extensions", "variant-seed"): strconv.FormatUint(a.Seed, 10)}
	return append(list, s)
}

// Answer returns the statement about an answer.
func (m *Maker) Answer(a *records.Answer) Statement {
	right := a.Right
	c := m.context(a.Course)
	c.ContextActivities = &ContextActivities{Parent: []Object{m.activity("decks", "assessment", a.Deck)}}
	return Statement{ID: m.id("answer", a.ID), Actor: m.person(a.Person), Verb: verb("answered"),
		Object: m.activity("decks", "question", a.Deck, a.Question), Context: c, Timestamp: stamp(a.At),
		Result: &Result{Success: &right, Response: a.Given, Duration: duration(a.Duration)}}
}

// SignOff returns the statements about an entry of a site's chain; none when its
// signer was erased.
func (m *Maker) SignOff(e *records.Entry) []Statement {
	if e.Signer == nil {
		return nil
	}
	var list []Statement
	if e.Corrects != 0 {
		list = append(list, m.void("sign-off", m.signOffKey(e.Site, e.Corrects), e.At))
	}
	passed, done := e.Passed, true
	v := verb("failed")
	if passed {
		v = verb("passed")
	}
	c := m.context(e.Course)
	c.Extensions = map[string]any{
		m.iri("extensions", "site"):  e.Site,
		m.iri("extensions", "place"): e.Place,
		m.iri("extensions", "hash"):  e.Hash.String(),
	}
	return append(list, Statement{ID: m.id("sign-off", m.signOffKey(e.Site, e.Place)), Actor: m.person(e.Signer.Name), Verb: v,
		Object: m.activity("decks", "assessment", e.Deck), Context: c, Timestamp: stamp(e.At),
		Result: &Result{Score: score(e.Points), Success: &passed, Completion: &done}})
}

func (m *Maker) signOffKey(site string, place int64) string { return fmt.Sprintf("%d/%s", place, site) }

// void returns the statement that voids the one about a row.
func (m *Maker) void(row string, key any, at time.Time) Statement {
	return Statement{ID: m.id("void "+row, key), Verb: verb("voided"), Timestamp: stamp(at),
		Actor:  Actor{ObjectType: "Agent", Name: "posework", Account: Account{HomePage: m.home, Name: "posework"}},
		Object: Object{ObjectType: "StatementRef", ID: m.id(row, key)}}
}

// marshal writes a statement on one line.
func marshal(s Statement) ([]byte, error) { return json.Marshal(s) }
