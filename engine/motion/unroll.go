package motion

import (
	"fmt"
	"strconv"
	"strings"

	"posework/engine/program"
	"posework/kin"
)

// maxSteps is the greatest number of steps that a program may unroll to.
const maxSteps = program.MaxSteps

// shifted is a shift in force: poses written in frame are moved by by.
type shifted struct {
	frame string
	by    kin.Vec
}

// todo is one step to execute.
type todo struct {
	src   *program.Step
	label string
	shift []shifted
}

// unroller writes out repeats and calls.
type unroller struct {
	p    *program.Program
	out  []todo
	full bool
}

// unroll returns the steps of p in the order in which they run. It reports false
// when they are too many.
func unroll(p *program.Program) ([]todo, bool) {
	u := unroller{p: p}
	u.steps(p.Steps, "", nil, nil, 0)
	return u.out, !u.full
}

// steps appends steps. Their label is prefix and a number, then the rounds of
// the repeats around them.
func (u *unroller) steps(steps []program.Step, prefix string, rounds []string, shift []shifted, depth int) {
	if depth > 100 {
		u.full = true // routines that call each other without end
		return
	}
	for i := range steps {
		s := &steps[i]
		name := prefix + strconv.Itoa(i+1)
		switch s.Kind {
		case program.Repeat:
			for k := range s.Times {
				in := shift
				if s.Shift.By != (kin.Vec{}) {
					in = append(shift[:len(shift):len(shift)], shifted{s.Shift.Frame.Name, s.Shift.By.Scale(float64(k))})
				}
				u.steps(s.Steps, name+".", append(rounds[:len(rounds):len(rounds)], strconv.Itoa(k+1)), in, depth+1)
				if u.full {
					return
				}
			}
		case program.Call:
			for r := range u.p.Routines {
				if u.p.Routines[r].Name == s.Call.Name {
					u.steps(u.p.Routines[r].Steps, s.Call.Name+" ", rounds, shift, depth+1)
				}
			}
		default:
			if len(u.out) >= maxSteps {
				u.full = true
				return
			}
			if len(rounds) > 0 {
				name += fmt.Sprintf(" (round %s)", strings.Join(rounds, ", "))
			}
			u.out = append(u.out, todo{s, name, shift})
		}
		if u.full {
			return
		}
	}
}
