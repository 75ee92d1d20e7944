package program

import (
	"fmt"
	"strings"

	"posework/engine/diag"
)

// resolver checks the names that a program uses against those that it gives,
// and how long it runs.
type resolver struct {
	p        *Program
	l        *diag.List
	before   int // diagnostics that were there already
	poses    map[string]int
	frames   map[string]int
	routines map[string]int
	poseList []string
	calls    []string // names of the routines
	unknown  int      // names that were not found
	length   []int    // steps of a routine written out; 0: not known yet, -1: being counted
}

func newResolver(p *Program, l *diag.List) *resolver {
	r := &resolver{p: p, l: l, before: len(*l), poses: map[string]int{}, frames: map[string]int{}, routines: map[string]int{}}
	for i := range p.Poses {
		r.poses[p.Poses[i].Name] = i
		r.poseList = append(r.poseList, p.Poses[i].Name)
	}
	for i := range p.Frames {
		r.frames[p.Frames[i].Name] = i
	}
	for i := range p.Routines {
		r.routines[p.Routines[i].Name] = i
		r.calls = append(r.calls, p.Routines[i].Name)
	}
	r.length = make([]int, len(p.Routines))
	return r
}

func (r *resolver) all() {
	for i := range r.p.Frames {
		f := &r.p.Frames[i]
		for _, use := range []Ref{f.Origin, f.AlongX, f.InPlan} {
			r.pose(use)
		}
		if f.Origin.Name == f.AlongX.Name || f.Origin.Name == f.InPlan.Name || f.AlongX.Name == f.InPlan.Name {
			r.l.Add(f.Pos, "P012", "teach three poses that do not lie on one line", "the frame %s is taught by one pose twice", f.Name)
		}
	}
	r.frameCycles()
	for i := range r.p.Tools {
		for _, use := range r.p.Tools[i].Touches {
			r.pose(use)
		}
	}
	r.steps(r.p.Steps)
	for i := range r.p.Routines {
		r.steps(r.p.Routines[i].Steps)
	}
	if len(*r.l) > r.before {
		return
	}
	total := r.count(r.p.Steps, nil)
	for i := range r.p.Routines {
		r.routine(i, nil)
	}
	if total > MaxSteps && len(*r.l) == r.before {
		r.l.Add(r.p.Steps[0].Pos, "P015", "repeat less often or split the program",
			"the program runs more than %d steps, the most that are read, when repeats and calls are written out", MaxSteps)
	}
}

func (r *resolver) pose(use Ref) {
	if _, ok := r.poses[use.Name]; ok {
		return
	}
	r.l.Add(use.Pos, "P013", r.suggest(use.Name, r.poseList, "add it to poses"), "no pose is named %q", use.Name)
}

// maxSuggestions is for how many unknown names a near one is looked for.
const maxSuggestions = 100

// suggest suggests a name in place of one that there is not.
func (r *resolver) suggest(name string, known []string, other string) string {
	if r.unknown++; r.unknown <= maxSuggestions {
		if near := diag.Nearest(name, known); near != "" {
			return fmt.Sprintf("did you mean %q?", near)
		}
	}
	return other
}

func (r *resolver) steps(steps []Step) {
	for i := range steps {
		s := &steps[i]
		switch s.Kind {
		case Move:
			r.pose(s.To)
			if s.Path != Arc {
				continue
			}
			r.pose(s.Through)
			if s.Through.Name == s.To.Name {
				r.l.Add(s.Through.Pos, "P012", "name a third pose between the two ends", "the arc runs through %q, where it ends", s.To.Name)
			}
		case Repeat:
			r.steps(s.Steps)
		case Call:
			if _, ok := r.routines[s.Call.Name]; !ok {
				r.l.Add(s.Call.Pos, "P013", r.suggest(s.Call.Name, r.calls, "add it to routines"), "no routine is named %q", s.Call.Name)
			}
		}
	}
}

// frameCycles reports frames taught by poses that are written in the frame
// itself, directly or by way of other taught frames.
func (r *resolver) frameCycles() {
	const (
		open = 1
		done = 2
	)
	state := make([]int, len(r.p.Frames))
	var visit func(i int, path []string)
	visit = func(i int, path []string) {
		f := &r.p.Frames[i]
		path = append(path, f.Name)
		state[i] = open
		for _, use := range []Ref{f.Origin, f.AlongX, f.InPlan} {
			k, ok := r.poses[use.Name]
			if !ok || r.p.Poses[k].ByAxes {
				continue
			}
			next, ok := r.frames[r.p.Poses[k].Frame.Name]
			if !ok {
				continue
			}
			if state[next] == open {
				r.l.Add(use.Pos, "P014", "teach the frame by poses in base or by axes",
					"the frame %s is taught by itself: the pose %q is written in the frame %s", f.Name, use.Name, r.p.Frames[next].Name)
				state[i] = done
				return
			}
			if state[next] == 0 {
				visit(next, path)
			}
		}
		state[i] = done
	}
	for i := range r.p.Frames {
		if state[i] == 0 {
			visit(i, nil)
		}
	}
}

// count returns how many steps a list runs, repeats and calls included, cut off
// past MaxSteps.
func (r *resolver) count(steps []Step, calls []string) int {
	total := 0
	for i := range steps {
		total++
		switch s := &steps[i]; s.Kind {
		case Repeat:
			total += s.Times * r.count(s.Steps, calls)
		case Call:
			k := r.routines[s.Call.Name]
			if r.length[k] < 0 {
				r.cycle(s.Call, calls)
				continue
			}
			total += r.routine(k, calls)
		}
		total = min(total, MaxSteps+1)
	}
	return total
}

// routine returns how many steps a routine runs.
func (r *resolver) routine(k int, calls []string) int {
	if r.length[k] == 0 {
		r.length[k] = -1
		r.length[k] = r.count(r.p.Routines[k].Steps, append(calls, r.p.Routines[k].Name))
	}
	return r.length[k]
}

// cycle reports the call that closes a ring of routines.
func (r *resolver) cycle(call Ref, calls []string) {
	first := len(calls) - 1
	for first > 0 && calls[first] != call.Name {
		first--
	}
	ring := append(append([]string{}, calls[first:]...), call.Name)
	if len(ring) > 6 {
		ring = append(append(ring[:3:3], "..."), ring[len(ring)-2:]...)
	}
	r.l.Add(call.Pos, "P014", "use repeat to do steps again", "the routine %s calls itself and would never end: %s", call.Name, strings.Join(ring, " -> "))
}
