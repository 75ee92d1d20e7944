package armfile

import "posework/engine/diag"

// Codes holds the kinds of diagnostic that this package raises, by ID.
var Codes = []diag.Code{
	{
		ID: "A001", Title: "not six axes",
		Meaning: "Posework moves arms of six axes. An arm with fewer or more can't be read.",
		Bad:     "axes: [{...}, {...}, {...}, {...}]", Good: "axes: [{...}, {...}, {...}, {...}, {...}, {...}]",
	},
	{
		ID: "A002", Title: "limits of an axis",
		Meaning: "The lower limit comes first, and a revolute axis turns by at most two turns to either side.",
		Bad:     "limits: [170, -170]", Good: "limits: [-170, 170]",
	},
	{
		ID: "A003", Title: "speed or acceleration of an axis",
		Meaning: "Every axis has a rated speed and acceleration of more than 0; the time law of a motion comes from them.",
		Bad:     "speed: 0 deg/s", Good: "speed: 200 deg/s",
	},
	{
		ID: "A004", Title: "arm without length",
		Meaning: "All lengths a and d are 0, so the flange never leaves one point.",
		Bad:     "{a: 0, alpha: 90, d: 0, ...} six times", Good: "{a: 450, alpha: 0, d: 0, ...}",
	},
	{
		ID: "A005", Title: "too many solids",
		Meaning: "The links of an arm may carry at most 100 solids.",
		Bad:     "links: with 150 entries", Good: "links: with one or two capsules a link",
	},
	{
		ID: "A006", Title: "body made up",
		Meaning: "A note: the file gives no solids for the links, so plain capsules between the axes stand for them. Clearances are then only rough.",
		Bad:     "axes: [...]", Good: "axes: [...]\nlinks: [{link: 1, capsule: {radius: 70, from: [0, 0, 0], to: [0, 200, 0]}}]",
	},
}
