package report

import (
	"cmp"
	"slices"
	"strings"

	"posework/grader"
)

// Found is a kind of finding, by its code, with how often it was made.
type Found struct {
	Code  string `json:"code"`
	Times int    `json:"times"`
}

// AddFound counts a code: once more where the list has it, else at its end.
func AddFound(list []Found, code string) []Found {
	i := slices.IndexFunc(list, func(f Found) bool { return f.Code == code })
	if i < 0 {
		return append(list, Found{code, 1})
	}
	list[i].Times++
	return list
}

// Tally is a kind of finding with how many learners of a class made it, and how
// often.
type Tally struct {
	Code     string
	Doc      grader.CodeDoc
	Learners []int // who made it, as indices into what was counted, rising
	Times    int
}

// Tallies counts what was found with each learner of a class by learners: a
// mistake that one person repeats ten times is one person's mistake. The most
// frequent comes first, and among equally frequent ones the gravest.
func Tallies(class [][]Found) []Tally {
	at := map[string]int{}
	var list []Tally
	for i, found := range class {
		for _, f := range found {
			k, ok := at[f.Code]
			if !ok {
				k = len(list)
				at[f.Code] = k
				doc, _ := grader.Lookup(f.Code)
				list = append(list, Tally{Code: f.Code, Doc: doc})
			}
			list[k].Learners = append(list[k].Learners, i)
			list[k].Times += f.Times
		}
	}
	slices.SortFunc(list, func(a, b Tally) int {
		return cmp.Or(cmp.Compare(len(b.Learners), len(a.Learners)), cmp.Compare(a.Doc.Severity, b.Doc.Severity), strings.Compare(a.Code, b.Code))
	})
	return list
}
