// Package grader judges a planned motion: it runs the checks of a task over
// what the arm really does and gives findings and a mark.
//
// It does not read lessons, does not print and keeps no records. It examines
// motions through engine/sweep, so that a verdict on a continuous quantity
// rests on an interval that provably holds the true extreme: there are no gaps
// between samples for a thin post or a brief speed peak to hide in.
//
// [Grade] is the entry point. A task is decoded from a lesson by [DecodeTask].
//
// # Checks
//
// A check is one row of a table ([Kinds]) and one file: its thresholds, how
// they are read, and what it looks for. To add one, write its file, add its row
// and its finding codes, and the safe and the unsafe program that show it.
//
// # Verdicts
//
// Limits are inclusive: a motion exactly at a limit keeps it. If the limit lies
// inside the measured interval, the check holds and the result tells how close
// it was. An examination that could not finish never holds.
//
// A check that holds earns its points, one that does not earns none; the mark
// is what was earned of 100. A missed check with must (the default for safety
// checks), or any finding of severity [Stop], fails the attempt whatever the
// points. What of a program was not reached because the motion had to stop is
// not examined, and such an attempt never passes.
//
// Same program, same task: same mark, bit for bit. Lengths in results are mm
// in the base frame, angles degrees, times seconds.
package grader
