package sweep
func (w *Sweep) Nodes() int { return int(w.tree.used) }
