package practice

import (
	"math"

	"posework/kin"
)

const (
	// axisShare is the share of its rated speed that an axis turns at most in
	// manual mode.
	axisShare = 0.5
	// crawl is the speed, mm/s, that is left right beside a solid; from further
	// away the arm can brake at slowing mm/s2.
	crawl   = 10.0
	slowing = 2500.0
	// stuck is the share of the chosen speed below which a straight motion counts
	// as stopped by a singularity.
	stuck = 0.1
	// closer is the share of a tick's way down to which a motion comes up to what
	// is in its way.
	closer = 1.0 / (1 << 16)
)

// place is where the arm gets in a tick.
type place struct {
	s   float64 // progress
	q   kin.Joints
	f   kin.Frames
	way float64 // of the fastest point, mm
}

// drive moves the arm along its path for one tick.
func (c *Controller) drive() {
	if c.phase == running && c.mode == Manual && c.want != c.doing {
		c.phase, c.stop, c.why = braking, Category2, byHold // another control is held now
	}
	full := 1.0
	if c.phase == braking {
		full = 0
	}
	c.rate += min(max(full-c.rate, -tick/Ramp), tick/Ramp)
	left := c.path.length() - c.s
	if !math.IsInf(left, 1) {
		// So as to arrive at rest; the least share lets it arrive at all.
		c.rate = min(c.rate, math.Sqrt(2*left/(c.pace*Ramp))+1e-3)
	}
	if c.rate <= 1e-9 {
		c.settle(c.why)
		return
	}
	var to place
	if b := c.feasible(c.s+min(c.rate*c.path.pace()*tick, left), &to); b != nil {
		c.block = b
		c.settle(byBlock)
		return
	}
	if to.s > c.s {
		c.pace = (to.s - c.s) / (c.rate * tick)
	}
	c.take(&to)
	c.s = to.s
	c.progress()
	if c.path.length()-c.s <= 0 {
		c.settle(byArrival)
	}
}

// feasible finds the greatest progress up to s that keeps every limit for the
// next tick, or what is in the way altogether.
func (c *Controller) feasible(s float64, to *place) *Block {
	asked := s - c.s
	limit := min(c.speed, crawl+math.Sqrt(2*slowing*max(0, c.body.firm()-2*c.body.travel)))
	least := -1.0 // of a straight motion that goes on
	if _, ok := c.path.(*straight); ok {
		least = stuck * asked * limit / c.speed
	}
	var block *Block
	for range 60 {
		to.s = s
		var b *Block
		if to.q, b = c.path.at(c, s); b == nil {
			c.cell.Arm.Chain.Forward(&to.q, &to.f)
			to.way = c.body.way(&c.body.frames, &to.f)
			if over, axis := c.overSpeed(to, limit); over > 1 {
				if s = c.s + (s-c.s)*0.999/over; s-c.s < least {
					return c.alignedBlock(axis)
				}
				continue
			}
			hit := c.touches(to)
			if hit < 0 {
				return nil
			}
			b = c.solidBlock(hit)
		}
		block = b
		if s-c.s <= closer*asked {
			return block
		}
		s = c.s + (s-c.s)/2
	}
	if block == nil {
		block = c.alignedBlock(-1)
	}
	return block
}

// overSpeed returns by how much a step is too fast when points may move at a
// limit, mm/s: above 1 it is. axis, from 0, is the one that is asked for most of
// what it can.
func (c *Controller) overSpeed(to *place, limit float64) (over float64, axis int) {
	if c.mode != Manual {
		return 0, -1
	}
	over, axis = to.way/(c.rate*limit*tick), -1
	if c.playing() {
		return over, -1 // a program has been planned within the axes' limits
	}
	most := 0.0
	for i := range to.q {
		x := math.Abs(to.q[i]-c.q[i]) / (c.rate * axisShare * c.cell.Arm.Speed[i] * tick)
		if x > most {
			most, axis = x, i
		}
	}
	return max(over, most), axis
}

// touches returns the pair that would touch, -1 when none does; then the bodies
// are placed there.
func (c *Controller) touches(to *place) int {
	b := &c.body
	sure := b.left(to.way) > 0
	b.place(&to.f)
	if sure {
		return -1
	}
	hit := b.hit(&b.frames, &to.f)
	if hit >= 0 {
		b.place(&b.frames)
	}
	return hit
}

// take moves the arm to where the bodies are placed already.
func (c *Controller) take(to *place) {
	c.fastest = to.way / tick
	for i := range to.q {
		c.axes[i] = (to.q[i] - c.q[i]) / tick
	}
	c.q, c.body.frames = to.q, to.f
	c.body.moved(to.way)
}

// settle ends the motion.
func (c *Controller) settle(why reason) {
	coasted := c.phase == coasting
	c.phase, c.rate, c.why = still, 0, why
	c.finished = why == byArrival || why == byBlock
	c.body.measure()
	c.arrive(why)
	if c.doing.By <= 0 || coasted {
		c.path = nil
	}
}

// coast lets every axis brake by itself, at its rated acceleration, for one tick.
func (c *Controller) coast() {
	to := place{q: c.q}
	moves := false
	for i := range to.q {
		v := math.Copysign(max(0, math.Abs(c.axes[i])-c.cell.Arm.Accel[i]*tick), c.axes[i])
		to.q[i] += v * tick
		if l := c.cell.Arm.Limits[i]; to.q[i] > l.Max && v > 0 || to.q[i] < l.Min && v < 0 {
			to.q[i] = c.q[i] // the stop at the axis's end
		}
		moves = moves || to.q[i] != c.q[i]
	}
	if !moves {
		c.settle(c.why)
		return
	}
	c.cell.Arm.Chain.Forward(&to.q, &to.f)
	to.way = c.body.way(&c.body.frames, &to.f)
	if limit := c.speed * tick; c.mode == Manual && to.way > limit {
		// Axes that brake differently can make a point faster for a moment; the
		// brakes of the model hold that back.
		for i := range to.q {
			to.q[i] = c.q[i] + (to.q[i]-c.q[i])*0.99*limit/to.way
		}
		c.cell.Arm.Chain.Forward(&to.q, &to.f)
		to.way = c.body.way(&c.body.frames, &to.f)
	}
	if c.touches(&to) >= 0 {
		c.settle(c.why)
		return
	}
	c.take(&to)
}
