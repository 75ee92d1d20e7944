package lessons

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math/bits"
	"strings"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/grader"
)

// Own is one number of a learner's own cell.
type Own struct {
	Key   string  // "rack.y": a frame, solid, part or zone, and its coordinate
	Value float64 // in the frame that the thing is written in
	Unit  string  // mm or deg
}

// String returns "rack.y = -143 mm".
func (o Own) String() string { return fmt.Sprintf("%s = %g %s", o.Key, o.Value, o.Unit) }

// Seed is what a learner's own numbers of a lesson are drawn from. It is never 0
// and depends on the two names alone; differences of case and of spaces in the
// learner's name do not count, as they do not in the records.
//
// It is the first 64 bits of the SHA-256 of both names. SHA-256 is fixed by a
// standard (FIPS 180-4), so that every machine and every later version of
// posework gives a learner the same cell; the generators of math/rand promise
// that only for themselves, and hash/maphash for one run alone.
func Seed(lessonID, learner string) uint64 {
	learner = cases.Fold().String(norm.NFC.String(strings.Join(strings.Fields(learner), " ")))
	return max(1, digest("variant", lessonID, learner))
}

// draw is the number that a seed gives for a key, evenly spread over 0 to n-1.
// Each key is drawn by itself: a range added to a lesson leaves the others as
// they were.
func draw(seed uint64, key string, n int) int {
	// The high word of the product scales without a bias that matters: n is small.
	hi, _ := bits.Mul64(digest("draw", fmt.Sprint(seed), key), uint64(n))
	return int(hi)
}

// digest is the first 64 bits of the SHA-256 of texts, none of which holds a NUL.
func digest(texts ...string) uint64 {
	sum := sha256.Sum256([]byte(strings.Join(texts, "\x00")))
	return binary.BigEndian.Uint64(sum[:8])
}

// For returns the lesson with the learner's own cell: each number that its task
// varies is drawn from the lesson's id and the learner's name, and cell, task and
// checks refer to the changed cell. The same learner gets the same cell on every
// machine. For "" and for a lesson that varies nothing it is the lesson as
// written.
func (lesson *Lesson) For(learner string) *Lesson {
	if strings.TrimSpace(learner) == "" {
		return lesson.Variant(0)
	}
	return lesson.Variant(Seed(lesson.ID, learner))
}

// Variant returns the lesson with the numbers that a seed gives, such as the one
// kept with an attempt; for 0 it is the lesson as written. So it is when the cell
// can't be built with these numbers, which [Check] reports to the author.
func (lesson *Lesson) Variant(seed uint64) *Lesson {
	w := lesson.asWritten()
	if seed == 0 || w.Task == nil || len(w.Task.Vary) == 0 {
		return w
	}
	variant, _ := w.with(w.drawn(seed))
	if variant == nil {
		return w
	}
	variant.Seed = seed
	return variant
}

// drawn returns the numbers that a seed gives.
func (lesson *Lesson) drawn(seed uint64) []Own {
	own := make([]Own, len(lesson.Task.Vary))
	for i := range lesson.Task.Vary {
		v := &lesson.Task.Vary[i]
		own[i] = ownValue(v, draw(seed, v.Key, v.Values()))
	}
	return own
}

func (lesson *Lesson) asWritten() *Lesson {
	if lesson.written != nil {
		return lesson.written
	}
	return lesson
}

// plan is what a lesson's cell and task are made from, again and again.
type plan struct {
	cell, task *source.Node // not read; copies of them are
	options    cell.Options
}

// with returns the lesson as written with own numbers, or what is wrong with
// them.
func (lesson *Lesson) with(own []Own) (*Lesson, diag.List) {
	var l diag.List
	p := lesson.plan
	o := p.options
	for i := range own {
		o.Changes = append(o.Changes, lesson.Task.Vary[i].Change(own[i].Value))
	}
	if len(own) > 0 {
		o.ID += " where " + owns(own)
	}
	v := *lesson
	v.written, v.Own = lesson, own
	v.Cell, v.Task = cellAndTask(p.cell.Copy(&l), p.task.Copy(&l), o)
	if len(l) > 0 {
		return nil, l
	}
	return &v, nil
}

// ownValue is the value number k of a range.
func ownValue(v *grader.Variation, k int) Own { return Own{v.Key, v.Value(k), v.Unit()} }

// checkRanges reports ranges whose least or greatest value can't be in the
// lesson's cell, such as those of things that it does not have.
func (lesson *Lesson) checkRanges(l *diag.List) {
	if lesson.Task == nil || len(lesson.Task.Vary) == 0 {
		return
	}
	least, greatest := make([]Own, len(lesson.Task.Vary)), make([]Own, len(lesson.Task.Vary))
	for i := range lesson.Task.Vary {
		v := &lesson.Task.Vary[i]
		least[i], greatest[i] = ownValue(v, 0), ownValue(v, v.Values()-1)
	}
	for _, own := range [][]Own{least, greatest} {
		if _, wrong := lesson.with(own); len(wrong) > 0 {
			*l = append(*l, wrong...)
			return
		}
	}
}
