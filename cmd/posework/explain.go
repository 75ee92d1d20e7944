package main

import (
	"fmt"
	"io"

	"posework/cmd/posework/internal/reference"
	"posework/grader/formula"
	"posework/grader/report"
)

type explainCmd struct {
	Code string `arg:"" optional:"" help:"A finding such as FAST_APPROACH, an error such as F012, or the word formulas. All codes are listed without it." predictor:"code"`
	Page bool   `help:"Print the whole reference as Markdown."`
}

// Help is shown by --help.
func (explainCmd) Help() string {
	return `Says what a code means, why it matters at a real arm, and shows an unsafe and a
safe example. The word formulas lists the calculations that quiz questions are
marked by.

Example:

  posework explain FAST_APPROACH

Exit status: 0 explained, 2 no such code.`
}

// Run explains.
func (c *explainCmd) Run(s *session) error {
	switch c.Code {
	case "":
		if c.Page {
			return reference.Page(s.out)
		}
		return reference.List(s.out)
	case "formulas":
		return listFormulas(s.out)
	}
	e, nearest, ok := reference.Lookup(c.Code)
	if !ok {
		if nearest != "" {
			return fmt.Errorf("there is no code %q; did you mean %s?", c.Code, nearest)
		}
		return fmt.Errorf("there is no code %q; posework explain lists them", c.Code)
	}
	return e.Text(s.out, report.Width)
}

func listFormulas(w io.Writer) error {
	for i, f := range formula.All() {
		if i > 0 {
			fmt.Fprintln(w)
		}
		unit := ""
		if f.Unit != "" {
			unit = ", in " + f.Unit
		}
		fmt.Fprintf(w, "%s: %s%s\n", f.Name, f.Title, unit)
		for _, in := range f.Inputs {
			fmt.Fprintf(w, "  %-14s %s, from %g to %g", in.Name, in.Title, in.Min, in.Max)
			if in.Unit != "" {
				fmt.Fprintf(w, " %s", in.Unit)
			}
			fmt.Fprintln(w)
		}
		fmt.Fprintln(w, report.Wrap("= "+f.Form, "  ", report.Width))
		if _, err := fmt.Fprintln(w, report.Wrap("("+f.Source+")", "  ", report.Width)); err != nil {
			return err
		}
	}
	return nil
}
