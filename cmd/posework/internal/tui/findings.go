package tui

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/grader"
	"posework/grader/report"
)

// findingsScreen shows what became of a program that was handed in: the mark
// with its findings and checks, or what is wrong with the file.
type findingsScreen struct {
	outcome *seat.Outcome
	chosen  int
	offset  int // first line shown of what is told of the chosen one
	checks  bool
	size    tea.WindowSizeMsg
}

func newFindingsScreen(o *seat.Outcome) *findingsScreen { return &findingsScreen{outcome: o} }

func (s *findingsScreen) Title() string {
	return s.outcome.Lesson.Title + ": " + diag.Visible(filepath.Base(s.outcome.File))
}

var findingsKeys = keyTable{
	{goUp, []string{"up"}, "up", "", "one finding up"},
	{goDown, []string{"down"}, "down", "choose", "one finding down"},
	{open, []string{"enter"}, "enter", "explain", "explain the chosen finding, with an unsafe and a safe example"},
	{view, []string{"v"}, "v", "view", "look at the moment of the chosen finding in the cell"},
	{checks, []string{"c"}, "c", "checks", "all checks with their points, or the findings again"},
	{again, []string{"r"}, "r", "again", "hand the same file in again, once you have changed it"},
	{goPageDown, []string{"pgdown", " "}, "space", "", "read on about the chosen finding"},
	{goPageUp, []string{"pgup"}, "page up", "", "read back"},
	{ask, []string{"a"}, "a", "quiz", "answer the questions of the lesson"},
	leaving,
}

func (s *findingsScreen) Keys() keyTable {
	var t keyTable
	for _, k := range findingsKeys {
		switch {
		case k.do == checks && s.outcome.Mark == nil:
		case k.do == view && (s.outcome.Mark == nil || s.checks || s.count() == 0 || s.outcome.Lesson.Cell == nil):
		case k.do == ask && len(s.outcome.Lesson.Quiz) == 0:
		case s.count() == 0 && (k.do == goUp || k.do == goDown || k.do == open):
		case s.checks && k.do == open: // only findings have a code to explain
		case k.do == ask && (s.outcome.Mark == nil || !s.outcome.Mark.Passed):
			k.short = "" // the program comes first; the key works all the same
			t = append(t, k)
		default:
			t = append(t, k)
		}
	}
	return t
}

// count is how many things there are to choose from.
func (s *findingsScreen) count() int {
	switch {
	case s.outcome.Mark == nil:
		return min(len(s.outcome.Errors), report.MostDiagnostics)
	case s.checks:
		return len(s.outcome.Mark.Checks)
	}
	return len(s.outcome.Mark.Findings)
}

func (s *findingsScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		s.size = msg
	case tea.KeyMsg:
		return s.key(msg)
	}
	return s, nil
}

func (s *findingsScreen) key(msg tea.KeyMsg) (screen, tea.Cmd) {
	choose := func(to int) {
		if to >= 0 && to < s.count() {
			s.chosen, s.offset = to, 0
		}
	}
	switch s.Keys().match(msg.String()) {
	case goUp:
		choose(s.chosen - 1)
	case goDown:
		choose(s.chosen + 1)
	case goPageDown:
		s.offset += 3
	case goPageUp:
		s.offset = max(0, s.offset-3)
	case checks:
		s.checks, s.chosen, s.offset = !s.checks, 0, 0
	case open:
		if code := s.code(); code != "" {
			return s, send(openCode{code})
		}
	case view:
		return s, send(openMoment{s.outcome, s.chosen})
	case again:
		return s, send(handInAgain{s.outcome})
	case ask:
		return s, send(openQuiz{s.outcome.Lesson})
	case leave:
		return s, send(goBack{})
	}
	return s, nil
}

// code is the code of the chosen finding or error, "" where it has none.
func (s *findingsScreen) code() string {
	if s.outcome.Mark == nil {
		return s.outcome.Errors[s.chosen].Code
	}
	return s.outcome.Mark.Findings[s.chosen].Code
}

// wideFindings is the width from which the chosen finding is told beside the
// list.
const wideFindings = 120

func (s *findingsScreen) View(t *Theme, width, height int) string {
	head := s.head(t, min(width, widest))
	rows := height - len(head) - 1
	if width >= wideFindings {
		left := max(58, width/2-5)
		list := s.list(t, left)
		first := window(0, s.chosen, len(list), rows)
		detail := s.detail(t, width-left-5)
		detail = detail[min(s.offset, max(0, len(detail)-rows)):]
		return strings.Join(head, "\n") + "\n\n" + beside(
			fill(clip(strings.Join(list[first:], "\n"), left, rows), rows),
			clip(strings.Join(detail, "\n"), width-left-5, rows),
			"  "+t.Faint.Render(t.Bar)+"  ", left)
	}
	list := s.list(t, width)
	shown := min(len(list), max(3, rows/3))
	first := window(0, s.chosen, len(list), shown)
	detail := s.detail(t, width)
	room := max(1, rows-shown-1)
	over := len(detail) > room
	detail = detail[min(s.offset, max(0, len(detail)-room)):]
	place := strings.Repeat(t.Rule, 3)
	if shown < s.count() {
		place += fmt.Sprintf(" %d of %d ", s.chosen+1, s.count())
	}
	more := strings.Repeat(t.Rule, 3)
	if over {
		more = " space reads on " + more
	}
	rule := place + strings.Repeat(t.Rule, max(0, width-lineWidth(place)-lineWidth(more))) + more
	return strings.Join(head, "\n") + "\n\n" +
		strings.Join(list[first:min(len(list), first+shown)], "\n") + "\n" +
		t.Faint.Render(rule) + "\n" +
		clip(strings.Join(detail, "\n"), width, room)
}

// head is the outcome in two or three lines.
func (s *findingsScreen) head(t *Theme, width int) []string {
	m := s.outcome.Mark
	if m == nil {
		text := diag.Count(len(s.outcome.Errors), "thing in the file has", "things in the file have") + " to be mended first; a file is read whole or not at all."
		return []string{" " + t.Bad.Render("NOT GRADED"), report.Wrap(text, " ", width)}
	}
	style := t.Bad
	if m.Passed {
		style = t.Good
	}
	lines := []string{fmt.Sprintf(" %s   %s of 100 points, %s needed; %s s of motion",
		style.Render(strings.ToUpper(report.Verdict(m))), report.Points(m.Points), report.Points(m.Pass), report.Number(m.Duration, "s"))}
	why := report.Because(m)
	if why == "" && len(m.Findings) == 0 {
		why = "Nothing unsafe was found. In a real cell this still has to be proved step by step."
	}
	if why == "" {
		return lines
	}
	return append(lines, strings.Split(report.Wrap(why, " ", width), "\n")...)
}

// list is what can be chosen from, a line each.
func (s *findingsScreen) list(t *Theme, width int) []string {
	var lines []string
	add := func(text string) {
		i := len(lines)
		lines = append(lines, cut(" "+t.point(i == s.chosen)+text, width, "..."))
	}
	m := s.outcome.Mark
	switch {
	case m == nil:
		for _, d := range s.outcome.Errors[:s.count()] {
			add(fmt.Sprintf("line %-4d %s", d.Pos.Line, d.Text))
		}
		if more := len(s.outcome.Errors) - s.count(); more > 0 {
			lines = append(lines, fmt.Sprintf("   and %d more", more))
		}
	case s.checks:
		for i := range m.Checks {
			r := &m.Checks[i]
			word := t.weigh(r.Holds && r.Proved, pad(report.Holds(r), 8))
			add(fmt.Sprintf("%s %9s  %s", word, report.Points(r.Points)+"/"+report.Points(r.Of), r.Title))
		}
	default:
		for i := range m.Findings {
			f := &m.Findings[i]
			where := "whole program"
			if f.Step != "" {
				where = "step " + f.Step
			}
			add(fmt.Sprintf("%s %-25s %s", t.severity(f.Severity), f.Code, where))
		}
		if len(m.Findings) == 0 {
			lines = append(lines, "   no findings; c shows every check with what was measured")
		}
	}
	return lines
}

// severity is the word for a severity, in capitals and coloured.
func (t *Theme) severity(s grader.Severity) string {
	word := pad(strings.ToUpper(report.Severity(s)), 6)
	switch s {
	case grader.Stop:
		return t.Bad.Render(word)
	case grader.Fail:
		return t.Warn.Render(word)
	}
	return word
}

func (t *Theme) weigh(good bool, word string) string {
	if good {
		return t.Good.Render(word)
	}
	return t.Bad.Render(word)
}

// detail tells of the chosen finding, check or error, in lines.
func (s *findingsScreen) detail(t *Theme, width int) []string {
	width = min(width, widest)
	if s.count() == 0 {
		return nil
	}
	m := s.outcome.Mark
	switch {
	case m == nil:
		return s.errorDetail(t, &s.outcome.Errors[s.chosen], width)
	case s.checks:
		r := &m.Checks[s.chosen]
		lines := strings.Split(report.Wrap(report.Asked(r), " ", width), "\n")
		if r.Must {
			lines = append(lines, "", report.Wrap("This check must hold: a miss fails the attempt whatever its points.", " ", width))
		}
		return lines
	}
	f := &m.Findings[s.chosen]
	lines := strings.Split(report.Wrap(f.Text, " ", width), "\n")
	lines = append(lines, " "+t.Faint.Render(report.Where(f)))
	lines = append(lines, s.excerpt(t, f.Pos.Line, width)...)
	for _, l := range report.Labels(f) {
		lines = append(lines, labelled(t, l.Name, l.Text, width)...)
	}
	return lines
}

func (s *findingsScreen) errorDetail(t *Theme, d *diag.Diagnostic, width int) []string {
	lines := strings.Split(report.Wrap(d.Text, " ", width), "\n")
	lines = append(lines, " "+t.Faint.Render(diag.Visible(d.Pos.String())))
	lines = append(lines, s.excerpt(t, d.Pos.Line, width)...)
	if d.Fix != "" {
		lines = append(lines, labelled(t, "try", d.Fix, width)...)
	}
	return lines
}

// excerpt is the line of the program that is spoken of.
func (s *findingsScreen) excerpt(t *Theme, line, width int) []string {
	text := bytes.Split(s.outcome.Text, []byte("\n"))
	if line < 1 || line > len(text) {
		return nil
	}
	shown := printable(string(text[line-1]))
	return []string{t.Key.Render(pad(fmt.Sprintf("   %4d %s %s", line, t.Bar, shown), width))}
}

func labelled(t *Theme, name, text string, width int) []string {
	const indent = "             "
	lines := strings.Split(report.Wrap(text, indent, width), "\n")
	lines[0] = "   " + t.Heading.Render(pad(name, 10)) + strings.TrimPrefix(lines[0], indent)
	return lines
}
