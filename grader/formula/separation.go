package formula

// The approach speeds of ISO 13855:2010: of a hand near a safeguard, and of a
// person walking.
const (
	handSpeed = 2000 // mm/s
	walkSpeed = 1600 // mm/s
)

var separation = []Formula{
	{
		Name:  "curtain-distance",
		Title: "least distance of a light curtain met at right angles",
		Inputs: []Input{
			{Name: "resolution", Title: "resolution", Unit: "mm", Min: 0, Max: 70},
			timeIn("time", "whole stopping time"),
		},
		Unit: "mm",
		Form: "resolution to 40 mm: 2000 * time + 8 * (resolution - 14), not below 100; if that is above 500: " +
			"1600 * time + 8 * (resolution - 14), not below 500; resolution to 70 mm: 1600 * time + 850",
		Source: "ISO 13855:2010, 6.2.3",
		of:     func(in []float64) float64 { return curtainDistance(in[0], in[1]) },
	},
	{
		Name:   "two-hand-distance",
		Title:  "least distance of an uncovered two-hand control",
		Inputs: []Input{timeIn("time", "whole stopping time")},
		Unit:   "mm",
		Form:   "1600 * time + 250, not below 100",
		Source: "ISO 13855:2010, clause 8 (from memory)",
		of:     func(in []float64) float64 { return twoHandDistance(in[0], 250) },
	},
	{
		Name:   "two-hand-distance-covered",
		Title:  "least distance of a two-hand control whose covers keep hands from reaching in",
		Inputs: []Input{timeIn("time", "whole stopping time")},
		Unit:   "mm",
		Form:   "1600 * time, not below 100",
		Source: "ISO 13855:2010, clause 8 (from memory)",
		of:     func(in []float64) float64 { return twoHandDistance(in[0], 0) },
	},
	{
		Name:  "scanner-distance",
		Title: "least distance of a level scanner field, 2010 edition",
		Inputs: []Input{
			{Name: "height", Title: "height of the field above the floor", Unit: "mm", Min: 0, Max: 1000},
			timeIn("time", "whole stopping time"),
		},
		Unit:   "mm",
		Form:   "1600 * time + 1200 - 0.4 * height, the last two together not below 850",
		Source: "ISO 13855:2010, 6.3",
		of:     func(in []float64) float64 { return walkSpeed*in[1] + max(850, 1200-0.4*in[0]) },
	},
	{
		Name:  "scanner-distance-2024",
		Title: "least distance of a level scanner field, 2024 edition",
		Inputs: []Input{
			timeIn("time", "whole stopping time"),
			lengthIn("supplement", "supplement Z for tolerances"),
		},
		Unit:   "mm",
		Form:   "1600 * time + 1200 + supplement",
		Source: "ISO 13855:2024, clause 9",
		of:     func(in []float64) float64 { return walkSpeed*in[0] + 1200 + in[1] },
	},
	{
		Name:   "scanner-height",
		Title:  "least height of a level scanner field for its resolution",
		Inputs: []Input{{Name: "resolution", Title: "resolution", Unit: "mm", Min: 1, Max: 116}},
		Unit:   "mm",
		Form:   "15 * (resolution - 50), not below 0",
		Source: "ISO 13855:2010, 6.3",
		of:     func(in []float64) float64 { return max(0, 15*(in[0]-50)) },
	},
	{
		Name:   "scanner-resolution",
		Title:  "coarsest resolution of a level scanner field at its height",
		Inputs: []Input{{Name: "height", Title: "height of the field above the floor", Unit: "mm", Min: 0, Max: 300}},
		Unit:   "mm",
		Form:   "height / 15 + 50",
		Source: "ISO 13855:2010, 6.3",
		of:     func(in []float64) float64 { return in[0]/15 + 50 },
	},
	{
		Name:   "hand-speed-distance",
		Title:  "least distance by the hand-speed constant of the United States",
		Inputs: []Input{timeIn("time", "stopping time")},
		Unit:   "in",
		Form:   "63 * time",
		Source: "29 CFR 1910.217(c)(3)(iii)(e)",
		of:     func(in []float64) float64 { return 63 * in[0] },
	},
	{
		Name:  "separation-distance",
		Title: "protective separation distance between a person and a moving arm",
		Inputs: []Input{
			speedIn("person", "speed of the person"),
			speedIn("arm", "speed of the arm towards the person"),
			timeIn("reaction", "reaction time"),
			timeIn("stop", "stopping time"),
			lengthIn("braking", "travel of the arm while stopping"),
			lengthIn("intrusion", "intrusion distance"),
			lengthIn("person-error", "position uncertainty of the person"),
			lengthIn("arm-error", "position uncertainty of the arm"),
		},
		Unit:   "mm",
		Form:   "person * (reaction + stop) + arm * reaction + braking + intrusion + person-error + arm-error",
		Source: "ISO/TS 15066:2016, 5.5.4 (terms from memory)",
		of: func(in []float64) float64 {
			return in[0]*(in[2]+in[3]) + in[1]*in[2] + in[4] + in[5] + in[6] + in[7]
		},
	},
}

// curtainDistance is the minimum distance of ISO 13855:2010, 6.2.3 for a light
// curtain that is met at right angles. The slower approach speed may be used
// once the distance is above 500 mm, but never to come below 500 mm.
func curtainDistance(resolution, time float64) float64 {
	if resolution > 40 {
		return walkSpeed*time + 850
	}
	c := max(0, 8*(resolution-14))
	if s := handSpeed*time + c; s <= 500 {
		return max(100, s)
	}
	return max(500, walkSpeed*time+c)
}

func twoHandDistance(time, addition float64) float64 {
	return max(100, walkSpeed*time+addition)
}
