package formula

import "math"

var corners = []Formula{
	{
		Name:  "corner-miss",
		Title: "how far a corner rounded by a parabola passes from the corner point",
		Inputs: []Input{
			{Name: "turn", Title: "angle that the path turns by", Unit: "deg", Min: 1, Max: 179},
			lengthIn("before", "where the rounding begins before the corner"),
		},
		Unit:   "mm",
		Form:   "before * sin(turn / 2) / 2",
		Source: "geometry of the quadratic curve through the two points of tangency",
		of:     func(in []float64) float64 { return in[1] * sinDeg(in[0]/2) / 2 },
	},
	{
		Name:  "corner-room",
		Title: "greatest rounding by a parabola that keeps an allowed miss",
		Inputs: []Input{
			{Name: "turn", Title: "angle that the path turns by", Unit: "deg", Min: 1, Max: 179},
			lengthIn("miss", "allowed miss"),
		},
		Unit:   "mm",
		Form:   "2 * miss / sin(turn / 2)",
		Source: "geometry of the quadratic curve through the two points of tangency",
		of:     func(in []float64) float64 { return 2 * in[1] / sinDeg(in[0]/2) },
	},
	{
		Name:  "corner-miss-arc",
		Title: "how far a corner rounded by a circle passes from the corner point",
		Inputs: []Input{
			{Name: "turn", Title: "angle that the path turns by", Unit: "deg", Min: 1, Max: 179},
			lengthIn("before", "where the rounding begins before the corner"),
		},
		Unit:   "mm",
		Form:   "before * (1 / cos(turn / 2) - 1) / tan(turn / 2)",
		Source: "geometry of the circle that touches both legs",
		of:     func(in []float64) float64 { return in[1] * (1/cosDeg(in[0]/2) - 1) / tanDeg(in[0]/2) },
	},
}

func sinDeg(a float64) float64 { return math.Sin(a * math.Pi / 180) }
func cosDeg(a float64) float64 { return math.Cos(a * math.Pi / 180) }
func tanDeg(a float64) float64 { return math.Tan(a * math.Pi / 180) }
