package source

import "posework/engine/diag"

// Codes holds the kinds of diagnostic that this package raises, by ID.
var Codes = []diag.Code{
	{
		ID: "F001", Title: "file too large",
		Meaning: "A file may have at most 256 kB. What a person writes stays far below; a larger file was most likely handed in by mistake.",
		Bad:     "a log of 10 MB", Good: "the program itself",
	},
	{
		ID: "F002", Title: "file is empty",
		Meaning: "There is nothing in the file but blank lines and comments, so there is nothing to read or to mark.",
		Bad:     "# to do", Good: "posework: program/1",
	},
	{
		ID: "F003", Title: "no plain text",
		Meaning: "A file is UTF-8 text without control or invisible characters. Such characters could hide a part of the file from the person who checks it.",
		Bad:     "a file saved by a word processor", Good: "a file saved by a text editor as UTF-8",
	},
	{
		ID: "F004", Title: "tab in the indentation",
		Meaning: "YAML is indented with spaces; how wide a tab is differs from editor to editor.",
		Bad:     "poses:\n\thome: ...", Good: "poses:\n  home: ...",
	},
	{
		ID: "F005", Title: "not YAML",
		Meaning: "The text breaks a rule of YAML: a bracket or quote is not closed, a comma is missing, or a line is indented wrongly. The fault often stands just before the place that is named.",
		Bad:     "- {to: home, path: joint", Good: "- {to: home, path: joint}",
	},
	{
		ID: "F006", Title: "nested too deeply",
		Meaning: "Lists and mappings may stand within each other up to 60 deep.",
		Bad:     "[[[[ ... ]]]]", Good: "[1, 2, 3]",
	},
	{
		ID: "F007", Title: "too many values",
		Meaning: "A file may hold at most 50,000 keys and values. Use repeat and routines for long programs.",
		Bad:     "60,000 steps", Good: "- {repeat: 100, steps: [...]}",
	},
	{
		ID: "F008", Title: "anchors and aliases",
		Meaning: "Anchors (&name), aliases (*name) and merge keys (<<) are not read: every value stands where it is used, so that a reader sees it there.",
		Bad:     "speed: *slow", Good: "speed: 80 mm/s",
	},
	{
		ID: "F009", Title: "tags and directives",
		Meaning: "Tags (!name) and directives (%YAML) are not read.",
		Bad:     "speed: !!str 20 %", Good: "speed: 20 %",
	},
	{
		ID: "F010", Title: "more than one document",
		Meaning: "A file holds one YAML document; \"---\" would begin a second one.",
		Bad:     "title: a\n---\ntitle: b", Good: "title: a",
	},
	{
		ID: "F011", Title: "key given twice",
		Meaning: "A key may stand once in a mapping; otherwise one of the two values would be lost without a word.",
		Bad:     "{speed: 20 %, speed: 30 %}", Good: "{speed: 20 %}",
	},
	{
		ID: "F012", Title: "unknown key",
		Meaning: "No such key is known in this place. It is reported rather than passed over, since a misspelt key would change the motion without a word.",
		Bad:     "{to: home, speeed: 20 %}", Good: "{to: home, speed: 20 %}",
	},
	{
		ID: "F013", Title: "missing key or value",
		Meaning: "A key that is needed in this place is missing, or has no value.",
		Bad:     "speed:", Good: "speed: 20 %",
	},
	{
		ID: "F014", Title: "wrong kind of value",
		Meaning: "A list, a mapping or a single value stands where another of them is needed.",
		Bad:     "axes: 0", Good: "axes: [0, 0, 0, 0, 0, 0]",
	},
	{
		ID: "F015", Title: "not a number",
		Meaning: "Numbers are decimal and finite: digits with an optional sign, point and exponent. 010, 0x10, 1_000 and .inf are not taken, since people read them differently.",
		Bad:     "xyz: [010, 0, .inf]", Good: "xyz: [10, 0, 0]",
	},
	{
		ID: "F016", Title: "unit missing or wrong",
		Meaning: "Where a unit could be mistaken it must be written: speeds in mm/s or %, times in s, masses in kg. A speed without a unit is never guessed.",
		Bad:     "speed: 150", Good: "speed: 150 mm/s",
	},
	{
		ID: "F017", Title: "unknown word",
		Meaning: "The value must be one of a few words.",
		Bad:     "path: straight", Good: "path: line",
	},
	{
		ID: "F018", Title: "not a name",
		Meaning: "Names consist of the letters a to z, digits, - and _, at most 60 characters.",
		Bad:     "over rack!: {...}", Good: "over-rack: {...}",
	},
	{
		ID: "F019", Title: "wrong number of values",
		Meaning: "A list in this place has a fixed length: three numbers for xyz and rpy, six for axes.",
		Bad:     "xyz: [120, 80]", Good: "xyz: [120, 80, 90]",
	},
	{
		ID: "F020", Title: "out of range",
		Meaning: "A whole number lies outside the range that is allowed in this place.",
		Bad:     "repeat: 0", Good: "repeat: 1",
	},
	{
		ID: "F021", Title: "wrong kind of file",
		Meaning: "A file says in its first key what it is. This one is of another kind, or of a version that is not known.",
		Bad:     "posework: arm/1", Good: "posework: program/1",
	},
}
