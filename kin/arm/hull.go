package arm

import (
	"fmt"
	"math"

	"posework/kin"
)

// HullRadius is the radius of the capsules of [Hull] as a share of the reach.
const HullRadius = 0.05

// Hull returns a body for an arm of which only the axes are known: on every link
// a capsule from the origin of the frame before to its own (and on to the
// flange), for a prismatic axis in its zero position. Links without length get
// none.
func Hull(c *kin.Chain, radius float64) []Solid {
	var solids []Solid
	flange := c.Flange()
	for i, row := range c.Rows() {
		// The origin before, seen from the link: Rx(-alpha) (-a, 0, -d). It does
		// not depend on the angle of the axis.
		sin, cos := math.Sincos(row.Alpha)
		from, to := kin.Vec{X: -row.A, Y: -row.D * sin, Z: -row.D * cos}, kin.Vec{}
		if i == 5 {
			// Solids of the last link are written in the flange.
			from, to = flange.ApplyInv(from), flange.ApplyInv(to)
			if to.Norm() > minLink {
				solids = append(solids, Solid{Link: 6, Name: "flange", Kind: Capsule, From: to, Radius: radius})
			}
		}
		if from.Sub(to).Norm() > minLink {
			solids = append(solids, Solid{Link: i + 1, Name: fmt.Sprintf("link %d", i+1), Kind: Capsule, From: from, To: to, Radius: radius})
		}
	}
	return solids
}

// minLink is the length below which a link counts as having none, mm.
const minLink = 1e-6

// Extent returns how far the flange can be from axis 1 at most, as the sum of the
// lengths of the links and travels, mm: a nominal reach for an arm whose file
// gives none.
func (m *Model) Extent() float64 {
	sum := 0.0
	for i, row := range m.Chain.Rows() {
		d := row.D
		if row.Prismatic {
			d = math.Max(math.Abs(row.D+m.Limits[i].Min), math.Abs(row.D+m.Limits[i].Max))
		}
		if i == 0 && !row.Prismatic {
			d = 0 // along axis 1 itself
		}
		sum += math.Hypot(row.A, d)
	}
	flange := m.Chain.Flange()
	return sum + flange.T.Norm()
}
