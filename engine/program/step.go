package program

import (
	"fmt"
	"math"
	"strings"

	"posework/engine/source"
)

// noSteps is the code of a program or routine that has nothing to do yet: the
// one state in which an editor still works on it.
const noSteps = "P006"

// kinds holds the key that says what a step does, by Kind.
var kinds = [...]string{Move: "to", Set: "set", Wait: "wait", Pause: "pause", Repeat: "repeat", Call: "call", SelectTool: "tool", SetPayload: "payload"}

func steps(n *source.Node) []Step {
	var all []Step
	for _, item := range n.List() {
		all = append(all, step(item))
	}
	return all
}

func step(n *source.Node) Step {
	s := Step{Pos: n.Pos()}
	m := n.Map()
	kind, found := Move, []string(nil)
	for k, key := range kinds {
		if m.Has(key) {
			kind, found = Kind(k), append(found, key)
		}
	}
	if len(found) > 1 {
		n.Errorf("P007", "make two steps of it", "a step does one thing, but this one has %s", strings.Join(found, " and "))
		return s
	}
	if len(found) == 0 && !m.Has("path") && !m.Has("speed") && !m.Has("end") {
		for _, key := range kinds {
			m.Get(key)
		}
		m.Close()
		n.Check(len(m.Names()) > 0, "P007", "write one of "+strings.Join(kinds[:], ", "), "this step does nothing")
		return s
	}
	s.Kind = kind
	switch kind {
	case Move:
		move(m, &s)
	case Set:
		s.Signals = signals(m.Get("set"))
	case Wait:
		wait(m.Get("wait"), &s)
	case Pause:
		pause := m.Get("pause")
		s.Pause = pause.Seconds()
		within(pause, s.Pause, MaxSeconds, "s")
	case Repeat:
		repeat(m, &s)
	case Call:
		s.Call = ref(m.Get("call"))
	case SelectTool:
		s.Tool = ref(m.Get("tool"))
	case SetPayload:
		payload(m.Get("payload"), &s)
	}
	m.Close()
	return s
}

func move(m *source.Map, s *Step) {
	s.To = ref(m.Need("to"))
	path := m.Need("path")
	s.Path = Path(max(path.OneOf("joint", "line", "arc"), 0))
	through := m.Get("through")
	switch {
	case s.Path == Arc:
		if path.OK() {
			s.Through = ref(m.Need("through"))
		}
	case through != nil && path.OK():
		through.Errorf("P008", "write path: arc, or delete it", "only an arc runs through a pose, but the path is %s", s.Path)
	}
	speed := m.Need("speed")
	s.SpeedPos = speed.Pos()
	if path.OK() {
		s.Speed = readSpeed(speed, s.Path)
	}
	end := m.Need("end")
	s.EndPos = end.Pos()
	s.FlyBy = flyBy(end)
}

// readSpeed reads a share of the axis speeds for a joint move, and a tool speed
// for a line or an arc: the one is no measure of the other.
func readSpeed(n *source.Node, p Path) Speed {
	v, unit := n.Quantity("mm/s", "%")
	switch {
	case !n.OK():
	case p == Joint && unit == "mm/s":
		n.Errorf("P009", "write a share of the rated axis speeds, such as 20 %",
			"a joint move has no set tool speed, since all axes turn at once: %g mm/s can't be promised", v)
	case p != Joint && unit == "%":
		n.Errorf("P009", "write the speed of the tool centre point, such as 100 mm/s",
			"the speed of %s is that of the tool: %g %% of the axis speeds says nothing about it", article(p), v)
	case unit == "%":
		within(n, v, 100, "%")
		return Speed{Share: v / 100}
	default:
		within(n, v, MaxSpeedMMS, "mm/s")
		return Speed{MMS: v}
	}
	return Speed{}
}

// flyBy reads "stop" or "fly-by N mm".
func flyBy(n *source.Node) float64 {
	text := n.Str()
	rest, ok := strings.CutPrefix(text, "fly-by ")
	switch {
	case !n.OK() || text == "stop":
		return 0
	case !ok:
		first, more, _ := strings.Cut(text, " ")
		fix := "write stop, or fly-by with a distance such as fly-by 20 mm"
		if more == "" && text != "fly-by" {
			n.Word(first).OneOf("stop", "fly-by 20 mm")
			return 0
		}
		n.Errorf("P010", fix, "the end %q is neither a stop nor a fly-by with a distance", short(text))
		return 0
	}
	distance := n.Word(strings.TrimSpace(rest))
	v, _ := distance.Quantity("mm")
	if distance.OK() {
		distance.Check(v > 0, "P010", "write stop, or a distance of more than 0 mm", "a fly-by of %g mm passes no corner", v)
		distance.Check(v <= MaxFlyByMM, "P010", fmt.Sprintf("write at most %d mm", MaxFlyByMM), "a fly-by of %g mm is more than %d mm, the most that can be written", v, MaxFlyByMM)
	}
	return v
}

func signals(n *source.Node) []Signal {
	var all []Signal
	for _, e := range n.Map().Names() {
		all = append(all, Signal{Name: e.KeyNode.Name(), On: e.Value.OnOff(), Pos: e.KeyPos})
	}
	n.Check(len(all) > 0, "P011", "write {signal: on}", "no signal is named")
	return all
}

func wait(n *source.Node, s *Step) {
	for _, e := range n.Map().Names() {
		if e.Key == "at-most" {
			s.AtMost = e.Value.Seconds()
			within(e.Value, s.AtMost, MaxSeconds, "s")
			continue
		}
		s.Signals = append(s.Signals, Signal{Name: e.KeyNode.Name(), On: e.Value.OnOff(), Pos: e.KeyPos})
	}
	n.Check(len(s.Signals) > 0, "P011", "write {signal: on, at-most: 2 s}", "the wait names no signal")
	n.Check(len(s.Signals) < 2, "P011", "wait for one after the other", "the wait names %d signals, but waits for one", len(s.Signals))
}

func payload(n *source.Node, s *Step) {
	p := n.Map()
	mass, at := p.Need("mass"), p.Need("at")
	s.Load = Payload{Mass: mass.Kilograms(), At: at.Vec()}
	mass.Check(s.Load.Mass >= 0 && s.Load.Mass <= MaxKilograms, "P005", fmt.Sprintf("write 0 to %d kg", MaxKilograms),
		"%s is %g kg, but must be from 0 to %d kg", mass.Label(), s.Load.Mass, MaxKilograms)
	for _, v := range [...]float64{s.Load.At.X, s.Load.At.Y, s.Load.At.Z} {
		at.Check(math.Abs(v) <= MaxLoadMM, "P005", fmt.Sprintf("write at most %d mm", MaxLoadMM),
			"%s lies %g mm from the flange, but the most that can be written is %d mm", at.Label(), v, MaxLoadMM)
	}
	p.Close()
}

func repeat(m *source.Map, s *Step) {
	s.Times = m.Get("repeat").Int(1, MaxRepeat)
	if shift := m.Get("shift"); shift != nil {
		f := shift.Map()
		s.Shift.Frame = Ref{Name: "base", Pos: shift.Pos()}
		if frame := f.Get("frame"); frame != nil {
			s.Shift.Frame = ref(frame)
		}
		s.Shift.By = f.Need("by").Vec()
		f.Close()
	}
	s.Steps = steps(m.Need("steps"))
}

// String returns the word of the file format.
func (p Path) String() string { return [...]string{"joint", "line", "arc"}[p] }

func article(p Path) string {
	if p == Arc {
		return "an arc"
	}
	return "a line"
}

func short(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}
