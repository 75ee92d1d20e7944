// Package page writes the report of a class, or of one learner, as one HTML
// file that needs nothing else: no network, no font, no script from elsewhere.
//
// It judges nothing; package grader does. What it draws comes from the examined
// motion: the cell from above and from the side, the path with its tool speed,
// quantities over time with their limits, and a replay of the arm.
//
// The file is written in a stream, so that a class of any size fits: [Section]
// writes one learner's part by itself, in any order and on any goroutine, and
// [Class.Write] puts the document around the parts. [Single] writes a document
// about one learner. The same attempts give the same bytes.
//
// Every text that a learner can choose is escaped, and characters that do not
// show (control characters, marks that turn the direction of writing) are
// written out. The document forbids the browser to load or run anything but its
// own style and script, whose digests it names.
//
// Lengths are mm, angles degrees, times seconds. Pictures are in the world frame
// of the cell: seen from above +X points right and +Y up, from the side +X right
// and +Z up.
package page
