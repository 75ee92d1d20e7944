package quiz

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Answer is what a person answered. Choice is used by every kind but Number:
// the options that were taken, for Order in the order that was chosen, for
// Match the partner of each option.
type Answer struct {
	Choice []int
	Number float64
}

// Hint says how to type an answer to the question.
func (s *Sheet) Hint() string {
	last := letter(len(s.Options) - 1)
	switch s.Question.Kind {
	case One:
		return "one letter, a to " + last
	case Many:
		return "the letters of all that apply, such as \"a " + last + "\""
	case Order:
		return "the letters in their right order, such as \"" + letters(len(s.Options)) + "\""
	case Match:
		return "a letter for each line in turn, such as \"" + letters(len(s.Options)) + "\""
	case Spot:
		return "the numbers of the unsafe steps, such as \"" + s.Options[0] + "\" or \"" + s.Options[0] + ", " + s.Options[len(s.Options)-1] + "\""
	}
	if s.Question.Unit == "" {
		return "a number"
	}
	return "a number, in " + s.Question.Unit
}

func letter(i int) string { return string(rune('a' + i)) }

// letters returns the first n letters from the last on, as an example that is
// not the order shown.
func letters(n int) string {
	list := make([]string, n)
	for i := range list {
		list[i] = letter(n - 1 - i)
	}
	return strings.Join(list, " ")
}

// Parse reads what a person typed. Its errors tell that person what to type;
// an answer that is read may still be wrong.
func (s *Sheet) Parse(typed string) (Answer, error) {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return Answer{}, fmt.Errorf("type %s", s.Hint())
	}
	switch s.Question.Kind {
	case Number:
		v, err := s.parseNumber(typed)
		return Answer{Number: v}, err
	case Spot:
		choice, err := s.parseSteps(typed)
		return Answer{Choice: choice}, err
	}
	if i := slices.IndexFunc(s.Options, func(o string) bool { return strings.EqualFold(o, typed) }); i >= 0 && s.Question.Kind == One {
		return Answer{Choice: []int{i}}, nil
	}
	choice, err := s.parseLetters(typed)
	if err != nil {
		return Answer{}, err
	}
	n := len(s.Options)
	switch s.Question.Kind {
	case One:
		if len(choice) != 1 {
			return Answer{}, errors.New("one option is right here; type one letter")
		}
	case Many:
		choice = byIndex(choice)
	case Order, Match:
		if len(choice) != n || len(byIndex(choice)) != n {
			return Answer{}, fmt.Errorf("type each letter from a to %s once", letter(n-1))
		}
	}
	return Answer{Choice: choice}, nil
}

// parseLetters reads "b", "a c", "ac", "a, c", "1 3", and for Match also
// "1c 2a 3b".
func (s *Sheet) parseLetters(typed string) ([]int, error) {
	var choice []int
	var digits []int // of a Match: the line that the next letter is for
	pairs := map[int]int{}
	for _, r := range strings.ToLower(typed) {
		var i int
		switch {
		case r >= 'a' && r <= 'z':
			i = int(r - 'a')
		case r >= '1' && r <= '9':
			i = int(r - '1')
		case unicode.IsSpace(r) || strings.ContainsRune(",;.-=>:()", r):
			continue
		default:
			return nil, fmt.Errorf("%q is no option; type %s", string(r), s.Hint())
		}
		if i >= len(s.Options) {
			return nil, fmt.Errorf("%q is no option; type %s", string(r), s.Hint())
		}
		if s.Question.Kind == Match && r <= '9' {
			digits = append(digits, i)
			continue
		}
		if len(digits) > 0 {
			pairs[digits[len(digits)-1]] = i
		}
		choice = append(choice, i)
	}
	switch {
	case len(digits) == 0:
		return choice, nil
	case len(choice) == 0: // a Match answered by digits alone
		return digits, nil
	case len(pairs) != len(s.Options) || len(digits) != len(choice):
		return nil, fmt.Errorf("give each line one letter; type %s", s.Hint())
	}
	for i := range choice {
		choice[i] = pairs[i]
	}
	return choice, nil
}

// parseSteps reads labels of steps: "2, 4", "7.2", "retreat 1".
func (s *Sheet) parseSteps(typed string) ([]int, error) {
	words := strings.FieldsFunc(typed, func(r rune) bool { return unicode.IsSpace(r) || r == ',' || r == ';' })
	var choice []int
	for len(words) > 0 {
		// The name of a routine and the number after it are one label.
		used := min(2, len(words))
		i := slices.Index(s.Options, strings.Join(words[:used], " "))
		if i < 0 || used == 1 {
			used = 1
			i = slices.Index(s.Options, words[0])
		}
		if i < 0 {
			return nil, fmt.Errorf("there is no step %q; type %s", words[0], s.Hint())
		}
		choice = append(choice, i)
		words = words[used:]
	}
	if len(choice) == 0 {
		return nil, fmt.Errorf("type %s", s.Hint())
	}
	return byIndex(choice), nil
}

// units are the units that an answer may be typed in, with the factor to the
// unit that it is wanted in.
var units = []struct {
	want, typed string
	factor      float64
}{
	{"mm", "cm", 10}, {"mm", "m", 1000}, {"mm", "millimetres", 1}, {"mm", "millimeters", 1},
	{"mm/s", "m/s", 1000}, {"mm/s", "cm/s", 10}, {"mm/s", "mm/sec", 1},
	{"mm/s2", "m/s2", 1000}, {"mm/s2", "m/s^2", 1000}, {"mm/s2", "mm/s^2", 1}, {"mm/s2", "mm/s²", 1}, {"mm/s2", "m/s²", 1000},
	{"s", "ms", 0.001}, {"s", "min", 60}, {"s", "sec", 1}, {"s", "seconds", 1},
	{"deg", "°", 1}, {"deg", "degrees", 1}, {"deg/s", "°/s", 1},
	{"kg", "g", 0.001}, {"N", "kN", 1000}, {"%", "percent", 1}, {"%", "per cent", 1},
	{"in", "inch", 1}, {"in", "inches", 1}, {"in", "\"", 1},
}

// parseNumber reads a number with or without its unit, with a decimal point or
// a decimal comma.
func (s *Sheet) parseNumber(typed string) (float64, error) {
	typed = strings.ReplaceAll(typed, "−", "-") // the typographic minus sign
	end := strings.IndexFunc(typed, func(r rune) bool { return !strings.ContainsRune("0123456789+-.,", r) })
	if end < 0 {
		end = len(typed)
	}
	number, unit := typed[:end], strings.TrimSpace(typed[end:])
	if whole, fraction, comma := strings.Cut(number, ","); comma {
		// 1,880 may be a thousand and more, or nearly two: better ask than guess.
		if len(fraction) == 3 && strings.TrimLeft(whole, "+-0") != "" && !strings.Contains(number, ".") {
			return 0, fmt.Errorf("%s can be read in two ways; type %s or %s.%s", number, whole+fraction, whole, fraction)
		}
		number = whole + "." + fraction
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is not a number; type %s", typed, s.Hint())
	}
	want := s.Question.Unit
	if unit == "" || strings.EqualFold(unit, want) {
		return v, nil
	}
	for _, u := range units {
		if u.want == want && u.typed == unit {
			return v * u.factor, nil
		}
	}
	if want == "" {
		return 0, errors.New("the answer is a bare number, without a unit")
	}
	return 0, fmt.Errorf("the answer is wanted in %s, not in %q", want, unit)
}
