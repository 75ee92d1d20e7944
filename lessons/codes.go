package lessons

import "posework/engine/diag"

// Codes holds the kinds of diagnostic that this package raises, by ID.
var Codes = []diag.Code{
	{
		ID: "T101", Title: "no lessons here",
		Meaning: "The folder can't be read, or neither it nor the folders in it hold a lesson.md.",
		Bad:     "posework lesson check lessons/cells", Good: "posework lesson check lessons",
	},
	{
		ID: "T102", Title: "file can't be read",
		Meaning: "A file of the lesson is missing, can't be opened or is larger than 1 MB.",
		Bad:     "cell: {use: ../cells/sopa.yaml}", Good: "cell: {use: ../cells/soap.yaml}",
	},
	{
		ID: "T103", Title: "no front matter",
		Meaning: "A lesson begins with its front matter: YAML between two lines of three dashes.",
		Bad:     "# My lesson", Good: "---\nposework: lesson/1\nid: my-lesson\n---\n## The first section",
	},
	{
		ID: "T104", Title: "task without a cell",
		Meaning: "A task is done in a cell; without one nothing can be graded.",
		Bad:     "task: {...}", Good: "cell: {use: ../cells/soap.yaml}\ntask: {...}",
	},
	{
		ID: "T105", Title: "empty text",
		Meaning: "A title, a caution, an objective, a hint or a source is blank, or the list holds none.",
		Bad:     "cautions: []", Good: "cautions:\n  - The crate rim and the cups form a pinch point.",
	},
	{
		ID: "T106", Title: "id used twice",
		Meaning: "Records are kept under the ids of lessons and decks, so each id may stand once in a course.",
		Bad:     "id: home-pose   # in two lessons", Good: "id: home-pose",
	},
	{
		ID: "T107", Title: "needs a lesson that is not there",
		Meaning: "A lesson may need only lessons of the same course.",
		Bad:     "needs: [home-poes]", Good: "needs: [home-pose]",
	},
	{
		ID: "T108", Title: "lessons need each other",
		Meaning: "Lessons that need each other in a circle can never be begun.",
		Bad:     "a needs b, b needs a", Good: "b needs a",
	},
	{
		ID: "T109", Title: "text with invisible characters",
		Meaning: "A lesson's text is UTF-8 without control or invisible characters. They could hide a part of it from its reader, or give orders to the terminal that shows it.",
		Bad:     "text pasted from a terminal with its colours", Good: "text typed in a text editor",
	},
	{
		ID: "T111", Title: "answer with another name",
		Meaning: "The files in answers/ are good*.yaml, flawed-*.yaml and expect.yaml.",
		Bad:     "answers/old.yaml", Good: "answers/flawed-too-fast.yaml",
	},
	{
		ID: "T112", Title: "flawed answer without expectation",
		Meaning: "expect.yaml names every flawed answer with the findings that it must raise, and no other file.",
		Bad:     "posework: expect/1", Good: "posework: expect/1\nflawed-too-fast.yaml: [FAST_APPROACH]",
	},
	{
		ID: "T113", Title: "too few answers",
		Meaning: "A task has at least two good answers of different style and at least six flawed ones: they are the test of its checks.",
		Bad:     "answers/good.yaml alone", Good: "good-a.yaml, good-b.yaml, flawed-1.yaml to flawed-6.yaml",
	},
	{
		ID: "T114", Title: "no such finding",
		Meaning: "expect.yaml names a code that no check raises.",
		Bad:     "flawed-too-fast.yaml: [TOO_FAST]", Good: "flawed-too-fast.yaml: [FAST_APPROACH]",
	},
	{
		ID: "T115", Title: "good answer does not score 100",
		Meaning: "A good answer must pass every check. Otherwise the task asks for something that its author could not do.",
		Bad:     "a good answer with CLEARANCE_LOW", Good: "100 points, no findings",
	},
	{
		ID: "T116", Title: "flawed answer raises other findings",
		Meaning: "A flawed answer must raise exactly the findings that expect.yaml names: no fewer, or a mistake goes unseen, and no more, or a learner is told what is not so.",
		Bad:     "expected FAST_APPROACH, raised nothing", Good: "expected and raised FAST_APPROACH",
	},
	{
		ID: "T117", Title: "flawed answer passes",
		Meaning: "The findings are right, but the attempt passes all the same.",
		Bad:     "95 points with CORNER_CUT", Good: "{check: traces, ..., must: true}",
	},
	{
		ID: "T118", Title: "practice log without an answer",
		Meaning: "A practice log belongs to one answer and lies beside it: good-a.log.yaml beside good-a.yaml.",
		Bad:     "answers/practice.log.yaml", Good: "answers/good-a.yaml, answers/good-a.log.yaml",
	},
	{
		ID: "T119", Title: "task out of reach",
		Meaning: "No good answer scores 100, and here is why: the task asks for a place that the arm can't bring any of its tools to inside its axis limits.",
		Bad:     "at: {xyz: [0, 0, 140], rpy: [0, 0, 0], frame: stand}   # from below", Good: "at: {xyz: [0, 0, 140], rpy: [180, 0, 0], frame: stand}",
	},
	{
		ID: "T120", Title: "no questions",
		Meaning: "Every lesson asks questions; they are also what refreshers draw on.",
		Bad:     "no quiz", Good: "quiz:\n  - {id: ..., kind: one, ...}",
	},
	{
		ID: "T121", Title: "hints not in three stages",
		Meaning: "A task has three hints: a nudge, a direction, and the way.",
		Bad:     "hints: [Think again.]", Good: "hints: [a nudge, a direction, the way]",
	},
	{
		ID: "T122", Title: "no text",
		Meaning: "A lesson without text only tests; it teaches nothing.",
		Bad:     "front matter alone", Good: "front matter, then sections",
	},
	{
		ID: "T123", Title: "hard to read",
		Meaning: "The text is measured by the Flesch-Kincaid grade level (Kincaid and others, 1975), about the years of school that it takes. Pictures, programs and tables do not count.",
		Bad:     "a sentence of forty words", Good: "three sentences of twelve",
	},
	{
		ID: "T124", Title: "too wide",
		Meaning: "Pictures, programs and tables are shown as they stand, and a terminal may have no more than 80 columns.",
		Bad:     "a picture 100 columns wide", Good: "one of 76",
	},
	{
		ID: "T125", Title: "dead link",
		Meaning: "A link in the text leads to a file or a section that is not there. Web addresses are not followed.",
		Bad:     "[the cell](cell.yaml)", Good: "[the cell](../cells/soap.yaml)",
	},
	{
		ID: "T126", Title: "text gives the answer away",
		Meaning: "A whole program in the text passes the lesson's task, so that it need only be copied.",
		Bad:     "a good answer in the text", Good: "two of its steps, or a program with a flaw to find",
	},
	{
		ID: "T130", Title: "too few options",
		Meaning: "A single choice has at least four options: with two, every other guess is right.",
		Bad:     "right: \"no\", wrong: [\"yes\"]", Good: "one right and three wrong ones that are tempting",
	},
	{
		ID: "T131", Title: "length gives the answer away",
		Meaning: "The right option is so much longer or shorter than the wrong ones that it can be picked without reading.",
		Bad:     "right: No, because it is powered and may start at any moment\nwrong: [Yes, No, Maybe]", Good: "options of about the same length",
	},
	{
		ID: "T132", Title: "spot question without a task",
		Meaning: "A spot question is marked by the grader in the lesson's cell by the lesson's checks; without them nothing can be found.",
		Bad:     "kind: spot in a deck", Good: "kind: spot in a lesson with a task",
	},
	{
		ID: "T133", Title: "lengths give answers away",
		Meaning: "Over the whole course the right option is too often the longest, or too often the shortest, of its question.",
		Bad:     "the longest is right in 60 of 100", Good: "in about a quarter of them",
	},
	{
		ID: "T134", Title: "question says the answer",
		Meaning: "The right option of a single choice stands in the question itself, and none of the wrong ones does.",
		Bad:     "ask: Why is home always a stop-point?\nright: a stop-point", Good: "ask: How does the arm come to rest at home?\nright: by a stop-point",
	},
	{
		ID: "T140", Title: "too many numbers vary",
		Meaning: "At most 6 numbers of a cell differ from learner to learner: the answers are graded at every corner of their ranges, and each range doubles the corners.",
		Bad:     "vary: {a.x: [0, 5], a.y: [0, 5], a.z: [0, 5], b.x: [0, 5], b.y: [0, 5], b.z: [0, 5], c.x: [0, 5]}", Good: "vary: {a.x: [0, 5], a.y: [0, 5]}",
	},
	{
		ID: "T141", Title: "good answer fails in a learner's cell",
		Meaning: "A good answer must score 100 in every learner's own cell: the lesson must be solvable for all. It was graded at the corners of the ranges and in the cells of some learners.",
		Bad:     "over: {xyz: [500, 0, 300], rpy: [180, 0, 0]}                # vary: {rack.y: [-80, 40]}", Good: "over: {xyz: [0, 0, 100], rpy: [180, 0, 0], frame: rack}",
	},
	{
		ID: "T142", Title: "flawed answer passes in a learner's cell",
		Meaning: "A flaw that is caught in the cell as written is not one in the cell of some learner.",
		Bad:     "a pose 15 mm off, and a frame that moves by 15 mm", Good: "a pose 40 mm off",
	},
	{
		ID: "T143", Title: "cell of a learner can't be built",
		Meaning: "Within the ranges there is a cell that can't be: the start lies out of reach, for example. A learner whose numbers these are gets the cell as written.",
		Bad:     "vary: {crate.x: [400, 1400]}", Good: "vary: {crate.x: [400, 440]}",
	},
	{
		ID: "T144", Title: "difficulty uneven",
		Meaning: "From learner to learner a good answer's time may differ by at most 15 % of its median, its least clearance by 25 mm, and the room of the wrist on lines and arcs by 10 deg: nobody's cell may ask for much more than another one's.",
		Bad:     "vary: {crate.x: [300, 500]}", Good: "vary: {crate.x: [405, 435]}",
	},
	{
		ID: "T145", Title: "text says a number that varies",
		Meaning: "The text, the goal or a hint names a coordinate of the cell as written that is another one for each learner.",
		Bad:     "The chute stands at x 520.   # vary: {chute.x: [505, 535]}", Good: "The pocket is at [0, 0, 30] in the frame chute.",
	},
}
