package quiz

import (
	"posework/engine/diag"
	"posework/grader/formula"
)

// Kind is the kind of a question.
type Kind uint8

// The kinds of question.
const (
	One    Kind = iota // single choice
	Many               // all that apply
	Number             // a value with a tolerance and a unit
	Order              // put in order
	Match              // pair left with right
	Spot               // find the unsafe steps of a short program
)

// kinds are the words of the file format, by Kind.
var kinds = []string{"one", "many", "number", "order", "match", "spot"}

// String returns the word of the file format.
func (k Kind) String() string { return kinds[k] }

// MostOptions is the greatest number of options, items or pairs of a question:
// each has its own letter key, and more than nine can't be weighed against each
// other.
const MostOptions = 9

// MostQuestions is the greatest number of questions of a lesson or a deck.
const MostQuestions = 200

// PassShare is the share of right answers that a round of questions needs.
const PassShare = 0.8

// Question is one question, checked. Kind says which fields are used. It is not
// written to after reading and is safe to share.
type Question struct {
	ID      string
	Pos     diag.Pos
	Kind    Kind
	Ask     string // {name} stands for an input of Number
	Because string // shown after the answer; {name} and {answer} are filled in
	Source  string // standard and clause, handbook, or "common practice"
	Skill   string // what it tests

	Right []string // One, Many: right options. Order: the items in their right order.
	Wrong []string // One, Many
	Pairs []Pair   // Match

	// Number
	Value     float64 // where there is no formula
	Tolerance float64 // inclusive, in Unit
	Unit      string  // "" for a bare number
	Formula   *formula.Formula
	Inputs    []Input // in the order of Formula.Inputs

	// Spot
	Program    string // the text of a program file
	ProgramPos diag.Pos
	Checks     []string // only what these checks find counts; empty: every check of the task
}

// Pair is one pair of a Match question.
type Pair struct{ Left, Right string }

// Input is one input of a formula: fixed where From equals To, else drawn from
// From, From+Step, ... up to To.
type Input struct {
	Name           string
	From, To, Step float64
}
