package grader

import (
	"slices"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/kin"
)

// Mode is the operating mode that a task is for.
type Mode uint8

// The modes.
const (
	Manual    Mode = iota // reduced speed: at most 250 mm/s
	Automatic             // as the checks say
)

// MaxChecks is the greatest number of checks of a task.
const MaxChecks = 100

// Task is what a lesson asks for and how it is judged.
type Task struct {
	Goal   string
	Mode   Mode
	Pass   float64     // of 100
	Start  *kin.Joints // where the arm stands before the program; nil: at its first pose
	Checks []Item
	Vary   []Variation // in the order of the file
}

// Item is one check of a task.
type Item struct {
	Check  Check
	Kind   *Kind
	Pos    diag.Pos
	Points float64
	Must   bool
}

// UsesLog reports whether the task is judged by the practice log as well.
func (t *Task) UsesLog() bool {
	return slices.ContainsFunc(t.Checks, func(it Item) bool {
		switch it.Check.(type) {
		case provedOut, stopsTried:
			return true
		}
		return false
	})
}

// DecodeTask reads a task for the cell c from n, reporting what is wrong with it
// at its place in the file.
func DecodeTask(n *source.Node, c *cell.Cell) *Task {
	m := n.Map()
	t := &Task{Goal: m.Need("goal").Str(), Pass: 80}
	if k := m.Get("mode"); k != nil {
		t.Mode = Mode(max(0, k.OneOf("manual", "automatic")))
	}
	if p := m.Get("pass"); p != nil {
		if t.Pass = p.Num(); t.Pass < 0 || t.Pass > 100 {
			p.Errorf("T002", "write a number from 0 to 100", "pass is %g, but a mark goes from 0 to 100", t.Pass)
		}
	}
	d := decoder{cell: c, task: t}
	if s := m.Get("start"); s != nil {
		t.Start = d.start(s)
	}
	checks := m.Need("checks")
	items := checks.List()
	checks.Check(len(items) <= MaxChecks, "T015", "join them", "the task has %d checks, but at most %d are read", len(items), MaxChecks)
	for _, item := range items[:min(len(items), MaxChecks)] {
		if it, ok := d.item(item); ok {
			t.Checks = append(t.Checks, it)
		}
	}
	t.Vary = variations(m.Get("vary").Map())
	m.Close()
	return t
}

// defaultPoints is what a check earns when its task gives it no points.
const defaultPoints = 10

func (d *decoder) item(n *source.Node) (Item, bool) {
	m := n.Map()
	name := m.Need("check")
	if name == nil {
		return Item{}, false
	}
	words := make([]string, len(kinds))
	for i := range kinds {
		words[i] = kinds[i].Name
	}
	i := name.OneOf(words...)
	if i < 0 {
		return Item{}, false
	}
	it := Item{Kind: &kinds[i], Pos: n.Pos(), Points: defaultPoints, Must: kinds[i].Safety}
	if p := m.Get("points"); p != nil {
		if it.Points = p.Num(); it.Points < 0 {
			p.Errorf("T003", "write 0 or more", "points is %g, but points can't be negative", it.Points)
		}
	}
	if p := m.Get("must"); p != nil {
		it.Must = p.Bool()
	}
	d.m, d.n = m, n
	it.Check = kinds[i].decode(d)
	m.Close()
	return it, it.Check != nil
}

// start reads where the arm stands before the program: six axis values, or a
// place of a tool's centre point, which follows its frame in a learner's own
// cell:
//
//	start: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: crate, tool: cups}
//
// Of the settings of the axes that reach a place it is the one with the
// configuration [front, up, plain].
func (d *decoder) start(n *source.Node) *kin.Joints {
	if n.Kind() != source.Mapping {
		return new(axes(n))
	}
	m, before := n.Map(), len(*n.Reports())
	tool := oneOf(m.Need("tool"), "tools", d.cell.Tools, func(t cell.Tool) string { return t.Name })
	worldTCP := d.place(n)
	if tool < 0 || len(*n.Reports()) > before {
		return nil
	}
	tcpFlange := d.cell.Tools[tool].TCP.Inv()
	worldFlange := worldTCP.Mul(&tcpFlange)
	q, miss := d.cell.Arm.Nearest(&worldFlange, &kin.Joints{}, &kin.Config{})
	if !miss.OK() {
		n.Errorf("T013", "move the place, or give six axis values", "the arm can't stand at the start with configuration [front, up, plain]")
		return nil
	}
	return &q
}

func axes(n *source.Node) (q kin.Joints) {
	for i, v := range n.Nums(6) {
		q[i] = kin.Rad(v)
	}
	return q
}
