package xapi

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"posework/grader/records"
)

var start = time.Date(2026, 3, 2, 5, 50, 0, 123_456_000, time.FixedZone("", 3600))

const (
	storeID = "6ba7b810-9dad-41d1-80b4-00c04fd430c8"
	home    = "https://training.harrow-mere.example"
)

func maker(t testing.TB, pseudonym bool) *Maker {
	t.Helper()
	m, err := NewMaker(storeID, home+"/", pseudonym)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func attempt() *records.Attempt {
	return &records.Attempt{ID: 7, Person: "Ines Calloway", Lesson: "L07", Seed: 1<<64 - 1, Verdict: records.Passed, Points: 91.5,
		Duration: 90*time.Second + 500*time.Millisecond, Course: "1.4.0", At: start}
}

func TestAttemptStatement(t *testing.T) {
	got, err := json.MarshalIndent(maker(t, false).Attempt(attempt()), "", " ")
	if err != nil {
		t.Fatal(err)
	}
	want := `[
 {
  "id": "ID",
  "actor": {
   "objectType": "Agent",
   "name": "Ines Calloway",
   "account": {
    "homePage": "https://training.harrow-mere.example",
    "name": "Ines Calloway"
   }
  },
  "verb": {
   "id": "http://adlnet.gov/expapi/verbs/passed",
   "display": {
    "en": "passed"
   }
  },
  "object": {
   "objectType": "Activity",
   "id": "https://training.harrow-mere.example/posework/lessons/L07",
   "definition": {
    "name": {
     "en": "L07"
    },
    "type": "http://adlnet.gov/expapi/activities/assessment"
   }
  },
  "result": {
   "score": {
    "scaled": 0.915,
    "raw": 91.5,
    "min": 0,
    "max": 100
   },
   "success": true,
   "completion": true,
   "duration": "PT90.5S"
  },
  "context": {
   "platform": "posework",
   "revision": "1.4.0",
   "extensions": {
    "https://training.harrow-mere.example/posework/extensions/variant-seed": "18446744073709551615"
   }
  },
  "timestamp": "2026-03-02T04:50:00.123456Z"
 }
]`
	// Worked out apart with another program: uuid5(storeID, "attempt/7").
	want = strings.Replace(want, `"ID"`, `"`+attemptID+`"`, 1)
	if d := cmp.Diff(want, string(got)); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}

// attemptID is what Python prints for
// uuid.uuid5(uuid.UUID("6ba7b810-9dad-41d1-80b4-00c04fd430c8"), "attempt/7").
const attemptID = "6f16f46d-56b5-587d-8d1e-04ea40d12676"

func TestVerbs(t *testing.T) {
	m := maker(t, false)
	a := attempt()
	a.Verdict = records.NotPassed
	if s := m.Attempt(a); len(s) != 1 || s[0].Verb.Display["en"] != "failed" || *s[0].Result.Success {
		t.Errorf("not passed: %+v", s)
	}
	a.Verdict = records.Ungraded
	if s := m.Attempt(a); s[0].Verb.Display["en"] != "attempted" || s[0].Result.Score != nil || s[0].Result.Success != nil || *s[0].Result.Completion {
		t.Errorf("ungraded: %+v", s)
	}
	old := m.Attempt(attempt())[0].ID
	a.Verdict, a.Corrects, a.ID = records.Passed, 7, 8
	s := m.Attempt(a)
	if len(s) != 2 || s[0].Verb.Display["en"] != "voided" || s[0].Object.ID != old || s[0].Object.ObjectType != "StatementRef" || s[1].ID == old {
		t.Errorf("correction: %+v", s)
	}
	a.Verdict = records.Withdrawn
	if s := m.Attempt(a); len(s) != 1 || s[0].Object.ID != old {
		t.Errorf("withdrawn: %+v", s)
	}
	e := &records.Entry{Site: "annex", Place: 3, Deck: "D1", Passed: true, Signer: &records.Signer{Name: "Abel Root"}, At: start}
	sign := m.SignOff(e)
	if len(sign) != 1 || sign[0].Verb.Display["en"] != "passed" {
		t.Errorf("sign-off: %+v", sign)
	}
	e.Passed, e.Corrects, e.Place = false, 3, 4
	if s := m.SignOff(e); len(s) != 2 || s[0].Object.ID != sign[0].ID || s[1].Verb.Display["en"] != "failed" {
		t.Errorf("corrected sign-off: %+v", s)
	}
	e.Signer = nil
	if s := m.SignOff(e); s != nil {
		t.Errorf("erased sign-off: %+v, want none", s)
	}
}

func TestPseudonyms(t *testing.T) {
	m := maker(t, true)
	a, b := attempt(), attempt()
	b.Person = "INES CALLOWAY"
	x, y := m.Attempt(a)[0].Actor, m.Attempt(b)[0].Actor
	if x != y || x.Name != "" || len(x.Account.Name) != 36 {
		t.Errorf("actors %+v and %+v, want one number and no name", x, y)
	}
	raw, err := json.Marshal(m.Attempt(a))
	if err != nil || strings.Contains(strings.ToLower(string(raw)), "calloway") {
		t.Errorf("the name shows: %s, %v", raw, err)
	}
}

func TestMakerRefuses(t *testing.T) {
	for _, h := range []string{"", "harrow-mere.example", "mailto:a@b.example", "https://", "https://x.example/?a=b", "https://x.example/#a", "https://%zz"} {
		if _, err := NewMaker(storeID, h, false); err == nil || !strings.Contains(err.Error(), "write it as https://") {
			t.Errorf("home %q: %v", h, err)
		}
	}
	if _, err := NewMaker("7", home, false); err == nil {
		t.Error("an identity that is no UUID was taken")
	}
}

// Whatever stands in the records, the statements keep the rules.
func TestStatementsKeepTheRules(t *testing.T) {
	word := rapid.StringN(1, 20, 200)
	rapid.Check(t, func(t *rapid.T) {
		m, err := NewMaker(storeID, home, rapid.Bool().Draw(t, "pseudonym"))
		if err != nil {
			t.Fatal(err)
		}
		at := start.Add(time.Duration(rapid.Int64Range(0, 1e17).Draw(t, "at")))
		a := records.Attempt{ID: rapid.Int64Min(1).Draw(t, "id"), Person: word.Draw(t, "person"), Lesson: word.Draw(t, "lesson"),
			Verdict: rapid.SampledFrom([]records.Verdict{records.Passed, records.NotPassed, records.Ungraded, records.Withdrawn}).Draw(t, "verdict"),
			Points:  rapid.Float64Range(0, 100).Draw(t, "points"), Duration: time.Duration(rapid.Int64Range(0, 1e15).Draw(t, "duration")).Truncate(time.Microsecond),
			Course: rapid.StringN(0, 9, 99).Draw(t, "course"), Corrects: rapid.Int64Range(0, 9).Draw(t, "corrects"), At: at}
		q := records.Answer{ID: 1, Person: a.Person, Deck: word.Draw(t, "deck"), Question: word.Draw(t, "question"), Given: rapid.String().Draw(t, "given"), At: at}
		e := records.Entry{Site: word.Draw(t, "site"), Place: 2, Deck: q.Deck, Corrects: rapid.Int64Range(0, 1).Draw(t, "of"), Points: a.Points, At: at,
			Signer: &records.Signer{Name: a.Person}}
		for _, s := range append(append(m.Attempt(&a), m.Answer(&q)), m.SignOff(&e)...) {
			raw, err := json.Marshal(s)
			if err != nil {
				t.Fatal(err)
			}
			if broken := violations(raw); broken != nil {
				t.Fatalf("%s\nbreaks %q", raw, broken)
			}
		}
	})
}

// filled returns records with rows of each kind.
func filled(t testing.TB) *records.Store {
	t.Helper()
	s, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	for i := range 5 {
		a := attempt()
		a.At = start.Add(time.Duration(i) * time.Hour)
		a.Findings, a.Program = nil, []byte("x")
		if i == 4 {
			a.Corrects = 1
		}
		name := fmt.Sprintf("Learner %d", i)
		if _, err := s.Add(t.Context(), a, &records.Answer{Person: name, Deck: "D1", Question: "Q", At: a.At},
			&records.SignOff{Person: name, Typed: name, Deck: "D1", Points: 100, Needed: 80, At: a.At}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.Forget(t.Context(), "Learner 0", start.Add(9*time.Hour)); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestWrite(t *testing.T) {
	s := filled(t)
	m, err := NewMaker(s.ID(), home, false)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	n, err := Write(&b, m.All(t.Context(), s, time.Time{}))
	if err != nil || n != 6+4+4 {
		t.Fatalf("Write = %d, %v, want 14 statements", n, err)
	}
	var list []json.RawMessage
	if err := json.Unmarshal(b.Bytes(), &list); err != nil || len(list) != n {
		t.Fatalf("%d statements in the file, %v", len(list), err)
	}
	ids := map[string]bool{}
	for _, raw := range list {
		if broken := violations(raw); broken != nil {
			t.Errorf("%s breaks %q", raw, broken)
		}
		var one Statement
		if err := json.Unmarshal(raw, &one); err != nil || ids[one.ID] {
			t.Errorf("%s: %v, or its id stands twice", raw, err)
		}
		ids[one.ID] = true
	}
	var again bytes.Buffer
	if _, err := Write(&again, m.All(t.Context(), s, time.Time{})); err != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Error("written twice, the files differ")
	}
	b.Reset()
	if n, err := Write(&b, m.All(t.Context(), s, start.Add(3*time.Hour))); err != nil || n != 1+2+2+2 {
		t.Errorf("since the fourth hour: %d statements, %v, want 7", n, err)
	}
	b.Reset()
	if n, err := Write(&b, none); err != nil || n != 0 || b.String() != "[\n]\n" {
		t.Errorf("nothing: %d, %v, %q", n, err, b.String())
	}
	if _, err := Write(&b, failing); !errors.Is(err, errFailing) {
		t.Errorf("Write of a failing list: %v", err)
	}
	for range 3 { // stopping early is no error
		for range m.All(t.Context(), s, time.Time{}) {
			break
		}
	}
	s.Close()
	if _, err := Write(&b, m.All(t.Context(), s, time.Time{})); err == nil {
		t.Error("closed records were written")
	}
}

var errFailing = errors.New("no more")

func none(func(Statement, error) bool) {}

func failing(yield func(Statement, error) bool) { yield(Statement{}, errFailing) }

var _ iter.Seq2[Statement, error] = none
