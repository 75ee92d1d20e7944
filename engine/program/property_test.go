package program

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"posework/engine/diag"
	"posework/kin"
)

// poseNames are what generated programs name their poses; some of them mean
// something to YAML.
var poseNames = []string{"home", "over-rack", "p_1", "null", "true", "on", "5", "1e3"}

func genNumber(t *rapid.T, label string) float64 {
	return float64(rapid.IntRange(-720_000, 720_000).Draw(t, label)) / 1000
}

func genVec(t *rapid.T) kin.Vec {
	return kin.Vec{X: genNumber(t, "x"), Y: genNumber(t, "y"), Z: genNumber(t, "z")}
}

func genPose(t *rapid.T, name string) Pose {
	p := Pose{Name: name}
	if rapid.Bool().Draw(t, "by axes") {
		p.ByAxes = true
		p.Frame.Name = "base"
		for i := range p.Axes {
			p.Axes[i] = kin.Rad(genNumber(t, "axis"))
		}
		return p
	}
	v := genVec(t)
	p.XYZ, p.RPY = genVec(t), kin.Vec{X: kin.Rad(v.X), Y: kin.Rad(v.Y), Z: kin.Rad(v.Z)}
	p.Place = kin.Pose{R: kin.FromRPY(p.RPY.X, p.RPY.Y, p.RPY.Z), T: p.XYZ}
	p.Frame.Name = rapid.SampledFrom([]string{"base", "rack", "taught"}).Draw(t, "frame")
	if rapid.Bool().Draw(t, "with config") {
		p.Config = &kin.Config{Back: rapid.Bool().Draw(t, "back"), Down: rapid.Bool().Draw(t, "down"), Flipped: rapid.Bool().Draw(t, "flipped")}
	}
	return p
}

// genStep makes a step that is sound in a program with all poseNames. Repeats
// nest to a depth; calls go to the routine r only.
func genStep(t *rapid.T, depth int, calls bool) Step {
	pose := func(label string) Ref { return Ref{Name: rapid.SampledFrom(poseNames).Draw(t, label)} }
	kind := Kind(rapid.IntRange(0, int(SetPayload)).Draw(t, "kind"))
	if kind == Repeat && depth == 0 || kind == Call && !calls {
		kind = Move
	}
	s := Step{Kind: kind}
	seconds := float64(rapid.IntRange(1, 60_000).Draw(t, "ms")) / 1000
	switch kind {
	case Move:
		s.To, s.Path = pose("to"), Path(rapid.IntRange(0, 2).Draw(t, "path"))
		s.Speed.MMS = float64(rapid.IntRange(1, 50_000).Draw(t, "speed")) / 10
		if s.Path == Joint {
			s.Speed = Speed{Share: float64(rapid.IntRange(1, 1000).Draw(t, "share")) / 1000}
		}
		if s.Path == Arc {
			s.Through = pose("through")
			if s.Through.Name == s.To.Name {
				s.Through.Name = poseNames[(slices.Index(poseNames, s.To.Name)+1)%len(poseNames)]
			}
		}
		s.FlyBy = float64(rapid.IntRange(0, 500).Draw(t, "fly-by")) / 10
	case Set, Wait:
		s.Signals = []Signal{{Name: "vacuum", On: rapid.Bool().Draw(t, "on")}}
		if kind == Set && rapid.Bool().Draw(t, "two") {
			s.Signals = append(s.Signals, Signal{Name: "null", On: true})
		}
		if kind == Wait && rapid.Bool().Draw(t, "limit") {
			s.AtMost = seconds
		}
	case Pause:
		s.Pause = seconds
	case Repeat:
		s.Times = rapid.IntRange(1, 3).Draw(t, "times")
		if rapid.Bool().Draw(t, "with shift") {
			s.Shift = Shift{Ref{Name: "rack"}, genVec(t)}
		}
		s.Steps = genSteps(t, depth-1, 1, calls)
	case Call:
		s.Call.Name = "r"
	case SelectTool:
		s.Tool.Name = "cup"
	case SetPayload:
		s.Load = Payload{Mass: float64(rapid.IntRange(0, 50_000).Draw(t, "grams")) / 1000, At: genVec(t)}
	}
	return s
}

func genSteps(t *rapid.T, depth, least int, calls bool) []Step {
	var all []Step
	for range rapid.IntRange(least, 4).Draw(t, "steps") {
		all = append(all, genStep(t, depth, calls))
	}
	return all
}

func genProgram(t *rapid.T) *Program {
	p := &Program{Title: rapid.SampledFrom([]string{"", "Lift one", "it's: #1", "null", "tab\tand\nline", " é "}).Draw(t, "title")}
	p.Tool.Name = rapid.SampledFrom([]string{"", "cup"}).Draw(t, "tool")
	for _, n := range poseNames {
		pose := genPose(t, n)
		if n == "home" || n == "p_1" || n == "5" {
			pose.Frame.Name = "base" // they teach the frame
		}
		p.Poses = append(p.Poses, pose)
	}
	p.Frames = []TaughtFrame{{Name: "taught", Origin: Ref{Name: "home"}, AlongX: Ref{Name: "p_1"}, InPlan: Ref{Name: "5"}}}
	if rapid.Bool().Draw(t, "with tool") {
		p.Tools = []TaughtTool{{Name: "tip", Touches: []Ref{{Name: "home"}, {Name: "on"}, {Name: "null"}, {Name: "5"}}}}
	}
	p.Steps = genSteps(t, 2, 1, true)
	p.Routines = []Routine{{Name: "r", Steps: genSteps(t, 1, 1, false)}}
	return p
}

// same compares programs apart from places in files and rounding: numbers are
// written to 1e-6, generated to 1e-3.
var same = cmp.Options{
	cmpopts.EquateEmpty(),
	cmp.Comparer(func(a, b diag.Pos) bool { return true }),
	cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-9 }),
	cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".File" }, cmp.Ignore()),
}

// TestFormatReadsBack is parse-format-parse: what Format writes reads back as the
// same program, and is written the same again.
func TestFormatReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := genProgram(t)
		text := Format(p)
		q, l := Read("f", text)
		if len(l) > 0 {
			t.Fatalf("Read reports %v for\n%s", l, text)
		}
		if d := cmp.Diff(p, q, same); d != "" {
			t.Fatalf("read back (-written +read): %s\n%s", d, text)
		}
		if again := Format(q); !bytes.Equal(again, text) {
			t.Fatalf("written again:\n%s\nfirst:\n%s", again, text)
		}
	})
}

// annotate puts a comment line above, and a comment at the end of, many lines.
func annotate(t *rapid.T, text []byte) []byte {
	var out []string
	for i, line := range strings.Split(strings.TrimSuffix(string(text), "\n"), "\n") {
		if rapid.IntRange(0, 3).Draw(t, "above") == 0 {
			pad := len(line) - len(strings.TrimLeft(line, " "))
			out = append(out, fmt.Sprintf("%s# above %d", strings.Repeat(" ", pad), i))
		}
		if rapid.IntRange(0, 5).Draw(t, "blank") == 0 {
			out = append(out, "")
		}
		if rapid.IntRange(0, 3).Draw(t, "beside") == 0 {
			line += fmt.Sprintf("  # beside %d", i)
		}
		out = append(out, line)
	}
	return []byte(strings.Join(out, "\n") + "\n")
}

// inBrackets writes a program as one mapping in brackets; between stands between
// its parts.
func inBrackets(p *Program, between string) []byte {
	part := func(n int, entry func(i int) (string, []field)) string {
		var all []field
		for i := range n {
			k, v := entry(i)
			all = append(all, field{name(k), flowMap(v)})
		}
		return strings.ReplaceAll(flowMap(all), "}, ", "},"+between)
	}
	return []byte(flowMap([]field{
		{"posework", Format1},
		{"poses", part(len(p.Poses), func(i int) (string, []field) { return p.Poses[i].Name, poseFields(&p.Poses[i]) })},
		{"frames", part(len(p.Frames), func(i int) (string, []field) { return p.Frames[i].Name, frameFields(&p.Frames[i]) })},
		{"steps", strings.ReplaceAll(flowSteps(p.Steps), "}, ", "},"+between)},
		{"routines", flowMap([]field{{"r", flowSteps(p.Routines[0].Steps)}})},
	}) + "\n")
}

// places lists the places of all steps below a list, and of its end.
func places(routine string, steps []Step, path []int, ends bool) []At {
	var all []At
	for i := range steps {
		at := append(slices.Clone(path), i)
		all = append(all, At{routine, at})
		if steps[i].Kind == Repeat {
			all = append(all, places(routine, steps[i].Steps, at, ends)...)
		}
	}
	if ends {
		all = append(all, At{routine, append(slices.Clone(path), len(steps))})
	}
	return all
}

func genAt(t *rapid.T, p *Program, ends bool) At {
	all := places("", p.Steps, nil, ends)
	all = append(all, places("r", p.Routines[0].Steps, nil, ends)...)
	return rapid.SampledFrom(all).Draw(t, "at")
}

// listOf returns the list that holds a place in a program, to be edited.
func listOf(p *Program, at At) (*[]Step, int) {
	list := &p.Steps
	if at.Routine != "" {
		list = &p.Routines[0].Steps
	}
	for _, i := range at.Index[:len(at.Index)-1] {
		list = &(*list)[i].Steps
	}
	return list, at.Index[len(at.Index)-1]
}

// hasCall reports a call, which may not stand in the routine itself.
func hasCall(s *Step) bool {
	return s.Kind == Call || slices.ContainsFunc(s.Steps, func(s Step) bool { return hasCall(&s) })
}

// TestEditsAgree does random edits on a commented file and the same on the
// program that it says: both must agree, no comment line may get lost, and no
// line that no edit concerned may change.
func TestEditsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := genProgram(t)
		text := annotate(t, Format(p))
		if rapid.IntRange(0, 3).Draw(t, "layout") == 0 {
			text = inBrackets(p, rapid.SampledFrom([]string{" ", "\n  "}).Draw(t, "between"))
		}
		f, l := Open("f", text)
		if len(l) > 0 {
			t.Fatalf("Open reports %v for\n%s", l, text)
		}
		for range 3 {
			// want is a copy of its own: the same text read once more.
			g, _ := Open("f", f.Bytes())
			want := g.Program()
			next, what, err := genEdit(t, f, want)
			if err != nil {
				t.Fatalf("%s: %v\n%s", what, err, f.Bytes())
			}
			if d := cmp.Diff(want, next.Program(), same); d != "" {
				t.Fatalf("%s: (-want +got) %s\nbefore\n%s\nafter\n%s", what, d, f.Bytes(), next.Bytes())
			}
			if lost := lostComments(f.Bytes(), next.Bytes(), what); lost != "" {
				t.Fatalf("%s lost %q\nbefore\n%s\nafter\n%s", what, lost, f.Bytes(), next.Bytes())
			}
			f = next
		}
	})
}

// genEdit does one edit on the file, and on the program.
func genEdit(t *rapid.T, f *File, p *Program) (*File, string, error) {
	what := rapid.SampledFrom([]string{"insert", "replace", "delete", "move", "pose", "title", "tool"}).Draw(t, "edit")
	if len(p.Steps)+len(p.Routines[0].Steps) == 0 {
		what = "insert"
	}
	switch what {
	case "insert":
		at := genAt(t, p, true)
		s := genStep(t, 1, at.Routine == "")
		list, i := listOf(p, at)
		*list = slices.Insert(*list, i, s)
		next, err := f.InsertStep(at, &s)
		return next, what, err
	case "replace":
		at := genAt(t, p, false)
		s := genStep(t, 1, at.Routine == "")
		list, i := listOf(p, at)
		if (*list)[i].Kind == Repeat && s.Kind == Repeat {
			s.Steps = (*list)[i].Steps
			if (*list)[i].Shift.Frame.Name != "" && s.Shift.Frame.Name == "" {
				what = "delete shift"
			}
		}
		if (*list)[i].Kind == Repeat && s.Kind != Repeat {
			what = "replace whole"
		}
		(*list)[i] = s
		next, err := f.ReplaceStep(at, &s)
		return next, what, err
	case "delete":
		at := genAt(t, p, false)
		list, i := listOf(p, at)
		if (*list)[i].Kind == Repeat {
			what = "delete whole"
		}
		*list = slices.Delete(*list, i, i+1)
		next, err := f.DeleteStep(at)
		return next, what, err
	case "move":
		from, to := genAt(t, p, false), genAt(t, p, true)
		src, i := listOf(p, from)
		inside := from.Routine == to.Routine && len(to.Index) > len(from.Index) && slices.Equal(from.Index, to.Index[:len(from.Index)])
		if inside || to.Routine == "r" && hasCall(&(*src)[i]) {
			return f, what, nil
		}
		moved := (*src)[i]
		(*src)[i].Times = -1 // the mark of the one to take away
		dst, k := listOf(p, to)
		*dst = slices.Insert(*dst, k, moved)
		takeMarked(p)
		next, err := f.MoveStep(from, to)
		return next, what, err
	case "pose":
		i := rapid.IntRange(0, len(p.Poses)-1).Draw(t, "pose")
		pose := genPose(t, p.Poses[i].Name)
		if pose.Frame.Name == "taught" {
			pose.Frame.Name = "rack"
		}
		p.Poses[i] = pose
		next, err := f.PutPose(&pose)
		return next, what, err
	case "title":
		p.Title = rapid.SampledFrom([]string{"", "new", "a: b", "# c"}).Draw(t, "title")
		next, err := f.SetTitle(p.Title)
		return next, what, err
	}
	p.Tool.Name = rapid.SampledFrom([]string{"", "cup", "null"}).Draw(t, "tool")
	next, err := f.SetTool(p.Tool.Name)
	return next, what, err
}

func takeMarked(p *Program) {
	var take func(steps []Step) []Step
	take = func(steps []Step) []Step {
		steps = slices.DeleteFunc(steps, func(s Step) bool { return s.Times < 0 })
		for i := range steps {
			steps[i].Steps = take(steps[i].Steps)
		}
		return steps
	}
	p.Steps, p.Routines[0].Steps = take(p.Steps), take(p.Routines[0].Steps)
}

var comment = regexp.MustCompile(`# (above|beside) \d+`)

// lostComments returns a comment of before that after does not have, except one
// that stood beside or within what the edit deleted.
func lostComments(before, after []byte, what string) string {
	for _, c := range comment.FindAll(before, -1) {
		may := strings.HasPrefix(what, "delete") && bytes.HasPrefix(c, []byte("# beside")) ||
			strings.HasSuffix(what, "whole") ||
			(what == "title" || what == "tool") && bytes.HasPrefix(c, []byte("# beside"))
		if !may && !bytes.Contains(after, append(c, '\n')) {
			return string(c)
		}
	}
	return ""
}
