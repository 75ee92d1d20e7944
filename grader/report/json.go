package report

import (
	"encoding/json"
	"io"
	"math"

	"posework/engine/diag"
	"posework/grader"
)

// Document is a mark as other programs read it. Its names are stable: names may
// be added within "mark/1", none is renamed, dropped or given another meaning.
type Document struct {
	Format  string `json:"posework"` // "mark/1"
	Lesson  string `json:"lesson"`
	Program string `json:"program"`
	Seed    uint64 `json:"seed,string"` // of the learner's own cell; "0": the cell as written
	Own     []Own  `json:"own"`         // what is the learner's own in the cell
	Graded  bool   `json:"graded"`      // false: Errors say why, and there is no mark
	Passed  bool   `json:"passed"`

	Points   float64   `json:"points"`   // 0 to 100
	Needed   float64   `json:"needed"`   // points that pass
	Duration float64   `json:"duration"` // of the motion, s
	Checks   []Check   `json:"checks"`
	Findings []Finding `json:"findings"`

	Errors diag.List `json:"errors"`
}

// Own is one number of the cell that is the learner's own: a coordinate of a
// frame, solid, part or zone.
type Own struct {
	Key   string  `json:"key"` // "rack.y"
	Value float64 `json:"value"`
	Unit  string  `json:"unit"` // mm or deg
}

// Subject is what a mark is about.
type Subject struct {
	Lesson  string // id
	Program string // file, as the learner named it
	Seed    uint64 // of the learner's own cell; 0: the cell as written
	Own     []Own
}

// Check is one check of the task with its outcome.
type Check struct {
	Check    string  `json:"check"`
	Title    string  `json:"title"`
	Holds    bool    `json:"holds"`
	Proved   bool    `json:"proved"` // false: the examination could not finish
	Must     bool    `json:"must"`   // a miss fails the attempt
	Points   float64 `json:"points"`
	Of       float64 `json:"of"`
	Measured *Value  `json:"measured"` // null: nothing was measured
	Subject  string  `json:"subject"`  // what it was measured at; "" where that is plain
}

// Finding is one finding.
type Finding struct {
	Code     string  `json:"code"`
	Check    string  `json:"check"`
	Severity string  `json:"severity"` // stop, fail, advice
	Step     string  `json:"step"`     // "" for the whole program
	File     string  `json:"file"`
	Line     int     `json:"line"` // from 1; 0: no place in the file
	Column   int     `json:"column"`
	From     float64 `json:"from"` // s
	To       float64 `json:"to"`
	Measured *Value  `json:"measured"`
	Limit    *Value  `json:"limit"`
	// Place is the tool centre point at the worst moment, x, y, z in mm in the
	// base frame; null where there is none.
	Place   *[3]float64 `json:"place"`
	Subject string      `json:"subject"` // the pair, axis, zone or pose concerned
	Text    string      `json:"text"`
	Why     string      `json:"why"`
	Try     string      `json:"try"`
}

// Value is an interval that holds the true value.
type Value struct {
	Lo   *float64 `json:"lo"` // null: without bound
	Hi   *float64 `json:"hi"`
	Unit string   `json:"unit"`
}

// New returns the document of a mark, or of the errors that kept a program from
// being graded (m is nil then).
func New(of Subject, m *grader.Mark, errors diag.List) Document {
	d := Document{
		Format: "mark/1", Lesson: of.Lesson, Program: of.Program, Seed: of.Seed, Own: append([]Own{}, of.Own...),
		Checks: []Check{}, Findings: []Finding{}, Errors: append(diag.List{}, errors...),
	}
	d.Errors.Sort()
	if m == nil {
		return d
	}
	d.Graded, d.Passed = true, m.Passed
	d.Points, d.Needed, d.Duration = rounded(m.Points), m.Pass, rounded(m.Duration)
	for _, r := range m.Checks {
		d.Checks = append(d.Checks, Check{
			r.Check, r.Title, r.Holds, r.Proved, r.Must, rounded(r.Points), r.Of, value(r.Measured), r.Subject,
		})
	}
	for i := range m.Findings {
		f := &m.Findings[i]
		out := Finding{
			Code: f.Code, Check: f.Check, Severity: Severity(f.Severity), Step: f.Step,
			File: f.Pos.Filename, Line: f.Pos.Line, Column: f.Pos.Column,
			From: rounded(f.From), To: rounded(f.To), Measured: value(f.Measured), Limit: value(f.Limit),
			Subject: f.Subject, Text: f.Text, Why: f.Why, Try: f.Try,
		}
		if f.HasPlace {
			out.Place = &[3]float64{rounded(f.Place.X), rounded(f.Place.Y), rounded(f.Place.Z)}
		}
		d.Findings = append(d.Findings, out)
	}
	return d
}

// JSON writes the document, indented, with a line end.
func JSON(w io.Writer, d Document) error {
	e := json.NewEncoder(diag.Escaped(w))
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(d)
}

func value(v grader.Value) *Value {
	if v == (grader.Value{}) {
		return nil
	}
	return &Value{bound(v.Lo), bound(v.Hi), v.Unit}
}

// bound returns nil for what JSON has no number for.
func bound(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	v = rounded(v)
	return &v
}

// rounded drops digits that differ between machines (fused multiply-add) and
// that nobody reads: 0.000001 of the unit stays.
func rounded(v float64) float64 {
	const scale = 1e6
	r := math.Round(v*scale) / scale
	if r == 0 {
		return 0 // never -0
	}
	return r
}
