package motion

import (
	"sort"

	"posework/kin"
)

// State is what the arm and the cell do at one moment.
type State struct {
	Piece, Step int        // indices into Trajectory.Pieces and Steps; -1 when nothing moves at all
	S           float64    // the piece's parameter
	SDot, SDDot float64    // its first two derivatives by time
	Eval                   // the path at S
	Speed       kin.Joints // axes, rad/s (mm/s)
	Accel       kin.Joints // axes, rad/s2 (mm/s2)
	ToolVel     kin.Vec    // tool centre point, mm/s, world axes
	ToolAccel   kin.Vec    // tool centre point, mm/s2, world axes
	Scene       *Scene
}

// At fills st with the state at time t, s from the start. A time before the
// start or after the end is taken as the start or the end. Where two pieces
// meet the later one answers. It allocates nothing.
func (t *Trajectory) At(time float64, st *State) {
	time = max(0, min(time, t.Duration))
	*st = State{Piece: -1, Step: -1}
	if len(t.Pieces) == 0 {
		st.Q = t.Start
		tool := kin.IdentityPose
		if len(t.Steps) > 0 && t.Steps[0].Tool < len(t.Tools) {
			tool = t.Tools[t.Steps[0].Tool].TCP
		}
		t.Cell.Arm.Chain.Forward(&st.Q, &st.Frames)
		st.TCP = st.Frames[6].Mul(&tool)
		st.Scene = &t.Scenes[len(t.Scenes)-1]
		return
	}
	k := sort.Search(len(t.Pieces), func(i int) bool { return t.Pieces[i].Start > time })
	k = max(0, k-1)
	t.Pieces[k].at(time, st)
	st.Piece = k
	st.Scene = &t.Scenes[t.Pieces[k].Scene]
}

// at fills st, but for what only the trajectory knows.
func (p *Piece) at(time float64, st *State) {
	st.Step = p.Step
	st.S, st.SDot, st.SDDot = p.Law.At(time - p.Start)
	p.Path.At(st.S, &st.Eval)
	for i := range st.Q {
		st.Speed[i] = st.DQ[i] * st.SDot
		st.Accel[i] = st.DQ[i]*st.SDDot + st.DDQ[i]*st.SDot*st.SDot
	}
	st.ToolVel = st.V.Scale(st.SDot)
	st.ToolAccel = st.V.Scale(st.SDDot).AddScaled(st.SDot*st.SDot, st.DV)
}
