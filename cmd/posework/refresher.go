package main

import (
	"errors"
	"fmt"

	"posework/cmd/posework/internal/plain"
)

type refresherCmd struct {
	Take  refresherTakeCmd  `cmd:"" default:"withargs" help:"Take a refresher (also without any word)."`
	Due   refresherDueCmd   `cmd:"" help:"List who is due."`
	Decks refresherDecksCmd `cmd:"" help:"List the decks."`
}

type refresherTakeCmd struct {
	Deck string  `placeholder:"ID" help:"Take the questions from one deck instead of all; posework refresher decks lists them."`
	Pass float64 `default:"100" placeholder:"POINTS" help:"Pass mark, of 100."`
}

// Help is shown by --help.
func (refresherTakeCmd) Help() string {
	return `Asks four questions before a shift, five minutes at most: those that you are
about to forget, one of them to spot the hazard in a program. What you miss is
explained and asked once more. Who reaches the pass mark signs with their name.

Questions are chosen by the schedule SM-2 (P. A. Wozniak, 1990): a right answer
lets a question rest for 1 day, 6 days, then 2.5 times as long each time (less for
those that come slowly); a wrong one brings it back the next day, with a head
start of two weeks before others that are due.

Example:

  posework refresher --name "Jo Fenwick"

Exit status: 0 passed and signed, 1 not passed or not signed, 2 could not be done.`
}

// Run asks and signs.
func (c *refresherTakeCmd) Run(s *session) error {
	if err := passMark(c.Pass); err != nil {
		return err
	}
	st, trouble, err := s.seat()
	if err != nil {
		return err
	}
	if st.Store == nil {
		return errors.New(trouble)
	}
	defer st.Store.Close()
	r, err := st.NewRefresher(s.ctx, c.Deck, c.Pass)
	if err != nil {
		return err
	}
	err = plain.Refresh(s.ctx, st, r, s.in, s.out)
	if errors.Is(err, plain.ErrNotSigned) {
		return status(statusNotPassed)
	}
	return err
}

// passMark refuses a pass mark that can't be one.
func passMark(points float64) error {
	if !(points >= 0 && points <= 100) {
		return fmt.Errorf("the pass mark is %v, but must lie from 0 to 100", points)
	}
	return nil
}

type refresherDecksCmd struct{}

// Help is shown by --help.
func (refresherDecksCmd) Help() string {
	return `Lists the decks of the course with the number of their questions.

Exit status: 0, or 2 when the course can't be read.`
}

// Run lists the decks.
func (c *refresherDecksCmd) Run(s *session) error {
	course, err := s.course()
	if err != nil {
		return err
	}
	for _, d := range course.Decks {
		if _, err := fmt.Fprintf(s.out, "%-30s %s (%d questions)\n", d.ID, d.Title, len(d.Quiz)); err != nil {
			return err
		}
	}
	return nil
}
