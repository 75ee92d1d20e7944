package grader

import "posework/engine/diag"

// TaskCodes holds the kinds of diagnostic that reading a task raises, by ID.
var TaskCodes = []diag.Code{
	{
		ID: "T002", Title: "pass mark out of range",
		Meaning: "A mark goes from 0 to 100, and so does what is needed to pass.",
		Bad:     "pass: 120", Good: "pass: 80",
	}, {
		ID: "T003", Title: "negative points",
		Meaning: "A check earns points or none; it never takes any away.",
		Bad:     "- {check: reach, points: -5}", Good: "- {check: reach, points: 5}",
	}, {
		ID: "T004", Title: "range of a variation",
		Meaning: "The range of a variation runs from the smaller to the larger number, in steps above 0 (1 mm or 1 deg when no third number says otherwise), and holds from 2 to 10000 values.",
		Bad:     "vary: {stand.y: [20, -20]}", Good: "vary: {stand.y: [-20, 20]}",
	}, {
		ID: "T005", Title: "negative threshold",
		Meaning: "Distances, angles, speeds and times that a check asks for are 0 or more.",
		Bad:     "- {check: axis-room, least: -5 deg}", Good: "- {check: axis-room, least: 5 deg}",
	}, {
		ID: "T006", Title: "nothing of that kind in the cell",
		Meaning: "A check names a frame, solid, zone, part or signal, and the cell has none of that kind.",
		Bad:     "- {check: speed-near, solid: crate, within: 100 mm, at-most: 250 mm/s}   # a cell without solids",
		Good:    "solids:\n  - {name: crate, box: [300, 200, 150], xyz: [420, 0, 75]}",
	}, {
		ID: "T007", Title: "home pose not named",
		Meaning: "A check of the home pose needs to know it: a pose of the learner's program by name, or axes or a place given by the task.",
		Bad:     "- {check: starts-home}", Good: "- {check: starts-home, pose: home}",
	}, {
		ID: "T008", Title: "range incomplete",
		Meaning: "A range is written as its least and its greatest value.",
		Bad:     "from: 50 mm", Good: "from: [50 mm, 100 mm]",
	}, {
		ID: "T009", Title: "no singularity named",
		Meaning: "The check needs a distance for the wrist, the elbow or the shoulder.",
		Bad:     "- {check: singularity-room}", Good: "- {check: singularity-room, wrist: 10 deg, elbow: 5 deg, shoulder: 80 mm}",
	}, {
		ID: "T010", Title: "too fast for manual mode",
		Meaning: "In manual mode no task may allow more than 250 mm/s (ISO 10218-1, manual reduced speed).",
		Bad:     "mode: manual\nchecks:\n  - {check: top-speed, at-most: 400 mm/s}",
		Good:    "mode: automatic\nchecks:\n  - {check: top-speed, at-most: 400 mm/s}",
	}, {
		ID: "T011", Title: "no zones",
		Meaning: "The check keeps-out needs zones in the cell.",
		Bad:     "- {check: keeps-out}   # a cell without zones",
		Good:    "zones:\n  - {name: walkway, box: [800, 800, 2000], xyz: [-500, 600, 700], rule: keep-out}",
	}, {
		ID: "T012", Title: "figure without a shape",
		Meaning: "A figure is a rectangle, a polyline of at least two points, a circle, or an arc of one: {radius: 40, angle: 90 deg}, from the X axis of its place about Z.",
		Bad:     "figure: {frame: stand}", Good: "figure: {rectangle: [120, 120], frame: stand}",
	}, {
		ID: "T013", Title: "start out of reach",
		Meaning: "The place where the arm stands before the program is one that the arm can't stand at with the configuration [front, up, plain], inside its axis limits.",
		Bad:     "start: {xyz: [0, 0, 3000], rpy: [180, 0, 0], tool: cups}", Good: "start: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: crate, tool: cups}",
	}, {
		ID: "T014", Title: "share out of range",
		Meaning: "A share of the programmed speed is more than 0 % and at most 100 %.",
		Bad:     "first-automatic: 250 %", Good: "first-automatic: 25 %",
	}, {
		ID: "T015", Title: "too many checks",
		Meaning: "A task has at most 100 checks: each examines the whole motion, for every learner.",
		Bad:     "a check for every pair of solids", Good: "{check: clearance, least: 20 mm}",
	}, {
		ID: "T016", Title: "slow stretch off the straight line",
		Meaning: "The stretch next to a work pose that must be slow is part of the straight line that is asked for there: it is longer than nothing, and no longer than the line.",
		Bad:     "- {check: approach, at: {xyz: [0, 0, 30]}, from: [30 mm, 100 mm], slow: 50 mm, at-most: 100 mm/s}",
		Good:    "- {check: approach, at: {xyz: [0, 0, 30]}, from: [50 mm, 100 mm], slow: 50 mm, at-most: 100 mm/s}",
	},
}
