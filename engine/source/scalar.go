package source

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"posework/engine/diag"
)

// MaxNumber is the greatest size of a number. It keeps every product of a few
// of them finite; no length, angle or speed of an arm comes near it.
const MaxNumber = 1e9

// MaxName is the greatest length of a name in characters.
const MaxName = 60

// scalar reports a value that is no single one and returns false.
func (n *Node) scalar(need, fix string) bool {
	if n == nil || n.bad {
		return false
	}
	if n.kind != Scalar {
		n.wrongKind(need, fix)
		return false
	}
	return true
}

// Str returns a text.
func (n *Node) Str() string {
	if !n.scalar("a text", "write a text, in quotes if need be") {
		return ""
	}
	return n.text
}

// Name returns an identifier: letters, digits, '-' and '_', a letter or digit
// first, at most [MaxName] characters.
func (n *Node) Name() string {
	if !n.scalar("a name", "write a name of letters, digits, - and _") {
		return ""
	}
	if len(n.text) == 0 {
		n.Errorf("F018", "write a name of letters, digits, - and _", "the name is empty")
		return ""
	}
	if len(n.text) > MaxName {
		n.Errorf("F018", "shorten it", "the name %s has more than %d characters", Quote(n.text), MaxName)
		return ""
	}
	for _, r := range n.text {
		if !nameRune(r) {
			n.Errorf("F018", "use letters a to z, digits, - and _", "the name %s contains %q", Quote(n.text), r)
			return ""
		}
	}
	if n.text[0] == '-' || n.text[0] == '_' {
		n.Errorf("F018", "begin it with a letter or digit", "the name %s begins with %q", Quote(n.text), n.text[0])
		return ""
	}
	return n.text
}

func nameRune(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_'
}

// OneOf returns the index of the value among words, and -1 for another one,
// which it reports with the nearest word.
func (n *Node) OneOf(words ...string) int {
	if !n.scalar("one of "+strings.Join(words, ", "), "write one of them") {
		return -1
	}
	for i, w := range words {
		if n.text == w {
			return i
		}
	}
	fix := "write one of " + strings.Join(words, ", ")
	if near := diag.Nearest(n.text, words); near != "" {
		fix = fmt.Sprintf("did you mean %q?", near)
	}
	n.Errorf("F017", fix, "%s is %s, but must be one of %s", n.label, Quote(n.text), strings.Join(words, ", "))
	return -1
}

// OnOff returns whether the value is on rather than off.
func (n *Node) OnOff() bool { return n.either("on", "off") }

// Bool returns whether the value is true rather than false.
func (n *Node) Bool() bool { return n.either("true", "false") }

func (n *Node) either(yes, no string) bool {
	if !n.scalar(yes+" or "+no, "write "+yes+" or "+no) {
		return false
	}
	if n.text != yes && n.text != no {
		fix := "write " + yes + " or " + no
		switch strings.ToLower(n.text) {
		case "on", "yes", "true", "1":
			fix = "write " + yes
		case "off", "no", "false", "0":
			fix = "write " + no
		}
		n.Errorf("F017", fix, "%s is %s, but must be %s or %s", n.label, Quote(n.text), yes, no)
		return false
	}
	return n.text == yes
}

// Num returns a finite decimal number without a unit.
func (n *Node) Num() float64 {
	if !n.scalar("a number", "write a number") {
		return 0
	}
	if n.style != plain {
		n.Errorf("F015", "drop the quotes", "%s is the text %s, but a number is needed", n.label, Quote(n.text))
		return 0
	}
	v, bad := number(n.text)
	if bad != (fault{}) {
		if num, unit := split(n.text); isUnit(unit) {
			if _, ok := number(num); ok == (fault{}) {
				bad = fault{"carries a unit, but a bare number is needed", "write " + num}
			}
		}
		n.Errorf("F015", bad.fix, "%s: %s %s", n.label, Quote(n.text), bad.text)
		return 0
	}
	return v
}

// Int returns a whole number within [least, most].
func (n *Node) Int(least, most int) int {
	v := n.Num()
	if !n.OK() {
		return 0
	}
	if v != math.Trunc(v) {
		n.Errorf("F015", "write a whole number", "%s: %s is not a whole number", n.label, Quote(n.text))
		return 0
	}
	if v < float64(least) || v > float64(most) {
		n.Errorf("F020", fmt.Sprintf("write a whole number from %d to %d", least, most),
			"%s is %s, but must be from %d to %d", n.label, n.text, least, most)
		return 0
	}
	return int(v)
}

// fault says what is wrong with a number, after its text, and what to do.
type fault struct{ text, fix string }

// number reads a decimal number: sign, digits without a leading 0, a fraction
// and an exponent, at most [MaxNumber] in size.
func number(s string) (float64, fault) {
	body := strings.TrimLeft(s, "+-")
	if len(s)-len(body) > 1 {
		return 0, fault{"is not a number", "write a decimal number such as 12.5"}
	}
	switch strings.ToLower(strings.TrimPrefix(body, ".")) {
	case "nan":
		return 0, fault{"is not a number that can be reckoned with", "write a finite number"}
	case "inf", "infinity":
		return 0, fault{"is infinite", "write a finite number"}
	}
	whole, rest := cutDigits(body)
	fraction := ""
	if strings.HasPrefix(rest, ".") {
		fraction, rest = cutDigits(rest[1:])
		if fraction == "" && rest == "" {
			return 0, fault{"is not a number", "write digits after the point"}
		}
	}
	if rest != "" && (rest[0] == 'e' || rest[0] == 'E') && (whole != "" || fraction != "") {
		exp := strings.TrimLeft(rest[1:], "+-")
		if d, tail := cutDigits(exp); d != "" && tail == "" && len(rest)-1-len(exp) <= 1 {
			rest = ""
		}
	}
	switch {
	case strings.Contains(rest, ",") && whole != "":
		return 0, fault{"contains a comma", "write no thousands separator, and \".\" before decimals"}
	case rest != "" || whole == "" && fraction == "":
		return 0, fault{"is not a number", "write a decimal number such as 12.5"}
	case len(whole) > 1 && whole[0] == '0':
		short := strings.TrimLeft(whole[:len(whole)-1], "0") + whole[len(whole)-1:]
		return 0, fault{"begins with 0, which some readers take for base 8",
			"write " + s[:len(s)-len(body)] + short + body[len(whole):]}
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.Abs(v) > MaxNumber {
		return 0, fault{"is larger than 1000000000, the greatest number", "write a smaller number"}
	}
	return v + 0, fault{} // + 0 turns -0 into 0
}

// cutDigits returns the leading digits of s and the rest.
func cutDigits(s string) (digits, rest string) {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return s[:i], s[i:]
}
