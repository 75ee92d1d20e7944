package tui

import (
	"fmt"
	"strings"

	"posework/cmd/posework/internal/host/room"
	"posework/engine/diag"
)

// wideDesk is the width from which what was found stands beside the class.
const wideDesk = 110

func (s *deskScreen) View(t *Theme, width, height int) string {
	head := s.head(t)
	rows := max(1, height-2)
	if s.ask != nil {
		rows--
	}
	var body string
	if width >= wideDesk {
		found := max(40, width/4)
		body = beside(fill(s.class(t, width-found-4, rows), rows), s.found(t, found, rows), " "+t.Faint.Render(t.Bar)+" ", width-found-4)
	} else {
		list := max(3, rows*2/3)
		body = fill(s.class(t, width, list), list) + "\n" + s.found(t, width, rows-list)
	}
	view := head + "\n\n" + fill(clip(body, width, rows), rows)
	if s.ask != nil {
		view += "\n" + askLine(t, s.ask, width)
	}
	return view
}

// askedBelow is a view with the question that is asked in its last line, if there
// is one.
func askedBelow(t *Theme, ask *question, view string, width, height int) string {
	if ask == nil {
		return view
	}
	return fill(clip(view, width, height-1), height-1) + "\n" + askLine(t, ask, width)
}

// askLine is a question with what is typed.
func askLine(t *Theme, q *question, width int) string {
	line := " " + t.Key.Render("?") + " " + q.text
	if q.typed == nil {
		return line + " y or esc"
	}
	line += ": "
	return line + q.typed.View(t, max(10, width-lineWidth(line)-1))
}

func (s *deskScreen) head(t *Theme) string {
	stuck := 0
	for i := range s.state.Rows {
		if s.state.Rows[i].Stuck != "" {
			stuck++
		}
	}
	parts := []string{diag.Count(len(s.state.Rows), "learner is in", "learners are in"), fmt.Sprintf("%d stuck", stuck)}
	if e := s.state.Exam; e != nil {
		parts = append(parts, t.Warn.Render(fmt.Sprintf("examination %s, %d min left", e.Title, int(e.Until.Sub(s.state.At).Minutes())+1)))
	}
	if len(s.state.Closed) > 0 {
		parts = append(parts, diag.Count(len(s.state.Closed), "lesson closed", "lessons closed"))
	}
	return " " + strings.Join(parts, "   ")
}

// class lists the learners.
func (s *deskScreen) class(t *Theme, width, height int) string {
	if len(s.state.Rows) == 0 {
		return t.Faint.Render(" nobody is in yet")
	}
	name := min(24, width/3)
	lines := make([]string, 0, height)
	first := window(0, s.chosen, len(s.state.Rows), height)
	for i := first; i < min(len(s.state.Rows), first+height); i++ {
		r := &s.state.Rows[i]
		left := " " + t.point(i == s.chosen) + pad(r.Name, name) + "  "
		if i == s.chosen {
			left = t.Chosen.Render(left)
		}
		lines = append(lines, left+s.standing(t, r, width-name-6))
	}
	return strings.Join(lines, "\n")
}

// standing is where a learner is and how it goes.
func (s *deskScreen) standing(t *Theme, r *room.Row, width int) string {
	state := ""
	switch {
	case r.Stuck != "":
		state = t.Bad.Render("STUCK")
		if r.Misses >= room.StuckMisses {
			state = t.Bad.Render(fmt.Sprintf("STUCK %d hand-ins", r.Misses))
		}
	case r.Away:
		state = t.Faint.Render("away")
	case r.Passed:
		state = t.Good.Render("passed")
	}
	text := r.Doing
	if r.Title != "" {
		text = fmt.Sprintf("%s, %s: %s", r.Doing, ago(r.Since, s.state.At), r.Title)
	}
	return ends(text, state, width)
}

// found lists what was found, the most frequent first.
func (s *deskScreen) found(t *Theme, width, height int) string {
	if height < 2 {
		return ""
	}
	lines := []string{" " + t.heading("Found so far")}
	if len(s.state.Found) == 0 {
		lines = append(lines, t.Faint.Render(" nothing yet"))
	}
	for _, f := range s.state.Found {
		if len(lines) >= height {
			break
		}
		lines = append(lines, pad(fmt.Sprintf("%4d  %s", f.Count, f.Title), width))
	}
	return strings.Join(lines, "\n")
}
