package main

import (
	"fmt"
	"io"
	"text/tabwriter"
	"time"

	"posework/grader/records"
	"posework/grader/report"
)

type recordsListCmd struct {
	What   string `arg:"" optional:"" enum:"attempts,marks,answers,people,sign-offs" default:"attempts" help:"attempts, marks, answers, people or sign-offs; attempts unless given."`
	Person string `placeholder:"NAME" help:"attempts, answers, sign-offs: only this person's."`
	Lesson string `placeholder:"ID" help:"attempts: only of this lesson." predictor:"lesson"`
	Crew   string `placeholder:"NAME" help:"marks, people: only this crew."`
	Site   string `placeholder:"NAME" help:"marks, people, sign-offs: only this site."`
	Since  moment `placeholder:"DATE" help:"attempts: only those handed in at this date or later."`
	Limit  int    `default:"50" help:"At most so many, up to 1000; of attempts, answers and sign-offs the newest."`
}

// Help is shown by --help.
func (recordsListCmd) Help() string {
	return `Lists what is on record, in the local time.

Example:

  posework records list --person "Jo Fenwick" --lesson home-pose
  posework records list marks --crew day

Exit status: 0, or 2 when the records can't be read.`
}

// Run lists.
func (c *recordsListCmd) Run(s *session) error {
	if c.Limit < 1 || c.Limit > 1000 {
		return fmt.Errorf("the limit is %d, but must lie from 1 to 1000; posework records export writes everything", c.Limit)
	}
	store, err := s.oldStore()
	if err != nil {
		return err
	}
	defer store.Close()
	w := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	list := map[string]func(*session, *records.Store, io.Writer) error{
		"attempts": c.attempts, "marks": c.marks, "answers": c.answers, "people": c.people, "sign-offs": c.signOffs,
	}
	if err := list[c.What](s, store, w); err != nil {
		return err
	}
	return w.Flush()
}

// newest is the page that the limit asks for.
func (c *recordsListCmd) newest() records.Page { return records.Page{Limit: c.Limit, Newest: true} }

func (c *recordsListCmd) attempts(s *session, store *records.Store, w io.Writer) error {
	list, err := store.Attempts(s.ctx, records.AttemptFilter{Person: c.Person, Lesson: c.Lesson, Since: time.Time(c.Since)}, c.newest())
	if err != nil {
		return err
	}
	fmt.Fprintln(w, "number\ttime\tperson\tlesson\tpoints\tverdict")
	for _, a := range list {
		verdict := string(a.Verdict)
		if a.Corrects != 0 {
			verdict += fmt.Sprintf(", corrects %d", a.Corrects)
		}
		fmt.Fprintf(w, "%d\t%s\t%s\t%s\t%s\t%s\n", a.ID, day(a.At), a.Person, a.Lesson, report.Points(a.Points), verdict)
	}
	return nil
}

func (c *recordsListCmd) marks(s *session, store *records.Store, w io.Writer) error {
	list, err := store.Sheet(s.ctx, records.PeopleFilter{Crew: c.Crew, Site: c.Site}, c.Limit)
	if err != nil {
		return err
	}
	fmt.Fprintln(w, "person\tcrew\tlesson\tattempts\tbest\tpassed\tlast")
	for _, row := range list {
		for _, l := range row.Lessons {
			fmt.Fprintf(w, "%s\t%s\t%s\t%d\t%s\t%s\t%s\n", row.Person.Name, row.Person.Crew, l.Lesson, l.Attempts, report.Points(l.Best), yes(l.Passed), day(l.Last))
		}
	}
	return nil
}

func (c *recordsListCmd) answers(s *session, store *records.Store, w io.Writer) error {
	list, err := store.Answers(s.ctx, c.Person, c.newest())
	if err != nil {
		return err
	}
	fmt.Fprintln(w, "time\tperson\tdeck\tquestion\tright")
	for _, a := range list {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", day(a.At), a.Person, a.Deck, a.Question, yes(a.Right))
	}
	return nil
}

func (c *recordsListCmd) people(s *session, store *records.Store, w io.Writer) error {
	list, err := store.People(s.ctx, records.PeopleFilter{Crew: c.Crew, Site: c.Site}, c.Limit)
	if err != nil {
		return err
	}
	fmt.Fprintln(w, "person\tcrew\tsite\trole\tkey")
	for _, p := range list {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", p.Name, p.Crew, p.Site, p.Role, yes(p.Key != ""))
	}
	return nil
}

func (c *recordsListCmd) signOffs(s *session, store *records.Store, w io.Writer) error {
	var list []records.Entry
	var err error
	if c.Person != "" {
		list, err = store.SignOffs(s.ctx, c.Person, c.newest())
	} else {
		list, err = store.Entries(s.ctx, c.Site, c.newest())
	}
	if err != nil {
		return err
	}
	fmt.Fprintln(w, "site\tentry\ttime\tperson\tdeck\tpoints\tpassed")
	for _, e := range list {
		if c.Site != "" && e.Site != c.Site {
			continue
		}
		who := "(erased)"
		if e.Signer != nil {
			who = e.Signer.Name
		}
		if e.Kind != "sign-off" {
			fmt.Fprintf(w, "%s\t%d\t%s\t(%s)\t\t\t\n", e.Site, e.Place, day(e.At), e.Kind)
			continue
		}
		fmt.Fprintf(w, "%s\t%d\t%s\t%s\t%s\t%s\t%s\n", e.Site, e.Place, day(e.At), who, e.Deck, report.Points(e.Points), yes(e.Passed))
	}
	return nil
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
