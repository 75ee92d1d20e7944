// Package lessons is the course: its lessons and refresher decks, the loader
// that reads them, and the linter that tells an author everything wrong with
// them.
//
// It draws no screens and keeps no records. It marks nothing itself: tasks go
// to package grader, questions to package quiz.
//
// # A lesson
//
// A lesson is a folder with a file lesson.md: YAML front matter between two
// "---" lines, then the text in Markdown.
//
//	posework: lesson/1
//	id: approach-the-crate
//	title: Approach the curing crate and come away
//	module: Writing the program
//	minutes: 45
//	needs: [home-pose]          # ids of lessons to pass before this one
//	objectives: [...]           # what a person can do afterwards
//	cautions: [...]             # shown first
//	cell: {use: ../cells/soap.yaml}
//	task: {..., vary: {...}}    # see package grader; left out for a lesson of text and questions
//	quiz: [...]                 # see package quiz
//	hints: [...]                # three, from a nudge to the way
//	sources: [...]
//
// Beside it lies answers/, where the lesson has a task: good*.yaml, which must
// score 100, flawed-*.yaml, and expect.yaml, which names the exact set of
// findings that each flawed answer must raise:
//
//	posework: expect/1
//	flawed-too-fast.yaml: [FAST_APPROACH]
//
// # A learner's own cell
//
// A task may vary coordinates of frames, solids, parts and zones:
//
//	vary: {rack.y: [-180, -120], rack.yaw: [-15, 15, 5], seed: learner}
//
// [Lesson.For] draws them for a learner, from the lesson's id and the learner's
// name alone, and [Lesson.Variant] from a seed that was kept with an attempt. The
// good answers must score 100 in every cell, with about the same effort: [Check]
// grades them at all corners of the ranges and in the cells of some learners.
//
// # A deck
//
// A deck is a file decks/*.yaml: a refresher of about five minutes.
//
//	posework: deck/1
//	id: going-in
//	title: "Five minutes: going in"
//	minutes: 5
//	points: [...]               # what to remember
//	quiz: [...]
//	sources: [...]
//
// # Use
//
// [Load] reads a course, [Embedded] is the one that is built in, and [Check] is
// the linter. [Skeleton] is a lesson to begin with. All are pure functions of the
// files; a [Course] is not written to after loading and is safe to share.
package lessons
