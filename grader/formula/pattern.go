package formula

// Place returns layer, row and column, all from 0, of part n (from 1) in a
// pattern that is filled column by column, row by row, layer by layer.
func Place(n, columns, rows int) (layer, row, column int) {
	n--
	return n / (columns * rows), n % (columns * rows) / columns, n % columns
}

func patternOf(in []float64) (layer, row, column int) {
	return Place(int(in[0]), int(in[1]), int(in[2]))
}

func patternInputs(more ...Input) []Input {
	return append([]Input{
		countIn("part", "number of the part, from 1", 1),
		countIn("columns", "columns", 1),
		countIn("rows", "rows", 1),
	}, more...)
}

const patternSource = "counting by columns, then rows, then layers"

var pattern = []Formula{
	{
		Name: "pattern-layer", Title: "layer of a part, from 0", Inputs: patternInputs(),
		Form: "(part - 1) div (columns * rows)", Source: patternSource,
		of: func(in []float64) float64 { l, _, _ := patternOf(in); return float64(l) },
	},
	{
		Name: "pattern-row", Title: "row of a part, from 0", Inputs: patternInputs(),
		Form: "((part - 1) mod (columns * rows)) div columns", Source: patternSource,
		of: func(in []float64) float64 { _, r, _ := patternOf(in); return float64(r) },
	},
	{
		Name: "pattern-column", Title: "column of a part, from 0", Inputs: patternInputs(),
		Form: "(part - 1) mod columns", Source: patternSource,
		of: func(in []float64) float64 { _, _, c := patternOf(in); return float64(c) },
	},
	{
		Name: "pattern-x", Title: "place of a part along its row", Unit: "mm",
		Inputs: patternInputs(lengthIn("pitch", "distance from column to column")),
		Form:   "pattern-column * pitch", Source: patternSource,
		of: func(in []float64) float64 { _, _, c := patternOf(in); return float64(c) * in[3] },
	},
	{
		Name: "pattern-y", Title: "place of a part across the rows", Unit: "mm",
		Inputs: patternInputs(lengthIn("pitch", "distance from row to row")),
		Form:   "pattern-row * pitch", Source: patternSource,
		of: func(in []float64) float64 { _, r, _ := patternOf(in); return float64(r) * in[3] },
	},
	{
		Name: "pattern-z", Title: "height of a part's layer", Unit: "mm",
		Inputs: patternInputs(lengthIn("pitch", "height of a layer")),
		Form:   "pattern-layer * pitch", Source: patternSource,
		of: func(in []float64) float64 { l, _, _ := patternOf(in); return float64(l) * in[3] },
	},
}
