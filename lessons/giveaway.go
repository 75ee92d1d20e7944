package lessons

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"posework/grader/quiz"
)

// fewestOptions is how many options a single choice must offer: with fewer, a
// guess is right too often.
const fewestOptions = 4

// longShare is the share of single choices, in a course, whose right option may
// be the longest one, and likewise the shortest. With four options of random
// length it would be a quarter.
const longShare = 0.40

// lengthRatio is how much longer (or shorter) than the average wrong option the
// right one may be.
const lengthRatio = 1.5

// lengthGiveaway says how the right option of a single choice is recognisable
// by its length alone; empty when it is not.
func lengthGiveaway(q *quiz.Question) string {
	if q.Kind != quiz.One || len(q.Right) != 1 || len(q.Wrong) == 0 {
		return ""
	}
	right := float64(utf8.RuneCountInString(q.Right[0]))
	sum := 0.0
	for _, w := range q.Wrong {
		sum += float64(utf8.RuneCountInString(w))
	}
	mean := sum / float64(len(q.Wrong))
	const slack = 4 // characters: short options differ by a word
	switch {
	case right > mean*lengthRatio+slack:
		return "much longer"
	case right*lengthRatio+slack < mean:
		return "much shorter"
	}
	return ""
}

// quoted reports whether a single choice says its right option, and none of the
// wrong ones, in the question itself.
func quoted(q *quiz.Question) bool {
	if len(q.Right) != 1 {
		return false
	}
	ask := plainWords(q.Ask)
	says := func(option string) bool { return strings.Contains(ask, plainWords(option)) }
	return says(q.Right[0]) && !slices.ContainsFunc(q.Wrong, says)
}

// plainWords is a text in lower case with single spaces round its words, and
// without other signs.
func plainWords(s string) string {
	words := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return " " + strings.Join(words, " ") + " "
}

// extremes counts the single choices among questions, and those whose right
// option is longer, or shorter, than every wrong one.
func extremes(questions []quiz.Question) (all, longest, shortest int) {
	for i := range questions {
		q := &questions[i]
		if q.Kind != quiz.One || len(q.Right) != 1 {
			continue
		}
		all++
		right := utf8.RuneCountInString(q.Right[0])
		long, short := true, true
		for _, w := range q.Wrong {
			n := utf8.RuneCountInString(w)
			long = long && right > n
			short = short && right < n
		}
		if long {
			longest++
		}
		if short {
			shortest++
		}
	}
	return all, longest, shortest
}
