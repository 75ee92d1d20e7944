package main

import (
	"bufio"
	"errors"
	"fmt"
	"time"

	"posework/cmd/posework/internal/queue"
	"posework/grader/records"
)

type recordsForgetCmd struct {
	Person string `arg:"" placeholder:"NAME" help:"The person's name."`
	Yes    bool   `help:"Don't ask for the name again."`
}

// Help is shown by --help.
func (recordsForgetCmd) Help() string {
	return `Erases all that is stored about a person: name, roster entries, attempts, answers,
practice logs, programs in the grading queue, and the personal part of their
sign-offs. The chain of sign-offs stays and can still be verified; its entries tell
that someone signed, no longer who, and a new entry says which of them were
erased. This can't be undone.

Not reached are copies elsewhere: backups, exports, statements sent to a learning
record store, and on PostgreSQL the server's archived logs.

Example:

  posework records forget "Jo Fenwick"

Exit status: 0 erased, 1 left as it was, 2 there is no such person.`
}

// Run erases, after the name was typed again.
func (c *recordsForgetCmd) Run(s *session) error {
	store, err := s.oldStore()
	if err != nil {
		return err
	}
	defer store.Close()
	about, err := store.About(s.ctx, c.Person)
	if err != nil {
		return err
	}
	if !c.Yes {
		if err := tellAbout(s, store, about); err != nil {
			return err
		}
		fmt.Fprintf(s.out, "This can't be undone. Type the name %s to erase all of it: ", about.Person.Name)
		typed := bufio.NewScanner(s.in)
		if !typed.Scan() || !records.SameName(typed.Text(), about.Person.Name) {
			fmt.Fprintln(s.out, "nothing was erased")
			return errors.Join(typed.Err(), status(statusNotPassed))
		}
	}
	// What waits in the queue first: nothing of it can be recorded after.
	if err := queue.Forget(s.ctx, store, c.Person); err != nil {
		return err
	}
	erased, err := store.Forget(s.ctx, c.Person, time.Now())
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "%s is forgotten\n", erased.Person.Name)
	return err
}
