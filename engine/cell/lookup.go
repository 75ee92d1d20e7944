package cell

// ToolByName returns the index of the tool of that name.
func (c *Cell) ToolByName(name string) (int, bool) {
	for i := range c.Tools {
		if c.Tools[i].Name == name {
			return i, true
		}
	}
	return -1, false
}

// FrameByName returns the index of the task frame of that name. The frames world
// and base are not among them; see [Cell.Frame].
func (c *Cell) FrameByName(name string) (int, bool) {
	for i := range c.Frames {
		if c.Frames[i].Name == name {
			return i, true
		}
	}
	return -1, false
}

// SolidByName returns the index of the solid of that name.
func (c *Cell) SolidByName(name string) (int, bool) {
	for i := range c.Solids {
		if c.Solids[i].Name == name {
			return i, true
		}
	}
	return -1, false
}

// ZoneByName returns the index of the zone of that name.
func (c *Cell) ZoneByName(name string) (int, bool) {
	for i := range c.Zones {
		if c.Zones[i].Name == name {
			return i, true
		}
	}
	return -1, false
}

// PartByName returns the index of the part of that name.
func (c *Cell) PartByName(name string) (int, bool) {
	for i := range c.Parts {
		if c.Parts[i].Name == name {
			return i, true
		}
	}
	return -1, false
}

// SignalByName returns the index of the signal of that name.
func (c *Cell) SignalByName(name string) (int, bool) {
	for i := range c.Signals {
		if c.Signals[i].Name == name {
			return i, true
		}
	}
	return -1, false
}
