package program

import "posework/engine/diag"

// Codes holds the kinds of diagnostic that this package raises, by ID.
var Codes = []diag.Code{
	{
		ID: "P001", Title: "pose without a place",
		Meaning: "A pose is either six axis values or a place (xyz) with an orientation (rpy) in a frame.",
		Bad:     "over: {}", Good: "over: {xyz: [120, 80, 90], rpy: [180, 0, 0], frame: rack}",
	},
	{
		ID: "P002", Title: "pose given twice",
		Meaning: "Axis values fix the whole pose. A place, frame or configuration beside them could contradict them.",
		Bad:     "home: {axes: [0, -30, 60, 0, 60, 0], xyz: [420, 0, 420]}", Good: "home: {axes: [0, -30, 60, 0, 60, 0]}",
	},
	{
		ID: "P003", Title: "frame name taken",
		Meaning: "The frames base and world exist in every cell and can't be taught.",
		Bad:     "frames: {base: {origin: r0, along-x: r1, in-plane: r2}}", Good: "frames: {rack: {origin: r0, along-x: r1, in-plane: r2}}",
	},
	{
		ID: "P004", Title: "too few touches",
		Meaning: "A tool centre point is found from at least four poses that touch one fixed point with different orientations.",
		Bad:     "tools: {probe: {touches: [t1, t2]}}", Good: "tools: {probe: {touches: [t1, t2, t3, t4]}}",
	},
	{
		ID: "P005", Title: "speed or time out of range",
		Meaning: "Speeds are more than 0, at most 100 % or 5000 mm/s; times are more than 0, at most 3600 s.",
		Bad:     "speed: 0 mm/s", Good: "speed: 80 mm/s",
	},
	{
		ID: noSteps, Title: "no steps",
		Meaning: "A program, routine or repeat needs at least one step.",
		Bad:     "steps: []", Good: "steps: [{to: home, path: joint, speed: 20 %, end: stop}]",
	},
	{
		ID: "P007", Title: "not one thing a step",
		Meaning: "A step does one thing: it moves (to), sets or awaits signals (set, wait), pauses, repeats, calls a routine or changes the tool.",
		Bad:     "- {to: home, path: joint, speed: 20 %, end: stop, pause: 1 s}", Good: "- {to: home, path: joint, speed: 20 %, end: stop}\n- {pause: 1 s}",
	},
	{
		ID: "P008", Title: "through without an arc",
		Meaning: "Only an arc runs through a third pose; on another path it would be passed over.",
		Bad:     "- {to: b, through: a, path: line, speed: 100 mm/s, end: stop}", Good: "- {to: b, through: a, path: arc, speed: 100 mm/s, end: stop}",
	},
	{
		ID: "P009", Title: "speed of the wrong sort",
		Meaning: "On a line or an arc the tool centre point is driven at a set speed, in mm/s. A joint move turns all axes at once; its speed is a share of the rated axis speeds, and how fast the tool gets depends on the poses.",
		Bad:     "- {to: over, path: joint, speed: 250 mm/s, end: stop}", Good: "- {to: over, path: joint, speed: 20 %, end: stop}",
	},
	{
		ID: "P010", Title: "end of a move",
		Meaning: "A move ends at a stop-point (stop), or passes its pose with a stated deviation of more than 0, at most 1000 mm (fly-by 20 mm).",
		Bad:     "end: fly-by", Good: "end: fly-by 20 mm",
	},
	{
		ID: "P011", Title: "signals of a step",
		Meaning: "A set names one or more signals, a wait exactly one, each with on or off.",
		Bad:     "- {wait: {at-most: 2 s}}", Good: "- {wait: {part-held: on, at-most: 2 s}}",
	},
	{
		ID: "P012", Title: "one pose in two places",
		Meaning: "Three different poses make an arc or a frame; with one of them twice neither is defined.",
		Bad:     "- {to: a, through: a, path: arc, speed: 100 mm/s, end: stop}", Good: "- {to: b, through: a, path: arc, speed: 100 mm/s, end: stop}",
	},
	{
		ID: "P013", Title: "unknown name",
		Meaning: "A step, frame or tool names a pose or routine that the program does not have.",
		Bad:     "- {call: retraet}", Good: "- {call: retreat}",
	},
	{
		ID: "P014", Title: "defined by itself",
		Meaning: "A routine that calls itself never ends; a frame taught by poses in that same frame has no place.",
		Bad:     "routines: {retreat: [{call: retreat}]}", Good: "routines: {retreat: [{to: home, path: joint, speed: 20 %, end: stop}]}",
	},
	{
		ID: "P015", Title: "too many steps",
		Meaning: "With repeats and calls written out a program may run at most 10,000 steps.",
		Bad:     "- {repeat: 1000, steps: [{repeat: 1000, steps: [...]}]}", Good: "- {repeat: 24, steps: [...]}",
	},
}
