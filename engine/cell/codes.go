package cell

import "posework/engine/diag"

// Codes holds the kinds of diagnostic that this package raises, by ID.
var Codes = []diag.Code{
	{
		ID: "C001", Title: "file can't be read",
		Meaning: "The cell names a file, a cell to build on or an arm, that is not there or lies outside the course's folder.",
		Bad:     "cell: {use: /etc/soap.yaml}", Good: "cell: {use: ../cells/soap.yaml}",
	},
	{
		ID: "C002", Title: "cells that use each other",
		Meaning: "A cell that uses another one which uses it has no end. At most 8 cells may use each other in a row.",
		Bad:     "soap.yaml: cell: {use: soap.yaml}", Good: "soap.yaml: cell: {arm: hazel, ...}",
	},
	{
		ID: "C003", Title: "nothing to leave out",
		Meaning: "without takes things out of the cell that is used; each must be there.",
		Bad:     "cell: {use: ../cells/soap.yaml, without: [psot]}", Good: "cell: {use: ../cells/soap.yaml, without: [post]}",
	},
	{
		ID: "C004", Title: "name taken",
		Meaning: "Two things of one kind can't have one name; solids and parts count as one kind. A few words are kept: the frames world and base, the bodies arm, tool, floor and part, and the words of events for signals.",
		Bad:     "frames: {base: {xyz: [0, 0, 100]}}", Good: "frames: {table: {xyz: [0, 0, 100]}}",
	},
	{
		ID: "C005", Title: "cell too large",
		Meaning: "A cell has at most 500 solids, zones, parts and solids of tools in all, and each of its sections at most 500 entries.",
		Bad:     "600 solids", Good: "a box where a wall of 600 bricks stood",
	},
	{
		ID: "C006", Title: "quantity out of range",
		Meaning: "A speed, acceleration, time or mass is not positive, or beyond anything that a cell holds.",
		Bad:     "mass: 0 kg", Good: "mass: 0.6 kg",
	},
	{
		ID: "C008", Title: "rule of a zone",
		Meaning: "A zone keeps the arm out (keep-out), or sets a limit to the speed inside it (at-most with mm/s).",
		Bad:     "rule: slow", Good: "rule: at-most 250 mm/s",
	},
	{
		ID: "C009", Title: "unknown name",
		Meaning: "The cell names a frame, part or signal that it does not have.",
		Bad:     "frame: rakc", Good: "frame: rack",
	},
	{
		ID: "C010", Title: "change of nothing",
		Meaning: "A variant changes a coordinate (x, y, z, roll, pitch or yaw) of a frame, solid, part or zone of the cell; this one is not there.",
		Bad:     "vary: {rakc.y: [-180, -120]}", Good: "vary: {rack.y: [-180, -120]}",
	},
	{
		ID: "C011", Title: "frames in each other",
		Meaning: "A frame is written in another one, which is written in the first: neither has a place.",
		Bad:     "frames: {a: {xyz: [0, 0, 0], frame: b}, b: {xyz: [0, 0, 0], frame: a}}", Good: "frames: {a: {xyz: [0, 0, 0]}, b: {xyz: [0, 0, 0], frame: a}}",
	},
	{
		ID: "C013", Title: "event that can't be",
		Meaning: "An event has a condition and an effect, sets inputs only, and takes a part only where the tool is near it.",
		Bad:     "{when: {vacuum: on}, then: {hold: tile-1}}", Good: "{when: {vacuum: on, near: tile-1}, then: {part-held: on, hold: tile-1}, after: 0.15 s}",
	},
	{
		ID: "C014", Title: "unknown arm",
		Meaning: "The arm is a built-in one (hazel, aspen, rowan, alder), or a .yaml or .urdf file beside the lesson.",
		Bad:     "arm: hazle", Good: "arm: hazel",
	},
}
