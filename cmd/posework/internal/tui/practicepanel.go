package tui

import (
	"fmt"
	"strings"

	"posework/cmd/posework/internal/bench"
	"posework/engine/practice"
	"posework/kin"
)

// panels are the columns beside the picture, each line as wide as the layout
// says.
func (s *practiceScreen) panels(t *Theme, r *practice.Reading, l layout) [][]string {
	tabs := []string{s.tabs(t)}
	exact := func(lines []string, cols int) []string {
		for i := range lines {
			lines[i] = pad(lines[i], cols)
		}
		return lines
	}
	if len(l.panels) == 2 {
		first := append(append(s.readout(t, r, false), ""), s.signals(t, r, l.rows)...)
		third := max(4, l.rows/3)
		second := append(tabs, s.poses(t, third)...)
		second = append(fillLines(second, third+1), s.steps(t, r, l.rows-third-1)...)
		if s.in == inView {
			first = append(append(s.readout(t, r, false), ""), s.viewInfo(t)...)
		}
		return [][]string{exact(clipLines(first, l.rows), l.panels[0]), exact(clipLines(second, l.rows), l.panels[1])}
	}
	var lines []string
	if l.rows >= tallPanel {
		lines = append(append(tabs, s.readout(t, r, false)...), "")
		in := s.in
		if in == inMove {
			in = inSteps
		}
		lines = append(lines, s.areaLines(t, r, in, l.rows-len(lines))...)
	} else {
		lines = append(tabs, s.areaLines(t, r, s.in, l.rows-1)...)
	}
	return [][]string{exact(clipLines(lines, l.rows), l.panels[0])}
}

func clipLines(lines []string, n int) []string { return lines[:min(len(lines), n)] }

func fillLines(lines []string, n int) []string {
	for len(lines) < n {
		lines = append(lines, "")
	}
	return lines[:n]
}

// areaLines is one area in a number of rows.
func (s *practiceScreen) areaLines(t *Theme, r *practice.Reading, in area, rows int) []string {
	switch in {
	case inPoses:
		return s.poses(t, rows)
	case inSteps:
		return s.steps(t, r, rows)
	case inSignals:
		return s.signals(t, r, rows)
	case inView:
		return s.viewInfo(t)
	}
	return s.readout(t, r, true)
}

// tabs names the areas, the one that the keys are about in brackets.
func (s *practiceScreen) tabs(t *Theme) string {
	words := make([]string, areas)
	for a := range areas {
		words[a] = t.Faint.Render(a.String())
		if a == s.in {
			words[a] = "[" + t.Chosen.Render(a.String()) + "]"
		}
	}
	return strings.Join(words, " ")
}

// readout is where the arm stands and what room is left. short leaves out what
// there is no room for.
func (s *practiceScreen) readout(t *Theme, r *practice.Reading, short bool) []string {
	how := "by axis"
	if s.line {
		how = "straight, in " + s.frameName()
	}
	by := "held"
	if v := increments[s.by]; v > 0 {
		by = fmt.Sprintf("by %g", v)
	}
	if r.Doing.By > 0 && (r.Moving || r.Done > 0) {
		unit, done := "mm", r.Done
		if r.Doing.Kind == practice.JogAxis || r.Doing.Kind == practice.JogAbout {
			unit, done = "deg", kin.Deg(r.Done)
		}
		by += fmt.Sprintf(" (%.2f %s)", done, unit)
		how = strings.TrimPrefix(how, "straight, ") // there is no room for both
	}
	lines := []string{" " + t.heading("How") + " " + how + ", " + by}
	if short && s.line {
		lines = append(lines, s.axesShort(r)...)
	} else {
		lines = append(lines, s.axisLines(t, r)...)
	}
	if short && !s.line {
		lines = append(lines, s.poseShort(r)...)
	} else {
		lines = append(lines, s.poseLines(t, r)...)
	}
	return append(lines, s.rooms(t, r, short)...)
}

func (s *practiceScreen) chosenMark(t *Theme, chosen bool) string {
	return " " + t.point(chosen && s.in == inMove)
}

// few is the room of an axis, rad, below which it is marked.
const fewDegrees = 10

func (s *practiceScreen) axisLines(t *Theme, r *practice.Reading) []string {
	lines := make([]string, 6)
	for i := range lines {
		unit, q, room := "deg", kin.Deg(r.Q[i]), kin.Deg(r.Room[i])
		if s.bench.Cell.Arm.Chain.Prismatic(i) {
			unit, q, room = "mm", r.Q[i], r.Room[i]
		}
		side := "-"
		if r.Upper[i] {
			side = "+"
		}
		text := fmt.Sprintf("%5.1f to %s", room, side)
		if room < fewDegrees {
			text = t.Warn.Render(text + " !")
		}
		chosen := !s.line && s.row == i
		name := fmt.Sprintf("axis %d", i+1)
		if chosen && s.in == inMove {
			name = t.Chosen.Render(name)
		}
		lines[i] = fmt.Sprintf("%s%s %8.2f %-3s %s", s.chosenMark(t, chosen), name, bench.Hundredths(q), unit, text)
	}
	return lines
}

// axesShort is two axes a line: value and, after the stroke, room.
func (s *practiceScreen) axesShort(r *practice.Reading) []string {
	var lines []string
	for i := 0; i < 6; i += 2 {
		lines = append(lines, fmt.Sprintf("  %d%8.2f/%-5.1f  %d%8.2f/%-5.1f", i+1, s.shown(r.Q[i], i), s.shown(r.Room[i], i), i+2, s.shown(r.Q[i+1], i+1), s.shown(r.Room[i+1], i+1)))
	}
	return lines
}

// shown is an angle in degrees, or a length of a sliding axis.
func (s *practiceScreen) shown(v float64, axis int) float64 {
	if !s.bench.Cell.Arm.Chain.Prismatic(axis) {
		v = kin.Deg(v)
	}
	return bench.Hundredths(v)
}

var directions = [6]string{"x", "y", "z", "about x", "about y", "about z"}

func (s *practiceScreen) poseValues() (v [6]float64) {
	at := s.bench.Control.In(s.frameName())
	roll, pitch, yaw := at.R.RPY()
	v = [6]float64{at.T.X, at.T.Y, at.T.Z, kin.Deg(roll), kin.Deg(pitch), kin.Deg(yaw)}
	for i := range v {
		v[i] = bench.Hundredths(v[i])
	}
	return v
}

func (s *practiceScreen) poseIn() string {
	if f := s.frameName(); f != practice.InTool {
		return f
	}
	return practice.InBase
}

func (s *practiceScreen) poseLines(t *Theme, r *practice.Reading) []string {
	lines := []string{" " + t.heading("Tool") + " " + r.Tool.Name + " in " + s.poseIn()}
	for i, v := range s.poseValues() {
		unit := "mm"
		if i >= 3 {
			unit = "deg"
		}
		chosen := s.line && s.row == i
		name := fmt.Sprintf("%-7s", directions[i])
		if chosen && s.in == inMove {
			name = t.Chosen.Render(name)
		}
		lines = append(lines, fmt.Sprintf("%s%s %9.2f %s", s.chosenMark(t, chosen), name, v, unit))
	}
	return lines
}

func (s *practiceScreen) poseShort(r *practice.Reading) []string {
	v := s.poseValues()
	return []string{
		"  Tool " + r.Tool.Name + " in " + s.poseIn(),
		fmt.Sprintf("  xyz %8.1f %8.1f %8.1f", v[0], v[1], v[2]),
		fmt.Sprintf("  rpy %8.1f %8.1f %8.1f", v[3], v[4], v[5]),
	}
}

// rooms are the distances to singularities and bodies.
func (s *practiceScreen) rooms(t *Theme, r *practice.Reading, short bool) []string {
	var lines []string
	if !short {
		lines = append(lines, " "+t.heading("Room"))
	}
	a := &r.Alignments
	warn := func(text string, little bool) string {
		if little {
			return t.Warn.Render(text + " !")
		}
		return text
	}
	item := func(name string, has bool, rad float64) {
		if has {
			lines = append(lines, "  "+warn(fmt.Sprintf("%-8s %6.1f deg to aligned", name, kin.Deg(rad)), kin.Deg(rad) < fewDegrees))
		}
	}
	item("wrist", a.HasWrist, a.Wrist)
	item("elbow", a.HasElbow, a.Elbow)
	if a.HasShoulder {
		lines = append(lines, "  "+warn(fmt.Sprintf("shoulder %6.0f mm to aligned", a.Shoulder), a.Shoulder < 50))
	}
	gap := &r.Gap
	if r.Own.Known && r.Own.MM < 15 && (!gap.Known || r.Own.MM < gap.MM) {
		gap = &r.Own
	}
	if gap.Known {
		lines = append(lines, "  "+warn(fmt.Sprintf("clear    %6.1f mm", gap.MM), gap.MM < 20), "  "+gap.A+" / "+gap.B)
	}
	return append(lines, fmt.Sprintf("  tool     %6.1f mm/s", r.ToolMMS))
}

// poses is the list of poses.
func (s *practiceScreen) poses(t *Theme, rows int) []string {
	poses := s.bench.Program().Poses
	form := "in " + s.recordIn()
	if s.recordIn() == bench.ByAxes {
		form = "by axes"
	}
	lines := []string{" " + t.heading("Poses") + " r records " + form}
	if len(poses) == 0 {
		return append(lines, t.Faint.Render("   none yet"))
	}
	rows = max(1, rows-1)
	first := window(0, s.pose, len(poses), rows)
	for i := first; i < min(len(poses), first+rows); i++ {
		p := &poses[i]
		name := pad(p.Name, 8)
		if lineWidth(p.Name) > 8 {
			name = p.Name
		}
		if i == s.pose && s.in == inPoses {
			name = t.Chosen.Render(name)
		}
		lines = append(lines, " "+t.point(i == s.pose && s.in == inPoses)+name+" "+bench.SayPose(p))
	}
	return lines
}

// steps is the program: what was proved, where it is, and what can be edited.
func (s *practiceScreen) steps(t *Theme, r *practice.Reading, rows int) []string {
	switch {
	case s.kind >= 0:
		return s.kindLines(t)
	case s.form != nil:
		return s.formLines(t)
	}
	list := s.bench.Rows()
	lines := []string{" " + t.heading("Steps") + " " + s.progress(r)}
	if len(list) == 0 {
		return append(lines, t.Faint.Render("   none yet; a adds one"))
	}
	rows = max(1, rows-1)
	at := s.step
	current := s.currentRow(r, list)
	if s.in != inSteps && current >= 0 {
		at = current
	}
	first := window(0, at, len(list), rows)
	proved := s.provedRows(r, list)
	for i := first; i < min(len(list), first+rows); i++ {
		row := &list[i]
		mark := " "
		switch {
		case i == current && r.Within:
			mark = "*" // the arm stands within it
		case i == current:
			mark = ">"
		case proved[i]:
			mark = "+"
		}
		text := row.Number + " " + row.Text
		if i == s.step && s.in == inSteps {
			text = t.Chosen.Render(text)
		}
		lines = append(lines, t.point(i == s.step && s.in == inSteps)+mark+strings.Repeat(" ", row.Depth)+text)
	}
	return lines
}

// progress says how far the program has been run.
func (s *practiceScreen) progress(r *practice.Reading) string {
	if r.Plan == nil {
		return ""
	}
	n, done := len(r.Plan.Steps), 0
	for _, p := range r.Proved {
		if p {
			done++
		}
	}
	next := "at the end"
	if r.Step < n {
		next = "next " + r.Plan.Steps[r.Step].Label
		if r.Within {
			next = "within " + r.Plan.Steps[r.Step].Label
		}
	}
	return fmt.Sprintf("%s, %d of %d proved", next, done, n)
}

// currentRow is the row of the step that the program is at, -1 at its end.
func (s *practiceScreen) currentRow(r *practice.Reading, list []bench.Row) int {
	if r.Plan == nil || r.Step >= len(r.Plan.Steps) {
		return -1
	}
	return rowOf(list, r, r.Step)
}

func rowOf(list []bench.Row, r *practice.Reading, step int) int {
	for i := range list {
		if list[i].Step == r.Plan.Steps[step].Source {
			return i
		}
	}
	return -1
}

// provedRows marks the rows of which every execution was run singly.
func (s *practiceScreen) provedRows(r *practice.Reading, list []bench.Row) []bool {
	proved := make([]bool, len(list))
	if r.Plan == nil {
		return proved
	}
	index := make(map[any]int, len(list))
	for i := range list {
		index[list[i].Step] = i
	}
	seen := make([]bool, len(list))
	for k := range r.Plan.Steps {
		i, ok := index[r.Plan.Steps[k].Source]
		if !ok {
			continue
		}
		proved[i] = r.Proved[k] && (proved[i] || !seen[i])
		seen[i] = true
	}
	return proved
}

func (s *practiceScreen) kindLines(t *Theme) []string {
	lines := []string{" " + t.heading("Add a step")}
	for i, k := range bench.Kinds() {
		text := k
		if i == s.kind {
			text = t.Chosen.Render(text)
		}
		lines = append(lines, " "+t.point(i == s.kind)+text)
	}
	return lines
}

func (s *practiceScreen) formLines(t *Theme) []string {
	number := ""
	if row, ok := s.chosenStep(); ok {
		number = row.Number
	}
	lines := []string{" " + t.heading("Edit step") + " " + number}
	for i, f := range s.bench.Fields(s.form.at) {
		value := f.Value
		name := pad(f.Name, 10)
		chosen := i == s.form.chosen
		switch {
		case chosen && s.form.typed != nil:
			value = s.form.typed.View(t, 18)
		case chosen:
			value = "< " + t.Chosen.Render(value) + " >"
		default:
			value = "  " + value
		}
		lines = append(lines, " "+t.point(chosen)+name+value)
	}
	return lines
}

// signals are the signals of the cell and what is held.
func (s *practiceScreen) signals(t *Theme, r *practice.Reading, rows int) []string {
	lines := []string{" " + t.heading("Signals")}
	sigs := s.bench.Cell.Signals
	if len(sigs) == 0 {
		lines = append(lines, t.Faint.Render("   the cell has none"))
	}
	first := window(0, s.signal, len(sigs), max(1, rows-3))
	for i := first; i < min(len(sigs), first+max(1, rows-3)); i++ {
		kind := "in "
		if sigs[i].Output {
			kind = "out"
		}
		name := pad(sigs[i].Name, 14)
		if i == s.signal && s.in == inSignals {
			name = t.Chosen.Render(name)
		}
		lines = append(lines, fmt.Sprintf(" %s%s %s %s", t.point(i == s.signal && s.in == inSignals), kind, name, onOff(t, r.Scene.Signals[i])))
	}
	if len(s.bench.Cell.Parts) > 0 {
		held := "the tool holds nothing"
		if h := r.Scene.Held; h >= 0 {
			held = "the tool holds " + s.bench.Cell.Parts[h].Name
		}
		lines = append(lines, "   "+held)
	}
	return lines
}

func onOff(t *Theme, on bool) string {
	if on {
		return t.Good.Render("ON")
	}
	return "off"
}

func (s *practiceScreen) viewInfo(t *Theme) []string {
	c := s.look.cam
	return []string{
		" " + t.heading("View"),
		fmt.Sprintf("   from %.0f deg, %.0f deg up", kin.Deg(c.Turn), kin.Deg(c.Tilt)),
		fmt.Sprintf("   %.0f mm across", c.Across),
		fmt.Sprintf("   centre %.0f %.0f %.0f", c.Centre.X, c.Centre.Y, c.Centre.Z),
		"",
		"   arrows turn and tilt",
		"   + and - zoom, 0 fits",
		"   page keys, home, end pan",
		"   v: corner, front, side, top",
		"   n names, g glyphs, c clears",
	}
}
