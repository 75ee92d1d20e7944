package page

import (
	"encoding/json"
	"html/template"
	"math"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/shape"
	"posework/kin"
)

// replay is what the script needs to draw the arm at any time: the geometry of
// arm, tools and parts, the axes over time, and when tool and parts change. Short
// names, since every learner's part has one.
type replay struct {
	Duration float64         `json:"d"`
	Rows     [6][5]float64   `json:"dh"` // mm, rad; last: 1 for an axis that slides
	Base     []float64       `json:"base"`
	Flange   []float64       `json:"flange"`
	Links    []replaySolid   `json:"links"`
	Tools    [][]replaySolid `json:"tools"`
	Parts    []replaySolid   `json:"parts"` // those that move
	Axes     [][7]float64    `json:"q"`     // s, then deg (mm for an axis that slides)
	Tool     [][2]float64    `json:"tool"`  // s, index into Tools or -1: from then on
	Scene    []replayScene   `json:"scene"`
}

// replaySolid is a solid in the frame of its link: the hull of Points, a segment
// grown by a radius, or a cylinder about a segment.
type replaySolid struct {
	Link   int          `json:"l"`
	Points [][3]float64 `json:"p"`
	Grow   float64      `json:"r,omitempty"`
	Round  float64      `json:"c,omitempty"` // radius of the cylinder
}

// replayScene is where the moving parts are from a time on.
type replayScene struct {
	Time  float64     `json:"t"`
	Held  int         `json:"h"` // index into Parts; -1: none
	Poses [][]float64 `json:"p"` // world, for the held part flange
}

// The most parts and scenes that a replay moves; more are not drawn moving.
const (
	mostParts  = 12
	mostScenes = 60
)

// replay returns the data as JSON, safe within a script element.
func (s *stage) replay() template.JS {
	c := s.exam.Cell
	r := replay{
		Duration: short(s.until), Base: flat(ptr(c.Arm.Chain.Base())), Flange: flat(ptr(c.Arm.Chain.Flange())),
		Links: []replaySolid{}, Tools: [][]replaySolid{}, Parts: []replaySolid{}, Scene: []replayScene{},
	}
	for i, row := range c.Arm.Chain.Rows() {
		r.Rows[i] = [5]float64{short(row.A), exact(row.Alpha), short(row.D), exact(row.Offset), 0}
		if row.Prismatic {
			r.Rows[i][4] = 1
		}
	}
	for i := range c.Arm.Solids {
		of := shape.OfLink(&c.Arm.Solids[i])
		r.Links = appendSolid(r.Links, c.Arm.Solids[i].Link, &of)
	}
	for i := range c.Tools {
		list := []replaySolid{}
		for k := range c.Tools[i].Solids {
			list = appendSolid(list, 6, &c.Tools[i].Solids[k].Shape)
		}
		r.Tools = append(r.Tools, list)
	}
	r.Axes = s.keyframes()
	s.changes(&r)
	s.replayParts(&r, c)
	text, err := json.Marshal(r)
	if err != nil {
		return "null" // numbers alone, and all of them finite: see short
	}
	return template.JS(text)
}

func ptr[T any](v T) *T { return &v }

// short rounds to a hundredth; exact keeps what an angle needs.
func short(v float64) float64 { return finite(math.Round(v*100) / 100) }
func exact(v float64) float64 { return finite(math.Round(v*1e6) / 1e6) }

func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v + 0
}

// flat writes a pose as the columns of its rotation and its place.
func flat(p *kin.Pose) []float64 {
	out := make([]float64, 0, 12)
	for _, v := range [3]kin.Vec{p.R.X, p.R.Y, p.R.Z} {
		out = append(out, exact(v.X), exact(v.Y), exact(v.Z))
	}
	return append(out, short(p.T.X), short(p.T.Y), short(p.T.Z))
}

func appendSolid(list []replaySolid, link int, s *shape.Shape) []replaySolid {
	at := func(v kin.Vec) [3]float64 { return [3]float64{short(v.X), short(v.Y), short(v.Z)} }
	switch s.Kind {
	case shape.Cylinder:
		return append(list, replaySolid{Link: link, Round: short(s.R), Points: [][3]float64{at(s.P.AddScaled(-s.Half.Z, s.Rot.Z)), at(s.P.AddScaled(s.Half.Z, s.Rot.Z))}})
	default:
		b, ok := bodyOf(s)
		if !ok {
			return list
		}
		r := replaySolid{Link: link, Grow: short(b.grow)}
		for _, p := range b.points {
			r.Points = append(r.Points, at(p))
		}
		return append(list, r)
	}
}

// frameTolerance is how far an axis between two kept samples may be from the
// straight line between them, deg (mm): less than anyone sees.
const frameTolerance = 0.15

// keyframes are the axes along the way, without those that lie on the line
// between others.
func (s *stage) keyframes() (out [][7]float64) {
	row := func(i int) (r [7]float64) {
		r[0] = short(s.way[i].t)
		for axis, q := range s.way[i].q {
			if !s.exam.Cell.Arm.Chain.Prismatic(axis) {
				q = kin.Deg(q)
			}
			r[axis+1] = short(q)
		}
		return r
	}
	all := make([][7]float64, len(s.way))
	for i := range all {
		all[i] = row(i)
	}
	out = append(out, all[0])
	for from := 0; from+1 < len(all); {
		to := from + 1
		for to+1 < len(all) && straight(all[from:to+2]) {
			to++
		}
		out = append(out, all[to])
		from = to
	}
	return out
}

// straight reports whether all rows lie near the line from the first to the last.
func straight(rows [][7]float64) bool {
	a, b := &rows[0], &rows[len(rows)-1]
	for i := 1; i+1 < len(rows); i++ {
		if b[0] <= a[0] {
			return false
		}
		f := (rows[i][0] - a[0]) / (b[0] - a[0])
		for k := 1; k < 7; k++ {
			if math.Abs(a[k]+f*(b[k]-a[k])-rows[i][k]) > frameTolerance {
				return false
			}
		}
	}
	return true
}

// changes notes when the tool changes.
func (s *stage) changes(r *replay) {
	m := s.exam.Motion
	last := math.NaN()
	for i := range m.Pieces {
		if b := float64(m.Tools[m.Pieces[i].Tool].Body); b != last {
			r.Tool = append(r.Tool, [2]float64{short(m.Pieces[i].Start), b})
			last = b
		}
	}
}

func (s *stage) replayParts(r *replay, c *cell.Cell) {
	var which []int
	for i := range c.Parts {
		if s.loose[i] && len(which) < mostParts {
			which = append(which, i)
			r.Parts = appendSolid(r.Parts, 0, &c.Parts[i].Shape)
		}
	}
	if len(which) != len(r.Parts) { // one of them has no outline
		r.Parts = []replaySolid{}
		return
	}
	if len(which) == 0 {
		return
	}
	m := s.exam.Motion
	last := -1
	for i := range m.Pieces {
		if m.Pieces[i].Scene == last || len(r.Scene) >= mostScenes {
			continue
		}
		last = m.Pieces[i].Scene
		r.Scene = append(r.Scene, scene(m.Pieces[i].Start, &m.Scenes[last], which))
	}
}

func scene(t float64, sc *motion.Scene, which []int) replayScene {
	out := replayScene{Time: short(t), Held: -1}
	for k, i := range which {
		if sc.Held == i {
			out.Held = k
		}
		out.Poses = append(out.Poses, flat(&sc.Parts[i].Pose))
	}
	return out
}
