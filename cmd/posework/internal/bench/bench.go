// Package bench is a learner's bench in one cell: the simulated controller, the
// program file that is being written, and what ties the two together: poses are
// recorded from where the arm stands, every change is planned anew and given to
// the controller, and can be undone.
//
// It draws nothing and asks nothing; the practice screen of package tui and the
// prompts of package plain do. It touches no file but through [Saver]. Motion
// takes no time of its own: the controller is told how much passes.
package bench

import (
	"errors"
	"fmt"
	"slices"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/motion"
	"posework/engine/practice"
	"posework/engine/program"
	"posework/grader"
	"posework/kin"
)

// Bench is a bench with a program on it.
type Bench struct {
	Cell    *cell.Cell
	Control *practice.Controller

	start   *kin.Joints // where the task has the arm stand before the program
	file    *program.File
	version int // counts the changes of file
	undo    []*program.File
	redo    []*program.File
	clip    *program.Step

	plan    *motion.Trajectory
	trouble diag.List // why the program can't be planned
	planned int       // the version that plan and trouble belong to
}

// Open puts a program on a bench. text is the program file's; nil begins a new
// one with a title. start is where the task has the arm stand before the
// program, nil where it does not say. What is wrong with the file, if anything,
// is returned instead of a bench.
func Open(c *cell.Cell, start *kin.Joints, name string, text []byte, title string) (*Bench, diag.List) {
	b := &Bench{Cell: c, start: start, planned: -1}
	if text == nil {
		b.file = program.New(name, title)
		if len(c.Tools) > 0 {
			f, err := b.file.SetTool(c.Tools[0].Name)
			if err == nil {
				b.file = f
			}
		}
	} else {
		f, l := program.Open(name, text)
		if len(l) > 0 {
			return nil, l
		}
		b.file = f
	}
	p := b.Plan()()
	q := Ready(c)
	switch {
	case start != nil:
		q = *start
	case p.plan != nil && len(p.plan.Steps) > 0:
		q = p.plan.Start
	}
	b.Control = practice.New(c, &q)
	b.Accept(p)
	return b, nil
}

// Program returns the program as it stands.
func (b *Bench) Program() *program.Program { return b.file.Program() }

// Text returns the program's text and a number that grows with every change.
func (b *Bench) Text() ([]byte, int) { return b.file.Bytes(), b.version }

// Trouble is why the program can't be run as it stands; empty while it is being
// planned.
func (b *Bench) Trouble() diag.List {
	if b.planned != b.version {
		return nil
	}
	return b.trouble
}

// Planning reports whether a change has not been planned yet.
func (b *Bench) Planning() bool { return b.planned != b.version }

// Planned is a plan of one version of the program.
type Planned struct {
	version int
	digest  string
	plan    *motion.Trajectory
	trouble diag.List
}

// Plan returns a function that plans the program as it is now. It may take a
// while for a long program; it touches nothing of the bench and may run beside
// it. What it returns is for [Bench.Accept].
func (b *Bench) Plan() func() Planned {
	c, f, version, start := b.Cell, b.file, b.version, b.start
	return func() Planned {
		p := Planned{version: version, digest: grader.Digest(f.Bytes())}
		if prog := f.Program(); len(prog.Steps) > 0 {
			p.plan, p.trouble = motion.Plan(c, prog, motion.Options{Start: start})
		}
		return p
	}
}

// Accept takes a plan over, and reports whether it did: not while the arm moves,
// and not when the program has changed since.
func (b *Bench) Accept(p Planned) bool {
	if p.version != b.version {
		return false
	}
	if err := b.Control.Load(p.plan, p.digest); err != nil {
		return false
	}
	b.plan, b.trouble, b.planned = p.plan, p.trouble, p.version
	return true
}

var (
	errNothingToUndo = errors.New("there is nothing to take back")
	errNothingToRedo = errors.New("there is nothing to do again")
)

// change makes f the program. It is refused while the arm moves: what runs must
// be what is seen.
func (b *Bench) change(f *program.File, err error) error {
	if err != nil {
		return err
	}
	if b.Control.Moving() {
		return practice.ErrMoving
	}
	b.undo = append(b.undo, b.file)
	b.redo = nil
	b.set(f)
	return nil
}

func (b *Bench) set(f *program.File) {
	b.file = f
	b.version++
}

// Undo takes the last change back.
func (b *Bench) Undo() error { return b.turn(&b.undo, &b.redo, errNothingToUndo) }

// Redo does again what was taken back.
func (b *Bench) Redo() error { return b.turn(&b.redo, &b.undo, errNothingToRedo) }

func (b *Bench) turn(from, to *[]*program.File, none error) error {
	if b.Control.Moving() {
		return practice.ErrMoving
	}
	n := len(*from)
	if n == 0 {
		return none
	}
	*to = append(*to, b.file)
	b.set((*from)[n-1])
	*from = (*from)[:n-1]
	return nil
}

// Tools returns the tools that can be carried: the cell's and, where the program
// could be planned, those that it teaches.
func (b *Bench) Tools() []motion.Tool {
	if b.plan != nil {
		return b.plan.Tools
	}
	var tools []motion.Tool
	for i := range b.Cell.Tools {
		tools = append(tools, motion.Tool{Name: b.Cell.Tools[i].Name, TCP: b.Cell.Tools[i].TCP, Body: i})
	}
	return tools
}

// TakeTool makes the arm carry a tool, and the program begin with it as long as
// it has no steps.
func (b *Bench) TakeTool(t motion.Tool) error {
	if err := b.Control.SetTool(t); err != nil {
		return err
	}
	if len(b.Program().Steps) > 0 || b.Program().Tool.Name == t.Name {
		return nil
	}
	return b.change(b.file.SetTool(t.Name))
}

// Log is a copy of the practice log.
func (b *Bench) Log() *practice.Log { return new(b.Control.Log()) }

// poseNamed returns the pose of a name, nil where there is none.
func (b *Bench) poseNamed(name string) *program.Pose {
	poses := b.Program().Poses
	if i := slices.IndexFunc(poses, func(p program.Pose) bool { return p.Name == name }); i >= 0 {
		return &poses[i]
	}
	return nil
}

// FreeName returns a name for a new pose: "p1", "p2" and so on.
func (b *Bench) FreeName() string {
	for i := 1; ; i++ {
		if name := fmt.Sprintf("p%d", i); b.poseNamed(name) == nil {
			return name
		}
	}
}
