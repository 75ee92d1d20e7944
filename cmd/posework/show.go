package main

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"posework/cmd/posework/internal/seat"
	"posework/engine/armfile"
	"posework/engine/diag"
	"posework/engine/urdf"
	"posework/grader/report"
	"posework/kin"
	"posework/kin/arm"
)

type armShowCmd struct {
	armArg
}

// Help is shown by --help.
func (armShowCmd) Help() string {
	return `Prints the arm's axes with their limits, speeds and accelerations, its reach,
which closed form of the inverse fits it, and where it is singular.

Example:

  posework arm show hazel

Exit status: 0, or 2 when there is no such arm.`
}

// Run prints.
func (c *armShowCmd) Run(s *session) error {
	m, err := s.loadArm(c.armArg)
	if err != nil {
		return err
	}
	showArm(s.out, m)
	return nil
}

// loadArm returns a built-in arm, or one from a file. What was taken for granted
// in the file, and what is wrong with it, goes to the error output.
func (s *session) loadArm(name armArg) (*arm.Model, error) {
	m, notes, l, err := readArm(name)
	if err != nil {
		return nil, err
	}
	if err := report.Diagnostics(s.err, notes); err != nil {
		return nil, err
	}
	if len(l) > 0 {
		if err := report.Diagnostics(s.err, l); err != nil {
			return nil, err
		}
		return nil, status(statusFailed)
	}
	return m, nil
}

// mostArmBytes is the greatest size of an arm's file that is looked at; its
// reader may allow less.
const mostArmBytes = 4 << 20

// readArm reads an arm: its model, what was taken for granted, and what is wrong
// with its file. A name with neither a dot nor a slash is that of a built-in
// arm.
func readArm(name armArg) (m *arm.Model, notes, l diag.List, err error) {
	if m, ok := arm.Builtin(name.Arm); ok {
		return m, nil, nil, nil
	}
	if !strings.ContainsAny(name.Arm, "./\\") {
		if near := diag.Nearest(name.Arm, arm.Names()); near != "" {
			return nil, nil, nil, fmt.Errorf("there is no arm %q; did you mean %q?", name.Arm, near)
		}
		return nil, nil, nil, fmt.Errorf("there is no arm %q; built in are %s, and a file is named with its ending", name.Arm, strings.Join(arm.Names(), ", "))
	}
	data, err := seat.ReadUpTo(name.Arm, mostArmBytes)
	if err != nil {
		return nil, nil, nil, err
	}
	if strings.EqualFold(filepath.Ext(name.Arm), ".urdf") {
		a, l := urdf.Read(name.Arm, data, urdf.Options{Tip: name.Tip})
		if len(l) > 0 {
			return nil, nil, l, nil
		}
		return a.Model, a.Notes, nil, nil
	}
	a, l := armfile.Read(name.Arm, data)
	if len(l) > 0 {
		return nil, nil, l, nil
	}
	return a.Model, a.Notes, nil, nil
}

func showArm(w io.Writer, m *arm.Model) {
	fmt.Fprint(w, m.Name)
	if m.Title != "" {
		fmt.Fprintf(w, ", %s", m.Title)
	}
	fmt.Fprintf(w, "\n\nreach    %s mm, nominal\ninverse  %s\n\n", number(m.Reach), family(m))
	fmt.Fprintf(w, "axis         limits             speed   acceleration\n")
	for i := range 6 {
		unit := "deg"
		if m.Chain.Prismatic(i) {
			unit = "mm"
		}
		n := func(v float64) string { return number(axisUnit(m, i, v)) }
		fmt.Fprintf(w, "%4d  %7s to %-7s %-3s  %6s %s/s  %7s %s/s2\n",
			i+1, n(m.Limits[i].Min), n(m.Limits[i].Max), unit, n(m.Speed[i]), unit, n(m.Accel[i]), unit)
	}
	fmt.Fprintf(w, "\nsingular configurations\n")
	lines := singular(m)
	if len(lines) == 0 {
		fmt.Fprintln(w, "  no alignment of this geometry is known; the smallest singular value tells (posework arm forward)")
	}
	for _, line := range lines {
		fmt.Fprintln(w, "  "+line)
	}
}

func family(m *arm.Model) string {
	f := m.Inverse().Family()
	if f == kin.Numerical {
		return "no closed form fits; solved numerically, one solution a pose"
	}
	return "closed form, " + f.String()
}

func number(v float64) string {
	s := fmt.Sprintf("%.3f", v)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// singular says where the arm is singular. The angles are found through the
// measures of room themselves: each falls at one degree a degree towards its
// alignment.
func singular(m *arm.Model) []string {
	at := func(axis int, measure func(kin.Room) float64) string {
		room := func(v float64) float64 {
			var q kin.Joints
			q[axis] = v
			var f kin.Frames
			m.Chain.Forward(&q, &f)
			return measure(m.Inverse().Room(&q, &f))
		}
		const step = 1e-3
		first := room(0)
		if room(step) > first {
			first = -first
		}
		var angles []float64
		for turns := -2; turns <= 2; turns++ {
			a := first + float64(turns)*math.Pi
			if a >= m.Limits[axis].Min && a <= m.Limits[axis].Max {
				angles = append(angles, kin.Deg(a))
			}
		}
		if len(angles) == 0 {
			return "outside its limits"
		}
		slices.Sort(angles)
		words := make([]string, len(angles))
		for i, a := range angles {
			words[i] = number(a)
		}
		return "at " + strings.Join(words, ", ") + " deg"
	}
	var q kin.Joints
	var f kin.Frames
	m.Chain.Forward(&q, &f)
	has := m.Inverse().Room(&q, &f)
	var lines []string
	if has.HasWrist {
		lines = append(lines, "wrist: axis 5 "+at(4, func(r kin.Room) float64 { return r.Wrist })+": axes 4 and 6 are in line")
	}
	if has.HasElbow {
		lines = append(lines, "elbow: axis 3 "+at(2, func(r kin.Room) float64 { return r.Elbow })+": the arm is stretched or folded")
	}
	if has.HasShoulder {
		lines = append(lines, "shoulder: the wrist centre in the plane of axis 1 that axis 2 is parallel to")
	}
	return lines
}
