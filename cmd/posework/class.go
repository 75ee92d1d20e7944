package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"runtime/debug"
	"time"

	"posework/cmd/posework/internal/class"
	"posework/engine/diag"
	"posework/grader/records/roster"
	"posework/grader/records/sheet"
	"posework/grader/report"
)

type classCmd struct {
	Folder string `arg:"" optional:"" placeholder:"DIR" help:"The folder of the programs." predictor:"folder"`
	Lesson string `short:"l" placeholder:"ID" help:"The lesson that the programs are for; posework lesson list shows them. With --again: only attempts at this lesson." predictor:"lesson"`
	Again  bool   `help:"Grade recorded attempts again and tell what changed."`

	Roster    string `placeholder:"FILE" help:"A roster, as posework records import reads it: names as it spells them, and who is absent." predictor:"file"`
	AsWritten bool   `help:"Grade in the cell as the lesson describes it, not in each learner's own."`
	Cores     int    `placeholder:"N" help:"Grade so many programs at once; all cores unless given."`
	Queue     bool   `help:"Have workers grade, on this and other machines: see posework worker. Needs --records postgres://..."`
	Keep      bool   `help:"Keep the attempts in the records; with --again, the marks that changed."`

	CSV   string `name:"csv" placeholder:"FILE" help:"Write the mark sheet as CSV; - writes to the standard output instead of the table." predictor:"file"`
	XLSX  string `name:"xlsx" placeholder:"FILE" help:"Write the mark sheet as a workbook." predictor:"file"`
	JSON  string `name:"json" placeholder:"FILE" help:"Write every mark in full for other programs." predictor:"file"`
	HTML  string `name:"html" placeholder:"FILE" help:"Write a report with pictures, one file for any browser." predictor:"file"`
	Title string `placeholder:"TEXT" help:"Title of the report, such as the day and the shift."`
}

// Help is shown by --help.
func (classCmd) Help() string {
	return `Grades every program below a folder and writes a mark sheet: a row a learner, then
the findings by how many learners made them, then what could not be graded and
why, then who is absent.

Each file in the folder is one learner's and named after them; each folder in it
is one learner's, with all the programs below it. Of several programs the best
counts: a passed one, then more points, then the later name. Names end in .yaml.
Links are not followed, and nothing outside the folder is read. With --roster,
jo_fenwick.yaml is Jo Fenwick's: case, spaces and punctuation do not count.

Where a lesson gives each learner a cell of their own, the cell goes by the
learner's name as the sheet has it.

With --again it takes the attempts on record instead of a folder, after the course
was changed, and tells whose mark changed and which findings came and went. The
old attempts stay as they are; --keep adds the marks that changed as corrections.

Examples:

  posework class hand-ins --lesson approach-the-crate --html day.html
  posework class --again --lesson approach-the-crate

Exit status: 0 every learner has passed (with --again: nothing changed), 1 some
have not, are absent or could not be graded (with --again: marks changed), 2 could
not be done.`
}

// gcPercent is how much garbage a process may hold that does nothing but grade:
// what lives at any moment is small, and collecting it less often saves a tenth of
// the time and leaves the cores to each other's work.
const gcPercent = 300

// Run grades a folder, or what is on record.
func (c *classCmd) Run(s *session) error {
	if err := c.check(s); err != nil {
		return err
	}
	if c.Cores < 1 {
		c.Cores = runtime.NumCPU()
	}
	defer debug.SetGCPercent(debug.SetGCPercent(gcPercent))
	course, err := s.course()
	if err != nil {
		return err
	}
	if c.Lesson != "" {
		lesson, err := course.lesson(c.Lesson)
		if err != nil {
			return err
		}
		if lesson.Task == nil {
			return fmt.Errorf("lesson %s has no program to grade: read it and answer its questions", lesson.ID)
		}
	}
	if c.Again {
		return c.again(s, course)
	}
	return c.grade(s, course)
}

// check refuses what does not go together.
func (c *classCmd) check(s *session) error {
	toOut := 0
	for _, f := range []string{c.CSV, c.XLSX, c.JSON, c.HTML} {
		if f == "-" {
			toOut++
		}
	}
	_, terminal := asTerminal(s.out)
	switch {
	case c.Again && c.Folder != "":
		return errors.New("--again takes the attempts on record; leave the folder out")
	case c.Again && (c.Roster != "" || c.XLSX != "" || c.HTML != "" || c.AsWritten):
		return errors.New("--again goes with --lesson, --cores, --queue, --keep, --csv and --json alone")
	case !c.Again && c.Folder == "":
		return errors.New("which folder? write posework class DIR --lesson ID, or posework class --again")
	case !c.Again && c.Lesson == "":
		return errors.New("for which lesson? add --lesson ID; posework lesson list shows them")
	case c.AsWritten && c.Keep:
		return errors.New("an attempt that is kept is graded in the learner's own cell; leave out --keep")
	case c.Title != "" && c.HTML == "":
		return errors.New("--title is the report's; add --html FILE")
	case toOut > 1:
		return errors.New("only one of the forms can go to the standard output; name files for the others")
	case c.XLSX == "-" && terminal:
		return errors.New("a workbook on a terminal can't be read; name a file with --xlsx marks.xlsx")
	}
	return nil
}

// toOut reports whether one of the forms takes the standard output.
func (c *classCmd) toOut() bool {
	return c.CSV == "-" || c.XLSX == "-" || c.JSON == "-" || c.HTML == "-"
}

// names reads the roster, an empty one where none is given.
func (c *classCmd) names(s *session) (*class.Names, error) {
	if c.Roster == "" {
		return class.NewNames(nil), nil
	}
	f, err := os.Open(c.Roster)
	if err != nil {
		return nil, fmt.Errorf("open the roster: %w", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, roster.MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("read the roster: %w", err)
	}
	people, list := roster.Read(c.Roster, data, time.Now())
	if len(list) > 0 {
		if err := report.Diagnostics(s.err, list); err != nil {
			return nil, err
		}
		return nil, errors.New("the roster can't be used before this is mended")
	}
	return class.NewNames(people), nil
}

// grade grades a folder.
func (c *classCmd) grade(s *session, course *course) error {
	names, err := c.names(s)
	if err != nil {
		return err
	}
	folder, err := class.Open(c.Folder, names)
	if err != nil {
		return err
	}
	defer folder.Close()
	if len(folder.Programs) == 0 {
		return fmt.Errorf("there is nothing in %s to grade; each file or folder in it is a learner's", c.Folder)
	}
	m := c.marker(course, folder, names)
	defer m.close()
	if err := m.open(s); err != nil {
		return err
	}
	if err := m.run(s); err != nil {
		return err
	}
	if err := c.write(s, m); err != nil {
		return err
	}
	if n := folder.Hidden; n > 0 && !c.toOut() {
		fmt.Fprintf(s.out, "\n%s passed over, hidden by a dot before the name.\n", diag.Count(n, "entry", "entries"))
	}
	if m.sheet.Passed() < len(m.sheet.Rows) || len(m.sheet.Absent) > 0 {
		return status(statusNotPassed)
	}
	return nil
}

// write writes the sheet in every form that was asked for.
func (c *classCmd) write(s *session, m *marker) error {
	forms := []struct {
		name  string
		write func(io.Writer) error
	}{
		{c.CSV, func(w io.Writer) error { return sheet.ClassCSV(w, m.sheet.Export()) }},
		{c.XLSX, func(w io.Writer) error { return sheet.ClassXLSX(w, m.sheet.Export()) }},
		{c.JSON, m.writeJSON},
		{c.HTML, m.writeHTML},
	}
	for _, f := range forms {
		if f.name == "" {
			continue
		}
		if err := save(f.name, s.out, f.write); err != nil {
			return err
		}
	}
	if c.toOut() {
		return nil
	}
	return m.sheet.Text(s.out)
}
