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

// TestDecodeLimits goes to each limit of a question, and one beyond it.
func TestDecodeLimits(t *testing.T) {
	const tail = ", because: c, source: d, skill: e}\n"
	list := func(n int, item string) string {
		var items []string
		for i := range n {
			items = append(items, fmt.Sprintf(item, i))
		}
		return "[" + strings.Join(items, ", ") + "]"
	}
	many := func(right, wrong int) string {
		return "- {id: q, kind: many, ask: x?, right: " + list(right, "r%d") + ", wrong: " + list(wrong, "w%d") + tail
	}
	order := func(n int) string { return "- {id: q, kind: order, ask: x?, right: " + list(n, "r%d") + tail }
	match := func(n int) string {
		return "- {id: q, kind: match, ask: x?, pairs: " + list(n, "[l%[1]d, r%[1]d]") + tail
	}
	number := func(ask, vary, because string) string {
		return "- {id: q, kind: number, ask: \"" + ask + "\", formula: curtain-distance, with: {resolution: 30}, vary: {time: " + vary + "}, tolerance: 1, unit: mm, because: \"" + because + "\", source: d, skill: e}\n"
	}
	const told = "{time} s?"
	for _, tt := range []struct{ name, yaml, want string }{
		{"as many options as can be", many(1, MostOptions-1), ""},
		{"one more", many(2, MostOptions-1), "Q005"},
		{"no right option", many(0, 2), "Q004"},
		{"no wrong option", many(2, 0), "Q004"},
		{"one item", order(1), "Q005"},
		{"two items", order(2), ""},
		{"as many items as can be", order(MostOptions), ""},
		{"one item more", order(MostOptions + 1), "Q005"},
		{"one pair", match(1), "Q005"},
		{"two pairs", match(2), ""},
		{"as many pairs as can be", match(MostOptions), ""},
		{"one pair more", match(MostOptions + 1), "Q005"},
		{"two values to draw from", number(told, "[0.1, 0.2, 0.1]", "so"), ""},
		{"a step longer than the range", number(told, "[0.1, 0.2, 0.2]", "so"), "Q010"},
		{"a step longer than a range that begins far from nothing", number(told, "[0.5, 0.6, 0.2]", "so"), "Q010"},
		{"a range of one value", number(told, "[0.2, 0.2, 0.1]", "so"), "Q010"},
		{"a range the other way round", number(told, "[0.3, 0.2, 0.1]", "so"), "Q010"},
		{"a step of nothing", number(told, "[0.1, 0.2, 0]", "so"), "Q010"},
		{"a step back", number(told, "[0.1, 0.2, -0.1]", "so"), "Q010"},
		{"the answer in the explanation", number(told, "[0.1, 0.2, 0.1]", "{time} s give {answer}"), ""},
		{"the answer in the question", number(told+" {answer}", "[0.1, 0.2, 0.1]", "so"), "Q012"},
		{"what nothing fills in, after the answer", number(told, "[0.1, 0.2, 0.1]", "{answer} {speed}"), "Q012"},
		{"what nothing fills in, after what is filled in", number(told+" {speed}", "[0.1, 0.2, 0.1]", "so"), "Q012"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			qs, l := decodeText(t, tt.yaml)
			var got []string
			for _, d := range l {
				got = append(got, d.Code)
			}
			if len(qs) != 1 || strings.Join(got, " ") != tt.want {
				t.Errorf("%d questions, codes %q, want %q: %v", len(qs), got, tt.want, l)
			}
		})
	}
	var b strings.Builder
	for i := range MostQuestions {
		fmt.Fprintf(&b, "- {id: q%d, kind: one, ask: x?, right: a, wrong: [b], because: c, source: d, skill: e}\n", i)
	}
	if qs, l := decodeText(t, b.String()); len(l) > 0 || len(qs) != MostQuestions {
		t.Errorf("%d questions, %v, want %d and nothing wrong", len(qs), l, MostQuestions)
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
