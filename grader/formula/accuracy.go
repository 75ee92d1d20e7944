package formula

import "math"

// Accuracy is the pose accuracy (position) of ISO 9283: the distance from the
// commanded position to the mean of the attained ones, in their unit. It is NaN
// without attained positions.
func Accuracy(commanded [3]float64, attained [][3]float64) float64 {
	m := meanPosition(attained)
	return distance(m, commanded)
}

// Repeatability is the pose repeatability (position) of ISO 9283: mean distance
// from the mean position plus three standard deviations of that distance, with
// n - 1 in the deviation. It is NaN for fewer than two positions.
func Repeatability(attained [][3]float64) float64 {
	m := meanPosition(attained)
	l := make([]float64, len(attained))
	for i, p := range attained {
		l[i] = distance(p, m)
	}
	return spread(l)
}

// spread is mean + 3 S of distances from their barycentre.
func spread(l []float64) float64 {
	if len(l) < 2 {
		return math.NaN()
	}
	var sum float64
	for _, v := range l {
		sum += v
	}
	mean := sum / float64(len(l))
	var square float64
	for _, v := range l {
		square += (v - mean) * (v - mean)
	}
	return mean + 3*math.Sqrt(square/float64(len(l)-1))
}

func meanPosition(p [][3]float64) [3]float64 {
	var m [3]float64
	for _, v := range p {
		for k := range m {
			m[k] += v[k] / float64(len(p))
		}
	}
	if len(p) == 0 {
		return [3]float64{math.NaN(), math.NaN(), math.NaN()}
	}
	return m
}

func distance(a, b [3]float64) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

// errorIn is a small signed length, such as a part of a position error.
func errorIn(name, title string) Input {
	return Input{Name: name, Title: title, Unit: "mm", Min: -100, Max: 100}
}

// spreadIn is a small distance, never negative.
func spreadIn(name, title string) Input {
	return Input{Name: name, Title: title, Unit: "mm", Min: 0, Max: 100}
}

var accuracy = []Formula{
	{
		Name:  "pose-accuracy",
		Title: "position accuracy from the mean error along x, y and z",
		Inputs: []Input{
			errorIn("dx", "mean error along x"),
			errorIn("dy", "mean error along y"),
			errorIn("dz", "mean error along z"),
		},
		Unit:   "mm",
		Form:   "sqrt(dx^2 + dy^2 + dz^2)",
		Source: "ISO 9283, pose accuracy AP (from memory)",
		of: func(in []float64) float64 {
			return distance([3]float64{in[0], in[1], in[2]}, [3]float64{})
		},
	},
	{
		Name:  "pose-repeatability",
		Title: "position repeatability from the distances of five cycles to their mean",
		Inputs: []Input{
			spreadIn("l1", "distance of cycle 1"),
			spreadIn("l2", "distance of cycle 2"),
			spreadIn("l3", "distance of cycle 3"),
			spreadIn("l4", "distance of cycle 4"),
			spreadIn("l5", "distance of cycle 5"),
		},
		Unit:   "mm",
		Form:   "mean + 3 * standard deviation, with n - 1",
		Source: "ISO 9283, pose repeatability RP (from memory)",
		of:     spread,
	},
}
