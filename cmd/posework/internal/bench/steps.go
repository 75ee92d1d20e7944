package bench

import (
	"errors"
	"fmt"
	"slices"

	"posework/engine/cell"
	"posework/engine/program"
)

// Kinds are the kinds of step that can be added, in words.
func Kinds() []string {
	return []string{"move", "set a signal", "wait for a signal", "pause", "repeat", "call a routine", "take a tool", "set the payload"}
}

// Fresh returns a step of a kind (an index into [Kinds]) with values that make
// sense in this cell and program; pose is where a move goes, "" for the last one
// recorded.
func (b *Bench) Fresh(kind int, pose string) (*program.Step, error) {
	p := b.Program()
	s := &program.Step{Kind: program.Kind(kind)}
	switch s.Kind {
	case program.Move:
		if pose == "" && len(p.Poses) > 0 {
			pose = p.Poses[len(p.Poses)-1].Name
		}
		if pose == "" {
			return nil, errors.New("record a pose first: a move leads to one")
		}
		s.To.Name, s.Speed.Share = pose, 0.1
	case program.Set:
		for i := range b.Cell.Signals {
			if b.Cell.Signals[i].Output {
				s.Signals = []program.Signal{{Name: b.Cell.Signals[i].Name, On: true}}
				return s, nil
			}
		}
		return nil, errors.New("the cell has no signal that a program can set")
	case program.Wait:
		if len(b.Cell.Signals) == 0 {
			return nil, errors.New("the cell has no signals")
		}
		i := max(0, slices.IndexFunc(b.Cell.Signals, func(s cell.Signal) bool { return !s.Output }))
		s.Signals, s.AtMost = []program.Signal{{Name: b.Cell.Signals[i].Name, On: true}}, 2
	case program.Pause:
		s.Pause = 0.5
	case program.Repeat:
		s.Times = 2
	case program.Call:
		if len(p.Routines) == 0 {
			return nil, errors.New("the program has no routines; they are written in the file itself")
		}
		s.Call.Name = p.Routines[0].Name
	case program.SelectTool:
		names := b.tools()
		if len(names) == 0 {
			return nil, errors.New("the cell has no tools")
		}
		s.Tool.Name = names[0]
	case program.SetPayload:
		if len(b.Cell.Tools) > 0 {
			s.Load.Mass = b.Cell.Tools[0].Mass
		}
	default:
		return nil, fmt.Errorf("there is no kind %d of step", kind)
	}
	return s, nil
}

// tools are the names of all tools, the program's own last.
func (b *Bench) tools() []string {
	var names []string
	for i := range b.Cell.Tools {
		names = append(names, b.Cell.Tools[i].Name)
	}
	for _, t := range b.Program().Tools {
		names = append(names, t.Name)
	}
	return names
}

// Insert puts a step before the one at a place. A repeat gets its steps by
// inserting at places within it, see [Within].
func (b *Bench) Insert(at program.At, s *program.Step) error {
	return b.change(b.file.InsertStep(at, s))
}

// Replace gives the step at a place other values.
func (b *Bench) Replace(at program.At, s *program.Step) error {
	return b.change(b.file.ReplaceStep(at, s))
}

// Remove deletes the step at a place.
func (b *Bench) Remove(at program.At) error { return b.change(b.file.DeleteStep(at)) }

// Copy keeps the step at a place to be pasted.
func (b *Bench) Copy(at program.At) error {
	s := b.file.Step(at)
	if s == nil {
		return errors.New("no step stands there")
	}
	b.clip = s
	return nil
}

// Paste puts the copied step before the one at a place.
func (b *Bench) Paste(at program.At) error {
	if b.clip == nil {
		return errors.New("nothing has been copied")
	}
	return b.Insert(at, b.clip)
}

// Move takes the step at a place one row up or down among the steps of its list,
// and returns where it is then.
func (b *Bench) Move(at program.At, down bool) (program.At, error) {
	last := len(at.Index) - 1
	to := program.At{Routine: at.Routine, Index: slices.Clone(at.Index)}
	now := to
	now.Index = slices.Clone(at.Index)
	if down {
		to.Index[last] += 2 // counted before the move
		now.Index[last]++
	} else {
		to.Index[last]--
		now.Index[last]--
	}
	if to.Index[last] < 0 || b.file.Step(now) == nil {
		return at, errors.New("it stands at the end of its list already")
	}
	if err := b.change(b.file.MoveStep(at, to)); err != nil {
		return at, err
	}
	return now, nil
}

// After is the place behind the step at a place, in the same list.
func After(at program.At) program.At {
	next := program.At{Routine: at.Routine, Index: slices.Clone(at.Index)}
	next.Index[len(next.Index)-1]++
	return next
}

// Within is the first place within the repeat at a place.
func Within(at program.At) program.At {
	return program.At{Routine: at.Routine, Index: append(slices.Clone(at.Index), 0)}
}
