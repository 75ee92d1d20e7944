// Package cell reads a cell: the arm, its tools, frames, solids, zones, parts,
// signals and events, all placed in one world frame.
//
// [Decode] reads the cell of a lesson, [Read] one in a file of its own. A cell
// may build on another one (use), change and leave out (without) things of it,
// and name an arm file; such files are looked up in [Options.FS], and nothing
// outside it is read. It plans no motion and measures no distance.
//
// Lengths are mm, angles rad, speeds mm/s, masses kg. A cell is complete when it
// is returned, is not written to any more, and is safe to share. Reading is
// deterministic and bounded by the Max constants.
//
// # The file
//
//	posework: cell/1               # may be left out
//	cell:
//	  use: FILE                    # the keys below then change the cell of that file:
//	  without: [NAME, ...]         #   things of the same name are replaced
//	  arm: hazel                   # or FILE.yaml, FILE.urdf, {file: FILE.urdf, tip: LINK}
//	  mount: {xyz: [...], rpy: [...]}   # base frame in the world; the world itself
//	  floor: -300                  # height of the floor, mm; or none
//	  motion: {law: trapezoid, tool-acceleration: 2500 mm/s2, ramp-time: 0.05 s}
//	  tools: {NAME: {tcp: {xyz, rpy}, mass: 0.4 kg, solids: [SOLID, ...]}}
//	  frames: {NAME: {xyz, rpy, frame}}
//	  solids: [SOLID, ...]
//	  zones: [SOLID with rule: keep-out, or rule: at-most 250 mm/s]
//	  parts: [SOLID with mass: 0.6 kg]
//	  signals: {NAME: output, NAME: input, NAME: input on}
//	  events: [{when: {SIGNAL: on, near: PART}, then: {SIGNAL: on, hold: PART, release: PART}, after: 0.15 s}]
//
// A SOLID has a name, one shape, and a place:
//
//	{name: NAME, box: [x, y, z], xyz: [...], rpy: [...], frame: NAME}
//	cylinder: {radius: 40, height: 900}          # about z, centred
//	capsule: {radius: 20, from: [...], to: [...]} # needs no xyz
//	sphere: {radius: 30}
//	half-space: on                                # all below its xy plane
//
// Places without a frame are in the world; frame may be world, base or a frame of
// the cell, and frames may be written in each other. The solids of a tool are in
// the flange frame.
package cell
