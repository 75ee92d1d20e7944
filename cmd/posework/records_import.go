package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"posework/engine/diag"
	"posework/grader/records"
	"posework/grader/records/roster"
	"posework/grader/report"
)

type recordsImportCmd struct {
	Roster string `arg:"" help:"A CSV file with the columns name, crew, site, role, key." predictor:"file"`
	Check  bool   `help:"Only say what is wrong with the file; record nothing."`
}

// Help is shown by --help.
func (recordsImportCmd) Help() string {
	return `Reads a roster: a CSV file with one line a person. The first line names the
columns; only name is needed.

  name,crew,site,role,key
  Jo Fenwick,day,harrow-mere,learner,ssh-ed25519 AAAA... jo@desk

All of it is recorded, or nothing when something is wrong. People who are not in
the file stay as they are; reading the same file again changes nothing.

Exit status: 0 recorded, 1 something is wrong with the file, 2 could not be done.`
}

// Run imports.
func (c *recordsImportCmd) Run(s *session) error {
	people, err := s.roster(c.Roster)
	if err != nil {
		return err
	}
	if c.Check {
		_, err := fmt.Fprintf(s.out, "%s, nothing wrong\n", diag.Count(len(people), "person", "people"))
		return err
	}
	store, err := s.store()
	if err != nil {
		return err
	}
	defer store.Close()
	rows := make([]records.Row, len(people))
	for i := range people {
		rows[i] = &people[i]
	}
	if _, err := store.Add(s.ctx, rows...); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "%s recorded\n", diag.Count(len(people), "person", "people"))
	return err
}

// roster reads a roster; "" is none. What is wrong with it is written to the error
// output.
func (s *session) roster(file string) ([]records.Person, error) {
	if file == "" {
		return nil, nil
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, roster.MaxBytes+1))
	if err != nil {
		return nil, err
	}
	people, list := roster.Read(file, data, time.Now())
	if len(list) > 0 {
		if err := report.Diagnostics(s.err, list); err != nil {
			return nil, err
		}
		return nil, status(statusNotPassed)
	}
	return people, nil
}
