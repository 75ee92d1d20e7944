package reference

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"posework/grader/report"
)

// exampleNames are the headings of an entry's two examples.
func (e *Entry) exampleNames() (bad, good string) {
	if e.Group == Findings {
		return "Unsafe", "Safe"
	}
	return "Wrong", "Right"
}

// head is what an entry is, in a line.
func (e *Entry) head() string {
	if e.Group == Findings {
		return fmt.Sprintf("A finding of the check %s; weight: %s.", e.Check, e.Weight)
	}
	return "An error about a file."
}

// Text writes one entry for a terminal of the given width.
func (e *Entry) Text(w io.Writer, width int) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s: %s\n%s\n", e.Code, e.Title, e.head())
	section := func(name, text string) {
		if text != "" {
			fmt.Fprintf(b, "\n%s\n%s\n", name, report.Wrap(text, "  ", width))
		}
	}
	section("What it means", e.Meaning)
	section("Why it matters", e.Why)
	section("What to try", e.Try)
	bad, good := e.exampleNames()
	for _, example := range []struct{ name, text string }{{bad, e.Unsafe}, {good, e.Safe}} {
		if example.text != "" {
			fmt.Fprintf(b, "\n%s\n%s\n", example.name, indent(example.text, "  "))
		}
	}
	return b.Flush()
}

func indent(text, by string) string {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	for i, line := range lines {
		if line != "" {
			lines[i] = by + line
		}
	}
	return strings.Join(lines, "\n")
}

// List writes the codes with their titles.
func List(w io.Writer) error {
	b := bufio.NewWriter(w)
	group := Group(255)
	for _, e := range Entries() {
		if e.Group != group {
			if group != 255 {
				fmt.Fprintln(b)
			}
			group = e.Group
			fmt.Fprintln(b, [...]string{"Findings of the grader", "Errors about files"}[group])
		}
		fmt.Fprintf(b, "  %-27s %s\n", e.Code, e.Title)
	}
	return b.Flush()
}

// Page writes the whole reference as Markdown.
func Page(w io.Writer) error {
	b := bufio.NewWriter(w)
	fmt.Fprint(b, "# What posework finds\n\nEvery finding and every error about a file, with what it means and how to mend it.\n")
	fmt.Fprint(b, "\nA finding of weight *stop* could hurt someone at a real arm: the attempt is not passed whatever its points. ",
		"*fail* misses a threshold and loses the points of its check. *advice* has no effect on the mark.\n")
	group := Group(255)
	for _, e := range Entries() {
		if e.Group != group {
			group = e.Group
			fmt.Fprintf(b, "\n## %s\n", [...]string{"Findings of the grader", "Errors about files"}[group])
		}
		fmt.Fprintf(b, "\n### %s: %s\n\n%s\n\n%s\n", e.Code, e.Title, e.head(), e.Meaning)
		if e.Why != "" {
			fmt.Fprintf(b, "\n**Why it matters.** %s\n", e.Why)
		}
		if e.Try != "" {
			fmt.Fprintf(b, "\n**What to try.** %s\n", e.Try)
		}
		bad, good := e.exampleNames()
		for _, example := range []struct{ name, text string }{{bad, e.Unsafe}, {good, e.Safe}} {
			if example.text != "" {
				fmt.Fprintf(b, "\n%s:\n\n%s\n", example.name, indent(example.text, "    "))
			}
		}
	}
	return b.Flush()
}
