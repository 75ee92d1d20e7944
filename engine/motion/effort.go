package motion

// effort is the work that one plan may still take, counted in evaluations of a
// path. When it is used up planning ends early, whatever half-made is left: the
// plan is thrown away, and M013 says so.
type effort struct{ left int }

// maxEffort keeps planning below a second; a usual program takes a twentieth of
// it, or less.
const maxEffort = 200_000

// Work of other kinds, in evaluations of a path.
const (
	stepEffort  = 2   // any step
	solveEffort = 2   // finding the axes of a pose
	seekEffort  = 300 // the same where they are searched for
	spanEffort  = 3   // a span of the time law, apart from trying it
	sceneEffort = 5   // a change of the scene
)

// spend takes work and reports whether there was enough left.
func (e *effort) spend(n int) bool {
	e.left -= n
	return e.left >= 0
}

// spent reports whether nothing is left.
func (e *effort) spent() bool { return e.left < 0 }
