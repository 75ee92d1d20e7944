package quiz

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Verdict is a marked answer. Given and Want are the answers in words, without
// the letters, which another sheet would deal out differently.
type Verdict struct {
	Right bool
	Given string
	Want  string
	Wants []string // Want in its parts: items in order, pairs, options, steps
	Notes []string // what was missed or wrongly taken, a sentence each
}

// Mark marks an answer that [Sheet.Parse] read or a screen collected.
func (s *Sheet) Mark(a Answer) Verdict {
	switch s.Question.Kind {
	case Number:
		return s.markNumber(a.Number)
	case Order:
		return s.markOrder(a.Choice)
	case Match:
		return s.markMatch(a.Choice)
	}
	return s.markSet(a.Choice)
}

func (s *Sheet) markNumber(v float64) Verdict {
	// The tolerance is inclusive: 331 answers 330 within 1 although a sum in
	// binary may land a hair beside.
	const hair = 1e-9
	off := math.Abs(v - s.Value)
	verdict := Verdict{
		Right: off <= s.Question.Tolerance+hair*max(1, math.Abs(s.Value)), // false for NaN
		Given: strings.TrimSpace(fmt.Sprintf("%.10g %s", v, s.Question.Unit)),
		Want:  s.number(s.Value),
	}
	if !verdict.Right && s.Value != 0 && !math.IsNaN(v) {
		if note := slip(v / s.Value); note != "" {
			verdict.Notes = append(verdict.Notes, note)
		}
	}
	verdict.Wants = []string{verdict.Want}
	return verdict
}

// slip names the slip behind a wrong number where its ratio to the right one
// gives it away.
func slip(ratio float64) string {
	const near = 0.005
	for _, s := range []struct {
		ratio float64
		text  string
	}{
		{-1, "the sign is the wrong way round"},
		{1000, "1000 times too much: check the units"},
		{0.001, "1000 times too little: check the units"},
		{10, "10 times too much: check the decimal point"},
		{0.1, "10 times too little: check the decimal point"},
		{2, "twice too much"},
		{0.5, "half of what it should be"},
	} {
		if math.Abs(ratio/s.ratio-1) < near {
			return s.text
		}
	}
	return ""
}

func (s *Sheet) markSet(choice []int) Verdict {
	choice = byIndex(choice)
	v := Verdict{Right: slices.Equal(choice, s.right), Given: s.join(s.words(choice)), Want: s.join(s.words(s.right)), Wants: s.words(s.right)}
	for k, i := range s.right {
		switch {
		case s.Question.Kind == Spot:
			v.Notes = append(v.Notes, fmt.Sprintf("step %s: %s", s.Options[i], s.notes[k]))
		case s.Question.Kind == Many && !slices.Contains(choice, i):
			v.Notes = append(v.Notes, fmt.Sprintf("missed: %s", s.Options[i]))
		}
	}
	if s.Question.Kind == One {
		return v
	}
	for _, i := range choice {
		if !slices.Contains(s.right, i) {
			v.Notes = append(v.Notes, fmt.Sprintf("wrongly taken: %s", s.name(i)))
		}
	}
	return v
}

func (s *Sheet) markOrder(choice []int) Verdict {
	v := Verdict{Right: slices.Equal(choice, s.right), Given: s.join(s.words(choice)), Want: s.join(s.words(s.right)), Wants: s.words(s.right)}
	if v.Right {
		return v
	}
	placed := 0
	for i := range min(len(choice), len(s.right)) {
		if choice[i] == s.right[i] {
			placed++
		}
	}
	v.Notes = append(v.Notes, fmt.Sprintf("%d of %d stand in their right place", placed, len(s.right)))
	return v
}

func (s *Sheet) markMatch(choice []int) Verdict {
	v := Verdict{Right: len(choice) == len(s.right), Given: s.join(s.couples(choice)), Want: s.join(s.couples(s.right)), Wants: s.couples(s.right)}
	for i, c := range choice {
		if i >= len(s.right) || c < 0 || c >= len(s.Partners) {
			v.Right = false
			continue
		}
		// Two pairs may have the same right side; either of them is right.
		if s.Partners[c] != s.Partners[s.right[i]] {
			v.Right = false
			v.Notes = append(v.Notes, fmt.Sprintf("%s goes with: %s", s.Options[i], s.Partners[s.right[i]]))
		}
	}
	return v
}

// name is an option in words.
func (s *Sheet) name(i int) string {
	if i < 0 || i >= len(s.Options) {
		return "?"
	}
	if s.Question.Kind == Spot {
		return "step " + s.Options[i]
	}
	return s.Options[i]
}

// words are options in words.
func (s *Sheet) words(choice []int) []string {
	list := make([]string, len(choice))
	for k, i := range choice {
		list[k] = s.name(i)
	}
	return list
}

// couples are the pairs of a Match in words.
func (s *Sheet) couples(choice []int) []string {
	var list []string
	for i, c := range choice {
		if i < len(s.Options) && c >= 0 && c < len(s.Partners) {
			list = append(list, s.Options[i]+" = "+s.Partners[c])
		}
	}
	return list
}

// join writes the parts of an answer as one.
func (s *Sheet) join(parts []string) string {
	separator := "; "
	switch s.Question.Kind {
	case Order:
		separator = " > "
	case Spot:
		separator = ", "
	}
	if len(parts) == 0 {
		return "nothing"
	}
	return strings.Join(parts, separator)
}
