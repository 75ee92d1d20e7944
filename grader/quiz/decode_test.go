package quiz

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"posework/engine/diag"
	"posework/engine/source"
)

// decodeText reads a list of questions from YAML.
func decodeText(t *testing.T, yaml string) ([]Question, diag.List) {
	t.Helper()
	var l diag.List
	qs := Decode(source.Parse("quiz.yaml", []byte(yaml), 1, &l))
	l.Sort()
	return qs, l
}

// testQuestions reads a file of sound questions.
func testQuestions(t *testing.T) []Question {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", "sound.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	qs, l := decodeText(t, string(data))
	if len(l) > 0 {
		t.Fatalf("sound.yaml: %v", l)
	}
	return qs
}

func question(t *testing.T, id string) *Question {
	t.Helper()
	qs := testQuestions(t)
	i := slices.IndexFunc(qs, func(q Question) bool { return q.ID == id })
	if i < 0 {
		t.Fatalf("no question %s in sound.yaml", id)
	}
	return &qs[i]
}

func TestDecodeSound(t *testing.T) {
	qs := testQuestions(t)
	var kinds []Kind
	for _, q := range qs {
		kinds = append(kinds, q.Kind)
	}
	for k := One; k <= Spot; k++ {
		if !slices.Contains(kinds, k) {
			t.Errorf("sound.yaml has no question of kind %v", k)
		}
	}
	q := question(t, "curtain")
	if q.Formula.Name != "curtain-distance" || q.Tolerance != 1 || q.Unit != "mm" {
		t.Errorf("curtain = %+v", q)
	}
	want := []Input{{"resolution", 30, 30, 0}, {"time", 0.15, 0.35, 0.01}}
	if !slices.Equal(q.Inputs, want) {
		t.Errorf("inputs of curtain = %v, want %v", q.Inputs, want)
	}
	if got := question(t, "stop-categories").Right; !slices.Equal(got, []string{"0", "1"}) {
		t.Errorf("a number as an option is read as %q, want the text", got)
	}
}

// Every line of bad.yaml with "# want CODE" raises exactly that code there, and
// no other line raises any.
func TestDecodeBad(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("testdata", "bad.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	_, l := decodeText(t, string(data))
	var got, want []string
	for _, d := range l {
		got = append(got, fmt.Sprintf("%d %s", d.Pos.Line, d.Code))
		if d.Fix == "" || d.Pos.Column == 0 {
			t.Errorf("%v lacks a fix or a column", d)
		}
	}
	marker := regexp.MustCompile(`# want (.*)$`)
	for i, line := range strings.Split(string(data), "\n") {
		if m := marker.FindStringSubmatch(line); m != nil {
			for _, code := range strings.Fields(m[1]) {
				want = append(want, fmt.Sprintf("%d %s", i+1, code))
			}
		}
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("bad.yaml:\n got %q\nwant %q\n%v", got, want, l)
	}
}

// The table of codes is sorted, whole, and every code in it is raised by a test
// file or, for what only drawing can find, by another test.
func TestCodes(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("testdata", "bad.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	last := ""
	for _, c := range Codes {
		if c.ID <= last || c.Title == "" || c.Meaning == "" || c.Bad == "" || c.Good == "" {
			t.Errorf("code %q is out of order or incomplete", c.ID)
		}
		last = c.ID
		if !slices.Contains([]string{"Q013", "Q014", "Q015"}, c.ID) && !strings.Contains(string(data), c.ID) {
			t.Errorf("no case for %s in bad.yaml", c.ID)
		}
	}
}

func TestTooManyQuestions(t *testing.T) {
	var b strings.Builder
	for i := range MostQuestions + 1 {
		fmt.Fprintf(&b, "- {id: q%d, kind: one, ask: x?, right: a, wrong: [b], because: c, source: d, skill: e}\n", i)
	}
	var l diag.List
	qs := Decode(source.Parse("deck.yaml", []byte(b.String()), 1, &l))
	if len(l) != 1 || l[0].Code != "Q015" || !strings.Contains(l[0].Text, "201 questions, but at most 200") || len(qs) != MostQuestions {
		t.Errorf("%d questions and %v, want 200 and Q015", len(qs), l)
	}
}

// FuzzDecode feeds any text to the reader of questions: it must not panic, and a
// question that it takes can be put and answered.
func FuzzDecode(f *testing.F) {
	for _, name := range []string{"sound.yaml", "bad.yaml"} {
		data, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(data), "a, c")
	}
	f.Add("- {id: a, kind: number, ask: \"{x} mm?\", vary: {x: [1, 2]}, tolerance: 1, because: b, source: c, skill: d, value: 1}\n", "12.5 mm")
	f.Fuzz(func(t *testing.T, text, typed string) {
		var l diag.List
		qs := Decode(source.Parse("deck.yaml", []byte(text), 1, &l))
		if len(l) > 0 {
			return
		}
		for i := range qs {
			for seed := range uint64(3) {
				s, bad := qs[i].Draw(t.Context(), seed, nil)
				if len(bad) > 0 || s == nil {
					continue
				}
				if a, err := s.Parse(typed); err == nil {
					s.Mark(a)
				}
				v := s.Mark(Answer{Number: s.Value, Choice: s.right})
				if math.IsNaN(s.Value) || math.IsInf(s.Value, 0) || !v.Right {
					t.Errorf("the answer %v, %g to %+v is marked %+v", s.right, s.Value, qs[i], v)
				}
			}
		}
	})
}
