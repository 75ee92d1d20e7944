package lessons

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"posework/engine/cell"
	"posework/engine/diag"
)

// named reports numbers in the words of a lesson that are those of the cell as
// written, and other ones for each learner: "x 520" of a chute whose x varies. It
// knows them by how people write places; a number by itself may mean anything.
func (c *checker) named(lesson, variant *Lesson) {
	tell := func(pos diag.Pos, text string) {
		for _, was := range variant.Cell.Replaced {
			if says := saysValue(text, was); says != "" {
				c.add(pos, "T145", "write the place in the frame that moves, or say it without a number", "the text says %q, which is %s.%s of the cell as written; each learner has another one", says, was.Name, was.Key)
			}
		}
	}
	for i, line := range strings.Split(lesson.Body, "\n") {
		pos := lesson.BodyPos
		pos.Line += i
		tell(pos, line)
	}
	for _, list := range [][]string{{lesson.Task.Goal}, lesson.Hints, lesson.Objectives, lesson.Cautions} {
		for _, text := range list {
			tell(lesson.Pos, text)
		}
	}
}

const decimal = `(-?\d+(?:\.\d+)?)`

var (
	coordinate = regexp.MustCompile(`(?i)\b([xyz])\s*[:=]?\s*` + decimal + `\b`)
	triple     = regexp.MustCompile(`\[\s*` + decimal + `\s*,\s*` + decimal + `\s*,\s*` + decimal + `\s*\]`)
	degrees    = regexp.MustCompile(decimal + `\s*deg(?:rees?)?\b`)
)

// saysValue returns the part of a text that says a value of a coordinate, ""
// when none does. 0 is not looked for: it stands everywhere.
func saysValue(text string, was cell.Change) string {
	is := func(number string) bool {
		v, err := strconv.ParseFloat(number, 64)
		const same = 1e-6
		return err == nil && v != 0 && math.Abs(v-was.Value) < same
	}
	if len(was.Key) > 1 {
		for _, m := range degrees.FindAllStringSubmatch(text, -1) {
			if is(m[1]) {
				return m[0]
			}
		}
		return ""
	}
	for _, m := range coordinate.FindAllStringSubmatch(text, -1) {
		if strings.EqualFold(m[1], was.Key) && is(m[2]) {
			return m[0]
		}
	}
	for _, m := range triple.FindAllStringSubmatch(text, -1) {
		if is(m[1+strings.Index("xyz", was.Key)]) {
			return m[0]
		}
	}
	return ""
}
