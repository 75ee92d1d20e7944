package sheet

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"iter"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"posework/grader/records"
)

var start = time.Date(2026, 3, 2, 5, 50, 0, 0, time.UTC)

func at(hours int) time.Time { return start.Add(time.Duration(hours) * time.Hour) }

// filled returns records in which someone's name would be a formula.
func filled(t testing.TB) *records.Store {
	t.Helper()
	s, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	attempt := func(person, lesson string, points float64, program string, hour int) *records.Attempt {
		v := records.NotPassed
		if points >= 80 {
			v = records.Passed
		}
		return &records.Attempt{Person: person, Lesson: lesson, Program: []byte(program), Seed: 1<<64 - 1, Verdict: v, Points: points,
			Duration: 1500 * time.Millisecond, Course: "1.4.0", Findings: json.RawMessage(`[{"code":"CLEARANCE_LOW"}]`), At: at(hour)}
	}
	if _, err := s.Add(t.Context(),
		&records.Person{Name: "Ines Calloway", Crew: "day", Site: "harrow-mere", At: at(0)},
		&records.Person{Name: "=1+1", Crew: "@night", At: at(0)},
		&records.Person{Name: "Zoë, Marsh", At: at(0)},
		attempt("Ines Calloway", "L07", 62.25, "steps: []\n", 1),
		attempt("Ines Calloway", "L07", 91, "\xff\x00", 2),
		attempt("Ines Calloway", "L10", 40, "", 3),
		attempt("=1+1", "L10", 80, "x", 4),
		&records.Answer{Person: "=1+1", Deck: "D1", Question: "Q1", Given: "a", Right: true, Duration: time.Second, Course: "1", At: at(5)},
		&records.Practice{Person: "=1+1", Lesson: "L07", Seed: 7, Kind: "run", Data: json.RawMessage(`{"mode":"manual"}`), At: at(6)},
		&records.SignOff{Person: "Ines Calloway", Typed: "ines calloway", Deck: "D1", Asked: []string{"Q1"}, Points: 100, Needed: 100, At: at(7)},
		&records.SignOff{Person: "=1+1", Typed: "=1+1", Deck: "D1", Points: 50, Needed: 100, At: at(8)},
	); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestCSV(t *testing.T) {
	s := filled(t)
	var b bytes.Buffer
	if err := CSV(&b, s.AllStandings(t.Context(), records.PeopleFilter{})); err != nil {
		t.Fatal(err)
	}
	const want = `name,crew,site,lesson,attempts,best,passed,last
'=1+1,'@night,main,L10,1,80.0,yes,2026-03-02T09:50:00Z
Ines Calloway,day,harrow-mere,L07,2,91.0,yes,2026-03-02T07:50:00Z
Ines Calloway,day,harrow-mere,L10,1,40.0,no,2026-03-02T08:50:00Z
"Zoë, Marsh",,main,,0,,no,
`
	if d := cmp.Diff(want, b.String()); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	if _, err := csv.NewReader(&b).ReadAll(); err != nil { // same number of fields in each row
		t.Error(err)
	}
}

func workbook(t testing.TB, s *records.Store) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := XLSX(&b, s.AllStandings(t.Context(), records.PeopleFilter{}), s.AllSigned(t.Context(), records.SignedFilter{})); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestXLSX(t *testing.T) {
	s := filled(t)
	raw := workbook(t, s)
	f, err := excelize.OpenReader(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	want := map[string][][]string{
		"Marks": {
			{"name", "crew", "passed", "L07", "L10"},
			{"=1+1", "@night", "1", "", "80.0"},
			{"Ines Calloway", "day", "1", "91.0", "(40.0)"},
			{"Zoë, Marsh", "", "0"},
		},
		"Progress": {
			{"name", "crew", "site", "lesson", "attempts", "best", "passed", "last (UTC)"},
			{"=1+1", "@night", "main", "L10", "1", "80", "yes", "2026-03-02T09:50:00Z"},
			{"Ines Calloway", "day", "harrow-mere", "L07", "2", "91", "yes", "2026-03-02T07:50:00Z"},
			{"Ines Calloway", "day", "harrow-mere", "L10", "1", "40", "no", "2026-03-02T08:50:00Z"},
		},
		"Sign-offs": {
			{"name", "crew", "site", "place", "deck", "signed (UTC)"},
			{"=1+1", "@night", "", "", "", "never"},
			{"Ines Calloway", "day", "harrow-mere", "1", "D1", "2026-03-02T12:50:00Z"},
			{"Zoë, Marsh", "", "", "", "", "never"},
		},
	}
	if got := f.GetSheetList(); !slices.Equal(got, []string{"Marks", "Progress", "Sign-offs"}) {
		t.Errorf("sheets %q", got)
	}
	for name, rows := range want {
		got, err := f.GetRows(name)
		if d := cmp.Diff(rows, got); err != nil || d != "" {
			t.Errorf("%s: %v (-want +got):\n%s", name, err, d)
		}
	}
	if formula, err := f.GetCellFormula("Marks", "A2"); err != nil || formula != "" {
		t.Errorf("the name became the formula %q, %v", formula, err)
	}
	if kind, err := f.GetCellType("Marks", "D3"); err != nil || kind != excelize.CellTypeUnset && kind != excelize.CellTypeNumber {
		t.Errorf("points have the type %v, %v, want a number", kind, err)
	}
	if !bytes.Equal(raw, workbook(t, s)) {
		t.Error("written twice, the workbooks differ")
	}
	empty, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer empty.Close()
	if len(workbook(t, empty)) == 0 {
		t.Error("no workbook of empty records")
	}
}

func TestJSONL(t *testing.T) {
	s := filled(t)
	lines := func(w What) []string {
		t.Helper()
		var b bytes.Buffer
		if err := JSONL(t.Context(), &b, s, w); err != nil {
			t.Fatal(err)
		}
		out := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
		for i, l := range out {
			if !json.Valid([]byte(l)) {
				t.Errorf("line %d is no JSON: %s", i+1, l)
			}
			if at := strings.Index(l, `,"hash":`); at > 0 { // random by its salt
				out[i] = l[:at] + "}"
			}
		}
		return out
	}
	want := []string{
		`{"kind":"person","name":"Ines Calloway","crew":"day","site":"harrow-mere","role":"learner"}`,
		`{"kind":"attempt","id":1,"person":"Ines Calloway","lesson":"L07","seed":"18446744073709551615","verdict":"not passed","points":62.25,"seconds":1.5,"course":"1.4.0","findings":[{"code":"CLEARANCE_LOW"}],"program":"steps: []\n","at":"2026-03-02T06:50:00Z"}`,
		`{"kind":"attempt","id":2,"person":"Ines Calloway","lesson":"L07","seed":"18446744073709551615","verdict":"passed","points":91,"seconds":1.5,"course":"1.4.0","findings":[{"code":"CLEARANCE_LOW"}],"programBase64":"/wA=","at":"2026-03-02T07:50:00Z"}`,
		`{"kind":"attempt","id":3,"person":"Ines Calloway","lesson":"L10","seed":"18446744073709551615","verdict":"not passed","points":40,"seconds":1.5,"course":"1.4.0","findings":[{"code":"CLEARANCE_LOW"}],"at":"2026-03-02T08:50:00Z"}`,
		`{"kind":"sign-off","site":"harrow-mere","place":1,"person":"Ines Calloway","typed":"ines calloway","crew":"day","deck":"D1","points":100,"needed":100,"passed":true,"detail":{"asked":["Q1"]},"at":"2026-03-02T12:50:00Z"}`,
	}
	if d := cmp.Diff(want, lines(What{Person: "ines calloway"})); d != "" {
		t.Errorf("of one person (-want +got):\n%s", d)
	}
	all := lines(What{})
	if len(all) != 3+4+1+1+2 {
		t.Errorf("%d lines, want 11:\n%s", len(all), strings.Join(all, "\n"))
	}
	want = []string{
		`{"kind":"answer","id":1,"person":"=1+1","deck":"D1","question":"Q1","given":"a","right":true,"seconds":1,"course":"1","at":"2026-03-02T10:50:00Z"}`,
		`{"kind":"practice","id":1,"person":"=1+1","lesson":"L07","seed":"7","what":"run","data":{"mode":"manual"},"at":"2026-03-02T11:50:00Z"}`,
	}
	since := lines(What{Since: at(5)})
	if d := cmp.Diff(want, since[3:5]); d != "" || len(since) != 3+1+1+2 {
		t.Errorf("since (-want +got):\n%s", d)
	}
	if _, err := s.Forget(t.Context(), "Ines Calloway", at(9)); err != nil {
		t.Fatal(err)
	}
	for _, l := range lines(What{}) {
		if strings.Contains(strings.ToLower(l), "calloway") {
			t.Errorf("the forgotten name shows: %s", l)
		}
	}
	var b bytes.Buffer
	if err := JSONL(t.Context(), &b, s, What{Person: "Nobody"}); !errors.Is(err, records.ErrNotFound) {
		t.Errorf("of a stranger: %v, want ErrNotFound", err)
	}
}

type brokenWriter struct{}

var errBroken = errors.New("the pipe broke")

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }

func TestWritersSayWhatFails(t *testing.T) {
	s := filled(t)
	ctx := t.Context()
	standings, signed := s.AllStandings(ctx, records.PeopleFilter{}), s.AllSigned(ctx, records.SignedFilter{})
	for name, err := range map[string]error{
		"csv":   CSV(brokenWriter{}, standings),
		"jsonl": JSONL(ctx, brokenWriter{}, s, What{}),
		"xlsx":  XLSX(brokenWriter{}, standings, signed),
	} {
		if !errors.Is(err, errBroken) {
			t.Errorf("%s to a broken pipe: %v", name, err)
		}
	}
	s.Close()
	for name, err := range map[string]error{
		"csv":         CSV(io.Discard, standings),
		"jsonl":       JSONL(ctx, io.Discard, s, What{}),
		"xlsx":        XLSX(io.Discard, standings, signed),
		"xlsx signed": XLSX(io.Discard, none, signed),
	} {
		if err == nil {
			t.Errorf("%s of closed records: no error", name)
		}
	}
}

func none(func(records.Standing, error) bool) {}

var _ iter.Seq2[records.Standing, error] = none
