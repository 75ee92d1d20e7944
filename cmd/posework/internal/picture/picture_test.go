package picture

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"posework/engine/shape"
	"posework/kin"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

var reading = kin.Joints{kin.Rad(-10), kin.Rad(20), kin.Rad(10), 0, kin.Rad(60), 0}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".txt")
	if *update {
		if err := os.WriteFile(file, []byte(got+"\n"), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got+"\n" != string(want) {
		t.Errorf("%s differs; got\n%s", file, got)
	}
}

func TestGolden(t *testing.T) {
	s := soapCell(reading)
	for _, size := range []Size{{80, 24}, {120, 40}, {200, 50}} {
		for set, name := range []string{"braille", "ascii"} {
			var c Canvas
			cam := (Camera{}).Look(Views()[0]).Fit(s, size)
			c.Draw(s, &cam, size, Glyphs(set))
			golden(t, fmt.Sprintf("%dx%d-%s", size.Width, size.Height, name), c.String())
		}
	}
	for _, v := range Views()[1:] {
		var c Canvas
		cam := (Camera{}).Look(v).Fit(s, Size{60, 24})
		c.Draw(s, &cam, Size{60, 24}, Braille)
		golden(t, v.Name, c.String())
	}
}

// A box of 400 x 200 x 100 mm, seen along each axis at 1 dot per mm or fewer,
// shows a rectangle of exactly its two other edges.
func TestTrueLengths(t *testing.T) {
	s := &Scene{Bodies: []Body{box("box", Solid, 0, 0, 0, 400, 200, 100)}}
	for _, c := range []struct {
		view          string
		width, height int // dots at 5 mm a dot
	}{{"front", 40, 20}, {"side", 80, 20}, {"top", 80, 40}} {
		cam := Camera{Across: 800} // 160 dots are the smaller side
		for _, v := range Views() {
			if v.Name == c.view {
				cam = cam.Look(v)
			}
		}
		var cv Canvas
		cv.Draw(s, &cam, Size{100, 40}, Braille)
		minX, minY, maxX, maxY := cv.w, cv.h, -1, -1
		for y := range cv.h {
			for x := range cv.w {
				if cv.pixels[y*cv.w+x].key != 0 {
					minX, minY, maxX, maxY = min(minX, x), min(minY, y), max(maxX, x), max(maxY, y)
				}
			}
		}
		if w, h := maxX-minX+1, maxY-minY+1; w != c.width || h != c.height {
			t.Errorf("%s: %d x %d dots, want %d x %d", c.view, w, h, c.width, c.height)
		}
	}
}

// Every dot of a drawn solid lies on its surface: drawing agrees with package
// shape, which measures distances in another way.
func TestSurfacesAreWhereTheyAre(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		sh := shape.Shape{
			Kind: []shape.Kind{shape.Capsule, shape.Box, shape.Cylinder, shape.Sphere}[rapid.IntRange(0, 3).Draw(t, "kind")],
			P:    kin.Vec{X: num("x", -100, 100), Y: num("y", -100, 100), Z: num("z", -100, 100)},
			Q:    kin.Vec{X: num("qx", -100, 100), Y: num("qy", -100, 100), Z: num("qz", -100, 100)},
			R:    num("r", 20, 100),
			Rot:  kin.FromRPY(num("roll", -3, 3), num("pitch", -3, 3), num("yaw", -3, 3)),
			Half: kin.Vec{X: num("hx", 20, 100), Y: num("hy", 20, 100), Z: num("hz", 20, 100)},
		}
		cam := Camera{Turn: num("turn", -4, 4), Tilt: num("tilt", -1.6, 1.6), Across: 600}
		var c Canvas
		c.Draw(&Scene{Bodies: []Body{{Shape: sh, Ink: Solid}}}, &cam, Size{40, 20}, Braille)
		drawn := 0
		for i, p := range c.pixels {
			if p.key == 0 {
				continue
			}
			drawn++
			x := float64(i%c.w) + 0.5 - c.lens.midX
			y := float64(i/c.w) + 0.5 - c.lens.midY
			at := kin.Vec{}.AddScaled(x/c.lens.scale, c.lens.right).
				AddScaled(-y/c.lens.scale, c.lens.up).
				AddScaled((float64(p.z)-deepest)/c.lens.scale, c.lens.near)
			point := shape.Shape{Kind: shape.Sphere, P: at}
			// A depth is kept to a hundredth of a dot, here of 7.5 mm; on a slope seen
			// from its edge that is little across the surface, too.
			if d := shape.Distance(&point, &sh); !(math.Abs(d) <= 0.2) {
				t.Fatalf("a dot of %+v lies %.3f mm from it", sh, d)
			}
		}
		if drawn < 20 {
			t.Fatalf("only %d dots of %+v are drawn", drawn, sh)
		}
	})
}

func TestNearerHides(t *testing.T) {
	front, back := box("front", Part, 100, 0, 0, 50, 100, 100), box("back", Solid, -100, 0, 0, 50, 100, 100)
	for _, bodies := range [][]Body{{front, back}, {back, front}} {
		s := &Scene{Bodies: bodies, Lines: []Line{{Points: []kin.Vec{{X: -200, Y: -200}, {X: -200, Y: 200}}, Ink: Trace}}}
		cam := Camera{Across: 300}
		var c Canvas
		c.Draw(s, &cam, Size{40, 20}, Braille)
		if p := c.pixels[c.h/2*c.w+c.w/2]; p.ink != Part {
			t.Errorf("in the middle there is ink %d, want that of the nearer body", p.ink)
		}
		seen, hidden := 0, 0
		for _, st := range c.strokes {
			if c.pixels[int(st.y)*c.w+int(st.x)].key != 0 {
				hidden++
			} else {
				seen++
			}
		}
		if hidden == 0 || hidden > seen/4 {
			t.Errorf("of a line %d dots are drawn behind the bodies and %d beside them", hidden, seen)
		}
	}
}

func TestFitShowsEverything(t *testing.T) {
	s := soapCell(reading)
	s.Floor, s.Zones, s.Frames, s.Lines, s.Gap = nil, nil, nil, nil, nil
	rapid.Check(t, func(t *rapid.T) {
		size := Size{rapid.IntRange(10, 100).Draw(t, "w"), rapid.IntRange(5, 40).Draw(t, "h")}
		cam := (Camera{}).Turned(rapid.Float64Range(-9, 9).Draw(t, "turn"), rapid.Float64Range(-2, 2).Draw(t, "tilt")).Fit(s, size)
		var c Canvas
		c.Draw(s, &cam, size, Braille)
		minX, minY, maxX, maxY := c.w, c.h, -1, -1
		for i, p := range c.pixels {
			if p.key != 0 {
				x, y := i%c.w, i/c.w
				minX, minY, maxX, maxY = min(minX, x), min(minY, y), max(maxX, x), max(maxY, y)
			}
		}
		if minX == 0 || minY == 0 || maxX == c.w-1 || maxY == c.h-1 {
			t.Fatalf("the bodies touch the border: %d..%d of %d, %d..%d of %d", minX, maxX, c.w, minY, maxY, c.h)
		}
		if float64(maxX-minX) < 0.8*float64(c.w-4) && float64(maxY-minY) < 0.8*float64(c.h-4) {
			t.Fatalf("the bodies fill %d of %d by %d of %d dots", maxX-minX, c.w, maxY-minY, c.h)
		}
	})
}

// Drawing on a used canvas gives what a new one gives, whatever the camera.
func TestPure(t *testing.T) {
	var used Canvas
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		s := soapCell(kin.Joints{num("q1", -2, 2), num("q2", -1, 2), num("q3", -2, 1), 0, num("q5", -2, 2), 0})
		cam := Camera{Turn: num("turn", -4, 4), Tilt: num("tilt", -2, 2), Across: math.Exp(num("zoom", -3, 12)),
			Centre: kin.Vec{X: num("x", -1e4, 1e4)}}
		size := Size{rapid.IntRange(0, 60).Draw(t, "w"), rapid.IntRange(0, 20).Draw(t, "h")}
		set := Glyphs(rapid.IntRange(0, 1).Draw(t, "set"))
		var fresh Canvas
		fresh.Draw(s, &cam, size, set)
		used.Draw(s, &cam, size, set)
		if fresh.String() != used.String() {
			t.Fatalf("on a used canvas\n%s\non a new one\n%s", &used, &fresh)
		}
		for i := range size.Height {
			if n := utf8.RuneCountInString(string(used.AppendRow(nil, i, &Pens{}))); n != size.Width {
				t.Fatalf("row %d is %d wide, want %d", i, n, size.Width)
			}
		}
		if set == ASCII && strings.IndexFunc(used.String(), func(r rune) bool { return r > '~' }) >= 0 {
			t.Fatalf("not all ASCII:\n%s", &used)
		}
	})
}

func TestAllocatesNothing(t *testing.T) {
	s := soapCell(reading)
	cam := (Camera{}).Look(Views()[0]).Fit(s, Size{80, 24})
	var c Canvas
	c.Draw(s, &cam, Size{80, 24}, Braille)
	if n := testing.AllocsPerRun(20, func() { c.Draw(s, &cam, Size{80, 24}, Braille) }); n != 0 {
		t.Errorf("%v allocations a picture, want none", n)
	}
}

// What is told by colour is told by form too: no two kinds of edge look alike.
func TestKindsOfLineDiffer(t *testing.T) {
	look := func(ink Ink) string {
		s := &Scene{Zones: []Zone{{Shape: box("", ink, 0, 0, 0, 400, 400, 400).Shape, Ink: ink}}}
		cam := (Camera{Across: 900}).Look(Views()[0])
		var c Canvas
		c.Draw(s, &cam, Size{30, 15}, Braille)
		return c.String()
	}
	if look(KeepOut) == look(SpeedZone) {
		t.Error("a keep-out zone and a zone with a speed limit look alike")
	}
}

func TestPens(t *testing.T) {
	s := &Scene{Labels: []Text{{Text: "a", Ink: Alarm}, {At: kin.Vec{Y: 50}, Text: "b", Ink: Label}}}
	cam := Camera{Across: 100} // 4 dots, and the row is 40 wide: 1000 mm, a character 50
	var c Canvas
	c.Draw(s, &cam, Size{20, 1}, ASCII)
	p := Pens{Off: ">"}
	p.On[Alarm], p.On[Label] = "<", "("
	// A name stands right of its place, here the middle; the second one would touch it.
	if got, want := string(c.AppendRow(nil, 0, &p)), strings.Repeat(" ", 11)+"<a        >"; got != want {
		t.Errorf("row = %q, want %q", got, want)
	}
	s.Labels[1].At.Y = 150
	c.Draw(s, &cam, Size{20, 1}, ASCII)
	if got, want := string(c.AppendRow(nil, 0, &p)), strings.Repeat(" ", 11)+"<a  >(b     >"; got != want {
		t.Errorf("row = %q, want %q", got, want)
	}
}

func TestCameraLimits(t *testing.T) {
	c := Camera{Across: 1000}
	if got := c.Zoomed(1e9).Across; got != minAcross {
		t.Errorf("zoomed in: %v mm across, want %v", got, float64(minAcross))
	}
	if got := c.Zoomed(1e-9).Across; got != maxAcross {
		t.Errorf("zoomed out: %v mm across, want %v", got, float64(maxAcross))
	}
	if got := c.Turned(0, 9).Tilt; got != math.Pi/2 {
		t.Errorf("tilt %v, want straight down", got)
	}
	if got := c.Panned(0.5, 0).Centre; !(math.Abs(got.Y-500) <= 1e-9) {
		t.Errorf("panned right from the front: %v, want 500 along +Y", got)
	}
}

// What differs by no more than rounding gives the same picture, also where
// things lie exactly between dots: pictures are compared from machine to machine.
func TestRoundingIsNotSeen(t *testing.T) {
	for _, q := range []kin.Joints{reading, {}, {4: kin.Rad(60)}, {1: kin.Rad(30), 2: kin.Rad(-60), 4: kin.Rad(90)}} {
		for _, v := range Views() {
			draw := func(off float64) string {
				s := soapCell(q)
				for i := range s.Bodies {
					b := &s.Bodies[i].Shape
					d := kin.Vec{X: off, Y: -off, Z: off}
					if i%2 == 0 {
						d = d.Scale(-1)
					}
					b.P, b.Q = b.P.Add(d), b.Q.Add(d)
					turn := kin.FromRPY(off/1000, off/1000, -off/1000)
					b.Rot = turn.Mul(&b.Rot)
				}
				cam := (Camera{}).Look(v).Fit(s, Size{100, 40})
				var c Canvas
				c.Draw(s, &cam, Size{100, 40}, Braille)
				return c.String()
			}
			want := draw(0)
			for _, off := range []float64{1e-11, -1e-11, 3e-11} {
				if got := draw(off); got != want {
					t.Errorf("%v from the %s: moved by %g mm the picture is another:\n%s", q, v.Name, off, got)
					break
				}
			}
		}
	}
}

// The work is seen larger than the whole cell, and all of it.
func TestFitWork(t *testing.T) {
	s := soapCell(reading)
	size := Size{80, 30}
	whole, work := (Camera{}).Look(Views()[0]).Fit(s, size), (Camera{}).Look(Views()[0]).FitWork(s, size)
	if work.Across >= whole.Across {
		t.Errorf("the work is %.0f mm across, the whole cell %.0f", work.Across, whole.Across)
	}
	l := work.lens(size)
	for _, f := range s.Frames {
		if p := l.see(f.Pose.T); p.X < 0 || p.Y < 0 || p.X > 160 || p.Y > 120 {
			t.Errorf("the frame %s is out of the picture", f.Name)
		}
	}
	if got := (Camera{Across: 100}).FitWork(&Scene{}, size); got.Across != 100 {
		t.Errorf("nothing to see changes the camera: %+v", got)
	}
}
