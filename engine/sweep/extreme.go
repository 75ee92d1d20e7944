package sweep

// Span is a stretch of one piece of a trajectory, in the piece's own parameter.
// What lies outside the piece is left out; S0 == S1 is a single place.
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
	Link  BodyKind = iota // the solids of a link of the arm; Index is the link, 0 to 6
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
	A, B Body
}
