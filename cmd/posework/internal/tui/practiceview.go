package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"posework/cmd/posework/internal/bench"
	"posework/cmd/posework/internal/picture"
	"posework/engine/practice"
	"posework/grader/report"
)

// Widths and heights from which there is room for more.
const (
	narrow    = 100 // below, one panel beside the picture shows one area at a time
	wide      = 150 // two panels beside each other
	tallPanel = 30  // the read-out and another area under each other
	footRows  = 2
)

// The widths of a panel: of the read-out, and of the lists where there is room.
const (
	panelCols = 34
	listCols  = 48
)

// layout is where everything stands on the practice screen.
type layout struct {
	picture picture.Size
	panels  []int // the widths of those beside each other
	rows    int   // of the panels and the picture with its trace
	trace   int   // rows of the speed trace under the picture
}

func (s *practiceScreen) layout() layout {
	w, h := s.size.Width, s.size.Height
	l := layout{panels: []int{panelCols}, trace: 1, rows: max(3, h-1-footRows)}
	if w >= wide {
		l.panels = append(l.panels, min(max(panelCols, w-wide+panelCols), listCols))
	}
	if h >= 40 {
		l.trace = 3
	}
	for _, cols := range l.panels {
		w -= cols + 2
	}
	l.picture = picture.Size{Width: max(1, w), Height: max(1, l.rows-l.trace)}
	return l
}

func (s *practiceScreen) View(t *Theme, width, height int) string {
	if s.bench == nil {
		return s.fileView(t, width)
	}
	r := s.bench.Control.Read()
	l := s.layout()
	left := append(s.look.draw(s.scene(), l.picture), s.traceRows(t, &r, l)...)
	right := s.panels(t, &r, l)
	var b strings.Builder
	b.WriteString(s.banner(t, &r, width))
	bar := " " + t.Faint.Render(t.Bar)
	for i := range left {
		b.WriteByte('\n')
		b.WriteString(left[i])
		for k, panel := range right {
			b.WriteString(bar)
			if i < len(panel) {
				b.WriteString(panel[i])
			} else {
				b.WriteString(strings.Repeat(" ", l.panels[k]))
			}
		}
	}
	for _, line := range s.foot(t, &r, width) {
		b.WriteByte('\n')
		b.WriteString(line)
	}
	return b.String()
}

// fileView asks for the program file.
func (s *practiceScreen) fileView(t *Theme, width int) string {
	lines := []string{
		"", " " + t.heading("The program file"), "",
		report.Wrap("What you teach and write at the bench is this file, saved after every change. A file that exists is opened, comments and all; else a new one is begun.", " ", min(width, widest)),
		"", "  " + s.file.View(t, width-4), "",
	}
	if s.seat.Folder != "" {
		lines = []string{"", " " + t.heading("The program file"), ""}
	}
	if s.wait != "" {
		return strings.Join(append(lines, " "+s.wheel.View()+" "+s.wait), "\n")
	}
	for i, w := range s.wrong {
		mark := "   "
		if i == 0 {
			mark = " " + t.Bad.Render("!") + " "
		}
		lines = append(lines, mark+strings.TrimLeft(report.Wrap(w, "   ", min(width, widest)), " "))
	}
	if len(s.lesson.Cautions) > 0 {
		lines = append(lines, "", " "+t.Warn.Render("! Caution"))
		for _, c := range s.lesson.Cautions {
			lines = append(lines, report.Wrap(c, "   ", min(width, widest)))
		}
	}
	return strings.Join(lines, "\n")
}

// banner is the state of the devices in one line.
func (s *practiceScreen) banner(t *Theme, r *practice.Reading, width int) string {
	var parts []string
	add := func(text string) { parts = append(parts, text) }
	add(t.Title.Render(strings.ToUpper(r.Mode.String())))
	switch {
	case r.Latched:
		add(t.Bad.Render("EMERGENCY STOP IS IN (! lets it out)"))
	case r.Tripped:
		add(t.Bad.Render("A STOP IS IN FORCE (k resets it)"))
	}
	device := "device " + r.Grip.String()
	switch {
	case r.Spent && r.Grip != practice.Squeezed:
		device = t.Warn.Render("device: release it first (z)")
	case r.Grip == practice.Squeezed:
		device = t.Warn.Render("device SQUEEZED (z lets go)")
	case r.Enabled:
		device = t.Good.Render("device in the middle")
	}
	if r.Mode == practice.Manual {
		add(device)
	}
	drives := "drives off"
	if r.Drives {
		drives = t.Good.Render("drives on")
	}
	add(drives)
	gate := "gate closed"
	if r.GateOpen {
		gate = "gate open"
	}
	add(gate)
	if r.Mode == practice.Automatic {
		add(fmt.Sprintf("%.0f %% speed", 100*r.Share))
	} else {
		add(fmt.Sprintf("at most %.0f mm/s", r.SpeedMMS))
	}
	if r.Moving {
		add(t.Good.Render("MOVING"))
	}
	line := " " + parts[0]
	for _, part := range parts[1:] {
		if lineWidth(line)+2+lineWidth(part) > width {
			break // what stands first matters most
		}
		line += "  " + part
	}
	return line
}

// traceRows are the speed of late and its value now.
func (s *practiceScreen) traceRows(t *Theme, r *practice.Reading, l layout) []string {
	limit, of := r.SpeedMMS, fmt.Sprintf("of %.0f mm/s", r.SpeedMMS)
	if r.Mode == practice.Automatic {
		limit, of = 1000, "mm/s"
	}
	label := fmt.Sprintf(" fastest point %3.0f %s ", r.FastestMMS, of)
	w := max(1, l.picture.Width-lineWidth(label)-1)
	bars := s.trace.draw(w, l.trace, limit, t.Rule != "-")
	for i := range bars {
		text := strings.Repeat(" ", lineWidth(label))
		if i == len(bars)-1 {
			text = label
		}
		bars[i] = pad(text+t.Faint.Render(bars[i]), l.picture.Width)
	}
	return bars
}

// foot is what was said last: what the arm ran into and what helps, an answer to
// the last key, or what is asked.
func (s *practiceScreen) foot(t *Theme, r *practice.Reading, width int) []string {
	lines := make([]string, 0, footRows)
	put := func(style string, text string) {
		for _, line := range strings.Split(report.Wrap(text, "   ", width), "\n") {
			if len(lines) == 0 {
				line = " " + style + " " + strings.TrimLeft(line, " ")
			}
			lines = append(lines, line)
		}
	}
	bad, warn := t.Bad.Render("!"), t.Warn.Render("!")
	switch {
	case s.wait != "":
		put(s.wheel.View(), s.wait)
	case s.ask != nil:
		if f := s.ask.typed; f != nil {
			put(t.Key.Render("?"), s.ask.text+":")
			last := len(lines) - 1
			lines[last] += " " + f.View(t, width-lineWidth(lines[last])-2)
			break
		}
		put(t.Key.Render("?"), s.ask.text+" y or esc")
	case s.said != "" && s.sorry:
		put(warn, s.said)
	case s.said != "":
		put(" ", s.said)
	case r.Refused != nil:
		put(warn, r.Refused.Error())
	case r.Block != nil:
		put(bad, r.Block.Text)
		if len(r.Block.Help) > 0 {
			lines = append(lines, "   Try: "+strings.Join(r.Block.Help, "; or "))
		}
	case s.bench.Planning():
		put(" ", "planning the program")
	case len(s.bench.Trouble()) > 0:
		d := s.bench.Trouble()[0]
		put(warn, d.String())
	case r.Plan != nil && r.OnTrack != nil && !r.Moving:
		put(" ", r.OnTrack.Error()+" (b brings it back, e sets the cell up)")
	case r.Ended != "":
		put(" ", r.Ended)
	}
	if text := s.chosenText(); text != "" && len(lines) < footRows && s.ask == nil {
		lines = append(lines, "   "+text)
	}
	for len(lines) < footRows {
		lines = append(lines, "")
	}
	for i := range lines {
		lines[i] = ansi.Truncate(lines[i], width, "")
	}
	return lines[:footRows]
}

// chosenText is the chosen step or pose, for which the list may be too narrow.
func (s *practiceScreen) chosenText() string {
	poses := s.bench.Program().Poses
	switch {
	case s.in == inPoses && s.pose < len(poses):
		return poses[s.pose].Name + ": " + bench.SayPose(&poses[s.pose])
	case s.in == inSteps:
		if row, ok := s.chosenStep(); ok {
			return "step " + row.Number + ": " + row.Text
		}
	}
	return ""
}
