package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/bench"
	"posework/cmd/posework/internal/picture"
	"posework/cmd/posework/internal/seat"
	"posework/grader/report"
	"posework/kin"
	"posework/lessons"
)

// lessonScreen shows a lesson's text: cautions first, then objectives, text,
// task, the hints that were asked for, sources.
type lessonScreen struct {
	theme    *Theme
	lesson   *lessons.Lesson
	standing seat.Standing
	hints    int // how many are shown

	size  tea.WindowSizeMsg
	lines []string // rendered for size
	cell  []string // picture of the cell for the aside, for size; nil: no room, or none
	look  lookout
	scene *picture.Scene // nil until the arm's place is worked out
	task  int            // where the task begins
	tip   int            // where the newest hint begins
	at    int            // first line shown
}

func newLessonScreen(t *Theme, l *lessons.Lesson) *lessonScreen {
	s := &lessonScreen{theme: t, lesson: l, look: newLookout(t)}
	s.look.whole = true
	return s
}

// Title also tells how much of the text was seen, where it does not fit.
func (s *lessonScreen) Title() string {
	last := len(s.lines) - s.size.Height
	if last <= 0 {
		return s.lesson.Title
	}
	return fmt.Sprintf("%s  %d %%", s.lesson.Title, 100*s.at/last)
}

var lessonKeys = keyTable{
	{goPageDown, []string{"pgdown", " "}, "space", "read on", "one page down"},
	{goPageUp, []string{"pgup"}, "page up", "", "one page up"},
	{goUp, []string{"up"}, "up", "", "one line up"},
	{goDown, []string{"down"}, "down", "", "one line down"},
	{goFirst, []string{"home"}, "home", "", "to the beginning"},
	{goLast, []string{"end"}, "end", "", "to the end"},
	{toTask, []string{"t"}, "t", "task", "to the task and what is measured"},
	{practise, []string{"p"}, "p", "practise", "move the arm, record poses and write the program at the bench"},
	{handIn, []string{"h"}, "h", "hand in", "hand in a program file"},
	{ask, []string{"a"}, "a", "quiz", "answer the questions"},
	{hint, []string{"n"}, "n", "hint", "show the next hint"},
	leaving,
}

func (s *lessonScreen) Keys() keyTable {
	// Keys that have nothing to do here are not offered.
	var t keyTable
	for _, k := range lessonKeys {
		switch {
		case s.lesson.Task == nil && (k.do == handIn || k.do == toTask):
		case s.lesson.Cell == nil && k.do == practise:
		case len(s.lesson.Quiz) == 0 && k.do == ask:
		case s.hints == len(s.lesson.Hints) && k.do == hint:
		default:
			t = append(t, k)
		}
	}
	return t
}

// cellSet is a scene of a lesson's cell with its arm standing well.
type cellSet struct {
	lesson *lessons.Lesson
	scene  *picture.Scene
}

// Begin works out how the arm stands in the picture of the cell.
func (s *lessonScreen) Begin() tea.Cmd {
	l := s.lesson
	if l.Cell == nil {
		return nil
	}
	return func() tea.Msg {
		m := picture.Moment{Tool: -1, TCP: kin.IdentityPose}
		if l.Task != nil && l.Task.Start != nil {
			m.Q = *l.Task.Start
		} else {
			m.Q = bench.Ready(l.Cell)
		}
		if len(l.Cell.Tools) > 0 {
			m.Tool, m.TCP = 0, l.Cell.Tools[0].TCP
		}
		var scene picture.Scene
		scene.Show(l.Cell, &m, true)
		return cellSet{l, &scene}
	}
}

// leastAside is the height from which there is room for a picture of the cell
// above what stands beside the text.
const leastAside = 34

// draw draws the cell for the size.
func (s *lessonScreen) draw() {
	s.cell = nil
	width := min(s.size.Width-widest-4, widest)
	if s.scene == nil || s.textWidth() == s.size.Width || s.size.Height < leastAside {
		return
	}
	size := picture.Size{Width: width, Height: s.size.Height / 2}
	s.look.fit(s.scene, size)
	s.cell = s.look.draw(s.scene, size)
}

func (s *lessonScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case cellSet:
		if msg.lesson == s.lesson {
			s.scene = msg.scene
			s.draw()
		}
	case standingsRead:
		if msg.err == nil {
			s.standing = msg.all[s.lesson.ID]
		}
	case tea.WindowSizeMsg:
		if msg != s.size {
			// Stay at the same part of the text when the lines get longer or
			// shorter.
			part := float64(s.at) / float64(max(1, len(s.lines)))
			s.size = msg
			s.render()
			s.draw()
			s.scroll(int(part * float64(len(s.lines))))
		}
	case tea.KeyMsg:
		return s.key(msg)
	}
	return s, nil
}

func (s *lessonScreen) key(msg tea.KeyMsg) (screen, tea.Cmd) {
	page := max(1, s.size.Height-2) // two lines of the last page stay in sight
	switch s.Keys().match(msg.String()) {
	case goUp:
		s.scroll(s.at - 1)
	case goDown:
		s.scroll(s.at + 1)
	case goPageUp:
		s.scroll(s.at - page)
	case goPageDown:
		s.scroll(s.at + page)
	case goFirst:
		s.scroll(0)
	case goLast:
		s.scroll(len(s.lines))
	case toTask:
		s.scroll(s.task)
	case hint:
		s.hints++
		s.render()
		s.scroll(s.tip)
	case practise:
		return s, send(openPractice{s.lesson})
	case handIn:
		return s, send(openHandIn{s.lesson})
	case ask:
		return s, send(openQuiz{s.lesson})
	case leave:
		return s, send(goBack{})
	}
	return s, nil
}

func (s *lessonScreen) scroll(to int) { s.at = max(0, min(to, len(s.lines)-s.size.Height)) }

// wideLesson is the width from which the task stands beside the text.
const wideLesson = 130

// textWidth is the width of the text column.
func (s *lessonScreen) textWidth() int {
	if s.size.Width >= wideLesson && s.lesson.Task != nil {
		return widest
	}
	return s.size.Width
}

// render lays the text out anew for the size and the hints shown.
func (s *lessonScreen) render() {
	l, width := s.lesson, s.textWidth()
	s.lines = nil
	add := func(text string) int {
		if text == "" {
			return 0
		}
		if len(s.lines) > 0 {
			s.lines = append(s.lines, "")
		}
		at := len(s.lines)
		s.lines = append(s.lines, strings.Split(text, "\n")...)
		return at
	}
	add(s.cautions(width))
	add(s.bullets("You can afterwards", l.Objectives, width))
	add(s.theme.render(seat.Body(l), width))
	s.task = add(s.taskText(width))
	for i := range s.hints {
		s.tip = add(s.theme.render(fmt.Sprintf("## Hint %d of %d\n\n%s", i+1, len(l.Hints), l.Hints[i]), width))
	}
	add(s.bullets("Sources", l.Sources, width))
}

// cautions are set apart by a mark on every line, not by colour alone.
func (s *lessonScreen) cautions(width int) string {
	if len(s.lesson.Cautions) == 0 {
		return ""
	}
	mark := " " + s.theme.Warn.Render("!") + " "
	lines := []string{mark + s.theme.Warn.Render("Caution")}
	for _, c := range s.lesson.Cautions {
		for _, line := range strings.Split(report.Wrap(c, "", min(width, widest)-5), "\n") {
			lines = append(lines, mark+line)
		}
	}
	return strings.Join(lines, "\n")
}

// bullets are a heading with a list below.
func (s *lessonScreen) bullets(title string, items []string, width int) string {
	if len(items) == 0 {
		return ""
	}
	lines := []string{" " + s.theme.heading(title), ""}
	for _, item := range items {
		lines = append(lines, bullet(" "+s.theme.Dot, item, min(width, widest)))
	}
	return strings.Join(lines, "\n")
}

func (s *lessonScreen) View(t *Theme, width, height int) string {
	text := strings.Join(s.lines[min(s.at, len(s.lines)):min(len(s.lines), s.at+height)], "\n")
	if s.textWidth() == width {
		return text
	}
	aside := s.aside(t, width-widest-4)
	if s.cell != nil {
		aside = strings.Join(s.cell, "\n") + "\n\n" + aside
	}
	return beside(fill(text, height), aside, " "+t.Faint.Render(t.Bar)+"  ", widest)
}

// aside is what stands beside the text in a wide window.
func (s *lessonScreen) aside(t *Theme, width int) string {
	width = min(width, widest)
	lines := []string{" " + t.heading("Where you stand"), "", report.Wrap(seat.Progress(s.lesson, s.standing), " ", width), ""}
	if first := s.standing.First; len(first) > 0 {
		for _, f := range first {
			lines = append(lines, report.Wrap("This lesson builds on: "+f.Title, " ", width))
		}
		lines = append(lines, "")
	}
	return strings.Join(lines, "\n") + "\n" + s.taskText(width)
}

// taskText is the task and what is measured.
func (s *lessonScreen) taskText(width int) string {
	task := s.lesson.Task
	if task == nil {
		return ""
	}
	t := s.theme
	width = min(width, widest)
	lines := []string{
		" " + t.heading("The task"), "",
		report.Wrap(task.Goal, " ", width), "",
		report.Wrap(seat.Mode(task), " ", width), "",
	}
	if own := seat.OwnCell(s.lesson); own != "" {
		lines = append(lines, report.Wrap(own, " ", width), "")
	}
	lines = append(lines, " "+t.heading("What is measured"), "")
	for i := range task.Checks {
		lines = append(lines, bullet(" "+t.Dot, seat.Asked(&task.Checks[i]), width))
	}
	if len(task.Checks) > 0 {
		lines = append(lines, "")
	}
	return strings.Join(append(lines, report.Wrap(seat.PassRule(task), " ", width)), "\n")
}
