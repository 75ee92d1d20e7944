package page

import (
	"cmp"
	"fmt"

	"posework/engine/diag"
	"posework/grader"
	"posework/grader/report"
)

// finding is one finding with its facts in words.
type finding struct {
	index              int    // in the mark
	ID, Letter         string // the letter marks it in the pictures; "" beyond the last
	Severity           string
	Code, Title        string
	Step, InFile, Text string
	When               string
	Measured, Limit    string
	Place, Subject     string
	Why, Try           string
	As, AsID           string   // the letter and id of an earlier finding with the same reasons, instead of them
	Again              []string // when the same was found again: "step 2.2 (round 3), at 4.20 s: 316 mm/s"
	More               int      // times beyond those listed
	At                 string   // s: its moment in the replay; "" where it has none
}

// folded says for each finding which one of them stands for it: itself, or the
// first of the same code at the same place of the file about the same thing, as a
// step that is repeated makes it again and again. rank counts those that stand for
// themselves, from 0.
func folded(all []grader.Finding) (by, rank []int) {
	type kind struct {
		code, subject string
		pos           diag.Pos
	}
	first := map[kind]int{}
	by, rank = make([]int, len(all)), make([]int, len(all))
	for i := range all {
		f := &all[i]
		k := kind{f.Code, f.Subject, f.Pos}
		at, ok := first[k]
		if !ok {
			at = i
			rank[i] = len(first)
			first[k] = i
		}
		by[i], rank[i] = at, rank[at]
	}
	return by, rank
}

// findings lists the findings, each kind once.
func (s *section) findings(all []grader.Finding) {
	by, rank := folded(all)
	for i := range all {
		f := &all[i]
		switch {
		case rank[i] >= mostFindings:
			s.More = report.AddFound(s.More, f.Code)
		case by[i] != i:
			s.Findings[rank[i]].again(f)
		default:
			v := s.finding(i, rank[i], f)
			for _, u := range s.Findings {
				if u.Code == v.Code && u.Why == v.Why && u.Try == v.Try && u.Letter != "" {
					v.As, v.AsID, v.Why, v.Try = u.Letter, u.ID, "", ""
					break
				}
			}
			s.Findings = append(s.Findings, v)
		}
	}
}

// again notes that the same was found once more.
func (v *finding) again(f *grader.Finding) {
	if len(v.Again) >= mostAgain {
		v.More++
		return
	}
	words := cmp.Or(f.Step, "the whole program")
	if hasMoment(f) {
		words += ", " + report.Span(f.From, f.To)
	}
	if f.Measured != (grader.Value{}) {
		words += ": " + report.Measured(f.Measured)
	}
	v.Again = append(v.Again, visible(words))
}

func (s *section) finding(i, rank int, f *grader.Finding) finding {
	doc, _ := grader.Lookup(f.Code)
	v := finding{
		index: i, ID: fmt.Sprintf("%s-f%d", s.ID, rank+1), Letter: letter(rank), Severity: report.Severity(f.Severity), Code: f.Code,
		Title: cmp.Or(doc.Title, f.Code), Step: visible(cmp.Or(f.Step, "the whole program")), Text: visible(f.Text),
		Subject: visible(f.Subject), Why: visible(f.Why), Try: visible(f.Try),
	}
	if f.Pos.IsValid() {
		v.InFile = visible(f.Pos.String())
	}
	if hasMoment(f) {
		v.When = report.Span(f.From, f.To)
	}
	if f.Measured != (grader.Value{}) {
		v.Measured = report.Measured(f.Measured)
	}
	if f.Limit != (grader.Value{}) {
		v.Limit = report.Measured(f.Limit)
	}
	if f.HasPlace {
		v.Place = report.Place(f.Place)
	}
	return v
}

// hasMoment reports whether a finding is about a time of the motion.
func hasMoment(f *grader.Finding) bool { return f.To > 0 || f.Step != "" }

// letter marks a finding in the pictures: A to Z, then none.
func letter(rank int) string {
	if rank >= 26 {
		return ""
	}
	return string(rune('A' + rank))
}
