package source

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"posework/kin"
)

// Quantity returns a number with its unit, which must be one of units.
func (n *Node) Quantity(units ...string) (value float64, unit string) {
	return n.quantity(false, units)
}

// Nums returns a list of numbers without units; count is how many there must
// be.
func (n *Node) Nums(count int) []float64 {
	items := n.Count(count)
	if items == nil {
		return make([]float64, count)
	}
	v := make([]float64, count)
	for i, item := range items {
		v[i] = item.Num()
		// A list with an unsound item is not judged as a whole any more.
		n.bad = n.bad || item.bad
	}
	return v
}

// Vec returns a list of three numbers, mm for a place.
func (n *Node) Vec() kin.Vec {
	v := n.Nums(3)
	return kin.Vec{X: v[0], Y: v[1], Z: v[2]}
}

// Degs returns a list of three angles written in degrees, in rad.
func (n *Node) Degs() kin.Vec {
	v := n.Nums(3)
	return kin.Vec{X: kin.Rad(v[0]), Y: kin.Rad(v[1]), Z: kin.Rad(v[2])}
}

// MMS returns a speed in mm/s.
func (n *Node) MMS() float64 { v, _ := n.Quantity("mm/s"); return v }

// MMS2 returns an acceleration in mm/s2.
func (n *Node) MMS2() float64 { v, _ := n.Quantity("mm/s2"); return v }

// Seconds returns a time in s.
func (n *Node) Seconds() float64 { v, _ := n.Quantity("s"); return v }

// Kilograms returns a mass in kg.
func (n *Node) Kilograms() float64 { v, _ := n.Quantity("kg"); return v }

// MM returns a length in mm; the unit need not be written.
func (n *Node) MM() float64 { v, _ := n.quantity(true, []string{"mm"}); return v }

// Deg returns an angle written in degrees, in rad; the unit need not be
// written.
func (n *Node) Deg() float64 { v, _ := n.quantity(true, []string{"deg"}); return kin.Rad(v) }

// DegPerS returns an angular speed written in deg/s, in rad/s.
func (n *Node) DegPerS() float64 { v, _ := n.Quantity("deg/s"); return kin.Rad(v) }

// DegPerS2 returns an angular acceleration written in deg/s2, in rad/s2.
func (n *Node) DegPerS2() float64 { v, _ := n.Quantity("deg/s2"); return kin.Rad(v) }

func (n *Node) quantity(optional bool, units []string) (float64, string) {
	example := examples(units)
	if !n.scalar("a number with its unit", "write it as in "+example) {
		return 0, ""
	}
	num, unit := split(n.text)
	v, bad := number(num)
	if bad != (fault{}) {
		if unit != "" && bad.fix == "write a decimal number such as 12.5" {
			bad.fix = "write it as in " + example
		}
		n.Errorf("F015", bad.fix, "%s: %s %s", n.label, Quote(num), bad.text)
		return 0, ""
	}
	for _, u := range units {
		if unit == u {
			return v, u
		}
	}
	if unit == "" {
		if optional {
			return v, units[0]
		}
		n.Errorf("F016", "write "+withUnits(num, units), "%s is %s without a unit", n.label, num)
		return 0, ""
	}
	fix := "write it as in " + example
	if s, ok := converted(v, unit, units); ok {
		fix = "write " + s
	}
	n.Errorf("F016", fix, "%s is in %s, but must be in %s", n.label, Quote(unit), strings.Join(units, " or "))
	return 0, ""
}

// split parts a quantity into its number and its unit.
func split(s string) (num, unit string) {
	s = strings.TrimSpace(s)
	i := strings.IndexFunc(s, func(r rune) bool {
		return !(r >= '0' && r <= '9' || strings.ContainsRune("+-.,_eE", r))
	})
	// A leading word (.nan among them) is not a number with a unit, but no
	// number at all.
	if i <= 0 || !strings.ContainsAny(s[:i], "0123456789") {
		return s, ""
	}
	return s[:i], strings.TrimSpace(s[i:])
}

func examples(units []string) string { return strconv.Quote(withUnits("20", units)) }

func withUnits(num string, units []string) string {
	parts := make([]string, len(units))
	for i, u := range units {
		parts[i] = num + " " + u
	}
	return strings.Join(parts, " or ")
}

// factors turns units that people write by habit into those of the formats.
var factors = []struct {
	from, to string
	factor   float64
}{
	{"m/s", "mm/s", 1000}, {"mm/sec", "mm/s", 1}, {"cm/s", "mm/s", 10}, {"mm/min", "mm/s", 1.0 / 60}, {"m/min", "mm/s", 1000.0 / 60},
	{"ms", "s", 0.001}, {"sec", "s", 1}, {"min", "s", 60},
	{"g", "kg", 0.001},
	{"m", "mm", 1000}, {"cm", "mm", 10},
	{"rad", "deg", 180 / math.Pi}, {"rad/s", "deg/s", 180 / math.Pi}, {"rad/s2", "deg/s2", 180 / math.Pi},
	{"°", "deg", 1}, {"°/s", "deg/s", 1}, {"°/s2", "deg/s2", 1}, {"°/s²", "deg/s2", 1},
	{"deg/s²", "deg/s2", 1}, {"deg/s^2", "deg/s2", 1}, {"mm/s²", "mm/s2", 1}, {"mm/s^2", "mm/s2", 1}, {"m/s2", "mm/s2", 1000},
	{"percent", "%", 1},
}

// isUnit reports a unit of the formats or one that people write by habit.
func isUnit(unit string) bool {
	for _, f := range factors {
		if unit == f.from || unit == f.to {
			return true
		}
	}
	return false
}

// converted writes a quantity in one of the allowed units, where it is one that
// people write by habit.
func converted(v float64, unit string, units []string) (string, bool) {
	for _, f := range factors {
		for _, u := range units {
			if f.from == unit && f.to == u {
				return fmt.Sprintf("%s %s", strconv.FormatFloat(v*f.factor, 'g', 6, 64), u), true
			}
		}
	}
	return "", false
}
