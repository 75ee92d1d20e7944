package main

import (
	"fmt"
	"io"

	"posework/cmd/posework/internal/queue"
	"posework/engine/diag"
	"posework/grader/records"
	"posework/grader/records/sheet"
)

type recordsAboutCmd struct {
	Person string `arg:"" placeholder:"NAME" help:"The person's name."`
	Rows   bool   `help:"Write every row itself, as JSON Lines, to hand to the person."`
}

// Help is shown by --help.
func (recordsAboutCmd) Help() string {
	return `Tells what is stored about a person: what the roster ever said of them, and how
many attempts, answers, practice logs and sign-offs there are, and from when.

Example:

  posework records about "Jo Fenwick" --rows > jo.jsonl

Exit status: 0, or 2 when there is no such person.`
}

// Run tells.
func (c *recordsAboutCmd) Run(s *session) error {
	store, err := s.oldStore()
	if err != nil {
		return err
	}
	defer store.Close()
	if c.Rows {
		return sheet.JSONL(s.ctx, s.out, store, sheet.What{Person: c.Person})
	}
	about, err := store.About(s.ctx, c.Person)
	if err != nil {
		return err
	}
	return tellAbout(s, store, about)
}

// tellAbout also counts what is kept beside the records.
func tellAbout(s *session, store *records.Store, about records.About) error {
	if err := writeAbout(s.out, about); err != nil {
		return err
	}
	n, err := queue.Held(s.ctx, store, about.Person.Name)
	if err == nil && n > 0 {
		_, err = fmt.Fprintf(s.out, "  %-16s %d\n", "in the queue", n)
	}
	return err
}

func writeAbout(w io.Writer, about records.About) error {
	fmt.Fprintf(w, "%s\n", about.Person.Name)
	for _, p := range about.Roster {
		key := "no key"
		if p.Key != "" {
			key = diag.Visible(p.Key) // a backup of a stranger may hold anything there
		}
		crew := p.Crew
		if crew == "" {
			crew = "none"
		}
		fmt.Fprintf(w, "  roster, %s: crew %s, site %s, %s, %s\n", day(p.At), crew, p.Site, p.Role, key)
	}
	for _, k := range about.Kept {
		span := ""
		if k.Count > 0 {
			span = fmt.Sprintf(", from %s to %s", day(k.First), day(k.Last))
		}
		if _, err := fmt.Fprintf(w, "  %-16s %d%s\n", k.Kind, k.Count, span); err != nil {
			return err
		}
	}
	return nil
}
