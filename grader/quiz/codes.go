package quiz

import "posework/engine/diag"

// Codes holds the kinds of diagnostic that this package raises, by ID.
var Codes = []diag.Code{
	{
		ID: "Q001", Title: "the id of a question is used twice",
		Meaning: "Answers are kept under the question's id, so two questions with one id would be taken for one.",
		Bad:     "- {id: reset, kind: one, ...}\n- {id: reset, kind: many, ...}",
		Good:    "- {id: reset-place, kind: one, ...}\n- {id: reset-when, kind: many, ...}",
	},
	{
		ID: "Q002", Title: "a text is empty",
		Meaning: "Every question needs its words, an explanation, a source and the skill that it tests: an answer without a reason teaches nothing.",
		Bad:     "because: \"\"",
		Good:    "because: The curtain only sees; the distance gives the arm time to stop.",
	},
	{
		ID: "Q003", Title: "two options are the same",
		Meaning: "With two equal options no choice between them can be right or wrong.",
		Bad:     "right: the flange\nwrong: [the flange, the base]",
		Good:    "right: the flange\nwrong: [the tool, the base]",
	},
	{
		ID: "Q004", Title: "a choice without a right or a wrong option",
		Meaning: "A question of kind one has exactly one right option, kind many at least one, and both need wrong ones to choose against.",
		Bad:     "kind: one\nright: [0, 1]\nwrong: [2]",
		Good:    "kind: many\nright: [0, 1]\nwrong: [2]",
	},
	{
		ID: "Q005", Title: "too few or too many options",
		Meaning: "There must be something to choose from, but not more than a person can weigh against each other.",
		Bad:     "kind: order\nright: [lock]",
		Good:    "kind: order\nright: [shut down, isolate, lock, release, verify]",
	},
	{
		ID: "Q007", Title: "the tolerance is negative",
		Meaning: "The tolerance says how far an answer may be off to either side, in the unit of the answer.",
		Bad:     "tolerance: -1",
		Good:    "tolerance: 1",
	},
	{
		ID: "Q008", Title: "the unit is not the formula's",
		Meaning: "A formula gives its result in one unit; marking in another would call right answers wrong.",
		Bad:     "formula: curtain-distance\nunit: m",
		Good:    "formula: curtain-distance\nunit: mm",
	},
	{
		ID: "Q009", Title: "an input of the formula is missing or given twice",
		Meaning: "Every input has one value: fixed in \"with\", or drawn for each person from \"vary\".",
		Bad:     "formula: curtain-distance\nwith: {resolution: 30}",
		Good:    "formula: curtain-distance\nwith: {resolution: 30}\nvary: {time: [0.15, 0.35, 0.01]}",
	},
	{
		ID: "Q010", Title: "nothing can be drawn from the range",
		Meaning: "A drawn input is written [least, greatest, step], with a step that fits between the two.",
		Bad:     "vary: {time: [0.35, 0.15, 0.01]}",
		Good:    "vary: {time: [0.15, 0.35, 0.01]}",
	},
	{
		ID: "Q011", Title: "an input outside the formula's bounds",
		Meaning: "A formula holds within stated bounds only; outside them its result would be wrong, so no person may be asked for it.",
		Bad:     "formula: curtain-distance\nwith: {resolution: 90, time: 0.2}",
		Good:    "formula: curtain-distance\nwith: {resolution: 30, time: 0.2}",
	},
	{
		ID: "Q012", Title: "a placeholder does not match the inputs",
		Meaning: "{name} in a text is filled in with the input of that name, {answer} in \"because\" with the right answer; a drawn input must be told in \"ask\".",
		Bad:     "ask: A curtain with {t} s. How far?\nvary: {time: [0.15, 0.35, 0.01]}",
		Good:    "ask: A curtain with {time} s. How far?\nvary: {time: [0.15, 0.35, 0.01]}",
	},
	{
		ID: "Q013", Title: "nothing to spot",
		Meaning: "The grader itself marks a question of kind spot. Where it finds nothing at any step, there is no right answer.",
		Bad:     "kind: spot\nchecks: [clearance]   # but the program keeps its clearance",
		Good:    "kind: spot\nchecks: [approach]    # the approach is too fast at step 4",
	},
	{
		ID: "Q014", Title: "nothing can mark the question",
		Meaning: "A question of kind spot is marked by the grader, which needs a cell to run the program in and the checks of a task.",
		Bad:     "kind: spot   # in a lesson without a task",
		Good:    "kind: many\nright: [lifting before the part is confirmed, ...]",
	},
	{
		ID: "Q015", Title: "too many questions",
		Meaning: "A lesson or a deck has at most 200 questions, more than anybody answers in one sitting.",
		Bad:     "a deck of 1000 questions", Good: "a deck for each subject",
	},
}
