package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/seat"
	"posework/grader/report"
	"posework/lessons"
)

// courseScreen lists the lessons by module, with where the learner stands.
type courseScreen struct {
	seat      *seat.Seat
	standings map[string]seat.Standing
	find      string
	chosen    int // into shown()
	rows      int // rows that fit
}

func newCourseScreen(s *seat.Seat) *courseScreen { return &courseScreen{seat: s, rows: 1} }

func (s *courseScreen) Title() string { return "Course" }

var courseKeys = keyTable{
	{open, []string{"enter"}, "enter", "open", "open the lesson"},
	{goUp, []string{"up"}, "up", "", "one lesson up"},
	{goDown, []string{"down"}, "down", "choose", "one lesson down"},
	{goPageUp, []string{"pgup"}, "page up", "", "one page up"},
	{goPageDown, []string{"pgdown"}, "page down", "", "one page down"},
	{goFirst, []string{"home"}, "home", "", "to the first lesson"},
	{goLast, []string{"end"}, "end", "", "to the last lesson"},
	{nothing, nil, "letters", "find", "find lessons by words of their title, module or objectives"},
	{erase, []string{"backspace"}, "backspace", "", "take back a letter"},
	{leave, []string{"esc"}, "esc", "", "show all lessons again"},
	{nothing, []string{"ctrl+c"}, "ctrl+c", "leave", "leave posework; what you handed in and answered is kept"},
}

func (s *courseScreen) Keys() keyTable { return courseKeys }

// shown returns the lessons that hold every word of what is searched for.
func (s *courseScreen) shown() []*lessons.Lesson {
	var list []*lessons.Lesson
	for _, l := range s.seat.Course.Lessons {
		if seat.Matches(l, s.find) {
			list = append(list, l)
		}
	}
	return list
}

func (s *courseScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case standingsRead:
		if msg.err == nil {
			s.standings = msg.all
		}
	case tea.WindowSizeMsg:
		s.rows = max(1, listHeight(msg.Height))
	case tea.KeyMsg:
		return s.key(msg)
	}
	return s, nil
}

func (s *courseScreen) key(msg tea.KeyMsg) (screen, tea.Cmd) {
	list := s.shown()
	to := s.chosen
	switch courseKeys.match(msg.String()) {
	case open:
		if to < len(list) {
			return s, send(openLesson{list[to]})
		}
	case goUp:
		to--
	case goDown:
		to++
	case goPageUp:
		to -= s.rows
	case goPageDown:
		to += s.rows
	case goFirst:
		to = 0
	case goLast:
		to = len(list) - 1
	case erase:
		if r := []rune(s.find); len(r) > 0 {
			s.find, to = string(r[:len(r)-1]), 0
		}
	case leave:
		if s.find == "" {
			return s, send(say{"ctrl+c leaves posework"})
		}
		s.find, to = "", 0
	default:
		if msg.Type == tea.KeyRunes || msg.Type == tea.KeySpace && s.find != "" {
			s.find, to = s.find+string(msg.Runes), 0
		}
	}
	s.chosen = max(0, min(to, len(s.shown())-1))
	return s, nil
}

// listHeight is how many of the body's lines the list gets; the rest tells of
// the chosen lesson.
func listHeight(height int) int { return height - detailHeight(height) }

func detailHeight(height int) int { return min(12, max(6, height/3)) }

// wideList is the width from which the chosen lesson is told beside the list.
const wideList = 120

func (s *courseScreen) View(t *Theme, width, height int) string {
	list := s.shown()
	var chosen *lessons.Lesson
	if s.chosen < len(list) {
		chosen = list[s.chosen]
	}
	if width >= wideList {
		left := min(92, width*3/5)
		return beside(s.list(t, list, left, height), s.about(t, chosen, width-left-5), "  "+t.Faint.Render(t.Bar)+"  ", left)
	}
	h := listHeight(height)
	return fill(clip(s.list(t, list, width, h), width, h), h) + "\n" +
		t.Faint.Render(strings.Repeat(t.Rule, width)) + "\n" +
		s.about(t, chosen, width)
}

// list draws the lessons under their modules, the chosen one in sight.
func (s *courseScreen) list(t *Theme, list []*lessons.Lesson, width, height int) string {
	var lines []string
	at, passed := 0, 0
	module := ""
	for i, l := range list {
		if l.Module != module {
			if module != "" {
				lines = append(lines, "")
			}
			module = l.Module
			lines = append(lines, " "+t.heading(module))
		}
		if i == s.chosen {
			at = len(lines)
		}
		lines = append(lines, s.row(t, l, i == s.chosen, width))
	}
	for _, st := range s.standings {
		if st.State == seat.Passed {
			passed++
		}
	}
	head := fmt.Sprintf(" %d of %s passed", passed, report.Count(len(s.seat.Course.Lessons), "lesson", "lessons"))
	if s.find != "" {
		head = " Find: " + t.Key.Render(s.find) + t.Faint.Render("_")
		if len(list) == 0 {
			lines = append(lines, " No lesson has these words. esc shows all lessons again.")
		}
	}
	height -= 2
	// One line above the chosen lesson stays in sight: its module, often.
	first := window(window(0, max(0, at-1), len(lines), height), at, len(lines), height)
	return t.Faint.Render(head) + "\n\n" + clip(strings.Join(lines[min(first, len(lines)):], "\n"), width, height)
}

func (s *courseScreen) row(t *Theme, l *lessons.Lesson, chosen bool, width int) string {
	const stateWidth = 16
	left := fmt.Sprintf(" %s%2d  %s", t.point(chosen), s.seat.Number(l), l.Title)
	right := fmt.Sprintf("%3d min   %s", l.Minutes, s.state(t, l, stateWidth))
	if chosen {
		left = t.Chosen.Render(left)
	}
	return ends(left, right, width)
}

// state is where the learner stands, in a word or two.
func (s *courseScreen) state(t *Theme, l *lessons.Lesson, width int) string {
	st := s.standings[l.ID]
	text := pad(s.seat.State(l, st), width)
	switch st.State {
	case seat.Passed:
		return t.Good.Render(text)
	case seat.Started:
		return t.Warn.Render(text)
	case seat.Waits:
		return t.Faint.Render(text)
	}
	return text
}

// about tells of one lesson.
func (s *courseScreen) about(t *Theme, l *lessons.Lesson, width int) string {
	if l == nil {
		return ""
	}
	width = min(width, widest)
	var lines []string
	for _, line := range strings.Split(report.Wrap(l.Title, " ", width), "\n") {
		lines = append(lines, t.Title.Render(line))
	}
	if state := seat.Progress(l, s.standings[l.ID]); state != "" {
		lines = append(lines, report.Wrap(state, " ", width))
	}
	if first := s.standings[l.ID].First; len(first) > 0 {
		var titles []string
		for _, f := range first {
			titles = append(titles, fmt.Sprintf("%d %s", s.seat.Number(f), f.Title))
		}
		lines = append(lines, report.Wrap("Builds on: "+strings.Join(titles, "; "), " ", width))
	}
	for _, o := range l.Objectives {
		lines = append(lines, bullet(" "+t.Dot, o, width))
	}
	return strings.Join(lines, "\n")
}
