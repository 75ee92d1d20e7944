package arm

import "posework/kin"

// Names returns the names of the built-in arms, in the order in which they are
// listed to people.
func Names() []string { return []string{"hazel", "aspen", "rowan", "alder"} }

// Builtin returns the built-in arm of that name. The arms are inventions of
// this project: none is, or is meant to resemble, a product.
func Builtin(name string) (*Model, bool) {
	switch name {
	case "hazel":
		return hazel(), true
	case "aspen":
		return aspen(), true
	case "rowan":
		return rowan(), true
	case "alder":
		return alder(), true
	}
	return nil, false
}

// row is one axis as the tables below write it: mm and degrees.
type row struct {
	a, alpha, d, offset float64
	min, max            float64 // deg
	speed, accel        float64 // deg/s, deg/s2
}

// table builds a model from its rows. The solids are written in the frame of
// the link that carries them.
func table(name, title string, reach float64, rows [6]row, solids []Solid) *Model {
	m := &Model{Name: name, Title: title, Reach: reach, Solids: solids}
	var dh [6]kin.DH
	for i, r := range rows {
		dh[i] = kin.DH{A: r.a, Alpha: kin.Rad(r.alpha), D: r.d, Offset: kin.Rad(r.offset)}
		m.Limits[i] = Range{kin.Rad(r.min), kin.Rad(r.max)}
		m.Speed[i], m.Accel[i] = kin.Rad(r.speed), kin.Rad(r.accel)
	}
	m.Chain = kin.NewChain(kin.IdentityPose, dh, kin.IdentityPose)
	return m
}

// limb is a capsule of link n.
func limb(n int, name string, radius float64, from, to kin.Vec) Solid {
	return Solid{Link: n, Name: name, Kind: Capsule, From: from, To: to, Radius: radius}
}

func hazel() *Model {
	return table("hazel", "the course's training arm", 1026, [6]row{
		{40, -90, 420, 0, -170, 170, 200, 900},
		{450, 0, 0, -90, -95, 130, 190, 800},
		{30, -90, 0, 0, -190, 75, 210, 1000},
		{0, 90, 440, 0, -185, 185, 320, 2000},
		{0, -90, 0, 0, -120, 120, 320, 2000},
		{0, 0, 105, 0, -350, 350, 430, 3200},
	}, []Solid{
		limb(0, "base", 90, kin.Vec{Z: 92}, kin.Vec{Z: 200}),
		limb(1, "shoulder column", 85, kin.Vec{X: -40, Y: 180}, kin.Vec{X: -40}),
		limb(1, "shoulder", 80, kin.Vec{X: -40}, kin.Vec{}),
		limb(2, "upper arm", 75, kin.Vec{X: -450}, kin.Vec{}),
		limb(3, "elbow", 70, kin.Vec{X: -30}, kin.Vec{}),
		limb(3, "forearm", 65, kin.Vec{}, kin.Vec{Z: 180}),
		limb(4, "forearm tube", 50, kin.Vec{Y: -250}, kin.Vec{Y: -95}),
		limb(5, "wrist", 50, kin.Vec{}, kin.Vec{}),
		limb(6, "flange", 35, kin.Vec{Z: -36}, kin.Vec{Z: -35}),
	})
}

func aspen() *Model {
	return table("aspen", "small bench arm", 647, [6]row{
		{35, -90, 310, 0, -170, 170, 240, 1300},
		{262, 0, 0, -90, -100, 110, 220, 1200},
		{24, -90, 0, 0, -195, 65, 260, 1400},
		{0, 90, 288, 0, -175, 175, 340, 2400},
		{0, -90, 0, 0, -118, 118, 340, 2400},
		{0, 0, 61, 0, -350, 350, 460, 3600},
	}, []Solid{
		limb(0, "base", 75, kin.Vec{Z: 77}, kin.Vec{Z: 130}),
		limb(1, "shoulder column", 68, kin.Vec{X: -35, Y: 130}, kin.Vec{X: -35}),
		limb(1, "shoulder", 60, kin.Vec{X: -35}, kin.Vec{}),
		limb(2, "upper arm", 52, kin.Vec{X: -262}, kin.Vec{}),
		limb(3, "elbow", 48, kin.Vec{X: -24}, kin.Vec{}),
		limb(3, "forearm", 45, kin.Vec{}, kin.Vec{Z: 120}),
		limb(4, "forearm tube", 34, kin.Vec{Y: -170}, kin.Vec{Y: -58}),
		limb(5, "wrist", 32, kin.Vec{}, kin.Vec{}),
		limb(6, "flange", 22, kin.Vec{Z: -23}, kin.Vec{Z: -22}),
	})
}

func rowan() *Model {
	return table("rowan", "mid-size arm, shoulder and forearm offsets, some axis signs mirrored", 1490, [6]row{
		{155, 90, 430, 0, -175, 175, 170, 650},
		{590, 0, 0, 90, -135, 75, 160, 550},
		{115, 90, 0, 0, -70, 185, 170, 700},
		{0, -90, 640, 0, -190, 190, 280, 1500},
		{0, 90, 0, 0, -125, 125, 270, 1500},
		{0, 0, 95, 180, -360, 360, 400, 2500},
	}, []Solid{
		limb(0, "base", 130, kin.Vec{Z: 132}, kin.Vec{Z: 170}),
		limb(1, "shoulder column", 120, kin.Vec{X: -155, Y: -170}, kin.Vec{X: -155}),
		limb(1, "shoulder", 110, kin.Vec{X: -155}, kin.Vec{}),
		limb(2, "upper arm", 90, kin.Vec{X: -590}, kin.Vec{}),
		limb(3, "elbow", 85, kin.Vec{X: -115}, kin.Vec{}),
		limb(3, "forearm", 80, kin.Vec{}, kin.Vec{Z: 260}),
		limb(4, "forearm tube", 58, kin.Vec{Y: 360}, kin.Vec{Y: 100}),
		limb(5, "wrist", 50, kin.Vec{}, kin.Vec{}),
		limb(6, "flange", 30, kin.Vec{Z: -31}, kin.Vec{Z: -30}),
	})
}

func alder() *Model {
	return table("alder", "three parallel axes and an offset (non-spherical) wrist", 900, [6]row{
		{0, 90, 165, 0, -350, 350, 150, 600},
		{408, 0, 0, 0, -30, 210, 150, 600},
		{372, 0, 0, 0, -165, 165, 180, 800},
		{0, 90, 128, 0, -350, 350, 200, 1000},
		{0, -90, 104, 0, -350, 350, 200, 1000},
		{0, 0, 91, 0, -350, 350, 200, 1000},
	}, []Solid{
		limb(0, "base", 50, kin.Vec{Z: 52}, kin.Vec{Z: 53}),
		limb(1, "shoulder", 62, kin.Vec{Y: -80}, kin.Vec{}),
		limb(2, "upper arm", 52, kin.Vec{X: -408}, kin.Vec{}),
		limb(3, "forearm", 45, kin.Vec{X: -372}, kin.Vec{}),
		limb(4, "wrist 1", 40, kin.Vec{Y: -128}, kin.Vec{}),
		limb(5, "wrist 2", 40, kin.Vec{Y: 104}, kin.Vec{}),
		limb(6, "flange", 38, kin.Vec{Z: -40}, kin.Vec{Z: -38}),
	})
}
