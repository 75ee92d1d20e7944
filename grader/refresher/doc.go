// Package refresher chooses what a person is asked before a shift, and says who
// is due. It knows questions only by their ids; package quiz asks and marks them,
// package records keeps the answers and sign-offs.
//
// [Recall] turns the answers a person gave into a [Memory] a question, by the
// published schedule SM-2. [Pick] takes from these the questions of one refresher:
// five minutes at most, what was missed and what is due first, one spot-the-hazard
// question always among them. [Sitting] leads through it; [Judge] says how a
// person's sign-off stands against its period of validity.
//
// Everything here is a function of its arguments: no clock, no randomness.
package refresher
