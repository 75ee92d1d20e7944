// Package sweep examines a whole trajectory without gaps: each answer is an
// interval that provably holds the true extreme of a quantity.
//
// What a grader asks, over spans of a trajectory (the names are the methods of
// [Sweep]; lengths mm, angles rad, speeds mm/s or rad/s):
//
//	AxisRoom(spans, axis) Extreme                     least room of an axis to its limits
//	SingularityRoom(spans, Wrist|Elbow|Shoulder) Extreme
//	ToolSpeed(spans), SlowestTool(spans) Extreme      greatest and least speed of the tool centre point
//	PointSpeed(spans) BodyExtreme                     greatest speed of any point of arm, tool and held part
//	AxisSpeed(spans, axis) Extreme                    greatest speed that the axis reaches
//	AxisDemand(spans, axis) (speed, accel Extreme)    what the programmed tool speed would ask of the axis
//	SpeedNear(spans, solid, within) Extreme           greatest tool speed while the tool is near a solid
//	Clearance(spans, need func(a, b Body) float64) []PairExtreme
//	                                                  least distance by pair, exact where below need(a, b);
//	                                                  a pair whose need is -Inf is left out
//	ZoneClearance(spans, zone, need) []PairExtreme    distance of every body from a zone; entered below 0
//	ZoneSpeed(spans, zone) BodyExtreme                greatest speed of a point inside a zone
//	Deviation(spans, figure) Extreme                  greatest distance of the tool centre point from a figure
//	Nearest(spans, point) Extreme                     least distance of the tool centre point from a point
//	Gap(spans, figure, step) Extreme                  greatest distance of a point of the figure from the path
//	Tilt(spans, direction) Extreme                    greatest angle of the tool axis (Z) from a direction
package sweep

import "posework/kin"

// Span is a stretch of one piece of a trajectory, in the piece's own parameter.
type Span struct {
	Piece  int
	S0, S1 float64
}

// Moment is a place on a trajectory.
type Moment struct {
	Piece   int
	S, Time float64
}

// Extreme is the greatest or least value of a quantity over some spans.
type Extreme struct {
	Lo, Hi float64 // hold the true extreme
	At     Moment  // where a value inside [Lo, Hi] was measured
	None   bool    // there was nothing to measure: no such span, never near
	Done   bool    // false: the bound on work was reached first; [Lo, Hi] is sound but wide
}

// BodyKind is the kind of a body.
type BodyKind uint8

// The kinds of body.
const (
	Link  BodyKind = iota // a solid of a link of the arm; Index is the link, 0 to 6
	Tool                  // a solid of the tool; Index counts the tool's solids
	Held                  // the part that the tool holds; Index is the part
	Solid                 // a fixed solid of the cell; Index as in Cell.Solids
	Part                  // a loose part; Index as in Cell.Parts
	Floor                 // the floor
	Zone                  // a zone; Index as in Cell.Zones
)

// Body is a thing that distances are measured between.
type Body struct {
	Kind  BodyKind
	Index int
	Name  string // as a person reads it: "link 4", "cups plate", "crate wall left", "floor"
}

// BodyExtreme is an extreme with the body that has it.
type BodyExtreme struct {
	Extreme
	Body Body
}

// PairExtreme is the least distance of two bodies.
type PairExtreme struct {
	Extreme
	A, B           Body
	PointA, PointB kin.Vec // closest points at the moment At, world frame
}
