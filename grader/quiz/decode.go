package quiz

import (
	"regexp"
	"slices"
	"strings"

	"posework/engine/diag"
	"posework/engine/source"
	"posework/grader/formula"
)

// Decode reads a list of questions. What is wrong with them is reported at its
// place; the result is sound only when nothing was. A nil node gives none.
func Decode(n *source.Node) []Question {
	var qs []Question
	first := map[string]diag.Pos{}
	items := n.List()
	n.Check(len(items) <= MostQuestions, "Q015", "make several decks of it", "there are %d questions, but at most %d are read", len(items), MostQuestions)
	for _, item := range items[:min(len(items), MostQuestions)] {
		q := decode(item)
		if pos, twice := first[q.ID]; twice && q.ID != "" {
			item.Map().Get("id").Errorf("Q001", "give each question its own id", "the id %q is already that of the question in line %d", q.ID, pos.Line)
		}
		first[q.ID] = q.Pos
		qs = append(qs, q)
	}
	return qs
}

func decode(n *source.Node) Question {
	m := n.Map()
	q := Question{Pos: n.Pos()}
	q.ID = m.Need("id").Name()
	kind := m.Need("kind").OneOf(kinds...)
	q.Ask = text(m.Need("ask"))
	q.Because = text(m.Need("because"))
	q.Source = text(m.Need("source"))
	q.Skill = text(m.Need("skill"))
	if kind < 0 {
		return q // which other keys belong here can't be said
	}
	q.Kind = Kind(kind)
	switch q.Kind {
	case One, Many:
		q.decodeChoice(m)
	case Order:
		q.decodeOrder(m)
	case Match:
		q.decodeMatch(m)
	case Number:
		q.decodeNumber(m)
	case Spot:
		q.decodeSpot(m)
	}
	m.Close()
	return q
}

// text returns a text that is not blank.
func text(n *source.Node) string {
	s := strings.TrimSpace(n.Str())
	n.Check(s != "" || !n.OK(), "Q002", "write a sentence", "%s is empty", n.Label())
	return s
}

// texts returns a list of different texts, or a single text as a list of one.
func texts(n *source.Node) []string {
	if n.Kind() == source.Scalar {
		return []string{text(n)}
	}
	var list []string
	for _, item := range n.List() {
		s := text(item)
		item.Check(s == "" || !slices.Contains(list, s), "Q003", "make every option different", "%q stands here twice", s)
		list = append(list, s)
	}
	return list
}

func (q *Question) decodeChoice(m *source.Map) {
	right, wrong := m.Need("right"), m.Need("wrong")
	q.Right, q.Wrong = texts(right), texts(wrong)
	if q.Kind == One {
		right.Check(!right.OK() || len(q.Right) == 1, "Q004", "move the others to \"wrong\", or make it kind: many", "a question of kind one has one right option, not %d", len(q.Right))
	}
	right.Check(len(q.Right) > 0, "Q004", "write the right options", "no option is right")
	wrong.Check(len(q.Wrong) > 0, "Q004", "write options that are wrong but tempting", "no option is wrong")
	count := len(q.Right) + len(q.Wrong)
	wrong.Check(count <= MostOptions, "Q005", "drop some", "the question has %d options; at most %d can be chosen from", count, MostOptions)
	for _, w := range q.Wrong {
		wrong.Check(!slices.Contains(q.Right, w), "Q003", "make every option different", "%q is both right and wrong", w)
	}
}

func (q *Question) decodeOrder(m *source.Map) {
	right := m.Need("right")
	q.Right = texts(right)
	right.Check(len(q.Right) >= 2 && len(q.Right) <= MostOptions, "Q005", "write the items in their right order",
		"there are %d items to put in order; 2 to %d can be", len(q.Right), MostOptions)
}

func (q *Question) decodeMatch(m *source.Map) {
	pairs := m.Need("pairs")
	var lefts []string
	for _, item := range pairs.List() {
		var p Pair
		if sides := item.Count(2); sides != nil {
			p = Pair{text(sides[0]), text(sides[1])}
		}
		item.Check(p.Left == "" || !slices.Contains(lefts, p.Left), "Q003", "make every left side different", "%q stands on the left twice", p.Left)
		lefts = append(lefts, p.Left)
		q.Pairs = append(q.Pairs, p)
	}
	pairs.Check(len(q.Pairs) >= 2 && len(q.Pairs) <= MostOptions, "Q005", "write each pair as [left, right]",
		"there are %d pairs; 2 to %d can be matched", len(q.Pairs), MostOptions)
}

func (q *Question) decodeNumber(m *source.Map) {
	tolerance, unit := m.Need("tolerance"), m.Get("unit")
	q.Tolerance = tolerance.Num()
	q.Unit = text(unit)
	tolerance.Check(q.Tolerance >= 0, "Q007", "write 0 or more", "tolerance is %g, but must not be negative", q.Tolerance)
	if !m.Has("formula") {
		answer := m.Need("answer")
		q.Value = answer.Num()
		q.checkPlaceholders(m)
		return
	}
	name, with, vary := m.Get("formula"), m.Get("with"), m.Get("vary")
	f, ok := formula.Find(name.Str())
	if !ok {
		var names []string
		for _, f := range formula.All() {
			names = append(names, f.Name)
		}
		name.OneOf(names...)
		return
	}
	q.Formula = &f
	unitAt := unit
	if unit == nil {
		unitAt = name
	}
	unitAt.Check(q.Unit == f.Unit, "Q008", "write the formula's unit, or none where it has none",
		"the unit is %q, but %s gives %q", q.Unit, f.Name, f.Unit)
	q.decodeInputs(name, with, vary)
	q.checkPlaceholders(m)
}

// decodeInputs reads where each input of the formula comes from.
func (q *Question) decodeInputs(name, with, vary *source.Node) {
	given, drawn := with.Map(), vary.Map()
	for i := range q.Formula.Inputs {
		want := &q.Formula.Inputs[i]
		fixed, ranged := given.Get(want.Name), drawn.Get(want.Name)
		in := Input{Name: want.Name}
		switch {
		case fixed != nil && ranged != nil:
			ranged.Errorf("Q009", "take it out of one of them", "%s is given in \"with\" and drawn in \"vary\"", want.Name)
		case fixed != nil:
			in.From = fixed.Num()
			in.To = in.From
		case ranged != nil:
			v := ranged.Nums(3)
			in.From, in.To, in.Step = v[0], v[1], v[2]
			ranged.Check(!ranged.OK() || in.From < in.To && in.Step > 0 && in.Step <= in.To-in.From, "Q010", "write [least, greatest, step]",
				"%s is drawn from %g to %g by steps of %g, which gives nothing to draw from", want.Name, in.From, in.To, in.Step)
		default:
			name.Errorf("Q009", "add it to \"with\" or to \"vary\"", "%s needs %s (%s)", q.Formula.Name, want.Name, want.Title)
			return
		}
		for _, at := range []*source.Node{fixed, ranged} {
			for _, v := range []float64{in.From, in.To} {
				if err := want.Check(v); err != nil {
					at.Errorf("Q011", "keep within those bounds", "%v", err)
				}
			}
		}
		q.Inputs = append(q.Inputs, in)
	}
	given.Close()
	drawn.Close()
}

var placeholder = regexp.MustCompile(`\{([^{}]*)\}`)

// checkPlaceholders reports a {name} that nothing fills in, and a drawn input
// that the person is never told.
func (q *Question) checkPlaceholders(m *source.Map) {
	known := []string{}
	for _, in := range q.Inputs {
		known = append(known, in.Name)
	}
	for _, key := range []string{"ask", "because"} {
		n := m.Get(key)
		for _, match := range placeholder.FindAllStringSubmatch(n.Str(), -1) {
			if match[1] == "answer" && key == "because" {
				continue
			}
			n.Check(slices.Contains(known, match[1]), "Q012", "name an input of the formula", "nothing fills in %s", match[0])
		}
	}
	for _, in := range q.Inputs {
		if in.Step > 0 {
			m.Get("ask").Check(strings.Contains(q.Ask, "{"+in.Name+"}"), "Q012", "write {"+in.Name+"} where its value belongs",
				"%s is drawn for each person, but the question never tells it", in.Name)
		}
	}
}

func (q *Question) decodeSpot(m *source.Map) {
	program, checks := m.Need("program"), m.Get("checks")
	q.Program = program.Str()
	q.ProgramPos = program.Pos()
	program.Check(strings.TrimSpace(q.Program) != "" || !program.OK(), "Q002", "write a program below \"program: |\"", "the program is empty")
	q.Checks = texts(checks)
}
