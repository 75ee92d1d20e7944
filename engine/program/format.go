package program

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"posework/kin"
)

// Format writes a program as a new file. Numbers are rounded to a millionth of
// a mm, degree or second. To change a file that exists use [Open], which keeps
// comments and layout.
func Format(p *Program) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "posework: %s\n", Format1)
	if p.Title != "" {
		fmt.Fprintf(&b, "title: %s\n", text(p.Title))
	}
	if p.Tool.Name != "" {
		fmt.Fprintf(&b, "tool: %s\n", name(p.Tool.Name))
	}
	section(&b, "poses", len(p.Poses), func(i int) (string, string) {
		return p.Poses[i].Name, flowMap(poseFields(&p.Poses[i]))
	})
	section(&b, "frames", len(p.Frames), func(i int) (string, string) {
		return p.Frames[i].Name, flowMap(frameFields(&p.Frames[i]))
	})
	section(&b, "tools", len(p.Tools), func(i int) (string, string) {
		return p.Tools[i].Name, flowMap(toolFields(&p.Tools[i]))
	})
	fmt.Fprintf(&b, "steps:%s\n", blockSteps(p.Steps, 2))
	if len(p.Routines) > 0 {
		b.WriteString("routines:\n")
	}
	for i := range p.Routines {
		fmt.Fprintf(&b, "  %s:%s\n", name(p.Routines[i].Name), blockSteps(p.Routines[i].Steps, 4))
	}
	return b.Bytes()
}

func section(b *bytes.Buffer, key string, n int, entry func(int) (name, value string)) {
	if n == 0 {
		return
	}
	fmt.Fprintf(b, "%s:\n", key)
	for i := range n {
		k, v := entry(i)
		fmt.Fprintf(b, "  %s: %s\n", name(k), v)
	}
}

// field is one key of a mapping with its value as text that fits inside
// brackets.
type field struct{ key, value string }

func flowMap(fields []field) string {
	parts := make([]string, len(fields))
	for i, f := range fields {
		parts[i] = f.key + ": " + f.value
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

func poseFields(p *Pose) []field {
	if p.ByAxes {
		var v [6]float64
		for i := range v {
			v[i] = p.Written(i)
		}
		return []field{{"axes", numbers(v[:]...)}}
	}
	f := []field{{"xyz", vec(p.XYZ)}, {"rpy", degs(p.RPY)}}
	if p.Frame.Name != "base" && p.Frame.Name != "" {
		f = append(f, field{"frame", name(p.Frame.Name)})
	}
	if p.Config != nil {
		w := p.Config.Words()
		f = append(f, field{"config", "[" + strings.Join(w[:], ", ") + "]"})
	}
	return f
}

func frameFields(f *TaughtFrame) []field {
	return []field{{"origin", name(f.Origin.Name)}, {"along-x", name(f.AlongX.Name)}, {"in-plane", name(f.InPlan.Name)}}
}

func toolFields(t *TaughtTool) []field {
	names := make([]string, len(t.Touches))
	for i, r := range t.Touches {
		names[i] = name(r.Name)
	}
	return []field{{"touches", "[" + strings.Join(names, ", ") + "]"}}
}

// stepFields returns the keys of a step in the order of the file format. The
// steps of a repeat are left out: they go over several lines.
func stepFields(s *Step) []field {
	switch s.Kind {
	case Set, Wait:
		var f []field
		for _, sig := range s.Signals {
			f = append(f, field{name(sig.Name), onOff(sig.On)})
		}
		if s.Kind == Wait && s.AtMost > 0 {
			f = append(f, field{"at-most", number(s.AtMost) + " s"})
		}
		return []field{{kinds[s.Kind], flowMap(f)}}
	case Pause:
		return []field{{"pause", number(s.Pause) + " s"}}
	case Repeat:
		f := []field{{"repeat", strconv.Itoa(s.Times)}}
		if s.Shift.Frame.Name != "" {
			f = append(f, field{"shift", flowMap([]field{{"frame", name(s.Shift.Frame.Name)}, {"by", vec(s.Shift.By)}})})
		}
		return f
	case Call:
		return []field{{"call", name(s.Call.Name)}}
	case SelectTool:
		return []field{{"tool", name(s.Tool.Name)}}
	case SetPayload:
		return []field{{"payload", flowMap([]field{{"mass", number(s.Load.Mass) + " kg"}, {"at", vec(s.Load.At)}})}}
	}
	f := []field{{"to", name(s.To.Name)}}
	if s.Path == Arc {
		f = append(f, field{"through", name(s.Through.Name)})
	}
	f = append(f, field{"path", s.Path.String()})
	if s.Path == Joint {
		f = append(f, field{"speed", number(100*s.Speed.Share) + " %"})
	} else {
		f = append(f, field{"speed", number(s.Speed.MMS) + " mm/s"})
	}
	if s.FlyBy > 0 {
		return append(f, field{"end", "fly-by " + number(s.FlyBy) + " mm"})
	}
	return append(f, field{"end", "stop"})
}

// blockSteps writes a list of steps below its key: one a line, indented by col
// spaces, each after a line end; " []" for none.
func blockSteps(steps []Step, col int) string {
	if len(steps) == 0 {
		return " []"
	}
	var b strings.Builder
	for i := range steps {
		b.WriteString("\n" + strings.Repeat(" ", col) + "- " + blockStep(&steps[i], col+2))
	}
	return b.String()
}

// blockStep writes a step in brackets, and a repeat over several lines whose
// later ones are indented by col spaces.
func blockStep(s *Step, col int) string {
	if s.Kind != Repeat {
		return flowMap(stepFields(s))
	}
	pad := "\n" + strings.Repeat(" ", col)
	var b strings.Builder
	for i, f := range stepFields(s) {
		if i > 0 {
			b.WriteString(pad)
		}
		b.WriteString(f.key + ": " + f.value)
	}
	b.WriteString(pad + "steps:" + blockSteps(s.Steps, col+2))
	return b.String()
}

// flowStep writes a step, a repeat too, in one line.
func flowStep(s *Step) string {
	f := stepFields(s)
	if s.Kind == Repeat {
		f = append(f, field{"steps", flowSteps(s.Steps)})
	}
	return flowMap(f)
}

func flowSteps(steps []Step) string {
	parts := make([]string, len(steps))
	for i := range steps {
		parts[i] = flowStep(&steps[i])
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// number writes a number as people do: no exponent, no -0, no digits beyond a
// millionth.
func number(v float64) string {
	r := math.Round(v*1e6) / 1e6
	if r == 0 {
		r = 0 // not -0
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

func numbers(v ...float64) string {
	parts := make([]string, len(v))
	for i, x := range v {
		parts[i] = number(x)
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

func vec(v kin.Vec) string { return numbers(v.X, v.Y, v.Z) }

func degs(v kin.Vec) string {
	return numbers(kin.Deg(v.X), kin.Deg(v.Y), kin.Deg(v.Z))
}

func onOff(on bool) string {
	if on {
		return "on"
	}
	return "off"
}

// name writes a name, in quotes where YAML would take it for no text.
func name(s string) string {
	if s == "null" || s == "Null" || s == "NULL" {
		return strconv.Quote(s)
	}
	return s
}

// text writes a text, in quotes unless it begins with a letter and holds nothing
// that means something in YAML.
func text(s string) string {
	safe := s != "" && name(s) == s && s[len(s)-1] != ' '
	for i, r := range s {
		letter := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= 0xc0
		if !letter && (i == 0 || !strings.ContainsRune("0123456789 -_.()'/", r)) {
			safe = false
		}
	}
	if safe {
		return s
	}
	return strconv.Quote(s)
}
