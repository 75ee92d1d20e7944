package motion

import "posework/engine/diag"

// Codes holds the kinds of diagnostic that this package raises, by ID.
var Codes = []diag.Code{
	{
		ID: "M001", Title: "no such tool",
		Meaning: "The program names a tool that neither the cell has nor the program teaches. Its centre point decides where every pose puts the arm.",
		Bad:     "tool: cupp", Good: "tool: cup",
	},
	{
		ID: "M002", Title: "no such frame",
		Meaning: "A pose or shift is written in a frame that neither the cell has nor the program teaches. The frames base (the arm's foot) and world are always there.",
		Bad:     "over: {xyz: [120, 80, 90], rpy: [180, 0, 0], frame: rak}", Good: "over: {xyz: [120, 80, 90], rpy: [180, 0, 0], frame: rack}",
	},
	{
		ID: "M003", Title: "no such signal",
		Meaning: "A step sets or awaits a signal that the cell does not have.",
		Bad:     "- {set: {vacum: on}}", Good: "- {set: {vacuum: on}}",
	},
	{
		ID: "M004", Title: "an input can't be set",
		Meaning: "Inputs are what the cell tells the program; only outputs are set by it. To act on an input, wait for it.",
		Bad:     "- {set: {part-held: on}}", Good: "- {wait: {part-held: on, at-most: 2 s}}",
	},
	{
		ID: "M005", Title: "pose out of reach",
		Meaning: "No position of the axes, whatever their limits, puts the tool at the pose. The text says how far it lies beyond the reach.",
		Bad:     "over: {xyz: [2400, 0, 300], rpy: [180, 0, 0]}", Good: "over: {xyz: [640, 0, 300], rpy: [180, 0, 0]}",
	},
	{
		ID: "M006", Title: "configuration does not exist",
		Meaning: "The pose can be reached, but not in the configuration that is written with it.",
		Bad:     "grip: {xyz: [...], rpy: [...], config: [back, down, plain]}", Good: "grip: {xyz: [...], rpy: [...], config: [front, up, plain]}",
	},
	{
		ID: "M007", Title: "no arc through these poses",
		Meaning: "Three different points that are not on one line fix a circle; the arc runs from the pose before the step through the middle pose to its end.",
		Bad:     "- {to: a, through: a, path: arc, speed: 100 mm/s, end: stop}", Good: "- {to: rim-b, through: rim-a, path: arc, speed: 100 mm/s, end: stop}",
	},
	{
		ID: "M008", Title: "taught frame is not determined",
		Meaning: "A frame is taught by its origin, a point along +X and a third point on the +Y side. Points that lie close together or nearly on one line would turn it by a small slip of the hand.",
		Bad:     "three poses along one edge", Good: "two poses along one edge, the third well to the side",
	},
	{
		ID: "M009", Title: "taught tool is not determined",
		Meaning: "A tool centre point is taught by touching one fixed point in four or more clearly different orientations. Touches that are too alike leave it open.",
		Bad:     "four touches with the same orientation", Good: "four touches, turned by 45 degrees or more from each other",
	},
	{
		ID: "M010", Title: "frame depends on itself",
		Meaning: "A frame that is taught by poses written in that frame, directly or by way of another, has no place.",
		Bad:     "r0: {xyz: [0, 0, 0], rpy: [0, 0, 0], frame: rack} as the origin of rack", Good: "r0: {axes: [...]}",
	},
	{
		ID: "M011", Title: "too many steps",
		Meaning: "Repeats and calls may unroll to at most 10,000 steps.",
		Bad:     "- {repeat: 100000, steps: [...]}", Good: "- {repeat: 100, steps: [...]}",
	},
	{
		ID: "M012", Title: "cell without a usable arm or limits",
		Meaning: "Planning needs an arm with a rated speed and acceleration for every axis and limits in order.",
		Bad:     "speed: 0 deg/s", Good: "speed: 200 deg/s",
	},
	{
		ID: "M013", Title: "too much to work out",
		Meaning: "The work on one program is bounded, so that no program keeps a class waiting. A long one full of fly-bys may pass the bound, and one that creeps along a part for hours.",
		Bad:     "- {repeat: 1000, steps: [ten fly-bys]}", Good: "- {repeat: 10, steps: [ten fly-bys]}",
	},
}
