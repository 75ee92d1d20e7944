package main

import "fmt"

type recordsHeadCmd struct{}

// Help is shown by --help.
func (recordsHeadCmd) Help() string {
	return `Prints where the chain of each site's sign-offs ends: its number of entries, the
hash of the last one, the site. Publish these lines now and then; posework records
verify --published compares with them. They say nothing about people.

Example:

  posework records head >> heads.txt

Exit status: 0, or 2 when the records can't be read.`
}

// Run prints the heads.
func (c *recordsHeadCmd) Run(s *session) error {
	store, err := s.oldStore()
	if err != nil {
		return err
	}
	defer store.Close()
	heads, err := store.Heads(s.ctx)
	if err != nil {
		return err
	}
	for _, h := range heads {
		if _, err := fmt.Fprintln(s.out, h); err != nil {
			return err
		}
	}
	return nil
}
