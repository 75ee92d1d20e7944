// Package report says what the grader found: as text for a terminal and as JSON
// for other programs.
//
// It judges nothing; package grader does. Text fits 80 columns, uses no colour
// and no terminal control, and says everything by words. [Text] and [JSON] are
// the ways in; the smaller pieces ([Number], [Place], [Span]) serve screens that
// lay the same facts out in another way. The same mark gives the same bytes.
package report
