package grader

import (
	"reflect"
	"testing"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/engine/sweep"
)

// What two bodies must keep: arm, tool and held part from each other the own
// distance, whichever of the two is larger; from all else the other one; and less
// only where an exception names both.
func TestNeed(t *testing.T) {
	x := &Exam{Cell: &cell.Cell{
		Solids: []cell.Solid{{Name: "crate"}, {Name: "post"}},
		Parts:  []cell.Part{{Name: "bar"}},
	}}
	c := clearance{least: 50, own: 80, except: []exception{
		{kind: sweep.Link, index: 0, others: []string{"floor"}, least: 5},
		{kind: sweep.Held, index: -1, others: []string{"crate"}, least: 0},
		{any: true, index: -1, others: []string{"post"}, least: 30},
		{kind: sweep.Tool, index: -1, others: []string{"bar"}, least: -2},
	}}
	link := func(i int) sweep.Body { return sweep.Body{Kind: sweep.Link, Index: i} }
	tool, held := sweep.Body{Kind: sweep.Tool}, sweep.Body{Kind: sweep.Held}
	crate, post := sweep.Body{Kind: sweep.Solid}, sweep.Body{Kind: sweep.Solid, Index: 1}
	part, floor := sweep.Body{Kind: sweep.Part}, sweep.Body{Kind: sweep.Floor}
	tests := []struct {
		name string
		a, b sweep.Body
		want float64
	}{
		{"two links", link(1), link(4), 80},
		{"link and tool", link(2), tool, 80},
		{"link and held part", link(2), held, 80},
		{"tool and the part it holds and may press on", tool, held, -2},
		{"tool and the same part, loose", tool, part, -2},
		{"link and loose part", link(3), part, 50},
		{"held part and the solid it is laid into", held, crate, 0},
		{"held part and floor", held, floor, 50},
		{"tool and the solid that the part is laid into", tool, crate, 50},
		{"any of the arm and the post", link(6), post, 30},
		{"held part and the post", held, post, 30},
		{"loose part and the post", part, post, 50},
		{"the base and the floor that it stands on", link(0), floor, 5},
		{"the next link and the floor", link(1), floor, 50},
	}
	for _, tt := range tests {
		if got := c.need(x)(tt.a, tt.b); got != tt.want {
			t.Errorf("%s: %g mm, want %g", tt.name, got, tt.want)
		}
		if got := c.need(x)(tt.b, tt.a); got != tt.want {
			t.Errorf("%s, the other way round: %g mm, want %g", tt.name, got, tt.want)
		}
	}
}

// An exception names what it is for: any, the tool or one of its solids, the part
// that is held, or a link.
func TestDecodeException(t *testing.T) {
	const cellText = "arm: hazel\nfloor: -300\ntools:\n  cup: {tcp: {xyz: [0, 0, 180], rpy: [0, 0, 0]}, mass: 1 kg, solids: [{name: neck, cylinder: {radius: 22, height: 140}, xyz: [0, 0, 70]}, {name: bell, cylinder: {radius: 20, height: 40}, xyz: [0, 0, 160]}]}\n" +
		"solids:\n- {name: crate, box: [100, 100, 100], xyz: [500, 0, 0]}\nparts:\n- {name: bar, box: [60, 60, 30], xyz: [0, 500, 0], mass: 1 kg}\n"
	read := func(text string) (exception, bool, diag.List) {
		var l diag.List
		d := &decoder{cell: cell.Decode(source.Parse("cell.yaml", []byte(cellText), 1, &l), cell.Options{})}
		if err := l.Err(); err != nil {
			t.Fatal(err)
		}
		e, ok := d.exception(source.Parse("task.yaml", []byte(text), 1, &l))
		return e, ok, l
	}
	for _, tt := range []struct {
		text string
		want exception
	}{
		{"{body: any, solid: crate, least: 3 mm}", exception{any: true, index: -1, others: []string{"crate"}, least: 3}},
		{"{body: tool, solid: [floor, bar], least: -2 mm}", exception{kind: sweep.Tool, index: -1, others: []string{"floor", "bar"}, least: -2}},
		{"{body: part, solid: floor, least: 0 mm}", exception{kind: sweep.Held, index: -1, others: []string{"floor"}}},
		{"{body: link-0, solid: floor, least: 0 mm}", exception{kind: sweep.Link, index: 0, others: []string{"floor"}}},
		{"{body: link-6, solid: floor, least: 0 mm}", exception{kind: sweep.Link, index: 6, others: []string{"floor"}}},
		{"{body: neck, solid: crate, least: 1 mm}", exception{kind: sweep.Tool, index: -1, solid: "neck", others: []string{"crate"}, least: 1}},
		{"{body: bell, solid: crate, least: 1 mm}", exception{kind: sweep.Tool, index: -1, solid: "bell", others: []string{"crate"}, least: 1}},
	} {
		got, ok, l := read(tt.text)
		if err := l.Err(); err != nil || !ok {
			t.Fatalf("%s: %v, %v", tt.text, ok, err)
		}
		if !reflect.DeepEqual(got, tt.want) {
			t.Errorf("%s is %+v, want %+v", tt.text, got, tt.want)
		}
	}
	if _, ok, l := read("{body: elbow, solid: crate, least: 1 mm}"); ok || len(l) == 0 {
		t.Errorf("an exception for a body that there is not: %v, %v", ok, l)
	}
}
