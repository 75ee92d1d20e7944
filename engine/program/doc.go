// Package program reads, checks, writes and edits a learner's program: poses,
// then steps.
//
// It checks a program on its own: the words, units and ranges, that poses and
// routines are there, that nothing is defined by itself. What depends on a cell
// (its tools, frames and signals, and whether a pose can be reached) is checked
// by engine/motion. It neither plans nor runs.
//
// [Read] reads a file; [Format] writes a program as a new file; [Open] gives a
// [File] to edit, which keeps comments and layout. A program that was read is
// not written to any more and is safe to share; reading and editing are
// deterministic and bounded by the Max constants, each of which is named in the
// error that it raises. Lengths are mm, angles rad and times s once read.
//
// # The file
//
// A program is a YAML mapping (see package source for what of YAML is read):
//
//	posework: program/1            # needed
//	title: Lift one tile
//	tool: cup                      # of the cell or of tools below; the first tool
//	poses: {NAME: POSE, ...}
//	frames: {NAME: {origin: POSE-NAME, along-x: POSE-NAME, in-plane: POSE-NAME}, ...}
//	tools: {NAME: {touches: [four or more POSE-NAMEs]}, ...}
//	steps: [STEP, ...]             # needed, at least one
//	routines: {NAME: [STEP, ...], ...}
//
// A POSE is {axes: [six values]}, in degrees (mm for a prismatic axis), or
//
//	{xyz: [mm, mm, mm], rpy: [deg, deg, deg], frame: NAME, config: [front, up, plain]}
//
// where rpy are rotations about the fixed x, then y, then z axis of the frame,
// frame is base when it is not there, and config, when it is there, says on which
// side of its alignments the arm stands: shoulder front or back, elbow up or
// down, wrist plain or flipped.
//
// A frame is taught by three poses: its origin, one along its x axis, and one in
// its xy plane on the side of y. A tool centre point is taught by touching one
// fixed point with four or more orientations.
//
// A STEP is one of
//
//	{to: POSE-NAME, path: joint, speed: 20 %, end: stop}
//	{to: POSE-NAME, path: line, speed: 80 mm/s, end: fly-by 20 mm}
//	{to: POSE-NAME, through: POSE-NAME, path: arc, speed: 80 mm/s, end: stop}
//	{set: {SIGNAL: on, SIGNAL: off, ...}}
//	{wait: {SIGNAL: on, at-most: 2 s}}
//	{pause: 0.5 s}
//	{repeat: 4, shift: {frame: NAME, by: [mm, mm, mm]}, steps: [STEP, ...]}
//	{call: ROUTINE-NAME}
//	{tool: TOOL-NAME}
//	{payload: {mass: 2 kg, at: [mm, mm, mm]}}
//
// A joint move has a share of the rated axis speeds, since its tool speed depends
// on the poses; a line or an arc has the speed of the tool centre point. A shift
// moves all poses that are written in its frame by so much more in every round.
// A payload is what hangs on the flange from there on, tool and part together,
// with its centre of gravity in the flange frame; a real control brakes and
// watches by it. The model of this project moves alike with any payload.
package program
