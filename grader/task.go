package grader

import (
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
	if s := m.Get("start"); s != nil {
		t.Start = new(axes(s))
	}
	d := decoder{cell: c, task: t}
	for _, item := range m.Need("checks").List() {
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

func axes(n *source.Node) (q kin.Joints) {
	for i, v := range n.Nums(6) {
		q[i] = kin.Rad(v)
	}
	return q
}
