// Package class grades the programs of a whole class and makes a mark sheet of
// them, and tells what changed when recorded attempts are graded again.
//
// [Open] finds the programs below a folder and whose they are; [Names] knows the
// learners of a roster by the names of their files. A [Sheet] collects the
// results, in the order of the learners, and says how the class did. [Compare]
// tells an attempt's old mark from its new one.
//
// Nothing below the folder stops the rest: what can't be graded is in the sheet
// with the reason. Nothing outside the folder is read, links included. The same
// folder gives the same sheet.
package class
