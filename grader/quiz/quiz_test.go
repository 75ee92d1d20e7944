package quiz

import (
	"context"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"posework/engine/diag"
	"posework/grader"
)

// findAt is a spotter that finds something on given lines of a program.
func findAt(findings ...grader.Finding) Spotter {
	return func(context.Context, string, []byte) ([]grader.Finding, diag.List) { return findings, nil }
}

func finding(line int, check, text string, severity grader.Severity) grader.Finding {
	return grader.Finding{Check: check, Text: text, Severity: severity, Pos: diag.Pos{Line: line}}
}

func draw(t *testing.T, id string, seed uint64) *Sheet {
	t.Helper()
	return drawOf(t, question(t, id), seed)
}

func drawOf(t *testing.T, q *Question, seed uint64) *Sheet {
	t.Helper()
	spot := findAt(
		finding(10, "approach", "the last 50 mm are driven at 240 mm/s", grader.Fail),
		finding(18, "clearance", "the cup meets the crate", grader.Stop),
		finding(19, "top-speed", "a remark", grader.Advice),
		finding(1, "visits", "a pose is missing", grader.Fail),
	)
	s, l := q.Draw(t.Context(), seed, spot)
	if len(l) > 0 {
		t.Fatalf("Draw(%s, %d): %v", q.ID, seed, l)
	}
	return s
}

func TestDrawIsAFunctionOfTheSeed(t *testing.T) {
	for _, q := range testQuestions(t) {
		a, b := draw(t, q.ID, 7), draw(t, q.ID, 7)
		b.Question = a.Question
		if !reflect.DeepEqual(a, b) {
			t.Errorf("%s: two draws with one seed differ:\n%+v\n%+v", q.ID, a, b)
		}
	}
}

// A seed must mean the same sheet in every release: a person comes back to it.
func TestDrawStaysAsItWas(t *testing.T) {
	s := draw(t, "reset", 1)
	want := []string{"In the office", "Inside, near the arm", "On the gripper", "Outside, with a full view, not reachable from inside"}
	if !slices.Equal(s.Options, want) {
		t.Errorf("reset, seed 1: options %q, want %q", s.Options, want)
	}
}

// Over many seeds the right option stands everywhere about equally often.
func TestDrawSpreadsTheRightOption(t *testing.T) {
	const seeds = 4000
	var at [4]int
	q := question(t, "reset")
	for seed := range uint64(seeds) {
		at[drawOf(t, q, seed).right[0]]++
	}
	for place, n := range at {
		// Binomial, p = 1/4: standard deviation 27; five of them never happen.
		if n < seeds/4-137 || n > seeds/4+137 {
			t.Errorf("right option at place %d in %d of %d draws, want about a quarter: %v", place, n, seeds, at)
		}
	}
}

func TestOrderIsNeverShownSolved(t *testing.T) {
	q := question(t, "lockout")
	for seed := range uint64(2000) {
		if s := drawOf(t, q, seed); slices.Equal(s.Options, s.Question.Right) {
			t.Fatalf("seed %d shows the items in their right order", seed)
		}
	}
}

func TestDrawnNumbers(t *testing.T) {
	seen := map[string]bool{}
	q := question(t, "curtain")
	for seed := range uint64(500) {
		s := drawOf(t, q, seed)
		if !strings.Contains(s.Ask, "A 30 mm curtain") {
			t.Fatalf("seed %d tells the given input otherwise: %q", seed, s.Ask)
		}
		if strings.ContainsAny(s.Ask+s.Because, "{}") {
			t.Fatalf("seed %d leaves a placeholder: %q, %q", seed, s.Ask, s.Because)
		}
		seen[s.Ask] = true
		if !s.Mark(Answer{Number: s.Value}).Right || s.Mark(Answer{Number: s.Value + 1.01}).Right {
			t.Errorf("seed %d: %v is marked wrongly", seed, s.Value)
		}
	}
	if len(seen) != 21 { // 0.15, 0.16 ... 0.35
		t.Errorf("%d different questions, want 21: %v", len(seen), seen)
	}
	for ask := range seen {
		if !regexp.MustCompile(` 0\.\d\d s`).MatchString(ask) {
			t.Errorf("the time is not shown with two decimals: %q", ask)
		}
	}
}

// ISO 13855:2010, 6.2.3: a 30 mm curtain with 0.18, 0.22 and 0.25 s stands at
// 488, 500 and 528 mm.
func TestDrawnNumberIsComputedFromWhatIsShown(t *testing.T) {
	want := map[string]float64{"time 0.18 s": 488, "time 0.22 s": 500, "time 0.25 s": 528}
	q := question(t, "curtain")
	for seed := range uint64(300) {
		s := drawOf(t, q, seed)
		for text, v := range want {
			if strings.Contains(s.Ask, text) {
				if !(math.Abs(s.Value-v) <= 1e-9) {
					t.Errorf("%q: value %v, want %v", s.Ask, s.Value, v)
				}
				delete(want, text)
			}
		}
	}
	if len(want) > 0 {
		t.Errorf("never drawn in 300 seeds: %v", want)
	}
}

func TestSpotIsMarkedByTheGrader(t *testing.T) {
	s := draw(t, "two-steps", 0)
	labels := []string{"1", "2", "3", "4", "4.1", "4.2", "5", "away 1", "away 2"}
	if !slices.Equal(s.Options, labels) {
		t.Fatalf("steps %q, want %q", s.Options, labels)
	}
	lines := strings.Split(s.Question.Program, "\n")
	if got := lines[s.Lines[2]-1]; !strings.Contains(got, "240 mm/s") {
		t.Errorf("step 3 is said to be the line %q", got)
	}
	v := s.Mark(parse(t, s, "away 1, 3"))
	if !v.Right || v.Want != "step 3, step away 1" || len(v.Notes) != 2 {
		t.Errorf("the right steps are marked %+v", v)
	}
	if v := s.Mark(parse(t, s, "3")); v.Right {
		t.Errorf("a missed step is marked right: %+v", v)
	}
	if v := s.Mark(parse(t, s, "3 4.1 away 1")); v.Right || !slices.Contains(v.Notes, "wrongly taken: step 4.1") {
		t.Errorf("a safe step is marked %+v", v)
	}
}

// What is wrong at the very first step is to be spotted there.
func TestSpotAtTheFirstStep(t *testing.T) {
	q := question(t, "two-steps")
	first := draw(t, "two-steps", 0).Lines[0]
	s, l := q.Draw(t.Context(), 0, findAt(finding(first, "starts-home", "not at home", grader.Stop)))
	if len(l) > 0 || s.Mark(Answer{}).Want != "step 1" {
		t.Errorf("%v, %+v", l, s.Mark(Answer{}))
	}
}

func TestSpotChecksNarrowTheSearch(t *testing.T) {
	q := question(t, "two-steps")
	spot := findAt(finding(10, "approach", "too fast", grader.Fail), finding(18, "clearance", "contact", grader.Stop))
	q.Checks = []string{"clearance"}
	s, l := q.Draw(t.Context(), 0, spot)
	if len(l) > 0 || s.Mark(Answer{}).Want != "step away 1" {
		t.Errorf("with checks: %v, %+v", l, s.Mark(Answer{}))
	}
	q.Checks = []string{"axis-room"}
	if _, l = q.Draw(t.Context(), 0, spot); len(l) != 1 || l[0].Code != "Q013" || l[0].Pos.Line != q.ProgramPos.Line {
		t.Errorf("nothing to spot is reported as %v", l)
	}
}

func TestSpotWithoutGrader(t *testing.T) {
	if _, l := question(t, "two-steps").Draw(t.Context(), 0, nil); len(l) != 1 || l[0].Code != "Q014" {
		t.Errorf("reported as %v", l)
	}
}

func TestSpotProgramThatCannotBeGraded(t *testing.T) {
	q := question(t, "two-steps")
	var why diag.List
	why.Add(diag.Pos{Filename: "two-steps.yaml", Line: 2}, "P001", "", "no such tool")
	_, l := q.Draw(t.Context(), 0, func(context.Context, string, []byte) ([]grader.Finding, diag.List) { return nil, why })
	if len(l) != 1 || l[0].Code != "P001" {
		t.Errorf("reported as %v", l)
	}
	q.Program = "steps: [\n"
	if _, l = q.Draw(t.Context(), 0, findAt()); len(l) == 0 {
		t.Error("a program that is no YAML is drawn")
	}
}

func parse(t *testing.T, s *Sheet, typed string) Answer {
	t.Helper()
	a, err := s.Parse(typed)
	if err != nil {
		t.Fatalf("Parse(%q): %v", typed, err)
	}
	return a
}

// sheets with a known order, for answers by letter
func fixed(kind Kind, options ...string) *Sheet {
	return &Sheet{Question: &Question{Kind: kind}, Options: options}
}

func TestParse(t *testing.T) {
	one := fixed(One, "red", "green", "blue")
	many := fixed(Many, "red", "green", "blue")
	order := fixed(Order, "red", "green", "blue")
	match := fixed(Match, "red", "green", "blue")
	match.Partners = []string{"x", "y", "z"}
	steps := fixed(Spot, "1", "2", "2.1", "retreat 1", "retreat 2")
	nine := fixed(One, "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
	pairs := fixed(Match, nine.Options...)
	pairs.Partners = nine.Options
	tests := []struct {
		sheet *Sheet
		typed string
		want  []int
	}{
		{one, "b", []int{1}},
		{one, " B ", []int{1}},
		{one, "b)", []int{1}},
		{one, "2", []int{1}},
		{one, "Green", []int{1}},
		{one, "red", []int{0}},
		{nine, "i", []int{8}},
		{nine, "9", []int{8}},
		{pairs, "1i 2h 3g 4f 5e 6d 7c 8b 9a", []int{8, 7, 6, 5, 4, 3, 2, 1, 0}},
		{many, "ca", []int{0, 2}},
		{many, "c, a", []int{0, 2}},
		{many, "1 3 3", []int{0, 2}},
		{order, "bca", []int{1, 2, 0}},
		{order, "b > c > a", []int{1, 2, 0}},
		{order, "2 3 1", []int{1, 2, 0}},
		{match, "bca", []int{1, 2, 0}},
		{match, "1b 2c 3a", []int{1, 2, 0}},
		{match, "3=a, 1=b, 2=c", []int{1, 2, 0}},
		{match, "2 3 1", []int{1, 2, 0}},
		{steps, "2", []int{1}},
		{steps, "1 2", []int{0, 1}},
		{fixed(Spot, "lift 1", "lift 2"), "lift 1", []int{0}},
		{steps, "retreat 2, 2.1", []int{2, 4}},
		{steps, "2.1 retreat 1 1", []int{0, 2, 3}},
	}
	for _, test := range tests {
		a, err := test.sheet.Parse(test.typed)
		if err != nil || !slices.Equal(a.Choice, test.want) {
			t.Errorf("%v: Parse(%q) = %v, %v, want %v", test.sheet.Question.Kind, test.typed, a.Choice, err, test.want)
		}
	}
	refused := []struct {
		sheet *Sheet
		typed string
		want  string
	}{
		{one, "", "type one letter, a to c"},
		{one, "d", `"d" is no option`},
		{one, "ab", "one option is right here"},
		{one, "?", `"?" is no option`},
		{many, "a e", `"e" is no option`},
		{order, "ab", "type each letter from a to c once"},
		{order, "aab", "type each letter from a to c once"},
		{match, "1b 2c", "give each line one letter"},
		{match, "1b 1c 3a", "give each line one letter"},
		{match, "bb a", "type each letter from a to c once"},
		{steps, "3", `there is no step "3"`},
		{steps, "retreat", `there is no step "retreat"`},
		{steps, ",", "type the numbers"},
	}
	for _, test := range refused {
		if a, err := test.sheet.Parse(test.typed); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%v: Parse(%q) = %v, %v, want an error with %q", test.sheet.Question.Kind, test.typed, a, err, test.want)
		}
	}
}

func TestParseNumber(t *testing.T) {
	tests := []struct {
		unit, typed string
		want        float64
	}{
		{"mm", "330", 330}, {"mm", "330 mm", 330}, {"mm", "330mm", 330}, {"mm", "0.33 m", 330}, {"mm", "33 cm", 330},
		{"mm", "330,5", 330.5}, {"mm", "0,125", 0.125}, {"mm", "-12,5 mm", -12.5}, {"mm", "−4", -4}, {"mm", "+7 MM", 7},
		{"s", "250 ms", 0.25}, {"s", ".5", 0.5}, {"mm/s", "0.25 m/s", 250}, {"%", "78 percent", 78}, {"%", "78%", 78},
		{"deg", "11.5°", 11.5}, {"", "1.5", 1.5}, {"kg", "850 g", 0.85},
	}
	for _, test := range tests {
		s := &Sheet{Question: &Question{Kind: Number, Unit: test.unit}}
		a, err := s.Parse(test.typed)
		if err != nil || !(math.Abs(a.Number-test.want) <= 1e-12*math.Abs(test.want)) {
			t.Errorf("in %q: Parse(%q) = %v, %v, want %v", test.unit, test.typed, a.Number, err, test.want)
		}
	}
	refused := []struct{ unit, typed, want string }{
		{"mm", "1,880", "can be read in two ways; type 1880 or 1.880"},
		{"mm", "12 s", `wanted in mm, not in "s"`},
		{"mm", "far", "not a number; type a number, in mm"},
		{"mm", "1.2.3", "not a number"},
		{"mm", "NaN", "not a number"},
		{"", "3 mm", "bare number"},
		{"", "", "type a number"},
	}
	for _, test := range refused {
		s := &Sheet{Question: &Question{Kind: Number, Unit: test.unit}}
		if a, err := s.Parse(test.typed); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("in %q: Parse(%q) = %v, %v, want an error with %q", test.unit, test.typed, a, err, test.want)
		}
	}
}

func TestMarkNumber(t *testing.T) {
	tests := []struct {
		value, tolerance, given float64
		right                   bool
		note                    string
	}{
		{330, 1, 330, true, ""},
		{330, 1, 331, true, ""}, // inclusive
		{330, 1, 329, true, ""},
		{330, 1, 331.01, false, ""},
		{0.0874, 0.0005, 0.0879, true, ""},    // inclusive although no float is exact here
		{3e8 * (0.1 + 0.2), 0, 9e7, true, ""}, // nor here, where numbers are large
		{250, 0, 250, true, ""},
		{250, 0, 249.99, false, ""},
		{330, 1, math.NaN(), false, ""},
		{330, 1, 0.33, false, "check the units"},
		{330, 1, 3300, false, "check the decimal point"},
		{330, 1, -330, false, "the sign"},
	}
	for _, test := range tests {
		s := &Sheet{Question: &Question{Kind: Number, Unit: "mm", Tolerance: test.tolerance}, Value: test.value}
		v := s.Mark(Answer{Number: test.given})
		if v.Right != test.right || !strings.Contains(strings.Join(v.Notes, ""), test.note) {
			t.Errorf("%v +/- %v: Mark(%v) = %+v, want right %v with %q", test.value, test.tolerance, test.given, v, test.right, test.note)
		}
	}
	s := &Sheet{Question: &Question{Kind: Number, Unit: "mm", Tolerance: 0.5}, Value: 99.5968}
	if v := s.Mark(Answer{Number: 100}); v.Want != "99.6 mm" || v.Given != "100 mm" {
		t.Errorf("in words: %+v", v)
	}
}

// For every sound question and many seeds the key marks right and every other
// single choice marks wrong.
func TestEveryKeyMarksRight(t *testing.T) {
	for _, q := range testQuestions(t) {
		for seed := range uint64(50) {
			s := drawOf(t, &q, seed)
			if v := s.Mark(Answer{Choice: s.right, Number: s.Value}); !v.Right || v.Given == "" || v.Want == "" {
				t.Errorf("%s, seed %d: the key is marked %+v", q.ID, seed, v)
			}
			if v := s.Mark(Answer{Choice: nil, Number: math.NaN()}); v.Right {
				t.Errorf("%s, seed %d: no answer is marked right", q.ID, seed)
			}
			if q.Kind == One {
				for i := range s.Options {
					if v := s.Mark(Answer{Choice: []int{i}}); v.Right != (i == s.right[0]) {
						t.Errorf("%s, seed %d: option %d is marked %+v", q.ID, seed, i, v)
					}
				}
			}
		}
	}
}

func TestMarkOrderAndMatchSayWhatIsOff(t *testing.T) {
	s := fixed(Order, "b", "c", "a")
	s.right = []int{2, 0, 1}
	if v := s.Mark(Answer{Choice: []int{2, 1, 0}}); v.Right || v.Want != "a > b > c" || v.Notes[0] != "1 of 3 stand in their right place" {
		t.Errorf("order: %+v", v)
	}
	m := fixed(Match, "l1", "l2")
	m.Partners, m.right = []string{"r2", "r1"}, []int{1, 0}
	if v := m.Mark(Answer{Choice: []int{0, 1}}); v.Right || len(v.Notes) != 2 || v.Notes[0] != "l1 goes with: r1" {
		t.Errorf("match: %+v", v)
	}
	m.Partners = []string{"same", "same"}
	if v := m.Mark(Answer{Choice: []int{0, 1}}); !v.Right {
		t.Errorf("equal partners are not taken for each other: %+v", v)
	}
	if v := m.Mark(Answer{Choice: []int{0, 9}}); v.Right {
		t.Errorf("a partner that is not there is marked right: %+v", v)
	}
	many := fixed(Many, "a", "b", "c")
	many.right = []int{0, 1}
	if v := many.Mark(Answer{Choice: []int{1, 2}}); v.Right || !slices.Equal(v.Notes, []string{"missed: a", "wrongly taken: c"}) {
		t.Errorf("many: %+v", v)
	}
}

func TestRound(t *testing.T) {
	all := testQuestions(t)
	var qs []*Question
	for i := range 5 {
		qs = append(qs, &all[i])
	}
	r, l := NewRound(t.Context(), qs, 3, nil)
	if len(l) > 0 {
		t.Fatal(l)
	}
	if r.Needed() != 4 {
		t.Errorf("%d of 5 needed, want 4 (80 %%)", r.Needed())
	}
	for i := 0; r.Current() != nil; i++ {
		if r.Passed() {
			t.Error("passed before the last question")
		}
		s := r.Current()
		a := Answer{Choice: s.right, Number: s.Value}
		if i == 1 {
			a = Answer{}
		}
		r.Answer(a)
	}
	if !r.Passed() || r.Right() != 4 {
		t.Errorf("4 of 5: passed %v, right %d", r.Passed(), r.Right())
	}
	if missed := r.Missed(); len(missed) != 1 || missed[0] != qs[1] {
		t.Errorf("missed %v, want the second question", missed)
	}
	// Enough right answers do not pass a round that is not over, and its end does
	// not pass one with too few.
	for _, tt := range []struct {
		right, wrong int
		passed       bool
	}{{4, 0, false}, {3, 1, false}, {4, 1, true}, {5, 0, true}, {3, 2, false}, {0, 5, false}} {
		r, _ := NewRound(t.Context(), qs, 3, nil)
		for i := range tt.right + tt.wrong {
			a := Answer{Choice: r.Current().right, Number: r.Current().Value}
			if i >= tt.right {
				a = Answer{Number: math.NaN()}
			}
			r.Answer(a)
		}
		if r.Passed() != tt.passed {
			t.Errorf("%d right, %d wrong of 5: passed %v, want %v", tt.right, tt.wrong, r.Passed(), tt.passed)
		}
	}
	for n, want := range map[int]int{0: 0, 1: 1, 2: 2, 3: 3, 4: 4, 5: 4, 6: 5, 7: 6, 10: 8, 15: 12} {
		if got := Needed(n); got != want {
			t.Errorf("Needed(%d) = %d, want %d", n, got, want)
		}
	}
}

func TestHintsFitTheKind(t *testing.T) {
	for _, q := range testQuestions(t) {
		s := draw(t, q.ID, 1)
		if s.Hint() == "" {
			t.Errorf("%s has no hint", q.ID)
		}
	}
	if got, want := fixed(Order, "x", "y", "z").Hint(), `the letters in their right order, such as "c b a"`; got != want {
		t.Errorf("hint of an order: %q, want %q", got, want)
	}
	if got := draw(t, "curtain", 1).Hint(); got != "a number, in mm" {
		t.Errorf("hint of a number: %q", got)
	}
}

// An answer to a match that has too many parts, or parts that are no letter of the
// sheet, is wrong, whatever its others are; what is right of it is told back.
func TestMatchAnswersThatDoNotFit(t *testing.T) {
	s := fixed(Match, "maximum", "restricted", "operating")
	s.Partners, s.right = []string{"program", "reach", "limits"}, []int{1, 2, 0}
	for _, tt := range []struct {
		choice []int
		right  bool
		given  string
		notes  int
	}{
		{[]int{1, 2, 0}, true, "maximum = reach; restricted = limits; operating = program", 0},
		{[]int{1, 2}, false, "maximum = reach; restricted = limits", 0},
		{[]int{1, 2, 0, 0}, false, "maximum = reach; restricted = limits; operating = program", 0},
		{[]int{1, 2, 3}, false, "maximum = reach; restricted = limits", 0},
		{[]int{-1, 2, 0}, false, "restricted = limits; operating = program", 0},
		{[]int{-1, 1, 2}, false, "restricted = reach; operating = limits", 2},
		{nil, false, "nothing", 0},
	} {
		v := s.Mark(Answer{Choice: tt.choice})
		if v.Right != tt.right || v.Given != tt.given || len(v.Notes) != tt.notes {
			t.Errorf("%v is marked %+v, want right %v, given %q and %d notes", tt.choice, v, tt.right, tt.given, tt.notes)
		}
	}
}

// A choice that is no option of the sheet is wrong, and has a name all the same.
func TestChoicesThatAreNoOptions(t *testing.T) {
	s := fixed(Many, "a lock", "a chain", "a note")
	s.right = []int{0, 1}
	for _, choice := range [][]int{{0, 1, 3}, {0, 1, -1}} {
		if v := s.Mark(Answer{Choice: choice}); v.Right || !slices.Contains(v.Notes, "wrongly taken: ?") {
			t.Errorf("%v is marked %+v", choice, v)
		}
	}
	if v := s.Mark(Answer{Choice: []int{0, 2}}); v.Right || v.Given != "a lock; a note" || !slices.Equal(v.Notes, []string{"missed: a chain", "wrongly taken: a note"}) {
		t.Errorf("marked %+v", v)
	}
}

// What a wrong number is to the right one may tell what went wrong.
func TestSlips(t *testing.T) {
	s := &Sheet{Question: &Question{Kind: Number, Tolerance: 1, Unit: "mm"}, Value: 488}
	for _, tt := range []struct {
		number float64
		note   string
	}{
		{-488, "the sign is the wrong way round"},
		{488_000, "1000 times too much: check the units"},
		{0.488, "1000 times too little: check the units"},
		{4880, "10 times too much: check the decimal point"},
		{48.8, "10 times too little: check the decimal point"},
		{976, "twice too much"},
		{244, "half of what it should be"},
		{245.1, "half of what it should be"}, // within half a percent
		{246, ""},
		{980, "twice too much"},
		{1000, ""},
		{500, ""},
		{488, ""},
		{489, ""},
	} {
		v := s.Mark(Answer{Number: tt.number})
		if right := math.Abs(tt.number-488) <= 1; v.Right != right || strings.Join(v.Notes, "; ") != tt.note {
			t.Errorf("%g is marked %+v, want right %v and %q", tt.number, v, right, tt.note)
		}
	}
	s.Value = 0
	if v := s.Mark(Answer{Number: 5}); v.Right || len(v.Notes) > 0 {
		t.Errorf("5 for 0 is marked %+v", v)
	}
	if v := s.Mark(Answer{Number: math.NaN()}); v.Right || len(v.Notes) > 0 {
		t.Errorf("no number is marked %+v", v)
	}
}

// The right number is told with the decimals that its tolerance makes sense of.
func TestDecimalsOfTheAnswer(t *testing.T) {
	for _, tt := range []struct {
		value, tolerance float64
		want             string
	}{
		{33.375, 0, "33.375 mm"},
		{33.375, 10, "33 mm"},
		{33.375, 1, "33 mm"},
		{33.375, 0.5, "33.4 mm"},
		{33.375, 0.1, "33.4 mm"},
		{33.375, 0.05, "33.38 mm"},
		{488, 0, "488 mm"},
	} {
		s := &Sheet{Question: &Question{Kind: Number, Tolerance: tt.tolerance, Unit: "mm"}, Value: tt.value}
		if got := s.Mark(Answer{}).Want; got != tt.want {
			t.Errorf("%g within %g is told as %q, want %q", tt.value, tt.tolerance, got, tt.want)
		}
	}
}
