package lessons

import (
	"posework/engine/cell"
	"posework/engine/diag"
	"posework/grader"
	"posework/grader/quiz"
)

// Course is a course: its lessons in order, grouped in modules, and its
// refresher decks.
type Course struct {
	Lessons []*Lesson
	Modules []Module
	Decks   []*Deck
}

// Module is a group of lessons that follow each other.
type Module struct {
	Title   string
	Lessons []*Lesson
}

// Lesson is one lesson, whole and checked for what can be seen without running
// its answers.
type Lesson struct {
	ID, Title, Module string
	Minutes           int
	Needs             []string // ids of lessons that come before
	Objectives        []string
	Cautions          []string // shown before anything else
	Hints             []string // from a nudge to the way
	Sources           []string
	Body              string       // Markdown
	Cell              *cell.Cell   // nil where the lesson has none
	Task              *grader.Task // nil where the lesson is text and questions
	Quiz              []quiz.Question
	Dir               string // its folder in the course's file system

	// Own holds what is a learner's own in Cell, in the order of Task.Vary. It is
	// empty for a lesson as written; see [Lesson.For].
	Own  []Own
	Seed uint64 // Own was drawn from it; 0: as written

	Pos     diag.Pos // the file
	BodyPos diag.Pos // the first line of Body
	needs   []ref
	plan    *plan   // what Cell and Task were made from
	written *Lesson // the lesson as written; nil: this one
}

// ref is a name with the place where it is written.
type ref struct {
	name string
	pos  diag.Pos
}

// Deck is a refresher of about five minutes.
type Deck struct {
	ID, Title string
	Minutes   int
	Points    []string // what to remember
	Quiz      []quiz.Question
	Sources   []string
	Pos       diag.Pos
}

// Find returns the lesson of that id, or nil.
func (c *Course) Find(id string) *Lesson {
	for _, l := range c.Lessons {
		if l.ID == id {
			return l
		}
	}
	return nil
}
