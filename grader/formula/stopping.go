package formula

var stopping = []Formula{
	{
		Name:  "stopping-distance",
		Title: "distance from the signal to standstill",
		Inputs: []Input{
			speedIn("speed", "speed"),
			timeIn("reaction", "time before the brake acts"),
			accelIn("braking", "deceleration"),
		},
		Unit:   "mm",
		Form:   "speed * reaction + speed^2 / (2 * braking)",
		Source: "uniform deceleration, textbook kinematics",
		of:     func(in []float64) float64 { return in[0]*in[1] + in[0]*in[0]/(2*in[2]) },
	},
	{
		Name:  "speed-for-axis",
		Title: "tool speed at which an axis keeps its limit on the same path",
		Inputs: []Input{
			speedIn("speed", "programmed tool speed"),
			{Name: "rate", Title: "axis speed at the programmed tool speed", Unit: "deg/s", Min: 0.001, Max: 100000},
			{Name: "limit", Title: "axis speed allowed", Unit: "deg/s", Min: 0, Max: 10000},
		},
		Unit:   "mm/s",
		Form:   "speed * limit / rate",
		Source: "axis speeds are the inverse Jacobian times the tool speed, so they scale with it; Lynch and Park, Modern Robotics, ch. 5",
		of:     func(in []float64) float64 { return in[0] * in[2] / in[1] },
	},
	{
		Name:  "reduced-share",
		Title: "greatest share of the programmed speed that keeps a speed limit",
		Inputs: []Input{
			{Name: "speed", Title: "programmed tool speed", Unit: "mm/s", Min: 1, Max: 10000},
			speedIn("limit", "speed limit"),
		},
		Unit:   "%",
		Form:   "100 * limit / speed, at most 100",
		Source: "proportion; the limit of 250 mm/s in manual reduced speed is ISO 10218-1:2011, 5.6.2",
		of:     func(in []float64) float64 { return min(100, 100*in[1]/in[0]) },
	},
	{
		Name:   "singular-factor",
		Title:  "how many times faster wrist axes turn near the wrist alignment",
		Inputs: []Input{{Name: "angle", Title: "axis 5 from alignment", Unit: "deg", Min: 0.1, Max: 90}},
		Form:   "1 / sin(angle)",
		Source: "spherical wrist; Lynch and Park, Modern Robotics, ch. 5",
		of:     func(in []float64) float64 { return 1 / sinDeg(in[0]) },
	},
}
