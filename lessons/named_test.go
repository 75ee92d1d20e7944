package lessons

import (
	"strings"
	"testing"

	"posework/engine/cell"
)

func TestSaysValue(t *testing.T) {
	x := cell.Change{Name: "chute", Key: "x", Value: 520}
	y := cell.Change{Name: "chute", Key: "y", Value: -420.5}
	yaw := cell.Change{Name: "stand", Key: "yaw", Value: 12}
	for _, tt := range []struct {
		text string
		was  cell.Change
		want string
	}{
		{"the tip at x 520, z 372", x, "x 520"},
		{"X = 520.0", x, "X = 520.0"},
		{"x: 520", x, "x: 520"},
		{"at `[520, -420.5, 120]` in base", x, "[520, -420.5, 120]"},
		{"at `[520, -420.5, 120]` in base", y, "[520, -420.5, 120]"},
		{"y -420.5 mm", y, "y -420.5"},
		{"y 520", x, ""},
		{"x 5200", x, ""},
		{"520 mm of hose", x, ""},
		{"max 520", x, ""},
		{"[0, 520, 0]", x, ""},
		{"turned by 12 degrees", yaw, "12 degrees"},
		{"turned by 12 deg against", yaw, "12 deg"},
		{"12 mm", yaw, ""},
		{"x 0", cell.Change{Key: "x"}, ""},
	} {
		if got := saysValue(tt.text, tt.was); got != tt.want {
			t.Errorf("saysValue(%q, %s) = %q, want %q", tt.text, tt.was.Key, got, tt.want)
		}
	}
}

// TestCheckNamed writes numbers that vary in the text and in a hint.
func TestCheckNamed(t *testing.T) {
	files := varied("{rack.x: [490, 510], rack.yaw: [-5, 5]}")
	lesson := files["01-a/lesson.md"]
	lesson = strings.Replace(lesson, "It is short.", "It is short.\n\nThe rack stands at x 500, the table at x 700.", 1)
	files["01-a/lesson.md"] = strings.Replace(lesson, "Look at the frame.", "\"Go to [500, 0, 300].\"", 1)
	var got []string
	for _, p := range problems(asFS(files), ".") {
		got = append(got, p.Code+" "+p.Pos.String()+": "+p.Text)
	}
	want := []string{
		`T145 01-a/lesson.md:1:1: the text says "[500, 0, 300]", which is rack.x of the cell as written; each learner has another one`,
		`T145 01-a/lesson.md:28:1: the text says "x 500", which is rack.x of the cell as written; each learner has another one`,
	}
	if g, w := strings.Join(got, "\n"), strings.Join(want, "\n"); g != w {
		t.Errorf("Check reports\n%s\nwant\n%s", g, w)
	}
}
