package tui

import (
	"errors"
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/bench"
	"posework/cmd/posework/internal/seat"
	"posework/engine/practice"
	"posework/engine/program"
	"posework/kin"
)

func (s *practiceScreen) key(msg tea.KeyMsg) tea.Cmd {
	switch {
	case s.wait != "":
		if msg.String() == "esc" && s.bench == nil {
			return send(goBack{})
		}
		return nil
	case s.bench == nil:
		return s.fileKey(msg)
	}
	s.said, s.sorry = "", false
	switch {
	case s.ask != nil:
		return answerTo(&s.ask, msg)
	case s.form != nil:
		return s.formKey(msg)
	case s.kind >= 0:
		return s.kindKey(msg)
	}
	return s.obey(practiceKeys(s.in).match(msg.String()))
}

func (s *practiceScreen) fileKey(msg tea.KeyMsg) tea.Cmd {
	switch name := msg.String(); {
	case name == "esc":
		return send(goBack{})
	case s.seat.Folder != "":
		return nil
	case name == "enter":
		return s.openFile()
	}
	if s.file.Key(msg) {
		s.wrong = nil
	}
	return nil
}

// obey does what a key says.
func (s *practiceScreen) obey(a action) tea.Cmd {
	if held[a] {
		return s.holdKey(a)
	}
	if s.look.obey(a) {
		if a == nextView || a == fitView {
			s.refit()
		}
		return nil
	}
	c := s.bench.Control
	switch a {
	case gripDevice:
		if c.Grip(practice.Middle); c.Read().Spent {
			s.refuse(practice.ErrSqueezed)
		}
	case releaseDevice:
		c.Grip(practice.Released)
	case squeezeDevice:
		c.Grip(practice.Squeezed)
	case stopMotion:
		c.Stop()
	case emergency:
		if c.Read().Latched {
			c.Unlatch()
			s.tell("the emergency stop is out again; k resets the stop once its cause is gone")
		} else {
			c.EmergencyStop()
		}
	case resetStop:
		if err := c.Reset(); err != nil {
			s.refuse(err)
		}
	case otherMode:
		to := practice.Automatic - c.Read().Mode
		if err := c.SetMode(to); err != nil {
			s.refuse(err)
		}
	case moveGate:
		c.SetGate(!c.Read().GateOpen)
	case slower:
		s.changeSpeed(-1)
	case faster:
		s.changeSpeed(1)
	case setUpCell:
		if err := c.SetUp(); err != nil {
			s.refuse(err)
			break
		}
		s.trail = nil
		s.tell("signals and parts are as at the start, and the program is at its first step")
	case nextArea:
		s.in = (s.in + 1) % areas
	case lastArea:
		s.in = (s.in + areas - 1) % areas
	case clearTrace:
		s.trail = nil
	case handIn:
		return s.handIn()
	case undoChange:
		return s.changed(s.bench.Undo())
	case redoChange:
		return s.changed(s.bench.Redo())
	case leave:
		if c.Moving() {
			c.Stop()
			break
		}
		return s.leave()
	default:
		return s.obeyInArea(a)
	}
	return s.stir()
}

// leave goes back to the lesson; not while the file on disk is another program.
func (s *practiceScreen) leave() tea.Cmd {
	if s.unsaved != nil {
		s.ask = unsavedQuestion(s)
		return nil
	}
	return s.back()
}

// back goes back to the lesson and keeps the log of the practice.
func (s *practiceScreen) back() tea.Cmd {
	ctx, st, l, log, saver := s.ctx, s.seat, s.lesson, s.bench.Control.Log(), s.saver
	keep := func() tea.Msg {
		if err := errors.Join(saver.KeepLog(log), st.KeepPractice(ctx, l, log)); err != nil {
			return say{err.Error()}
		}
		return nil
	}
	return tea.Sequence(send(goBack{}), keep)
}

func (s *practiceScreen) changeSpeed(by int) {
	c := s.bench.Control
	r := c.Read()
	if r.Mode == practice.Automatic {
		c.SetShare(neighbour(practice.Shares[:], r.Share, by))
		return
	}
	c.SetSpeed(neighbour(practice.Speeds[:], r.SpeedMMS, by))
}

// neighbour is the value by places after v in a list.
func neighbour(list []float64, v float64, by int) float64 {
	for i := range list {
		if list[i] == v {
			return list[min(max(i+by, 0), len(list)-1)]
		}
	}
	return v
}

// holdKey holds the control of a motion: the key repeats as long as it is down.
func (s *practiceScreen) holdKey(a action) tea.Cmd {
	c := s.bench.Control
	if a == runOn && c.Read().Mode == practice.Automatic {
		if err := c.Start(); err != nil {
			s.refuse(err)
		}
		return s.stir()
	}
	do, err := s.motion(a)
	if err == nil {
		err = c.Hold(do)
	}
	if err != nil {
		s.refuse(err)
	}
	return s.stir()
}

// motion is the motion that a key asks for.
func (s *practiceScreen) motion(a action) (practice.Action, error) {
	switch a {
	case stepOn:
		return practice.Action{Kind: practice.StepForward}, nil
	case stepBack:
		return practice.Action{Kind: practice.StepBack}, nil
	case runOn:
		return practice.Action{Kind: practice.RunOn}, nil
	case bringBack:
		return practice.Action{Kind: practice.Return}, nil
	case goToPose, goStraight:
		return s.toPose(a == goStraight)
	}
	do := practice.Action{Kind: practice.JogAxis, Axis: s.row, Negative: a == jogMinus, By: increments[s.by]}
	if s.line {
		do.Kind, do.Frame = practice.JogAlong, s.frameName()
		if s.row >= 3 {
			do.Kind, do.Axis = practice.JogAbout, s.row-3
		}
	}
	if do.Kind == practice.JogAbout || do.Kind == practice.JogAxis && !s.bench.Cell.Arm.Chain.Prismatic(do.Axis) {
		do.By = kin.Rad(do.By)
	}
	return do, nil
}

// toPose is the motion to the chosen pose. While it is held it stays the same.
func (s *practiceScreen) toPose(straight bool) (practice.Action, error) {
	poses := s.bench.Program().Poses
	if s.pose >= len(poses) {
		return practice.Action{}, fmt.Errorf("there is no pose yet; r records one")
	}
	do := practice.Action{Kind: practice.GoTo, Name: poses[s.pose].Name}
	if straight {
		do.Kind = practice.GoStraight
	}
	r := s.bench.Control.Read()
	if r.Doing.Kind == do.Kind && r.Doing.Name == do.Name && r.Moving {
		return r.Doing, nil
	}
	var err error
	do.Target, err = s.bench.Target(do.Name)
	return do, err
}

func (s *practiceScreen) frameName() string {
	frames := s.bench.Control.Frames()
	return frames[min(s.frame, len(frames)-1)]
}

// form in which a pose is recorded: "axes" or a frame.
func (s *practiceScreen) recordIn() string {
	if s.axes {
		return bench.ByAxes
	}
	if f := s.frameName(); f != practice.InTool {
		return f
	}
	return practice.InBase
}

// obeyInArea does what a key of the chosen area says.
func (s *practiceScreen) obeyInArea(a action) tea.Cmd {
	switch a {
	case goUp:
		s.choose(-1)
	case goDown:
		s.choose(1)
	case otherJog:
		s.line = !s.line
	case nextFrame:
		s.frame = (s.frame + 1) % len(s.bench.Control.Frames())
	case nextIncrement:
		s.by = (s.by + 1) % len(increments)
	case otherForm:
		s.axes = !s.axes
	case nextTool:
		return s.takeTool()
	case recordPose:
		s.ask = recordQuestion(s)
	case teachFrame, teachTool:
		s.ask = teachQuestion(s, a == teachTool)
	case switchOver:
		s.switchSignal()
		return s.stir()
	}
	switch s.in {
	case inPoses:
		return s.obeyPose(a)
	case inSteps:
		return s.obeyStep(a)
	}
	return nil
}

// takeTool makes the arm carry the next tool.
func (s *practiceScreen) takeTool() tea.Cmd {
	tools := s.bench.Tools()
	if len(tools) == 0 {
		s.refuse(fmt.Errorf("the cell has no tools"))
		return nil
	}
	now, next := s.bench.Control.Read().Tool.Name, 0
	for i := range tools {
		if tools[i].Name == now {
			next = (i + 1) % len(tools)
		}
	}
	_, before := s.bench.Text()
	if err := s.bench.TakeTool(tools[next]); err != nil {
		s.refuse(err)
		return nil
	}
	if _, after := s.bench.Text(); after != before {
		return s.changed(nil)
	}
	return nil
}

// choose moves the pointer of the area.
func (s *practiceScreen) choose(by int) {
	switch s.in {
	case inMove:
		s.row = (s.row + 6 + by) % 6
	case inPoses:
		s.pose += by
	case inSteps:
		s.step += by
	case inSignals:
		s.signal += by
	}
	s.clampLists()
}

func (s *practiceScreen) clampLists() {
	keep := func(i *int, n int) { *i = max(0, min(*i, n-1)) }
	keep(&s.pose, len(s.bench.Program().Poses))
	keep(&s.step, len(s.bench.Rows()))
	keep(&s.signal, len(s.bench.Cell.Signals))
}

func (s *practiceScreen) switchSignal() {
	if s.signal >= len(s.bench.Cell.Signals) {
		return
	}
	sig := &s.bench.Cell.Signals[s.signal]
	if !sig.Output {
		s.refuse(fmt.Errorf("the signal %s is an input: the cell sets it", sig.Name))
		return
	}
	c := s.bench.Control
	if err := c.SetSignal(s.signal, !c.Read().Scene.Signals[s.signal]); err != nil {
		s.refuse(err)
	}
}

func (s *practiceScreen) obeyPose(a action) tea.Cmd {
	poses := s.bench.Program().Poses
	if s.pose >= len(poses) {
		if a == recordAgain || a == renamePose || a == deleteIt || a == open {
			s.refuse(fmt.Errorf("there is no pose yet; r records one"))
		}
		return nil
	}
	name := poses[s.pose].Name
	switch a {
	case recordAgain:
		return s.changed(s.bench.RecordAgain(name))
	case renamePose:
		s.ask = renameQuestion(s, name)
	case deleteIt:
		steps, taught := s.bench.Uses(name)
		switch {
		case taught || steps == 0:
			return s.changed(s.bench.Delete(name))
		default:
			s.ask = deleteQuestion(s, name, steps)
		}
	case open:
		s.lookAt(name)
	}
	return nil
}

// lookAt brings a pose to the middle of the picture.
func (s *practiceScreen) lookAt(pose string) {
	q, err := s.bench.Target(pose)
	if err != nil {
		s.refuse(err)
		return
	}
	var f kin.Frames
	s.bench.Cell.Arm.Chain.Forward(&q, &f)
	tcp := f[6].Mul(&s.bench.Control.Read().Tool.TCP)
	s.look.cam.Centre, s.look.loose = tcp.T, true
	s.tell("%s is in the middle of the picture; 0 shows the work again", pose)
}

// chosenStep returns the row of the chosen step; ok is false when there is none.
func (s *practiceScreen) chosenStep() (bench.Row, bool) {
	rows := s.bench.Rows()
	if s.step >= len(rows) {
		return bench.Row{}, false
	}
	return rows[s.step], true
}

func (s *practiceScreen) obeyStep(a action) tea.Cmd {
	row, ok := s.chosenStep()
	if !ok && a != addStep && a != pasteStep {
		if a == editStep || a == copyStep || a == deleteIt || a == addWithin {
			s.refuse(fmt.Errorf("there is no step yet; a adds one"))
		}
		return nil
	}
	switch a {
	case addStep:
		s.kind, s.hold = 0, false
	case addWithin:
		if row.Step.Kind != program.Repeat {
			s.refuse(fmt.Errorf("step %s is no repeat; a adds a step after it", row.Number))
			break
		}
		s.kind, s.hold = 0, true
	case editStep:
		s.form = &form{at: row.At}
	case copyStep:
		if err := s.bench.Copy(row.At); err != nil {
			s.refuse(err)
			break
		}
		s.tell("step %s is copied; p pastes it", row.Number)
	case pasteStep:
		at := s.placeAfter()
		return s.inserted(at, s.bench.Paste(at))
	case deleteIt:
		return s.changed(s.bench.Remove(row.At))
	case stepUp, stepDown:
		to, err := s.bench.Move(row.At, a == stepDown)
		cmd := s.changed(err)
		s.chooseStep(to)
		return cmd
	}
	return nil
}

// placeAfter is the place after the chosen step, the first one in an empty
// program.
func (s *practiceScreen) placeAfter() program.At {
	if row, ok := s.chosenStep(); ok {
		return bench.After(row.At)
	}
	return program.At{Index: []int{0}}
}

func (s *practiceScreen) inserted(at program.At, err error) tea.Cmd {
	cmd := s.changed(err)
	if err == nil {
		s.chooseStep(at)
	}
	return cmd
}

// chooseStep puts the pointer on the step at a place.
func (s *practiceScreen) chooseStep(at program.At) {
	for i, row := range s.bench.Rows() {
		if sameAt(row.At, at) {
			s.step = i
		}
	}
}

func sameAt(a, b program.At) bool {
	if a.Routine != b.Routine || len(a.Index) != len(b.Index) {
		return false
	}
	for i := range a.Index {
		if a.Index[i] != b.Index[i] {
			return false
		}
	}
	return true
}

// handedIn is what became of the program that was handed in from the bench.
type handedIn struct {
	lesson  string
	outcome *seat.Outcome
	err     error
}

// handIn hands the program in as it stands, with the log of the practice.
func (s *practiceScreen) handIn() tea.Cmd {
	switch {
	case s.lesson.Task == nil:
		s.refuse(seat.ErrNoTask)
		return nil
	case s.bench.Control.Moving():
		s.refuse(practice.ErrMoving)
		return nil
	}
	text, _ := s.bench.Text()
	log, ctx, st, l, path := s.bench.Log(), s.ctx, s.seat, s.lesson, s.saver.Path
	s.wait = "running the program and examining the whole motion"
	grade := func() tea.Msg {
		o, err := st.HandInFrom(ctx, l, path, text, log)
		return handedIn{l.ID, o, err}
	}
	return tea.Batch(s.wheel.Tick, grade)
}

func (s *practiceScreen) gotMark(m handedIn) tea.Cmd {
	s.wait = ""
	if m.outcome == nil {
		s.refuse(m.err)
		return nil
	}
	cmds := []tea.Cmd{send(showFindings{m.outcome})}
	if m.err != nil {
		cmds = append(cmds, send(say{m.err.Error()}))
	}
	return tea.Sequence(cmds...)
}
