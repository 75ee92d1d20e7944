package formula

func massIn(name, title string) Input {
	return Input{Name: name, Title: title, Unit: "kg", Min: 0.001, Max: 1000}
}

func placeIn(name, title string) Input {
	return Input{Name: name, Title: title, Unit: "mm", Min: -2000, Max: 2000}
}

var payload = []Formula{
	{
		Name:   "payload-mass",
		Title:  "mass of tool and part together",
		Inputs: []Input{massIn("tool", "mass of the tool"), massIn("part", "mass of the part")},
		Unit:   "kg",
		Form:   "tool + part",
		Source: "statics",
		of:     func(in []float64) float64 { return in[0] + in[1] },
	},
	{
		Name:  "payload-centre",
		Title: "centre of gravity of tool and part together, along one axis",
		Inputs: []Input{
			massIn("tool", "mass of the tool"),
			placeIn("tool-at", "centre of gravity of the tool"),
			massIn("part", "mass of the part"),
			placeIn("part-at", "centre of gravity of the part"),
		},
		Unit:   "mm",
		Form:   "(tool * tool-at + part * part-at) / (tool + part)",
		Source: "statics: sum of m * r over sum of m",
		of:     func(in []float64) float64 { return (in[0]*in[1] + in[2]*in[3]) / (in[0] + in[2]) },
	},
}
