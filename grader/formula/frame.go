package formula

import "math"

var frames = []Formula{
	{
		Name:  "frame-error",
		Title: "displacement far from a frame whose leg was taught with an error",
		Inputs: []Input{
			spreadIn("error", "error of the taught point"),
			{Name: "leg", Title: "length of the taught leg", Unit: "mm", Min: 10, Max: 10000},
			lengthIn("away", "distance from the origin"),
		},
		Unit:   "mm",
		Form:   "error * away / leg",
		Source: "similar triangles",
		of:     func(in []float64) float64 { return in[0] * in[2] / in[1] },
	},
	{
		Name:  "frame-turn",
		Title: "angle that a frame is turned by when a point of its leg is off",
		Inputs: []Input{
			spreadIn("error", "error of the taught point"),
			{Name: "leg", Title: "length of the taught leg", Unit: "mm", Min: 10, Max: 10000},
		},
		Unit:   "deg",
		Form:   "atan(error / leg)",
		Source: "similar triangles",
		of:     func(in []float64) float64 { return math.Atan2(in[0], in[1]) * 180 / math.Pi },
	},
	{
		Name:  "tip-height",
		Title: "least height of the tip over an obstacle with a part hanging below",
		Inputs: []Input{
			{Name: "top", Title: "top of the obstacle", Unit: "mm", Min: -5000, Max: 5000},
			lengthIn("clearance", "clearance wanted"),
			lengthIn("hang", "how far the part hangs below the tip"),
		},
		Unit:   "mm",
		Form:   "top + clearance + hang",
		Source: "geometry",
		of:     func(in []float64) float64 { return in[0] + in[1] + in[2] },
	},
}
