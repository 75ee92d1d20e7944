package source

import (
	"math"
	"slices"
	"strings"
	"testing"

	"posework/engine/diag"
)

// TestValues reads one value in every way that it may be read, and pins what is
// reported.
func TestValues(t *testing.T) {
	str := func(n *Node) any { return n.Str() }
	name := func(n *Node) any { return n.Name() }
	num := func(n *Node) any { return n.Num() }
	whole := func(n *Node) any { return float64(n.Int(1, 100)) }
	onOff := func(n *Node) any { return n.OnOff() }
	boolean := func(n *Node) any { return n.Bool() }
	speed := func(n *Node) any { v, u := n.Quantity("mm/s", "%"); return [2]any{v, u} }
	mms := func(n *Node) any { return n.MMS() }
	sec := func(n *Node) any { return n.Seconds() }
	mm := func(n *Node) any { return n.MM() }
	deg := func(n *Node) any { return n.Deg() }
	path := func(n *Node) any { return float64(n.OneOf("joint", "line", "arc")) }
	vec := func(n *Node) any { return n.Vec() == (n.Vec()) && n.Vec().X == 1 && n.Vec().Z == -3 }
	tests := []struct {
		in   string
		read func(*Node) any
		want any
		says string
	}{
		{"Lift one tile", str, "Lift one tile", ""},
		{"010", str, "010", ""},
		{"yes", str, "yes", ""},
		{"2001-01-01", str, "2001-01-01", ""},
		{`"null"`, str, "null", ""},
		{"", str, "", `v has no value, but a text is needed; write a text, in quotes if need be`},
		{"~", str, "", `v has no value, but a text is needed; write a text, in quotes if need be`},
		{"[a]", str, "", `v is a list, but a text is needed; write a text, in quotes if need be`},
		{"{a: b}", str, "", `v is a mapping, but a text is needed; write a text, in quotes if need be`},

		{"over-rack_2", name, "over-rack_2", ""},
		{strings.Repeat("n", 60), name, strings.Repeat("n", 60), ""},
		{strings.Repeat("n", 61), name, "", `the name "nnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnn..." has more than 60 characters; shorten it`},
		{"over rack", name, "", `the name "over rack" contains ' '; use letters a to z, digits, - and _`},
		{"../x", name, "", `the name "../x" contains '.'; use letters a to z, digits, - and _`},
		{`""`, name, "", `the name is empty; write a name of letters, digits, - and _`},

		{"12.5", num, 12.5, ""},
		{"-0", num, 0.0, ""},
		{"+5", num, 5.0, ""},
		{".5", num, 0.5, ""},
		{"1e3", num, 1000.0, ""},
		{"1.5E-3", num, 0.0015, ""},
		{"0.1", num, 0.1, ""},
		{"1000000000", num, 1e9, ""},
		{"1000000001", num, 0.0, `v: "1000000001" is larger than 1000000000, the greatest number; write a smaller number`},
		{"1e999", num, 0.0, `v: "1e999" is larger than 1000000000, the greatest number; write a smaller number`},
		{"010", num, 0.0, `v: "010" begins with 0, which some readers take for base 8; write 10`},
		{"-007.5", num, 0.0, `v: "-007.5" begins with 0, which some readers take for base 8; write -7.5`},
		{"00", num, 0.0, `v: "00" begins with 0, which some readers take for base 8; write 0`},
		{"0x10", num, 0.0, `v: "0x10" is not a number; write a decimal number such as 12.5`},
		{"0b1", num, 0.0, `v: "0b1" is not a number; write a decimal number such as 12.5`},
		{"0o17", num, 0.0, `v: "0o17" is not a number; write a decimal number such as 12.5`},
		{"1_000", num, 0.0, `v: "1_000" is not a number; write a decimal number such as 12.5`},
		{"1:30", num, 0.0, `v: "1:30" is not a number; write a decimal number such as 12.5`},
		{"--5", num, 0.0, `v: "--5" is not a number; write a decimal number such as 12.5`},
		{"5.", num, 0.0, `v: "5." is not a number; write digits after the point`},
		{"5e", num, 0.0, `v: "5e" is not a number; write a decimal number such as 12.5`},
		{"e5", num, 0.0, `v: "e5" is not a number; write a decimal number such as 12.5`},
		{"1e+-3", num, 0.0, `v: "1e+-3" is not a number; write a decimal number such as 12.5`},
		{"1,5", num, 0.0, `v: "1,5" contains a comma; write no thousands separator, and "." before decimals`},
		{".nan", num, 0.0, `v: ".nan" is not a number that can be reckoned with; write a finite number`},
		{"NaN", num, 0.0, `v: "NaN" is not a number that can be reckoned with; write a finite number`},
		{"-.inf", num, 0.0, `v: "-.inf" is infinite; write a finite number`},
		{"true", num, 0.0, `v: "true" is not a number; write a decimal number such as 12.5`},
		{`"5"`, num, 0.0, `v is the text "5", but a number is needed; drop the quotes`},
		{"20 mm", num, 0.0, `v: "20 mm" carries a unit, but a bare number is needed; write 20`},
		{"", num, 0.0, `v has no value, but a number is needed; write a number`},
		{"[1]", num, 0.0, `v is a list, but a number is needed; write a number`},

		{"1", whole, 1.0, ""},
		{"100", whole, 100.0, ""},
		{"1e1", whole, 10.0, ""},
		{"0", whole, 0.0, `v is 0, but must be from 1 to 100; write a whole number from 1 to 100`},
		{"101", whole, 0.0, `v is 101, but must be from 1 to 100; write a whole number from 1 to 100`},
		{"1.5", whole, 0.0, `v: "1.5" is not a whole number; write a whole number`},

		{"on", onOff, true, ""},
		{"off", onOff, false, ""},
		{"yes", onOff, false, `v is "yes", but must be on or off; write on`},
		{"False", onOff, false, `v is "False", but must be on or off; write off`},
		{"open", onOff, false, `v is "open", but must be on or off; write on or off`},
		{"true", boolean, true, ""},
		{"on", boolean, false, `v is "on", but must be true or false; write true`},
		{"", boolean, false, `v has no value, but true or false is needed; write true or false`},

		{"150 mm/s", speed, [2]any{150.0, "mm/s"}, ""},
		{"25 %", speed, [2]any{25.0, "%"}, ""},
		{"25%", speed, [2]any{25.0, "%"}, ""},
		{`"150mm/s"`, speed, [2]any{150.0, "mm/s"}, ""},
		{"150", speed, [2]any{0.0, ""}, `v is 150 without a unit; write 150 mm/s or 150 %`},
		{"150 mm", speed, [2]any{0.0, ""}, `v is in "mm", but must be in mm/s or %; write it as in "20 mm/s or 20 %"`},
		{"0.15 m/s", speed, [2]any{0.0, ""}, `v is in "m/s", but must be in mm/s or %; write 150 mm/s`},
		{"fast", speed, [2]any{0.0, ""}, `v: "fast" is not a number; write a decimal number such as 12.5`},
		{".nan mm/s", speed, [2]any{0.0, ""}, `v: ".nan mm/s" is not a number; write a decimal number such as 12.5`},
		{"010 %", speed, [2]any{0.0, ""}, `v: "010" begins with 0, which some readers take for base 8; write 10`},
		{"[150]", mms, 0.0, `v is a list, but a number with its unit is needed; write it as in "20 mm/s"`},
		{"500 ms", sec, 0.0, `v is in "ms", but must be in s; write 0.5 s`},
		{"0.5 s", sec, 0.5, ""},
		{"-1 s", sec, -1.0, ""},
		{"5--3 s", sec, 0.0, `v: "5--3" is not a number; write it as in "20 s"`},
		{"20 mm", mm, 20.0, ""},
		{"20", mm, 20.0, ""},
		{"2 cm", mm, 0.0, `v is in "cm", but must be in mm; write 20 mm`},
		{"180", deg, math.Pi, ""},
		{"180 deg", deg, math.Pi, ""},
		{"180°", deg, 0.0, `v is in "°", but must be in deg; write 180 deg`},

		{"line", path, 1.0, ""},
		{"lin", path, -1.0, `v is "lin", but must be one of joint, line, arc; did you mean "line"?`},
		{"straight", path, -1.0, `v is "straight", but must be one of joint, line, arc; write one of joint, line, arc`},

		{"[1, 2, -3]", vec, true, ""},
		{"[1, 2]", vec, false, `v has 2 values, but 3 are needed; write 3`},
		{"[1]", vec, false, `v has 1 value, but 3 are needed; write 3`},
		{"[1, 2, x]", vec, false, `item 3 of v: "x" is not a number; write a decimal number such as 12.5`},
		{"1", vec, false, `v is "1", but a list is needed; write the items in [ ] or one a line after "- "`},
	}
	for _, tt := range tests {
		t.Run(tt.in, func(t *testing.T) {
			var l diag.List
			n := Parse("f", []byte("v: "+tt.in), 1, &l).Map().Get("v")
			if got := tt.read(n); got != tt.want {
				t.Errorf("read %q = %v, want %v", tt.in, got, tt.want)
			}
			says := ""
			if len(l) > 0 {
				says = l[0].Text + "; " + l[0].Fix
			}
			if says != tt.says || len(l) > 1 {
				t.Errorf("read %q reports\n%v\nwant\n%s", tt.in, l, tt.says)
			}
		})
	}
}

func TestOtherQuantities(t *testing.T) {
	var l diag.List
	m := Parse("f", []byte("{a: 0.8 kg, b: 180 deg/s, c: 360 deg/s2, d: 2500 mm/s2, e: [90, 0, -180]}"), 1, &l).Map()
	if got := m.Get("a").Kilograms(); got != 0.8 {
		t.Errorf("Kilograms = %v", got)
	}
	if got := m.Get("b").DegPerS(); got != math.Pi {
		t.Errorf("DegPerS = %v", got)
	}
	if got := m.Get("c").DegPerS2(); got != 2*math.Pi {
		t.Errorf("DegPerS2 = %v", got)
	}
	if got := m.Get("d").MMS2(); got != 2500 {
		t.Errorf("MMS2 = %v", got)
	}
	if got := m.Get("e").Degs(); got.X != math.Pi/2 || got.Y != 0 || got.Z != -math.Pi {
		t.Errorf("Degs = %v", got)
	}
	m.Close()
	if len(l) > 0 {
		t.Error(l)
	}
}

// TestMapping pins what is reported on keys: one diagnostic for a misspelt key
// that was needed, and nothing twice.
func TestMapping(t *testing.T) {
	tests := []struct{ name, in, want string }{
		{"good", "{to: a, speed: b}", ""},
		{"misspelt and needed", "{to: a, speeed: b}", `f:1:9: unknown key "speeed" in the file; did you mean "speed"?`},
		{"misspelt", "{to: a, speed: b, ende: c}", `f:1:19: unknown key "ende" in the file; did you mean "end"?`},
		{"unknown", "{to: a, speed: b, velocity: c}", `f:1:19: unknown key "velocity" in the file; known here: to, speed, end`},
		{"near a key that is there", "{to: a, speed: b, sped: c}", `f:1:19: unknown key "sped" in the file; known here: to, speed, end`},
		{"missing", "{end: a}", "f:1:1: the file has no \"to\"; add \"to: ...\"\nf:1:1: the file has no \"speed\"; add \"speed: ...\""},
		{"list", "[a]", `f:1:1: the file is a list, but a mapping is needed; write "key: value" lines or {key: value}`},
		{"text", "a", `f:1:1: the file is "a", but a mapping is needed; write "key: value" lines or {key: value}`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var l diag.List
			m := Parse("f", []byte(tt.in), 1, &l).Map()
			m.Need("to").Str()
			m.Need("speed").Str()
			m.Get("end").Str()
			m.Get("end")
			m.Close()
			m.Close()
			l.Sort()
			if got := l.Error(); !sameLines(got, tt.want) {
				t.Errorf("reports\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}

func sameLines(a, b string) bool {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	if len(x) != len(y) {
		return false
	}
	for _, line := range x {
		if !slices.Contains(y, line) {
			return false
		}
	}
	return true
}

func TestNoKnownKeys(t *testing.T) {
	var l diag.List
	Parse("f", []byte("{a: 1}"), 1, &l).Map().Close()
	if got, want := l.Error(), `f:1:2: unknown key "a" in the file; delete it`; got != want {
		t.Errorf("reports %s, want %s", got, want)
	}
}

func TestFormat(t *testing.T) {
	tests := []struct{ in, want string }{
		{"posework: arm/1", ""},
		{"posework: arm/2", `f:1:11: "arm/2" is not a version that this posework reads; it reads version 1; write "posework: arm/1"`},
		{"posework: program/1", `f:1:11: this file is marked "program/1", but an arm file is needed; write "posework: arm/1", or hand in another file`},
		{"title: x", `f:1:1: the file has no "posework"; add "posework: ..."`},
		{"posework:", `f:1:10: posework has no value, but a text is needed; write a text, in quotes if need be`},
	}
	for _, tt := range tests {
		var l diag.List
		m := Parse("f", []byte(tt.in), 1, &l).Map()
		m.Format("arm/1")
		m.Get("title")
		m.Close()
		if got := l.Error(); got != tt.want {
			t.Errorf("%s reports\n%s\nwant\n%s", tt.in, got, tt.want)
		}
	}
}

// TestAbsent calls everything on an absent value: zero values, no report, no
// panic.
func TestAbsent(t *testing.T) {
	var n *Node
	n.Errorf("F000", "", "x")
	n.Check(false, "F000", "", "x")
	m := n.Map()
	m.Format("arm/1")
	m.Close()
	if m.Get("a") != nil || m.Need("a") != nil || m.Has("a") || m.Names() != nil || m.Node() != nil {
		t.Error("a map of an absent value has something in it")
	}
	if n.Pos() != (diag.Pos{}) || n.Kind() != Null || n.Label() != "" || n.OK() || n.List() != nil ||
		n.Str() != "" || n.Name() != "" || n.OneOf("a") != -1 || n.OnOff() || n.Num() != 0 || n.Int(1, 2) != 0 ||
		len(n.Nums(3)) != 3 || n.MM() != 0 {
		t.Error("an absent value is something")
	}
}

func TestFirstReportCounts(t *testing.T) {
	var l diag.List
	n := Parse("f", []byte("a: fast"), 1, &l).Map().Get("a")
	if !n.OK() {
		t.Error("OK before any report = false")
	}
	n.Check(true, "X001", "", "never")
	v := n.MMS()
	n.Check(v > 0, "X001", "", "speed must be above 0")
	if n.OK() || len(l) != 1 || l[0].Code != "F015" {
		t.Errorf("reports %v, want the first alone", l)
	}
}

func TestKindNames(t *testing.T) {
	for k, want := range map[Kind]string{Null: "nothing", Scalar: "a single value", Sequence: "a list", Mapping: "a mapping"} {
		if k.String() != want {
			t.Errorf("Kind(%d) = %q, want %q", k, k, want)
		}
	}
}

// TestCodes holds the table to what the package raises: unique, sorted, whole.
func TestCodes(t *testing.T) {
	last := ""
	for _, c := range Codes {
		if c.ID <= last || c.Title == "" || c.Meaning == "" || c.Bad == "" || c.Good == "" {
			t.Errorf("code %+v is out of order or not whole", c)
		}
		last = c.ID
	}
}

func TestMisspeltAndReports(t *testing.T) {
	var l diag.List
	n := Parse("f", []byte("{bpx: 1, name: 2}"), 1, &l)
	m := n.Map()
	if !m.Misspelt("box", "sphere") || m.Misspelt("cylinder") || m.Misspelt("name") {
		t.Error("bpx is near box only, and name is no misspelling of itself")
	}
	if n.Reports() != &l || n.Kind() != Mapping || m.Get("name").Label() != "name" {
		t.Error("Reports, Kind or Label is not that of the text")
	}
	var none *Node
	if none.Reports() != nil || none.Map().Misspelt("a") {
		t.Error("an absent value reports somewhere")
	}
}

// TestLoneCarriageReturns: an old line end counts as a line, as in editors.
func TestLoneCarriageReturns(t *testing.T) {
	var l diag.List
	m := Parse("f", []byte("a: 1\rb: [x,\r y]\rc: 3"), 1, &l).Map()
	from, to := m.Get("b").Span()
	if p := m.Get("c").Pos(); len(l) > 0 || p.Line != 4 || p.Column != 4 || from != 8 || to != 15 {
		t.Errorf("c is at %v, b from %d to %d: %v", p, from, to, l)
	}
}
