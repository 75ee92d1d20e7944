package picture

import (
	"posework/engine/shape"
	"posework/kin"
	"posework/kin/arm"
)

func box(name string, ink Ink, x, y, z, dx, dy, dz float64) Body {
	return Body{Name: name, Ink: ink, Shape: shape.Shape{Kind: shape.Box, P: kin.Vec{X: x, Y: y, Z: z}, Rot: kin.Identity, Half: kin.Vec{X: dx / 2, Y: dy / 2, Z: dz / 2}}}
}

// soapCell is a cell like that of the course, with the arm at q.
func soapCell(q kin.Joints) *Scene {
	m, _ := arm.Builtin("hazel")
	var f kin.Frames
	m.Chain.Forward(&q, &f)
	s := &Scene{Floor: &Floor{Z: -300, Centre: kin.Vec{X: 400}, Half: 1000, Step: 200}}
	for _, b := range m.Solids {
		sh := shape.Shape{Kind: shape.Capsule, P: b.From, Q: b.To, R: b.Radius}
		sh.Move(&f[b.Link], &sh)
		s.Bodies = append(s.Bodies, Body{Shape: sh, Ink: Arm, Name: string(rune('0' + b.Link))})
	}
	cyl := func(r, h, x, z float64) {
		sh := shape.Shape{Kind: shape.Cylinder, P: kin.Vec{X: x, Z: z}, Rot: kin.Identity, R: r, Half: kin.Vec{Z: h / 2}}
		sh.Move(&f[6], &sh)
		s.Bodies = append(s.Bodies, Body{Shape: sh, Ink: Tool, Name: "cups"})
	}
	cyl(24, 100, 0, 50)
	pl := shape.Shape{Kind: shape.Box, P: kin.Vec{Z: 110}, Rot: kin.Identity, Half: kin.Vec{X: 43, Y: 22, Z: 10}}
	pl.Move(&f[6], &pl)
	s.Bodies = append(s.Bodies, Body{Shape: pl, Ink: Tool, Name: "cups"})
	cyl(20, 60, -23, 150)
	cyl(20, 60, 23, 150)
	slide := box("slide", Solid, 520, -690, 210, 130, 420, 12)
	slide.Shape.Rot = kin.FromRPY(kin.Rad(-25), 0, 0)
	s.Bodies = append(s.Bodies,
		box("plinth", Solid, 0, 0, -150, 360, 360, 300),
		box("chute", Solid, 520, -420, 110, 130, 100, 20),
		slide,
		box("leg", Solid, 520, -420, -100, 80, 80, 400),
		box("post", Solid, 590, -210, -20, 60, 60, 560),
		box("stand", Solid, 600, 0, 180, 200, 200, 40),
		box("foot", Solid, 600, 0, -70, 120, 120, 460),
		box("crate", Solid, 420, 264, 55, 126, 164, 10),
		box("crate", Solid, 420, 187, 85, 126, 10, 70),
		box("crate", Solid, 420, 341, 85, 126, 10, 70),
		box("crate", Solid, 362, 264, 85, 10, 164, 70),
		box("crate", Solid, 478, 264, 85, 10, 164, 70),
		box("trestle", Solid, 420, 264, -125, 140, 140, 350),
		box("tray", Solid, 522, 500, 85, 405, 230, 10),
		box("table", Solid, 522, 500, -110, 360, 180, 380),
		box("cabinet", Solid, 880, 425, 200, 240, 350, 1000),
		box("bar", Part, 520, -420, 135, 90, 60, 30),
		box("slab", Part, 600, 0, 220, 120, 120, 40),
	)
	for i := range s.Bodies {
		s.Bodies[i].Named = s.Bodies[i].Ink == Solid && (i == 0 || s.Bodies[i-1].Name != s.Bodies[i].Name)
	}
	s.Zones = append(s.Zones, Zone{Shape: box("", KeepOut, 520, 800, 450, 700, 300, 1500).Shape, Ink: KeepOut, Name: "tray side: keep out"})
	s.Frames = append(s.Frames, Frame{Pose: kin.Pose{R: kin.Identity, T: kin.Vec{X: 600, Z: 200}}, Name: "stand", Size: 120})
	tcp := kin.Pose{R: kin.Identity, T: kin.Vec{Z: 180}}
	tool := f[6].Mul(&tcp)
	s.Frames = append(s.Frames, Frame{Pose: tool, Size: 90})
	s.Lines = append(s.Lines, Line{Points: []kin.Vec{{X: 520, Y: -420, Z: 150}, {X: 520, Y: -420, Z: 250}, {X: 600, Y: -200, Z: 340}, {X: 600, Y: 0, Z: 340}, tool.T}, Ink: Trace})
	s.Gap = &Gap{A: tool.T, B: kin.Vec{X: 600, Y: 0, Z: 240}, Text: "38 mm"}
	return s
}
