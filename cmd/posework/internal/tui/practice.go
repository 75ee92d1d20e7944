package tui

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/spinner"
	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/bench"
	"posework/cmd/posework/internal/picture"
	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/engine/practice"
	"posework/kin"
	"posework/lessons"
)

// practiceScreen is the bench of a lesson: the cell in a picture, the arm moved
// by hand, poses recorded, the program written, stepped, run and handed in.
type practiceScreen struct {
	ctx    context.Context
	seat   *seat.Seat
	theme  *Theme
	clock  clock
	lesson *lessons.Lesson
	size   tea.WindowSizeMsg

	// Until a file is chosen.
	file  field
	wrong []string // why it can't be opened
	wait  string   // what is waited for; "": nothing
	wheel spinner.Model

	// Then.
	bench   *bench.Bench
	saver   *bench.Saver
	version int   // newest that was saved
	unsaved error // why the newest was not
	planned *bench.Planned

	in     area
	row    int  // chosen axis or direction, from 0
	line   bool // move straight, not by axis
	frame  int  // index into Control.Frames
	by     int  // index into increments
	axes   bool // record by axes, not in the frame
	pose   int  // chosen in each list
	step   int
	signal int

	ask  *question // what is being asked at the foot
	form *form     // the step that is being edited
	kind int       // chosen in the list of kinds of step; -1: the list is not open
	hold bool      // the new step goes within the chosen repeat

	look  lookout
	trail []kin.Vec // where the tool has been
	ahead []kin.Vec // the path of the planned program
	trace speedTrace
	tick  bool      // time passes
	last  time.Time // until when it has passed; zero: not begun
	said  string    // one line about the last key, until the next
	sorry bool      // it says why something was not done
}

// increments are the lengths of a jog: mm along, degrees about and by axis; 0
// as long as the key is held.
var increments = [...]float64{0, 0.1, 1, 10}

func newPracticeScreen(ctx context.Context, s *seat.Seat, t *Theme, c clock, l *lessons.Lesson, file string) *practiceScreen {
	p := &practiceScreen{ctx: ctx, seat: s, theme: t, clock: c, lesson: l, look: newLookout(t), kind: -1, wheel: spinner.New(spinner.WithSpinner(spinner.Line))}
	p.file.Set(cmp.Or(file, l.ID+".yaml"))
	return p
}

// Title tells the file, whether it is saved, and the lesson.
func (s *practiceScreen) Title() string {
	if s.bench == nil {
		return "Practice: " + s.lesson.Title
	}
	state := "saved"
	_, version := s.bench.Text()
	switch {
	case s.unsaved != nil:
		state = "NOT SAVED"
	case version == 0 && s.version == 0:
		state = "unchanged"
	case version != s.version:
		state = "saving"
	}
	return fmt.Sprintf("%s, %s  Practice: %s", filepath.Base(s.saver.Path), state, s.lesson.Title)
}

func (s *practiceScreen) Keys() keyTable {
	switch {
	case s.bench == nil && s.seat.Folder != "":
		return keyTable{leaving}
	case s.bench == nil:
		return keyTable{
			{open, []string{"enter"}, "enter", "open", "open this program file, or begin a new one of that name"},
			{nothing, nil, "letters", "", "type the path of the file; ~ is your own folder"},
			leaving,
		}
	case s.ask != nil:
		return s.ask.keys
	case s.form != nil:
		return formKeys
	case s.kind >= 0:
		return kindKeys
	}
	return practiceKeys(s.in)
}

// What the commands of this screen bring back.
type (
	programRead struct {
		path string
		text []byte // nil: there is no such file
		err  error
	}
	benchOpened struct {
		bench *bench.Bench
		saver *bench.Saver
		wrong diag.List
	}
	programSaved struct {
		version int
		err     error
	}
	programPlanned struct{ plan bench.Planned }
	timePassed     struct{ now time.Time } // and go on
	timeNow        struct{ now time.Time } // once, at a key
)

func readProgram(path string) tea.Cmd {
	return func() tea.Msg {
		text, err := seat.ReadOrNew(path)
		return programRead{path, text, err}
	}
}

// openBench may take a while: it plans the program.
func (s *practiceScreen) openBench(m programRead) tea.Cmd {
	l := s.lesson
	return func() tea.Msg {
		var start *kin.Joints
		if l.Task != nil {
			start = l.Task.Start
		}
		b, wrong := bench.Open(l.Cell, start, filepath.Base(m.path), m.text, l.Title)
		return benchOpened{b, bench.NewSaver(m.path, m.text), wrong}
	}
}

// frameTime is how long a picture stays while the arm moves.
const frameTime = time.Second / 30

// clock is where the time of day comes from: commands, so that a screen's own
// code has none.
type clock struct {
	tick func(time.Duration, func(time.Time) tea.Msg) tea.Cmd
	now  func() time.Time
	// apart is how long a picture stays where others share the machine, and then
	// time is told before each picture; see [App.Pace]. nil: nobody does.
	apart func() time.Duration
}

var wallClock = clock{tick: tea.Tick, now: time.Now}

// soon is when a key is answered again that came right after a picture: the arm
// had no time to move in between, so that its answer looked like the picture.
const soon = time.Second / 120

// frame is the command that lets time pass until the next picture.
func (c *clock) frame() tea.Cmd {
	stays := frameTime
	if c.apart != nil {
		stays = max(stays, c.apart())
	}
	return c.tick(stays, func(now time.Time) tea.Msg { return timePassed{now} })
}

// stir lets time pass from now on, if anything changes with it, and draws what a
// key has brought at once.
func (s *practiceScreen) stir() tea.Cmd {
	if !s.bench.Control.Active() {
		return nil
	}
	now := func() tea.Msg { return timeNow{s.clock.now()} }
	if s.tick && s.clock.apart != nil {
		return nil // the picture that comes is of its own moment
	}
	if s.tick {
		return tea.Batch(now, s.clock.tick(soon, func(now time.Time) tea.Msg { return timeNow{now} }))
	}
	s.tick, s.last = true, time.Time{}
	return tea.Batch(now, s.clock.frame())
}

// longest is the most time that passes between two pictures: when the terminal
// or the machine hangs, the arm does not leap.
const longest = 0.1 // s

func (s *practiceScreen) passTime(now time.Time) {
	if !s.last.IsZero() {
		if dt := now.Sub(s.last).Seconds(); dt > 0 {
			s.advance(min(dt, longest))
		}
	}
	s.last = now
}

// advance lets time pass on the bench.
func (s *practiceScreen) advance(dt float64) {
	c := s.bench.Control
	c.Advance(dt)
	r := c.Read()
	s.trace.add(r.FastestMMS, dt)
	if n := len(s.trail); n == 0 || r.TCP.T.Sub(s.trail[n-1]).Norm() > 1 {
		if n >= longestTrail {
			s.trail = append(s.trail[:0], s.trail[n/4:]...)
		}
		s.trail = append(s.trail, r.TCP.T)
	}
	if !r.Moving && s.planned != nil {
		s.accept(*s.planned)
	}
	if k := r.Doing.Kind; k == practice.StepForward || k == practice.StepBack || k == practice.RunOn {
		if row := s.currentRow(&r, s.bench.Rows()); row >= 0 {
			s.step = row // the pointer goes along with the program
		}
	}
}

const longestTrail = 4000

func (s *practiceScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		s.size = msg
		s.refit()
	case tea.KeyMsg:
		return s, s.key(msg)
	case programRead:
		if s.wait == "" || s.bench != nil {
			return s, nil
		}
		if msg.err != nil {
			s.wait, s.wrong = "", []string{msg.err.Error()}
			return s, nil
		}
		return s, s.openBench(msg)
	case benchOpened:
		return s, s.opened(msg)
	case programSaved:
		s.savedAs(msg)
	case programPlanned:
		s.accept(msg.plan)
	case timePassed:
		if s.bench == nil || !s.tick {
			return s, nil
		}
		s.passTime(msg.now)
		if !s.bench.Control.Active() {
			s.tick = false // nothing moves: nothing ticks
			return s, nil
		}
		return s, s.clock.frame()
	case timeNow:
		if s.bench != nil && s.tick {
			s.passTime(msg.now)
		}
	case handedIn:
		if msg.lesson == s.lesson.ID && s.wait != "" {
			return s, s.gotMark(msg)
		}
	case spinner.TickMsg:
		if s.wait == "" {
			return s, nil
		}
		var cmd tea.Cmd
		s.wheel, cmd = s.wheel.Update(msg)
		return s, cmd
	}
	return s, nil
}

func (s *practiceScreen) opened(m benchOpened) tea.Cmd {
	if s.wait == "" || s.bench != nil {
		return nil
	}
	s.wait, s.wrong = "", nil
	if len(m.wrong) > 0 {
		for i, d := range m.wrong {
			if i == 10 {
				s.wrong = append(s.wrong, fmt.Sprintf("and %d more", len(m.wrong)-10))
				break
			}
			s.wrong = append(s.wrong, d.String())
		}
		return nil
	}
	s.bench, s.saver = m.bench, m.saver
	s.ahead = pathOf(s.bench)
	s.refit()
	return send(fileChosen{s.lesson, s.saver.Path})
}

// accept takes a plan over, as soon as the arm stands.
func (s *practiceScreen) accept(p bench.Planned) {
	s.planned = nil
	if s.bench.Control.Moving() {
		s.planned = &p
		return
	}
	if s.bench.Accept(p) {
		s.ahead = pathOf(s.bench)
	}
}

// pathOf is the way of the tool in the planned program.
func pathOf(b *bench.Bench) []kin.Vec {
	plan := b.Control.Read().Plan
	if plan == nil || plan.Duration <= 0 {
		return nil
	}
	return samplePath(plan)
}

func (s *practiceScreen) savedAs(m programSaved) {
	if s.bench == nil || m.version < s.version {
		return
	}
	if s.unsaved = m.err; m.err == nil {
		s.version = m.version
		return
	}
	if errors.Is(m.err, bench.ErrChanged) {
		s.ask = changedQuestion(s)
		return
	}
	s.refuse(m.err)
}

// changed saves the program and plans it anew, both beside the screen.
func (s *practiceScreen) changed(err error) tea.Cmd {
	if err != nil {
		s.refuse(err)
		return nil
	}
	s.clampLists()
	return tea.Batch(s.save(false), s.plan())
}

func (s *practiceScreen) save(force bool) tea.Cmd {
	text, version := s.bench.Text()
	saver := s.saver
	return func() tea.Msg { return programSaved{version, saver.Save(text, version, force)} }
}

func (s *practiceScreen) plan() tea.Cmd {
	plan := s.bench.Plan()
	return func() tea.Msg { return programPlanned{plan()} }
}

// refuse says why something was not done.
func (s *practiceScreen) refuse(err error) { s.said, s.sorry = err.Error(), true }

func (s *practiceScreen) tell(format string, args ...any) {
	s.said, s.sorry = fmt.Sprintf(format, args...), false
}

// scene is what the picture shows.
func (s *practiceScreen) scene() *picture.Scene {
	var p picture.Scene
	r := s.bench.Control.Read()
	p.Show(s.bench.Cell, &picture.Moment{Q: r.Q, Tool: r.Tool.Body, TCP: r.Tool.TCP, State: r.Scene}, s.look.names && s.size.Width >= narrow)
	if len(s.ahead) > 0 {
		p.Lines = append(p.Lines, picture.Line{Points: s.ahead, Ink: picture.Trace, Ahead: true})
	}
	if len(s.trail) > 0 {
		p.Lines = append(p.Lines, picture.Line{Points: append(s.trail[:len(s.trail):len(s.trail)], r.TCP.T), Ink: picture.Trace})
	}
	if s.look.names && r.Plan != nil {
		seen := map[string]bool{}
		for i := range r.Plan.Steps {
			st := &r.Plan.Steps[i]
			if name := st.Source.To.Name; name != "" && !seen[name] {
				seen[name] = true
				p.Labels = append(p.Labels, picture.Text{At: st.Target.T, Text: name, Ink: picture.Label})
			}
		}
	}
	if r.Gap.Known && r.Gap.MM < shortGap {
		p.Gap = &picture.Gap{A: r.Gap.PA, B: r.Gap.PB, Text: fmt.Sprintf("%.0f mm", r.Gap.MM)}
	}
	return &p
}

// shortGap is the distance, mm, below which the picture marks the closest pair.
const shortGap = 100

// refit fits the picture to what there is to see.
func (s *practiceScreen) refit() {
	if s.bench != nil && s.size.Width > 0 {
		s.look.fit(s.scene(), s.layout().picture)
	}
}

// Begin opens the program where the learner may not say which. Elsewhere the name
// of the file is asked for first.
func (s *practiceScreen) Begin() tea.Cmd {
	file := s.seat.File(s.lesson)
	if file == "" {
		return nil
	}
	s.wait = "opening " + filepath.Base(file)
	return tea.Batch(s.wheel.Tick, readProgram(file))
}

func (s *practiceScreen) openFile() tea.Cmd {
	path := strings.TrimSpace(s.file.Value())
	if path == "" {
		s.wrong = []string{"type the name of a program file"}
		return nil
	}
	s.wait, s.wrong = "opening "+filepath.Base(path), nil
	return tea.Batch(s.wheel.Tick, readProgram(seat.Expand(path)))
}
