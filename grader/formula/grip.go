package formula

import "math"

// gravity is the standard acceleration of free fall rounded as handbooks of the
// trade round it, m/s2.
const gravity = 9.81

func pullIn() Input {
	return Input{Name: "pull", Title: "acceleration of the part", Unit: "m/s2", Min: 0, Max: 100}
}

func factorIn() Input {
	return Input{Name: "factor", Title: "safety factor", Min: 1, Max: 10}
}

func frictionIn() Input {
	return Input{Name: "friction", Title: "coefficient of friction", Min: 0.05, Max: 2}
}

// The three load cases of vacuum handling: lifted flat, carried flat and moved
// sideways, held on an upright face.
const grippingSource = "load cases of vacuum handling, common practice"

var grip = []Formula{
	{
		Name:  "suction-force",
		Title: "theoretical force of suction cups",
		Inputs: []Input{
			countIn("cups", "number of cups", 1),
			{Name: "diameter", Title: "effective diameter of a cup", Unit: "mm", Min: 1, Max: 500},
			{Name: "vacuum", Title: "pressure below the surroundings", Unit: "kPa", Min: 0, Max: 101.3},
		},
		Unit:   "N",
		Form:   "cups * vacuum * pi * diameter^2 / 4",
		Source: "force is pressure times area",
		of: func(in []float64) float64 {
			const newtonPerKilopascalSquareMillimetre = 1e-3
			return in[0] * in[2] * math.Pi * in[1] * in[1] / 4 * newtonPerKilopascalSquareMillimetre
		},
	},
	{
		Name:   "grip-lift",
		Title:  "force that lifts a part flat, straight up",
		Inputs: []Input{massIn("part", "mass of the part"), pullIn(), factorIn()},
		Unit:   "N",
		Form:   "part * (9.81 + pull) * factor",
		Source: grippingSource,
		of:     func(in []float64) float64 { return in[0] * (gravity + in[1]) * in[2] },
	},
	{
		Name:   "grip-carry",
		Title:  "force that holds a part flat while it is moved sideways",
		Inputs: []Input{massIn("part", "mass of the part"), pullIn(), frictionIn(), factorIn()},
		Unit:   "N",
		Form:   "part * (9.81 + pull / friction) * factor",
		Source: grippingSource,
		of:     func(in []float64) float64 { return in[0] * (gravity + in[1]/in[2]) * in[3] },
	},
	{
		Name:   "grip-upright",
		Title:  "force that holds a part by an upright face while it is lifted",
		Inputs: []Input{massIn("part", "mass of the part"), pullIn(), frictionIn(), factorIn()},
		Unit:   "N",
		Form:   "part * (9.81 + pull) / friction * factor",
		Source: grippingSource,
		of:     func(in []float64) float64 { return in[0] * (gravity + in[1]) / in[2] * in[3] },
	},
}
