package sheet

// Map is the page's map, or nil when it has none.
func (p *Page) Map() *Map { return findMap(p.Blocks) }

func findMap(blocks []Block) *Map {
	for _, b := range blocks {
		switch b := b.(type) {
		case Map:
			return &b
		case Beside:
			if m := findMap(append(append([]Block{}, b.Left...), b.Right...)); m != nil {
				return m
			}
		}
	}
	return nil
}
