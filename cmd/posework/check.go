package main

import (
	"fmt"
	"strings"

	"posework/grader/report"
	"posework/kin/arm"
)

type armCheckCmd struct {
	armArg
}

// Help is shown by --help.
func (armCheckCmd) Help() string {
	return `Tells what would stop the arm from being used in a lesson: what its file has
wrong, and what a lesson needs that it lacks. Things that only narrow what can
be taught with it are told as remarks.

Example:

  posework arm check my-arm.urdf

Exit status: 0 it can be used, 1 it can't, 2 there is no such file.`
}

// Run checks.
func (c *armCheckCmd) Run(s *session) error {
	m, notes, l, err := readArm(c.armArg)
	if err != nil {
		return err
	}
	if len(l) > 0 { // what is wrong is this command's result
		if err := report.Diagnostics(s.out, l); err != nil {
			return err
		}
		return status(statusNotPassed)
	}
	stops, remarks := judgeArm(m)
	for _, n := range notes {
		remarks = append(remarks, n.String())
	}
	for _, line := range stops {
		fmt.Fprintf(s.out, "stops: %s\n", line)
	}
	for _, line := range remarks {
		fmt.Fprintf(s.out, "remark: %s\n", line)
	}
	if len(stops) > 0 {
		return status(statusNotPassed)
	}
	_, err = fmt.Fprintf(s.out, "%s can be used in a lesson\n", m.Name)
	return err
}

// judgeArm says what keeps an arm out of lessons, and what only narrows them.
func judgeArm(m *arm.Model) (stops, remarks []string) {
	bare := map[int]bool{1: true, 2: true, 3: true, 4: true, 5: true}
	for _, solid := range m.Solids {
		delete(bare, solid.Link)
	}
	if len(m.Solids) == 0 {
		stops = append(stops, "no link has a solid, so clearance would be measured to nothing; add capsules under \"links\"")
	} else if len(bare) > 0 {
		var list []string
		for link := 1; link <= 5; link++ {
			if bare[link] {
				list = append(list, fmt.Sprint(link))
			}
		}
		remarks = append(remarks, "without a solid: link "+strings.Join(list, ", ")+"; clearance does not see it")
	}
	for i := range 6 {
		if m.Speed[i] <= 0 || m.Accel[i] <= 0 {
			stops = append(stops, fmt.Sprintf("axis %d has no speed or no acceleration, so no motion can be timed", i+1))
		}
	}
	if !(m.Reach > 0) {
		stops = append(stops, "the reach is not given")
	}
	if len(singular(m)) == 0 {
		remarks = append(remarks, "no closed form and no alignments: the check singularity-room has nothing to measure")
	}
	return stops, remarks
}
