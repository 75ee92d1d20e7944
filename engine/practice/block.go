package practice

import (
	"fmt"
	"math"

	"posework/kin"
)

// BlockKind is what a motion ran into.
type BlockKind uint8

// The kinds of obstacle.
const (
	AtLimit   BlockKind = iota // an axis is at its limit
	AtReach                    // the arm can't reach further
	AtAligned                  // axes line up: a singularity
	AtSolid                    // something would be touched
	AtHalt                     // the program can't go on; what the planner found
)

// Alignment is a singularity of an arm with three alignments.
type Alignment uint8

// The alignments.
const (
	NoAlignment Alignment = iota // the arm has none that has a name
	Wrist                        // axes 4 and 6 line up
	Elbow                        // the arm is stretched or folded
	Shoulder                     // the wrist lies over axis 1
)

// String names an alignment.
func (a Alignment) String() string {
	return [...]string{"singularity", "wrist", "elbow", "shoulder"}[a]
}

// Block says what a motion ran into and what helps.
type Block struct {
	Kind      BlockKind
	Axis      int // from 1: at its limit, or the one that would have to turn fastest
	Alignment Alignment
	A, B      string   // AtSolid: what would touch what
	Text      string   // one sentence without full stop
	Help      []string // what to do, best first
}

func degrees(rad float64) string { return fmt.Sprintf("%.1f deg", kin.Deg(rad)) }

// limitBlock is axis i, from 0, at its upper or lower limit.
func (c *Controller) limitBlock(i int, upper bool) *Block {
	limit, sign, back := c.cell.Arm.Limits[i].Min, "lower", "+"
	if upper {
		limit, sign, back = c.cell.Arm.Limits[i].Max, "upper", "-"
	}
	at := degrees(limit)
	if c.cell.Arm.Chain.Prismatic(i) {
		at = fmt.Sprintf("%.1f mm", limit)
	}
	b := &Block{Kind: AtLimit, Axis: i + 1, Text: fmt.Sprintf("axis %d is at its %s limit of %s", i+1, sign, at)}
	b.Help = []string{fmt.Sprintf("jog axis %d back in %s", i+1, back)}
	if c.doing.Kind == JogAlong || c.doing.Kind == GoStraight {
		b.Help = append(b.Help, "turn the tool so that this axis needs to turn less", "come from another side: jog by axis to another configuration")
	}
	return b
}

// reachBlock is a straight motion that leads out of reach.
func (c *Controller) reachBlock() *Block {
	b := c.alignedBlock(-1)
	b.Kind = AtReach
	b.Text = "the arm can't reach further this way"
	if b.Alignment == Elbow {
		b.Text += ": it is stretched out"
	}
	return b
}

// Rooms at which an alignment counts as equally near, to tell which of them is
// in the way.
const (
	nearAngle    = 5 * math.Pi / 180
	nearShoulder = 30.0 // mm
)

// alignedBlock is a straight motion that meets a singularity. axis, from 0, would
// have to turn faster than it can; -1: none in particular.
func (c *Controller) alignedBlock(axis int) *Block {
	b := &Block{Kind: AtAligned, Axis: axis + 1}
	r := c.cell.Arm.Inverse().Room(&c.q, &c.body.frames)
	least := math.Inf(1)
	for _, x := range []struct {
		has  bool
		near float64
		of   Alignment
	}{{r.HasWrist, r.Wrist / nearAngle, Wrist}, {r.HasElbow, r.Elbow / nearAngle, Elbow}, {r.HasShoulder, r.Shoulder / nearShoulder, Shoulder}} {
		if x.has && x.near < least {
			least, b.Alignment = x.near, x.of
		}
	}
	switch b.Alignment {
	case Wrist:
		b.Text = fmt.Sprintf("wrist alignment: axes 4 and 6 line up, axis 5 has %s left", degrees(r.Wrist))
		b.Help = []string{"turn axis 5 away first, by axis", "jog past it by axis", "turn the tool, or move the frame, so that the line passes it at a distance"}
	case Elbow:
		b.Text = fmt.Sprintf("elbow alignment: the arm is stretched or folded, axis 3 has %s left", degrees(r.Elbow))
		b.Help = []string{"bend the elbow first: turn axis 3, by axis", "bring the work nearer to the arm, or move the frame"}
	case Shoulder:
		b.Text = fmt.Sprintf("shoulder alignment: the wrist lies over axis 1, %.0f mm left", r.Shoulder)
		b.Help = []string{"turn axis 2 or 3 first, by axis, to bring the wrist away from axis 1", "go round it: turn axis 1 by axis", "move the frame away from the base"}
	default:
		b.Text = "a singularity: the tool can't go this way from here"
		b.Help = []string{"jog by axis until the arm stands differently"}
	}
	if axis >= 0 {
		b.Text += fmt.Sprintf("; axis %d would have to turn far too fast", axis+1)
	}
	return b
}

// solidBlock is a pair that would touch.
func (c *Controller) solidBlock(pair int) *Block {
	p := &c.body.pairs[pair]
	a, b := c.body.solids[p.a].name, c.body.solids[p.b].name
	return &Block{
		Kind: AtSolid, A: a, B: b,
		Text: fmt.Sprintf("%s would touch %s", a, b),
		Help: []string{"jog away from it: back the way you came", "along the tool's own axis if it stands in a fixture", "at a lower speed, look at the view from another side first"},
	}
}
