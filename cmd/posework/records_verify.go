package main

import (
	"bufio"
	"fmt"
	"os"
	"strings"

	"posework/grader/records"
)

type recordsVerifyCmd struct {
	Published string `placeholder:"FILE" help:"Heads that were published before, as posework records head printed them, one a line." predictor:"file"`
}

// Help is shown by --help.
func (recordsVerifyCmd) Help() string {
	return `Computes the chain of each site's sign-offs anew and names every entry that was
altered, removed, moved or replaced, and every signer that was altered or taken
away without an erasure on record.

What it can't prove: who can write to the database can compute the whole chain
anew, or cut off its end. Only a head that was published before shows that: print
it with posework records head, put it where that person can't change it (on the
notice board, in a mail to another department), and compare with --published. Nor
does a sign-off prove that the one who typed the name was the person.

Example:

  posework records verify --published heads.txt

Exit status: 0 whole, 1 not whole, 2 the records can't be read.`
}

// Run verifies.
func (c *recordsVerifyCmd) Run(s *session) error {
	heads, err := c.published()
	if err != nil {
		return err
	}
	store, err := s.oldStore()
	if err != nil {
		return err
	}
	defer store.Close()
	v, err := store.Verify(s.ctx, heads...)
	if err != nil {
		return err
	}
	if _, err := fmt.Fprintln(s.out, v); err != nil {
		return err
	}
	if len(v.Faults) > 0 {
		return status(statusNotPassed)
	}
	return nil
}

func (c *recordsVerifyCmd) published() ([]records.Head, error) {
	if c.Published == "" {
		return nil, nil
	}
	f, err := os.Open(c.Published)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var heads []records.Head
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		if strings.TrimSpace(lines.Text()) == "" {
			continue
		}
		h, err := records.ParseHead(lines.Text())
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", c.Published, n, err)
		}
		heads = append(heads, h)
	}
	return heads, lines.Err()
}
