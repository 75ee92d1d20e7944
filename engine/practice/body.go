package practice

import (
	"fmt"
	"math"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/shape"
	"posework/kin"
)

// solid is a solid that moves with a link, or one that stands.
type solid struct {
	link   int // 1 to 6; 0: it stands
	name   string
	part   int         // index of the part; -1: none
	tool   bool        // of the tool
	local  shape.Shape // in the frame of the link
	placed shape.Shape // world
	centre kin.Vec     // of a sphere that holds it, in the frame of the link
	at     kin.Vec     // the same, world
	radius float64
}

// pair is two solids that must not meet, by index into body.solids; the second
// may stand.
type pair struct {
	a, b int
	kind pairKind
}

// pairKind says what to make of two solids that come close.
type pairKind uint8

const (
	outside pairKind = iota // one stands beside the arm
	own                     // both belong to the arm, or to what it stands on
	slack                   // they may touch: tool and part, held part and what it is set on
)

// touching is how deep, mm, solids that may touch can be pressed into each
// other: parts are soft and lie on things.
const touching = 1.0

// body is the arm with all that it carries, and what it must not meet.
type body struct {
	chain  *kin.Chain
	tool   kin.Pose // flange to tool centre point
	solids []solid
	moving int // solids[:moving] move
	pairs  []pair

	frames kin.Frames
	tcp    kin.Pose

	// Least distances as last measured, by kind of pair, and the pairs; of slack
	// ones what is left before they overlap more than they may.
	gap    [3]float64
	gapAt  [3]int
	travel float64 // greatest way of any point since then, mm
}

// set makes the body for a tool and a scene, with the arm at q.
func (b *body) set(c *cell.Cell, tool *motion.Tool, scene *motion.Scene, q *kin.Joints) {
	b.chain, b.tool = c.Arm.Chain, tool.TCP
	b.solids, b.pairs = b.solids[:0], b.pairs[:0]
	for i := range c.Arm.Solids {
		s := &c.Arm.Solids[i]
		if s.Link > 0 {
			b.add(s.Link, shape.OfLink(s), solid{name: linkName(s.Link), part: -1})
		}
	}
	if tool.Body >= 0 && tool.Body < len(c.Tools) {
		t := &c.Tools[tool.Body]
		for i := range t.Solids {
			name := "tool " + t.Name
			if n := t.Solids[i].Name; n != "" {
				name += " " + n
			}
			b.add(6, t.Solids[i].Shape, solid{name: name, part: -1, tool: true})
		}
	}
	if scene.Held >= 0 {
		var held shape.Shape
		c.Parts[scene.Held].Shape.Move(&scene.Parts[scene.Held].Pose, &held)
		b.add(6, held, solid{name: c.Parts[scene.Held].Name, part: scene.Held})
	}
	b.moving = len(b.solids)
	for i := range c.Arm.Solids {
		if s := &c.Arm.Solids[i]; s.Link == 0 {
			var placed shape.Shape
			base := b.chain.Base()
			sh := shape.OfLink(s)
			sh.Move(&base, &placed)
			b.add(0, placed, solid{name: linkName(0), part: -1})
		}
	}
	feet := len(b.solids)
	for i := range c.Solids {
		b.add(0, c.Solids[i].Shape, solid{name: c.Solids[i].Name, part: -1})
	}
	for i := range scene.Parts {
		if i != scene.Held {
			var placed shape.Shape
			c.Parts[i].Shape.Move(&scene.Parts[i].Pose, &placed)
			b.add(0, placed, solid{name: c.Parts[i].Name, part: i})
		}
	}
	if c.Floor.Exists {
		b.add(0, shape.Shape{Kind: shape.HalfSpace, P: kin.Vec{Z: c.Floor.Z}, Rot: kin.Identity}, solid{name: "floor", part: -1})
	}
	b.pairUp(feet)
	b.stand(q)
}

func linkName(link int) string {
	switch link {
	case 0:
		return "base"
	case 6:
		return "flange"
	}
	return fmt.Sprintf("link %d", link)
}

func (b *body) add(link int, s shape.Shape, d solid) {
	d.link, d.local, d.placed = link, s, s
	d.centre, d.radius = s.Bounds()
	d.at = d.centre
	b.solids = append(b.solids, d)
}

// pairUp lists the pairs: everything that moves against all that stands, and
// against each other where a link lies between; neighbouring links touch by
// construction. solids[moving:feet] are the arm's own base.
func (b *body) pairUp(feet int) {
	for i := range b.moving {
		for j := i + 1; j < len(b.solids); j++ {
			x, y := &b.solids[i], &b.solids[j]
			switch {
			case j < b.moving && (x.link-y.link < 2 && y.link-x.link < 2):
			case j >= b.moving && j < feet && x.link < 2:
			default:
				kind := outside
				switch {
				case x.tool && y.part >= 0 || x.part >= 0 && j >= feet:
					kind = slack
				case j < feet || x.link == 1 && y.part < 0:
					// Link 1 turns about an axis that stands still: how near it is to
					// what it stands on says nothing about the motion.
					kind = own
				}
				b.pairs = append(b.pairs, pair{i, j, kind})
			}
		}
	}
}

// stand puts the arm at q and measures anew.
func (b *body) stand(q *kin.Joints) {
	b.chain.Forward(q, &b.frames)
	b.place(&b.frames)
	b.measure()
}

// place moves the solids with the links.
func (b *body) place(f *kin.Frames) {
	for i := range b.moving {
		s := &b.solids[i]
		s.local.Move(&f[s.link], &s.placed)
		s.at = f[s.link].Apply(s.centre)
	}
	b.tcp = f[6].Mul(&b.tool)
}

// measure finds the least distances.
func (b *body) measure() {
	last := b.gapAt
	b.travel = 0
	for k := range b.gap {
		b.gap[k], b.gapAt[k] = math.Inf(1), -1
		if i := last[k]; i >= 0 && i < len(b.pairs) && b.pairs[i].kind == pairKind(k) {
			b.gap[k], b.gapAt[k] = b.room(i), i // likely the least again
		}
	}
	for i := range b.pairs {
		k := b.pairs[i].kind
		if b.apart(&b.pairs[i])+b.pairs[i].allowed() < b.gap[k] {
			if d := b.room(i); d < b.gap[k] {
				b.gap[k], b.gapAt[k] = d, i
			}
		}
	}
}

// allowed is how far a pair may overlap, mm.
func (p *pair) allowed() float64 {
	if p.kind == slack {
		return touching
	}
	return 0
}

// room is what a pair has left before it is as close as it may be.
func (b *body) room(i int) float64 { return b.distance(&b.pairs[i]) + b.pairs[i].allowed() }

func (b *body) distance(p *pair) float64 {
	return shape.Distance(&b.solids[p.a].placed, &b.solids[p.b].placed)
}

// fresh is how far the bodies may move, as a share of the least distance and in
// mm, before it is measured anew.
const (
	freshShare = 0.05
	freshMM    = 0.5
)

// moved notes that the fastest point went way mm.
func (b *body) moved(way float64) {
	b.travel += way
	if 2*b.travel > max(freshShare*b.firm(), freshMM) || way == 0 && b.travel > 0 {
		b.measure()
	}
}

// firm is the least distance of a pair that may not touch, as last measured.
func (b *body) firm() float64 { return min(b.gap[outside], b.gap[own]) }

// left is a lower bound of what is left before something touches, after a
// further way. Two moving solids may both approach.
func (b *body) left(way float64) float64 { return min(b.firm(), b.gap[slack]) - 2*(b.travel+way) }

// apart is a lower bound of the distance of a pair, by the spheres that hold
// its solids.
func (b *body) apart(p *pair) float64 {
	x, y := &b.solids[p.a], &b.solids[p.b]
	if y.placed.Kind == shape.HalfSpace {
		return x.at.Sub(y.placed.P).Dot(y.placed.Rot.Z) - x.radius
	}
	return x.at.Sub(y.at).Norm() - x.radius - y.radius
}

// hit returns a pair that may not be as it is placed now: it overlaps more than
// it may, and more than with the links at before. -1: none.
func (b *body) hit(before, now *kin.Frames) int {
	for i := range b.pairs {
		p := &b.pairs[i]
		least := -p.allowed()
		if b.apart(p) >= least {
			continue
		}
		if d := b.distance(p); d < least {
			b.place(before)
			was := b.distance(p)
			b.place(now)
			if d < was-1e-9 {
				return i
			}
		}
	}
	return -1
}

// way returns how far the point of arm, tool and held part that moves most gets
// when the links go from one place to another, mm. For round solids it is a
// close upper bound.
func (b *body) way(from, to *kin.Frames) float64 {
	most := b.point(&from[6], &to[6], b.tool.T, 0)
	most = max(most, from[6].T.Sub(to[6].T).Norm())
	for i := range b.moving {
		s := &b.solids[i]
		f, g := &from[s.link], &to[s.link]
		switch l := &s.local; l.Kind {
		case shape.Capsule:
			turn := turned(&f.R, &g.R) * l.R
			most = max(most, b.point(f, g, l.P, turn), b.point(f, g, l.Q, turn))
		case shape.Sphere:
			most = max(most, b.point(f, g, l.P, turned(&f.R, &g.R)*l.R))
		case shape.Cylinder:
			turn := turned(&f.R, &g.R) * l.R
			h := l.Rot.Z.Scale(l.Half.Z)
			most = max(most, b.point(f, g, l.P.Add(h), turn), b.point(f, g, l.P.Sub(h), turn))
		case shape.Box:
			for k := range 8 {
				p := l.P
				for axis, u := range [3]kin.Vec{l.Rot.X.Scale(l.Half.X), l.Rot.Y.Scale(l.Half.Y), l.Rot.Z.Scale(l.Half.Z)} {
					if k>>axis&1 == 1 {
						p = p.Add(u)
					} else {
						p = p.Sub(u)
					}
				}
				most = max(most, b.point(f, g, p, 0))
			}
		}
	}
	return most
}

// point is how far a point gets, and with it all points about it that a turn
// moves by no more than extra besides.
func (b *body) point(from, to *kin.Pose, p kin.Vec, extra float64) float64 {
	return to.Apply(p).Sub(from.Apply(p)).Norm() + extra
}

// turned is how far a turn from one orientation to another moves a point at
// distance one at most: the chord of the angle between them. The Frobenius norm
// of the difference of two rotations is sqrt(2) times that chord.
func turned(from, to *kin.Rot) float64 {
	d := to.X.Sub(from.X).Norm2() + to.Y.Sub(from.Y).Norm2() + to.Z.Sub(from.Z).Norm2()
	return math.Sqrt(d / 2)
}
