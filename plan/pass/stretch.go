package pass

import "tankful/calc/unit"

// mostStretch is how much wider than the swath Stretch may set the lines, as a share: half of it thins either side of each
// line, which is within what a calibration is good for (common practice, no source).
const mostStretch = 0.05

// Stretch is the spacing, above the swath by at most 5 %, at which the largest straight section needs saved passes less: what
// lies over after whole strips is shared among them. It is not ok when no section has such a rest. It is advice: what goes out per area
// falls as the spacing grows.
func (p *Plan) Stretch() (spacing unit.Length, saved int, ok bool) {
	best := unit.Area(0)
	for _, s := range p.Sections {
		if s.Kind != Straight || s.Area <= best {
			continue
		}
		best, ok = s.Area, false
		n := strips(float64(s.across), float64(p.Setup.Swath))
		most := float64(p.Setup.Swath) * (1 + mostStretch)
		if fewer := strips(float64(s.across), most); fewer < n {
			spacing, saved, ok = s.across/unit.Length(fewer), n-fewer, true
		}
	}
	if !ok {
		return 0, 0, false
	}
	return spacing, saved, true
}
