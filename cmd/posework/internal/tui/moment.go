package tui

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"posework/cmd/posework/internal/picture"
	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/engine/motion"
	"posework/engine/practice"
	"posework/engine/program"
	"posework/grader"
	"posework/grader/report"
	"posework/kin"
)

// momentScreen shows the cell at the moment of a finding, with what was measured
// and the limit; the time can be moved to and fro.
type momentScreen struct {
	clock   clock
	outcome *seat.Outcome
	chosen  int // finding
	size    tea.WindowSizeMsg
	look    lookout

	plan  *motion.Trajectory // nil until it is planned
	wrong string
	at    float64 // s
	path  []kin.Vec
	play  bool
	last  time.Time
}

func newMomentScreen(t *Theme, c clock, o *seat.Outcome, finding int) *momentScreen {
	return &momentScreen{clock: c, outcome: o, chosen: finding, look: newLookout(t)}
}

func (s *momentScreen) Title() string {
	return diag.Visible(filepath.Base(s.outcome.File)) + ", moment by moment: " + s.outcome.Lesson.Title
}

// The actions of this screen.
const (
	timeBack action = iota + 200
	timeOn
	timeBackFar
	timeOnFar
	timeFirst
	timeLast
	nextFinding
	lastFinding
	playOrRest
)

var momentKeys = append(keyTable{
	{timeBack, []string{"left"}, "left", "", "a twentieth of a second back"},
	{timeOn, []string{"right"}, "right", "time", "a twentieth of a second on"},
	{timeBackFar, []string{"pgup"}, "page up", "", "half a second back"},
	{timeOnFar, []string{"pgdown"}, "page down", "", "half a second on"},
	{playOrRest, []string{" "}, "space", "play", "let time run, or hold it"},
	{timeFirst, []string{"home"}, "home", "", "to where the finding begins"},
	{timeLast, []string{"end"}, "end", "", "to where it ends"},
	{lastFinding, []string{"up"}, "up", "", "the finding before"},
	{nextFinding, []string{"down"}, "down", "finding", "the next finding"},
	{turnLeft, []string{"a"}, "a", "", "walk round the cell to the left"},
	{turnRight, []string{"d"}, "d", "", "walk round the cell to the right"},
	{tiltUp, []string{"w"}, "w", "", "look from higher up"},
	{tiltDown, []string{"s"}, "s", "", "look from lower down"},
	{showNames, []string{"n"}, "n", "", "names of things, or none"},
	{otherGlyphs, []string{"g"}, "g", "", "dots, or letters and signs where dots have gaps"},
}, append(append(keyTable{}, viewAnywhere...), leaving)...)

func (s *momentScreen) Keys() keyTable { return momentKeys }

type momentPlanned struct {
	outcome *seat.Outcome
	plan    *motion.Trajectory
	wrong   string
}

// Begin plans the program again, as the grader did.
func (s *momentScreen) Begin() tea.Cmd {
	o := s.outcome
	return func() tea.Msg {
		p, l := program.Read(filepath.Base(o.File), o.Text)
		if len(l) == 0 {
			var tr *motion.Trajectory
			if tr, l = motion.Plan(o.Lesson.Cell, p, motion.Options{Start: o.Lesson.Task.Start}); len(l) == 0 {
				return momentPlanned{o, tr, ""}
			}
		}
		return momentPlanned{o, nil, l[0].String()}
	}
}

func (s *momentScreen) finding() *grader.Finding { return &s.outcome.Mark.Findings[s.chosen] }

func (s *momentScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		s.size = msg
		s.refit()
	case momentPlanned:
		if msg.outcome != s.outcome || s.plan != nil {
			return s, nil
		}
		s.plan, s.wrong = msg.plan, msg.wrong
		if s.plan != nil {
			s.path = samplePath(s.plan)
			s.toFinding()
			s.refit()
		}
	case timePassed:
		return s, s.passed(msg.now)
	case tea.KeyMsg:
		return s, s.key(msg)
	}
	return s, nil
}

func (s *momentScreen) key(msg tea.KeyMsg) tea.Cmd {
	do := momentKeys.match(msg.String())
	if do == leave {
		return send(goBack{})
	}
	if s.plan == nil {
		return nil
	}
	if s.look.obey(do) {
		if do == nextView || do == fitView {
			s.refit()
		}
		return nil
	}
	f := s.finding()
	n := len(s.outcome.Mark.Findings)
	switch do {
	case timeBack:
		s.to(s.at - 0.05)
	case timeOn:
		s.to(s.at + 0.05)
	case timeBackFar:
		s.to(s.at - 0.5)
	case timeOnFar:
		s.to(s.at + 0.5)
	case timeFirst:
		s.to(f.From)
	case timeLast:
		s.to(f.To)
	case lastFinding:
		s.chosen = (s.chosen + n - 1) % n
		s.toFinding()
	case nextFinding:
		s.chosen = (s.chosen + 1) % n
		s.toFinding()
	case playOrRest:
		if s.play = !s.play; s.play {
			if s.at >= s.plan.Duration {
				s.at = 0
			}
			s.last = time.Time{}
			return s.clock.frame()
		}
	}
	return nil
}

// passed plays the motion on.
func (s *momentScreen) passed(now time.Time) tea.Cmd {
	if !s.play || s.plan == nil {
		return nil
	}
	if !s.last.IsZero() {
		s.to(s.at + min(max(now.Sub(s.last).Seconds(), 0), longest))
		s.play = s.at < s.plan.Duration
	}
	s.last = now
	if !s.play {
		return nil
	}
	return s.clock.frame()
}

func (s *momentScreen) to(at float64) { s.at = min(max(at, 0), s.plan.Duration) }

// toFinding goes to the moment that the finding is about: where in its span the
// tool is nearest to its place.
func (s *momentScreen) toFinding() {
	f := s.finding()
	s.play = false
	s.to(f.From)
	if !f.HasPlace || f.To <= f.From {
		return
	}
	base := s.outcome.Lesson.Cell.Arm.Chain.Base()
	place := base.Apply(f.Place)
	var st motion.State
	best, least := s.at, -1.0
	const tries = 400
	for i := range tries + 1 {
		t := f.From + (f.To-f.From)*float64(i)/tries
		s.plan.At(t, &st)
		if d := st.TCP.T.Sub(place).Norm(); least < 0 || d < least-1e-6 {
			best, least = t, d
		}
	}
	s.to(best)
}

// samplePath is the way of the tool, evenly in time.
func samplePath(plan *motion.Trajectory) []kin.Vec {
	const points = 300
	path := make([]kin.Vec, points+1)
	var st motion.State
	for i := range path {
		plan.At(plan.Duration*float64(i)/points, &st)
		path[i] = st.TCP.T
	}
	return path
}

func (s *momentScreen) tool(st *motion.State) *motion.Tool {
	if st.Piece >= 0 {
		return &s.plan.Tools[s.plan.Pieces[st.Piece].Tool]
	}
	return &s.plan.Tools[0]
}

func (s *momentScreen) scene(st *motion.State) (*picture.Scene, practice.Gap) {
	var p picture.Scene
	c := s.outcome.Lesson.Cell
	tool := s.tool(st)
	p.Show(c, &picture.Moment{Q: st.Q, Tool: tool.Body, TCP: tool.TCP, State: st.Scene}, s.look.names && s.size.Width >= narrow)
	p.Lines = append(p.Lines, picture.Line{Points: s.path, Ink: picture.Trace, Ahead: true})
	if d := s.plan.Duration; d > 0 {
		run := int(s.at / d * float64(len(s.path)-1))
		p.Lines = append(p.Lines, picture.Line{Points: append(s.path[:run+1:run+1], st.TCP.T), Ink: picture.Trace})
	}
	gap, own := practice.Gaps(c, tool, st.Scene, &st.Q)
	if own.Known && own.MM < gap.MM && own.MM < 15 {
		gap = own
	}
	if gap.Known && gap.MM < shortGap {
		p.Gap = &picture.Gap{A: gap.PA, B: gap.PB, Text: fmt.Sprintf("%.0f mm", gap.MM)}
	}
	return &p, gap
}

func (s *momentScreen) pictureSize() picture.Size {
	w, h := s.size.Width, s.size.Height
	if w >= narrow {
		return picture.Size{Width: w - s.besideWidth() - 3, Height: max(1, h-1)}
	}
	return picture.Size{Width: max(1, w), Height: max(1, h-1-s.belowHeight())}
}

func (s *momentScreen) besideWidth() int { return min(70, s.size.Width/3) }
func (s *momentScreen) belowHeight() int { return min(9, s.size.Height/2) }

func (s *momentScreen) refit() {
	if s.plan == nil || s.size.Width == 0 {
		return
	}
	var st motion.State
	s.plan.At(s.at, &st)
	scene, _ := s.scene(&st)
	s.look.fit(scene, s.pictureSize())
}

func (s *momentScreen) View(t *Theme, width, height int) string {
	if s.plan == nil {
		if s.wrong != "" {
			return "\n " + t.Bad.Render("!") + " " + s.wrong
		}
		return "\n planning the motion"
	}
	var st motion.State
	s.plan.At(s.at, &st)
	scene, gap := s.scene(&st)
	size := s.pictureSize()
	drawn := s.look.draw(scene, size)
	head := s.line(t, &st, gap, width)
	if width >= narrow {
		text := s.tells(t, s.besideWidth())
		lines := make([]string, len(drawn))
		for i := range drawn {
			lines[i] = drawn[i] + " " + t.Faint.Render(t.Bar) + " "
			if i < len(text) {
				lines[i] += text[i]
			}
		}
		return head + "\n" + strings.Join(lines, "\n")
	}
	return head + "\n" + strings.Join(append(drawn, clipLines(s.tells(t, width), s.belowHeight())...), "\n")
}

// line is the moment in one line.
func (s *momentScreen) line(t *Theme, st *motion.State, gap practice.Gap, width int) string {
	f := s.finding()
	when := t.Faint.Render("beside the finding")
	if s.at >= f.From-1e-9 && s.at <= f.To+1e-9 {
		when = t.severity(f.Severity)
	}
	parts := []string{fmt.Sprintf("%.2f of %.2f s", s.at, s.plan.Duration), when}
	if st.Step >= 0 {
		parts = append(parts, "step "+s.plan.Steps[st.Step].Label)
	}
	parts = append(parts, fmt.Sprintf("tool %.0f mm/s", st.ToolVel.Norm()))
	if gap.Known {
		parts = append(parts, fmt.Sprintf("%.1f mm %s / %s", gap.MM, gap.A, gap.B))
	}
	return ansi.Truncate(" "+strings.Join(parts, "   "), width, "")
}

// tells is the finding in words.
func (s *momentScreen) tells(t *Theme, width int) []string {
	f := s.finding()
	lines := []string{fmt.Sprintf(" %s %s  (%d of %d)", t.severity(f.Severity), f.Code, s.chosen+1, len(s.outcome.Mark.Findings))}
	lines = append(lines, strings.Split(report.Wrap(f.Text, " ", width), "\n")...)
	lines = append(lines, " "+t.Faint.Render(report.Where(f)))
	for _, l := range report.Labels(f) {
		lines = append(lines, labelled(t, l.Name, l.Text, width)...)
	}
	return lines
}
