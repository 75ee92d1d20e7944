package kin

// Config says on which side of its three alignments an arm stands, for arms
// whose geometry has them. The zero value is front, up, plain.
type Config struct {
	Back    bool // shoulder: the wrist centre lies behind axis 1
	Down    bool // elbow: bent the other way
	Flipped bool // wrist: axis 5 negative
}

// Words returns the configuration in the words of the file formats: shoulder
// front or back, elbow up or down, wrist plain or flipped.
func (c Config) Words() [3]string {
	w := [3]string{"front", "up", "plain"}
	if c.Back {
		w[0] = "back"
	}
	if c.Down {
		w[1] = "down"
	}
	if c.Flipped {
		w[2] = "flipped"
	}
	return w
}
