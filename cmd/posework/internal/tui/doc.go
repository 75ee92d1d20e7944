// Package tui is the course in a terminal: screens driven by the keyboard.
//
// It grades nothing and keeps nothing; package seat does. Package plain offers
// the same by prompts, for screen readers and terminals that can't draw.
//
// Each screen is a model of its own in a file of its own: Update is a pure
// function of messages that returns commands for everything that touches a file,
// the records or the clock; View is a pure function of the model, the theme and
// the size. Screens do not know each other. They send messages such as
// [openLesson], and [App] alone decides what that means.
//
// Meaning is always carried by words, never by colour alone; colours are the
// terminal's own sixteen, so that they suit light and dark backgrounds, and none
// is used under NO_COLOR. [Run] is the way in.
package tui
