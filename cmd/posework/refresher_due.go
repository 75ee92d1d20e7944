package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"posework/engine/diag"
	"posework/grader/records"
	"posework/grader/refresher"
)

// period is a time span on the command line: 30d, 12w, 8h.
type period time.Duration

// UnmarshalText reads a period.
func (p *period) UnmarshalText(text []byte) error {
	s := string(text)
	units := map[string]time.Duration{"h": time.Hour, "d": 24 * time.Hour, "w": 7 * 24 * time.Hour}
	if len(s) > 1 {
		n, err := strconv.Atoi(s[:len(s)-1])
		unit := units[s[len(s)-1:]]
		const longest = 100 * 365 * 24 * time.Hour
		if err == nil && n > 0 && unit > 0 && time.Duration(n) <= longest/unit {
			*p = period(time.Duration(n) * unit)
			return nil
		}
	}
	return fmt.Errorf("%q is not a period; write hours, days or weeks as in 8h, 30d, 12w", s)
}

type refresherDueCmd struct {
	Crew  string  `placeholder:"NAME" help:"Only this crew."`
	Site  string  `placeholder:"NAME" help:"Only this site."`
	Deck  string  `placeholder:"ID" help:"Only sign-offs of this deck count; any counts without it."`
	Pass  float64 `default:"100" placeholder:"POINTS" help:"Only sign-offs with so many points count, whatever pass mark they were taken with."`
	Valid period  `default:"30d" placeholder:"PERIOD" help:"How long a sign-off is valid: 8h, 30d, 12w."`
	All   bool    `help:"List the others too."`
	JSON  bool    `name:"json" help:"Write one JSON object a person for other programs."`
}

// Help is shown by --help.
func (refresherDueCmd) Help() string {
	return `Lists by crew who has no valid sign-off: never signed, signed longer ago than the
period of validity, or dated later than now, which a wrong clock does. Only
passed refreshers that were not corrected since count, and of those the ones that
reach the pass mark given here: whoever took one may have chosen a lower one. A
sign-off is valid up to the very end of its period.

Example, for a message before the early shift:

  posework refresher due --crew early --valid 30d

Exit status: 0 nobody is due, 1 somebody is, 2 the records can't be read, or know
nobody of that crew and site.`
}

// dueLine is a person in the list.
type dueLine struct {
	Name   string     `json:"name"`
	Crew   string     `json:"crew"`
	Site   string     `json:"site"`
	Due    bool       `json:"due"`
	Why    string     `json:"why"`
	Signed *time.Time `json:"signed,omitempty"`
	Until  *time.Time `json:"until,omitempty"`
	Deck   string     `json:"deck,omitempty"`
}

// Run lists who is due.
func (c *refresherDueCmd) Run(s *session) error {
	if err := passMark(c.Pass); err != nil {
		return err
	}
	store, err := s.oldStore()
	if err != nil {
		return err
	}
	defer store.Close()
	now := time.Now()
	people := records.PeopleFilter{Crew: c.Crew, Site: c.Site}
	// A crew that is misspelt must not look like one that nobody of is due.
	if some, err := store.People(s.ctx, people, 1); err != nil {
		return err
	} else if len(some) == 0 {
		return errors.New("nobody on record is of that crew and site; posework records list people shows how they are spelt")
	}
	filter := refresher.DueFilter(people, c.Deck, c.Pass, time.Duration(c.Valid), now)
	if c.All {
		filter.Due = time.Time{}
	}
	var lines []dueLine
	due := 0
	for g, err := range store.AllSigned(s.ctx, filter) {
		if err != nil {
			return err
		}
		standing, until := refresher.Judge(g, time.Duration(c.Valid), now)
		l := dueLine{Name: g.Person.Name, Crew: g.Person.Crew, Site: g.Person.Site, Due: standing != refresher.Valid, Why: standing.String()}
		if g.Ever {
			l.Signed, l.Until, l.Deck = &g.At, &until, g.Deck
		}
		if l.Due {
			due++
		}
		lines = append(lines, l)
	}
	// The names of a crew stay in order.
	slices.SortStableFunc(lines, func(a, b dueLine) int { return strings.Compare(a.Crew, b.Crew) })
	if err := c.write(s, lines, due); err != nil {
		return err
	}
	if due > 0 {
		return status(statusNotPassed)
	}
	return nil
}

func (c *refresherDueCmd) write(s *session, lines []dueLine, due int) error {
	if c.JSON {
		out := json.NewEncoder(diag.Escaped(s.out))
		for _, l := range lines {
			if err := out.Encode(l); err != nil {
				return err
			}
		}
		return nil
	}
	for i, l := range lines {
		if i == 0 || l.Crew != lines[i-1].Crew {
			crew := l.Crew
			if crew == "" {
				crew = "(no crew)"
			}
			fmt.Fprintf(s.out, "%s\n", crew)
		}
		when := ""
		if l.Signed != nil {
			when = fmt.Sprintf(", signed %s, valid until %s", day(*l.Signed), day(*l.Until))
		}
		fmt.Fprintf(s.out, "  %-30s %s%s\n", l.Name, l.Why, when)
	}
	verb := "are"
	if due == 1 {
		verb = "is"
	}
	_, err := fmt.Fprintf(s.out, "%d %s due\n", due, verb)
	return err
}

// day writes a date as everyone reads it the same way, in the local time.
func day(t time.Time) string { return t.Local().Format("2006-01-02 15:04") }
