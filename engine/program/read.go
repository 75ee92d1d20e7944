package program

import (
	"fmt"

	"posework/engine/diag"
	"posework/engine/source"
	"posework/kin"
)

// Format1 is the mark that a program file begins with.
const Format1 = "program/1"

// The limits on a program.
const (
	MaxSteps     = 10_000 // steps when repeats and calls are written out
	MaxRepeat    = 1_000  // rounds of one repeat
	MaxSpeedMMS  = 5_000  // mm/s, programmed tool speed
	MaxFlyByMM   = 1_000  // mm
	MaxSeconds   = 3_600  // s, a pause or the limit of a wait
	MaxKilograms = 10_000 // kg, a payload
	MaxLoadMM    = 10_000 // mm, its centre of gravity from the flange
	MinTouches   = 4      // poses that teach a tool centre point
)

// Read reads a program file and checks all that can be checked without a cell.
// name stands in the positions. The program is nil when anything was reported.
func Read(name string, data []byte) (*Program, diag.List) {
	var l diag.List
	root := source.Parse(name, data, 1, &l)
	p := Decode(root, &l)
	l.Sort()
	if len(l) > 0 {
		return nil, l
	}
	return p, nil
}

// Decode is [Read] for a program that was parsed already, such as the short one
// inside a quiz question. It reports to the list that root reports to, and
// returns what could be read.
func Decode(root *source.Node, l *diag.List) *Program {
	if root == nil {
		return nil
	}
	before := len(*l)
	p := &Program{File: root.Pos().Filename}
	m := root.Map()
	m.Format(Format1)
	p.Title = m.Get("title").Str()
	p.Tool = ref(m.Get("tool"))
	for _, e := range m.Get("poses").Map().Names() {
		p.Poses = append(p.Poses, pose(e))
	}
	for _, e := range m.Get("frames").Map().Names() {
		p.Frames = append(p.Frames, taughtFrame(e))
	}
	for _, e := range m.Get("tools").Map().Names() {
		p.Tools = append(p.Tools, taughtTool(e))
	}
	stepsNode := m.Need("steps")
	p.Steps = steps(stepsNode)
	for _, e := range m.Get("routines").Map().Names() {
		p.Routines = append(p.Routines, Routine{Name: e.KeyNode.Name(), Pos: e.KeyPos, Steps: steps(e.Value)})
	}
	m.Close()
	if len(*l) > before {
		// Names can't be judged while some of them could not be read.
		return p
	}
	newResolver(p, l).all()
	p.needSteps(stepsNode.Pos(), l)
	return p
}

// needSteps reports lists of steps that are empty.
func (p *Program) needSteps(pos diag.Pos, l *diag.List) {
	if len(p.Steps) == 0 {
		l.Add(pos, noSteps, `add a step such as "- {to: home, path: joint, speed: 20 %, end: stop}"`, "the program has no steps")
	}
	repeatsNeedSteps(p.Steps, l)
	for i := range p.Routines {
		r := &p.Routines[i]
		if len(r.Steps) == 0 {
			l.Add(r.Pos, noSteps, "add a step or delete the routine", "the routine %s has no steps", r.Name)
		}
		repeatsNeedSteps(r.Steps, l)
	}
}

func repeatsNeedSteps(steps []Step, l *diag.List) {
	for i := range steps {
		if steps[i].Kind != Repeat {
			continue
		}
		if len(steps[i].Steps) == 0 {
			l.Add(steps[i].Pos, noSteps, "add a step or delete the repeat", "the repeat has no steps")
		}
		repeatsNeedSteps(steps[i].Steps, l)
	}
}

func ref(n *source.Node) Ref { return Ref{Name: n.Name(), Pos: n.Pos()} }

func pose(e source.Entry) Pose {
	p := Pose{Name: e.KeyNode.Name(), Pos: e.KeyPos}
	m := e.Value.Map()
	axes, xyz, rpy := m.Get("axes"), m.Get("xyz"), m.Get("rpy")
	frame, config := m.Get("frame"), m.Get("config")
	p.Frame = Ref{Name: "base", Pos: e.Value.Pos()}
	switch {
	case axes != nil:
		p.ByAxes = true
		for i, v := range axes.Nums(6) {
			p.Axes[i] = kin.Rad(v)
		}
		for _, n := range []*source.Node{xyz, rpy, frame, config} {
			n.Errorf("P002", "delete one of the two", "%s stands beside axes, which give the whole pose already", n.Label())
		}
	case e.Value.OK() && xyz == nil && rpy == nil:
		m.Close()
		e.Value.Check(m.Misspelt("axes", "xyz", "rpy"), "P001", "write {axes: [six angles]} or {xyz: [...], rpy: [...]}", "the pose %s has neither axes nor xyz and rpy", e.Key)
		return p
	default:
		// Asked for again to report the one that is missing.
		p.XYZ, p.RPY = m.Need("xyz").Vec(), m.Need("rpy").Degs()
		p.Place = kin.Pose{R: kin.FromRPY(p.RPY.X, p.RPY.Y, p.RPY.Z), T: p.XYZ}
		if frame != nil {
			p.Frame = ref(frame)
		}
		if config != nil {
			p.Config = configuration(config)
		}
	}
	m.Close()
	return p
}

func configuration(n *source.Node) *kin.Config {
	words := n.Count(3)
	if len(words) != 3 {
		return &kin.Config{}
	}
	return &kin.Config{
		Back:    words[0].OneOf("front", "back") == 1,
		Down:    words[1].OneOf("up", "down") == 1,
		Flipped: words[2].OneOf("plain", "flipped") == 1,
	}
}

func taughtFrame(e source.Entry) TaughtFrame {
	f := TaughtFrame{Name: e.KeyNode.Name(), Pos: e.KeyPos}
	if f.Name == "base" || f.Name == "world" {
		e.KeyNode.Errorf("P003", "choose another name", "the frame name %q is taken: it is a frame of every cell", f.Name)
	}
	m := e.Value.Map()
	f.Origin, f.AlongX, f.InPlan = ref(m.Need("origin")), ref(m.Need("along-x")), ref(m.Need("in-plane"))
	m.Close()
	return f
}

func taughtTool(e source.Entry) TaughtTool {
	t := TaughtTool{Name: e.KeyNode.Name(), Pos: e.KeyPos}
	m := e.Value.Map()
	touches := m.Need("touches")
	items := touches.List()
	touches.Check(len(items) >= MinTouches, "P004", "touch the point with more orientations",
		"the tool %s is taught by %d poses, but at least %d are needed", e.Key, len(items), MinTouches)
	for _, n := range items {
		t.Touches = append(t.Touches, ref(n))
	}
	m.Close()
	return t
}

// within reports a quantity outside (0, most].
func within(n *source.Node, v, most float64, unit string) {
	n.Check(v > 0, "P005", fmt.Sprintf("write more than 0, at most %g %s", most, unit),
		"%s is %g %s, but must be more than 0", n.Label(), v, unit)
	n.Check(v <= most, "P005", fmt.Sprintf("write at most %g %s", most, unit),
		"%s is %g %s, but the most that can be written is %g %s", n.Label(), v, unit, most, unit)
}
