package bench

import (
	"math"

	"posework/engine/cell"
	"posework/engine/practice"
	"posework/kin"
)

// Ready returns axes at which the arm of a cell stands well to begin with: away
// from its limits, its alignments and everything around it. It is the best of a
// coarse grid of axes 2, 3 and 5, the others in the middle at zero.
func Ready(c *cell.Cell) kin.Joints {
	best, most := kin.Joints{}, math.Inf(-1)
	for _, q2 := range [...]float64{0, -30, 30, 60, -60, 90, 120, -90} {
		for _, q3 := range [...]float64{0, 30, -30, 60, -60, 90, -90, 120, -120} {
			for _, q5 := range [...]float64{60, -60, 90, -90} {
				q := kin.Joints{1: kin.Rad(q2), 2: kin.Rad(q3), 4: kin.Rad(q5)}
				if _, _, ok := c.Arm.Within(&q); !ok {
					continue
				}
				if s := comfort(c, &q); s > most+1e-6 {
					best, most = q, s
				}
			}
		}
	}
	return best
}

// comfort is how well the arm stands: the least of its rooms, each as a share of
// what would be plenty.
func comfort(c *cell.Cell, q *kin.Joints) float64 {
	r := practice.New(c, q).Read()
	least := 1.0
	for i, room := range r.Room {
		plenty := kin.Rad(45)
		if c.Arm.Chain.Prismatic(i) {
			plenty = 100
		}
		least = min(least, room/plenty)
	}
	if r.Gap.Known {
		least = min(least, r.Gap.MM/150)
	}
	if r.Own.Known {
		least = min(least, r.Own.MM/10) // some arms never have more between two links
	}
	a := &r.Alignments
	if a.HasWrist {
		least = min(least, a.Wrist/kin.Rad(45))
	}
	if a.HasElbow {
		least = min(least, a.Elbow/kin.Rad(45))
	}
	if a.HasShoulder {
		least = min(least, a.Shoulder/(0.3*c.Arm.Reach))
	}
	return least
}
