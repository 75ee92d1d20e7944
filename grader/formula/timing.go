package formula

import "math"

var timing = []Formula{
	{
		Name:  "move-time",
		Title: "time of a straight move from rest to rest with even ramps",
		Inputs: []Input{
			lengthIn("distance", "distance"),
			{Name: "speed", Title: "speed", Unit: "mm/s", Min: 1, Max: 10000},
			accelIn("ramp", "acceleration and deceleration"),
		},
		Unit:   "s",
		Form:   "distance / speed + speed / ramp; if speed^2 / ramp > distance: 2 * sqrt(distance / ramp)",
		Source: "trapezoidal profile; Biagiotti and Melchiorri, Trajectory Planning for Automatic Machines and Robots, ch. 3",
		of:     func(in []float64) float64 { return moveTime(in[0], in[1], in[2]) },
	},
	{
		Name:  "move-peak-speed",
		Title: "greatest speed that a move from rest to rest reaches",
		Inputs: []Input{
			lengthIn("distance", "distance"),
			{Name: "speed", Title: "programmed speed", Unit: "mm/s", Min: 1, Max: 10000},
			accelIn("ramp", "acceleration and deceleration"),
		},
		Unit:   "mm/s",
		Form:   "the smaller of speed and sqrt(distance * ramp)",
		Source: "trapezoidal profile; Biagiotti and Melchiorri, ch. 3",
		of:     func(in []float64) float64 { return min(in[1], math.Sqrt(in[0]*in[2])) },
	},
	{
		Name:  "sides-time",
		Title: "time round a figure of equal sides with a stop at every corner",
		Inputs: []Input{
			countIn("sides", "number of sides", 1),
			lengthIn("side", "length of a side"),
			{Name: "speed", Title: "speed", Unit: "mm/s", Min: 1, Max: 10000},
			accelIn("ramp", "acceleration and deceleration"),
		},
		Unit:   "s",
		Form:   "sides * move-time(side, speed, ramp)",
		Source: "trapezoidal profile; Biagiotti and Melchiorri, ch. 3",
		of:     func(in []float64) float64 { return in[0] * moveTime(in[1], in[2], in[3]) },
	},
	{
		Name:  "cubic-peak-speed",
		Title: "greatest speed of a rest-to-rest cubic",
		Inputs: []Input{
			lengthIn("distance", "distance"),
			{Name: "time", Title: "time of the move", Unit: "s", Min: 0.001, Max: 3600},
		},
		Unit:   "mm/s",
		Form:   "1.5 * distance / time",
		Source: "Lynch and Park, Modern Robotics, ch. 9",
		of:     func(in []float64) float64 { return 1.5 * in[0] / in[1] },
	},
	{
		Name:  "quintic-peak-speed",
		Title: "greatest speed of a rest-to-rest quintic",
		Inputs: []Input{
			lengthIn("distance", "distance"),
			{Name: "time", Title: "time of the move", Unit: "s", Min: 0.001, Max: 3600},
		},
		Unit:   "mm/s",
		Form:   "1.875 * distance / time",
		Source: "Lynch and Park, Modern Robotics, ch. 9",
		of:     func(in []float64) float64 { return 1.875 * in[0] / in[1] },
	},
	{
		Name:  "least-ramp",
		Title: "least acceleration with which a move fits into its time",
		Inputs: []Input{
			lengthIn("distance", "distance"),
			{Name: "time", Title: "time of the move", Unit: "s", Min: 0.001, Max: 3600},
		},
		Unit:   "mm/s2",
		Form:   "4 * distance / time^2",
		Source: "line with parabolic ends; Craig, Introduction to Robotics, ch. 7",
		of:     func(in []float64) float64 { return 4 * in[0] / (in[1] * in[1]) },
	},
}

// moveTime is the time of a trapezoidal (or, where the speed is not reached,
// triangular) profile from rest to rest.
func moveTime(distance, speed, ramp float64) float64 {
	if speed*speed/ramp > distance {
		return 2 * math.Sqrt(distance/ramp)
	}
	return distance/speed + speed/ramp
}
