package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/grader/report"
	"posework/lessons"
)

// courseScreen lists the lessons by module and the refreshers, with where the
// learner stands.
type courseScreen struct {
	seat       *seat.Seat
	standings  map[string]seat.Standing
	refreshers []seat.DeckStanding
	find       string
	chosen     int  // into shown()
	rows       int  // rows that fit
	guest      bool // it lies on another screen, to which esc leads back
}

func newCourseScreen(s *seat.Seat) *courseScreen { return &courseScreen{seat: s, rows: 1} }

func (s *courseScreen) Title() string { return "Course" }

var courseKeys = keyTable{
	{open, []string{"enter"}, "enter", "open", "open the lesson or refresher"},
	{goUp, []string{"up"}, "up", "", "one line up"},
	{goDown, []string{"down"}, "down", "choose", "one line down"},
	{goPageUp, []string{"pgup"}, "page up", "", "one page up"},
	{goPageDown, []string{"pgdown"}, "page down", "", "one page down"},
	{goFirst, []string{"home"}, "home", "", "to the first line"},
	{goLast, []string{"end"}, "end", "", "to the last line"},
	{nothing, nil, "letters", "find", "find by words of title, module or objectives"},
	{erase, []string{"backspace"}, "backspace", "", "take back a letter"},
	{leave, []string{"esc"}, "esc", "", "show all again"},
	{nothing, []string{"ctrl+c"}, "ctrl+c", "leave", "leave posework; what you handed in and answered is kept"},
}

func (s *courseScreen) Keys() keyTable { return courseKeys }

// entry is one row to open: a lesson, or else a refresher.
type entry struct {
	lesson    *lessons.Lesson
	refresher *seat.DeckStanding
}

// module is what an entry is listed under.
func (e entry) module() string {
	if e.lesson != nil {
		return e.lesson.Module
	}
	return seat.RefresherModule
}

// shown returns what has every word that is searched for: lessons, then
// refreshers.
func (s *courseScreen) shown() []entry {
	var list []entry
	for _, l := range s.seat.Course.Lessons {
		if seat.Matches(l, s.find) {
			list = append(list, entry{lesson: l})
		}
	}
	for i := range s.refreshers {
		if d := &s.refreshers[i]; seat.HasWords(seat.RefresherModule+" "+d.Title()+" "+d.ID(), s.find) {
			list = append(list, entry{refresher: d})
		}
	}
	return list
}

func (s *courseScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case standingsRead:
		if msg.err == nil {
			s.standings, s.refreshers = msg.all, msg.refreshers
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
		switch {
		case to >= len(list):
		case list[to].lesson != nil:
			return s, send(openLesson{list[to].lesson})
		default:
			return s, send(openDeck{*list[to].refresher})
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
		switch {
		case s.find != "":
		case s.guest:
			return s, send(goBack{})
		default:
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
	var chosen entry
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
func (s *courseScreen) list(t *Theme, list []entry, width, height int) string {
	var lines []string
	at, passed := 0, 0
	module := ""
	for i, e := range list {
		if e.module() != module {
			if module != "" {
				lines = append(lines, "")
			}
			module = e.module()
			lines = append(lines, " "+t.heading(module))
		}
		if i == s.chosen {
			at = len(lines)
		}
		lines = append(lines, s.row(t, e, i == s.chosen, width))
	}
	for _, st := range s.standings {
		if st.State == seat.Passed {
			passed++
		}
	}
	head := fmt.Sprintf(" %d of %s passed", passed, diag.Count(len(s.seat.Course.Lessons), "lesson", "lessons"))
	if len(s.refreshers) > 0 && s.refreshers[0].Due > 0 {
		head += fmt.Sprintf(", %s due", diag.Count(s.refreshers[0].Due, "question", "questions"))
	}
	if s.find != "" {
		head = " Find: " + t.Key.Render(s.find) + t.Faint.Render("_")
		if len(list) == 0 {
			lines = append(lines, " No lesson or refresher has these words. esc shows all again.")
		}
	}
	height -= 2
	// One line above the chosen lesson stays in sight: its module, often.
	first := window(window(0, max(0, at-1), len(lines), height), at, len(lines), height)
	return t.Faint.Render(head) + "\n\n" + clip(strings.Join(lines[min(first, len(lines)):], "\n"), width, height)
}

func (s *courseScreen) row(t *Theme, e entry, chosen bool, width int) string {
	const stateWidth = 16
	var left, right string
	if l := e.lesson; l != nil {
		left = fmt.Sprintf(" %s%2d  %s", t.point(chosen), s.seat.Number(l), l.Title)
		right = fmt.Sprintf("%3d min   %s", l.Minutes, s.state(t, l, stateWidth))
	} else {
		left = fmt.Sprintf(" %s    %s", t.point(chosen), e.refresher.Title())
		right = pad(e.refresher.State(), stateWidth)
		if e.refresher.Due > 0 {
			right = t.Warn.Render(right)
		}
	}
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

// about tells of the chosen entry.
func (s *courseScreen) about(t *Theme, e entry, width int) string {
	width = min(width, widest)
	switch {
	case e.lesson != nil:
		return s.aboutLesson(t, e.lesson, width)
	case e.refresher != nil:
		return aboutRefresher(t, e.refresher, width)
	}
	return ""
}

func aboutRefresher(t *Theme, d *seat.DeckStanding, width int) string {
	lines := []string{" " + t.Title.Render(d.Title())}
	lines = append(lines, report.Wrap(fmt.Sprintf("%s due, %d never asked. Four questions before a shift, and a signature under them.", diag.Count(d.Due, "question", "questions"), d.New), " ", width))
	if d.Deck != nil {
		for _, p := range d.Deck.Points {
			lines = append(lines, bullet(" "+t.Dot, p, width))
		}
	}
	return strings.Join(lines, "\n")
}

func (s *courseScreen) aboutLesson(t *Theme, l *lessons.Lesson, width int) string {
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
