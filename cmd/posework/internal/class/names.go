package class

import (
	"slices"
	"strings"
	"unicode"

	"posework/grader/records"
)

// Names knows the learners of a roster by the names of their files: jo_fenwick is
// Jo Fenwick. Differences of case, spaces and punctuation do not count.
type Names struct {
	people []records.Person
	byName map[string]int // folded name -> index into people
	byKey  map[string]int // key -> the same, -1 for the key of several
	seen   map[string]bool
	others map[string]string // folded name -> spelling met first, of people on no roster
}

// NewNames returns the names of a roster, which may be empty.
func NewNames(people []records.Person) *Names {
	n := &Names{people: people, byName: map[string]int{}, byKey: map[string]int{}, seen: map[string]bool{}, others: map[string]string{}}
	for i, p := range people {
		n.byName[records.Fold(p.Name)] = i
		k := key(p.Name)
		if _, twice := n.byKey[k]; twice {
			n.byKey[k] = -1
		} else {
			n.byKey[k] = i
		}
	}
	return n
}

// key is what two spellings of one name have in common: letters and digits,
// words apart.
func key(name string) string {
	words := strings.FieldsFunc(records.Fold(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) })
	return strings.Join(words, " ")
}

// Of returns the learner's name as the roster spells it, or as it was met first
// when nobody on the roster, or more than one, is called that.
func (n *Names) Of(name string) string {
	clean, err := records.Name(name)
	if err != nil {
		return name
	}
	i, ok := n.byName[records.Fold(clean)]
	if !ok {
		i, ok = n.byKey[key(clean)]
	}
	if ok && i >= 0 {
		n.seen[n.people[i].Name] = true
		return n.people[i].Name
	}
	if first, ok := n.others[records.Fold(clean)]; ok {
		return first
	}
	n.others[records.Fold(clean)] = clean
	return clean
}

// Person returns what the roster says of a learner, as [Names.Of] names them.
func (n *Names) Person(learner string) (records.Person, bool) {
	if i, ok := n.byName[records.Fold(learner)]; ok && n.people[i].Name == learner {
		return n.people[i], true
	}
	return records.Person{}, false
}

// Known reports whether a learner, as [Names.Of] names them, is on the roster.
func (n *Names) Known(learner string) bool {
	_, ok := n.Person(learner)
	return ok
}

// Any reports whether there is a roster.
func (n *Names) Any() bool { return len(n.people) > 0 }

// Absent lists the learners of the roster who were not asked for, by name.
// Instructors are not expected to hand anything in.
func (n *Names) Absent() []records.Person {
	var list []records.Person
	for _, p := range n.people {
		if !n.seen[p.Name] && p.Role != records.Instructor {
			list = append(list, p)
		}
	}
	slices.SortFunc(list, func(a, b records.Person) int { return strings.Compare(records.Fold(a.Name), records.Fold(b.Name)) })
	return list
}
