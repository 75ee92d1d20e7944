// Package quiz reads questions, puts them to a person, reads what the person
// typed and marks it with an explanation.
//
// It keeps no records (package records does) and draws no screens. Everything
// is a pure function of its arguments: shuffling and varied numbers come from a
// seed, and [Spotter] is the only way out, to the grader.
//
// # Format
//
// A question is a mapping in the list "quiz" of a lesson's front matter or of a
// deck. Every question has
//
//	id: curtain-time         # unique in its file; marks are kept under it
//	kind: number             # one, many, number, order, match, spot
//	ask: What is ...?
//	because: shown after the answer, right or wrong
//	source: ISO 13855:2010, 6.2.3    # or a handbook, or "common practice"
//	skill: safeguard distance        # what it tests
//
// and, by its kind:
//
//	one     right: the right option        wrong: [another, another, ...]
//	many    right: [all, right, ones]      wrong: [the, others]
//	order   right: [first, second, third]  # in the right order; shown shuffled
//	match   pairs: [[left, right], [left, right], ...]
//	number  answer: 330
//	        tolerance: 1                   # inclusive, in the unit
//	        unit: mm                       # left out for a bare number
//	spot    program: |                     # the text of a program for the lesson's cell
//	          posework: program/1
//	          ...
//	        checks: [clearance, approach]  # optional: only what these find counts
//
// Instead of an answer, a number may be computed by a formula of package
// formula (posework explain formulas lists them). Every input of the formula is
// given in "with" or drawn for each person from "vary", [least, greatest, step]:
//
//	kind: number
//	ask: A {resolution} mm curtain, whole stopping time {time} s. What is the least distance?
//	formula: curtain-distance
//	with: {resolution: 30}
//	vary: {time: [0.15, 0.35, 0.01]}
//	tolerance: 1
//	unit: mm
//	because: The 2010 edition gives {answer}.
//
// The unit must be the formula's.
//
// # Use
//
// [Decode] reads questions, [Question.Draw] makes a [Sheet] for a seed,
// [Sheet.Parse] reads a typed answer and [Sheet.Mark] marks it. [Round] is a
// pass through a list of questions with a mark and another round of what was
// missed.
package quiz
