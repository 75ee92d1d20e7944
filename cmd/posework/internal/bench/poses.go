package bench

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"posework/engine/motion"
	"posework/engine/practice"
	"posework/engine/program"
	"posework/kin"
)

// ByAxes, in place of a frame's name, records a pose as six axis values.
const ByAxes = "axes"

// Record adds a pose where the arm stands: as six axis values, or in a frame. An
// existing pose of that name is refused; see [Bench.RecordAgain].
func (b *Bench) Record(name, frame string) error {
	if b.poseNamed(name) != nil {
		return fmt.Errorf("a pose is named %q already; record it again, or choose another name", name)
	}
	if err := checkName(name); err != nil {
		return err
	}
	return b.record(name, frame)
}

// RecordAgain gives a pose the place where the arm stands, in the form that it
// has: by axes, or in its frame.
func (b *Bench) RecordAgain(name string) error {
	p := b.poseNamed(name)
	if p == nil {
		return fmt.Errorf("no pose is named %q", name)
	}
	if p.ByAxes {
		return b.record(name, ByAxes)
	}
	return b.record(name, p.Frame.Name)
}

func (b *Bench) record(name, frame string) error {
	if b.Control.Moving() {
		return practice.ErrMoving
	}
	p := b.Control.RecordAxes(name)
	if frame != ByAxes {
		var err error
		if p, err = b.Control.RecordPlace(name, frame); err != nil {
			return err
		}
	}
	return b.change(b.file.PutPose(&p))
}

// Rename gives a pose another name wherever it stands.
func (b *Bench) Rename(old, name string) error {
	if err := checkName(name); err != nil {
		return err
	}
	return b.change(b.file.RenamePose(old, name))
}

// checkName says what a name may be, before the file's reader would say it in
// the words of files.
func checkName(name string) error {
	for _, r := range name {
		if !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_') {
			return fmt.Errorf("the name of a pose is letters, digits, - and _, but %q has %q in it", name, r)
		}
	}
	if name == "" {
		return errors.New("a pose needs a name")
	}
	return nil
}

// Uses returns how many steps use a pose, and whether a taught frame or tool
// does.
func (b *Bench) Uses(pose string) (steps int, taught bool) {
	p := b.Program()
	for _, row := range b.Rows() {
		if uses(row.Step, pose) {
			steps++
		}
	}
	for i := range p.Frames {
		f := &p.Frames[i]
		taught = taught || f.Origin.Name == pose || f.AlongX.Name == pose || f.InPlan.Name == pose
	}
	for i := range p.Tools {
		taught = taught || slices.ContainsFunc(p.Tools[i].Touches, func(r program.Ref) bool { return r.Name == pose })
	}
	return steps, taught
}

func uses(s *program.Step, pose string) bool {
	return s.Kind == program.Move && (s.To.Name == pose || s.Path == program.Arc && s.Through.Name == pose)
}

// Delete deletes a pose that nothing uses.
func (b *Bench) Delete(pose string) error { return b.change(b.file.DeletePose(pose)) }

// DeleteWithSteps deletes a pose and every step that uses it, as one change. A
// pose that teaches a frame or a tool is refused.
func (b *Bench) DeleteWithSteps(pose string) error {
	if _, taught := b.Uses(pose); taught {
		return fmt.Errorf("the pose %s teaches a frame or a tool; delete that first", pose)
	}
	f := b.file
	rows := b.Rows()
	for i := len(rows) - 1; i >= 0; i-- { // from behind, so that places stay right
		if !uses(rows[i].Step, pose) {
			continue
		}
		var err error
		if f, err = f.DeleteStep(rows[i].At); err != nil {
			return err
		}
	}
	f, err := f.DeletePose(pose)
	return b.change(f, err)
}

// Teach teaches a frame by three poses, or a tool centre point by four or more
// that touch one point, from what a person types: a name, then the poses. A name
// alone takes what is taught under it back.
func (b *Bench) Teach(tool bool, typed string) error {
	words := strings.Fields(strings.ReplaceAll(typed, ",", " "))
	switch {
	case len(words) == 0:
		return errors.New("type a name and the poses")
	case len(words) == 1 && tool:
		return b.change(b.file.DeleteTool(words[0]))
	case len(words) == 1:
		return b.change(b.file.DeleteFrame(words[0]))
	}
	name, poses := words[0], words[1:]
	refs := make([]program.Ref, len(poses))
	for i, p := range poses {
		if b.poseNamed(p) == nil {
			return fmt.Errorf("no pose is named %q", p)
		}
		refs[i].Name = p
	}
	switch {
	case tool && len(refs) < program.MinTouches:
		return fmt.Errorf("a tool is taught by at least %d touches, each with another orientation; here are %d", program.MinTouches, len(refs))
	case tool:
		return b.change(b.file.PutTool(&program.TaughtTool{Name: name, Touches: refs}))
	case len(refs) != 3:
		return fmt.Errorf("a frame is taught by three poses: its origin, one along +x, one on the +y side; here are %d", len(refs))
	}
	return b.change(b.file.PutFrame(&program.TaughtFrame{Name: name, Origin: refs[0], AlongX: refs[1], InPlan: refs[2]}))
}

// Target returns the axes that a pose puts the arm at, nearest to where it
// stands.
func (b *Bench) Target(pose string) (kin.Joints, error) {
	p := b.poseNamed(pose)
	if p == nil {
		return kin.Joints{}, fmt.Errorf("no pose is named %q", pose)
	}
	r := b.Control.Read()
	// One step to the pose is planned from here: what a program would do.
	prog := *b.Program()
	prog.Routines = nil
	prog.Steps = []program.Step{{Kind: program.Move, To: program.Ref{Name: pose}, Path: program.Joint, Speed: program.Speed{Share: 0.1}}}
	if r.Tool.Name != "" {
		prog.Tool.Name = r.Tool.Name
	}
	tr, l := motion.Plan(b.Cell, &prog, motion.Options{Start: &r.Q})
	if len(l) > 0 {
		return kin.Joints{}, errors.New(l[0].Text)
	}
	if tr.Halt != nil {
		if tr.Halt.Axis > 0 {
			return kin.Joints{}, fmt.Errorf("the pose %s can only be reached with axis %d past its limit", pose, tr.Halt.Axis)
		}
		return kin.Joints{}, fmt.Errorf("the arm can't reach the pose %s", pose)
	}
	return tr.Steps[0].TargetQ, nil
}
