package quiz

import (
	"context"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"posework/engine/diag"
)

// Sheet is a question as it is put to one person: options shuffled, numbers
// drawn. It is not written to after [Question.Draw].
type Sheet struct {
	Question *Question
	Ask      string   // placeholders filled in
	Because  string   // likewise
	Options  []string // One, Many, Order: as shown. Match: the left sides. Spot: the labels of the steps.
	Partners []string // Match: the right sides as shown
	Lines    []int    // Spot: the line of Question.Program on which each option begins, from 1
	Value    float64  // Number: the right value

	// right holds indices. One, Many, Spot: the right options, ascending. Order:
	// the options in their right order. Match: the partner of each option.
	right []int
	notes []string // Spot: what the grader found, by right option
}

// Draw puts the question to a person. The same question and seed give the same
// sheet. spot is needed for questions of kind Spot alone; the list says why such
// a program can't be put to anyone.
func (q *Question) Draw(ctx context.Context, seed uint64, spot Spotter) (*Sheet, diag.List) {
	// Mixing in the id keeps questions of one round from being shuffled alike.
	h := fnv.New64a()
	h.Write([]byte(q.ID))
	src := rand.NewPCG(seed, h.Sum64())

	s := &Sheet{Question: q, Ask: q.Ask, Because: q.Because}
	switch q.Kind {
	case One, Many:
		s.drawOptions(src, slices.Concat(q.Right, q.Wrong), len(q.Right))
	case Order:
		s.drawOrder(src)
	case Match:
		s.drawPairs(src)
	case Number:
		return s, s.drawNumber(src)
	case Spot:
		return s, s.drawSteps(ctx, spot)
	}
	return s, nil
}

// shuffled returns the numbers below n in an order drawn from src. It is
// written out so that a seed means the same order in every release of Go.
func shuffled(src *rand.PCG, n int) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	for i := n - 1; i > 0; i-- {
		j := below(src, i+1)
		order[i], order[j] = order[j], order[i]
	}
	return order
}

// below draws a number below n. With n far below 2^64 the remainder favours no
// number that anyone could notice.
func below(src *rand.PCG, n int) int { return int(src.Uint64() % uint64(n)) }

func (s *Sheet) drawOptions(src *rand.PCG, options []string, right int) {
	for shown, i := range shuffled(src, len(options)) {
		s.Options = append(s.Options, options[i])
		if i < right {
			s.right = append(s.right, shown)
		}
	}
}

func (s *Sheet) drawOrder(src *rand.PCG) {
	items := s.Question.Right
	order := shuffled(src, len(items))
	if slices.IsSorted(order) { // shown in the right order there is nothing to do
		order = append(order[1:], order[0])
	}
	s.right = make([]int, len(items))
	for shown, i := range order {
		s.Options = append(s.Options, items[i])
		s.right[i] = shown
	}
}

func (s *Sheet) drawPairs(src *rand.PCG) {
	pairs := s.Question.Pairs
	s.right = make([]int, len(pairs))
	for _, p := range pairs {
		s.Options = append(s.Options, p.Left)
	}
	for shown, i := range shuffled(src, len(pairs)) {
		s.Partners = append(s.Partners, pairs[i].Right)
		s.right[i] = shown
	}
}

func (s *Sheet) drawNumber(src *rand.PCG) (l diag.List) {
	q := s.Question
	s.Value = q.Value
	var fill []string
	if q.Formula != nil {
		in := make([]float64, len(q.Inputs))
		for i := range q.Inputs {
			text := q.Inputs[i].draw(src)
			in[i], _ = strconv.ParseFloat(text, 64) // it was written by FormatFloat
			fill = append(fill, "{"+q.Inputs[i].Name+"}", text)
		}
		v, err := q.Formula.Value(in...)
		if err != nil {
			l.Add(q.Pos, "Q011", "keep the inputs within the formula's bounds", "%v", err)
			return l
		}
		s.Value = v
	}
	s.Ask = strings.NewReplacer(fill...).Replace(s.Ask)
	s.Because = strings.NewReplacer(append(fill, "{answer}", s.number(s.Value))...).Replace(s.Because)
	return nil
}

// draw draws a value and writes it as the person sees it; the sum is done with
// what is shown.
func (in *Input) draw(src *rand.PCG) string {
	if in.Step == 0 {
		return strconv.FormatFloat(in.From, 'g', -1, 64)
	}
	v := in.From + in.Step*float64(below(src, in.steps()))
	decimals := max(decimalsOf(in.From), decimalsOf(in.Step))
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// steps returns how many values a drawn input can take.
func (in *Input) steps() int {
	const slack = 1e-9 // 0.1 is not a tenth in binary
	return int(math.Floor((in.To-in.From)/in.Step+slack)) + 1
}

// decimalsOf returns how many decimals a number is written with.
func decimalsOf(v float64) int {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	_, fraction, _ := strings.Cut(s, ".")
	return len(fraction)
}

// number writes a value with the decimals that the tolerance makes sense of,
// and the unit.
func (s *Sheet) number(v float64) string {
	decimals := -1 // as short as it is exact
	if t := s.Question.Tolerance; t > 0 {
		decimals = max(0, int(math.Ceil(-math.Log10(t))))
	}
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if s.Question.Unit != "" {
		text += " " + s.Question.Unit
	}
	return text
}

// byIndex sorts an answer that is a set and drops repeats.
func byIndex(a []int) []int {
	a = slices.Clone(a)
	slices.Sort(a)
	return slices.Compact(a)
}
