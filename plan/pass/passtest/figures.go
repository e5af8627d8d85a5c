package passtest

import (
	"math"
	"slices"

	"tankful/plan/pass"
)

// numbers checks numbering, the walks between passes and the plan's totals.
func (r *run) numbers() {
	p := r.Plan
	length, dead, laps := 0.0, 0.0, 0
	for i := range p.Passes {
		q := &p.Passes[i]
		if q.N != i+1 {
			r.fault(Numbers, "pass %d of the plan has number %d", i+1, q.N)
		}
		length += float64(q.Length)
		dead += float64(q.WalkTo)
		for _, o := range q.Off {
			dead += float64(o.To - o.From)
		}
		if q.Kind == pass.Lap {
			laps++
		}
		way := walkOf(q.Way)
		switch {
		case i == 0 && (q.WalkTo != 0 || q.Way != nil):
			r.fault(Numbers, "the first pass is walked to over %.2f m", float64(q.WalkTo))
		case i > 0 && len(way) < 2:
			r.fault(Numbers, "the way to pass %d has %d points", q.N, len(way))
		case i > 0:
			before := walkOf(p.Passes[i-1].Line)
			if a, b := distance(before[len(before)-1], way[0]), distance(way[len(way)-1], walkOf(q.Line)[0]); max(a, b) > 0.001 {
				r.fault(Numbers, "the way to pass %d begins %.3f m from the end before and ends %.3f m from its start", q.N, a, b)
			}
			if !near(lengthOf(way), float64(q.WalkTo), 1e-6) && math.Abs(lengthOf(way)-float64(q.WalkTo)) > 1e-6 {
				r.fault(Numbers, "the way to pass %d is %.3f m long and given as %.3f", q.N, lengthOf(way), float64(q.WalkTo))
			}
		}
	}
	if !near(length, float64(p.SprayedLength), 1e-9) {
		r.fault(Numbers, "lengths add up to %.4f m, given as %.4f", length, float64(p.SprayedLength))
	}
	if !near(dead, float64(p.DeadWalk), 1e-9) {
		r.fault(Numbers, "dead walks add up to %.4f m, given as %.4f", dead, float64(p.DeadWalk))
	}
	if laps != p.Laps {
		r.fault(Numbers, "%d edge laps, given as %d", laps, p.Laps)
	}
	r.turns()
}

// turns: passes less one, and the corners over 30 degrees that edge laps have. A corner that is sprayed out to the turf's edge may
// be two bends of the line, and where a lap closes may be one that the line does not show.
func (r *run) turns() {
	least := len(r.Plan.Passes) - 1
	most := least
	for i := range r.Plan.Passes {
		q := &r.Plan.Passes[i]
		if q.Kind != pass.Lap {
			continue
		}
		most++
		walk := walkOf(q.Line)
		for k := 1; k+1 < len(walk); k++ {
			a, b := walk[k].minus(walk[k-1]), walk[k+1].minus(walk[k])
			if math.Abs(math.Atan2(a.cross(b), a.dot(b))) > 29*math.Pi/180 {
				most++
			}
		}
	}
	if r.Plan.Turns < least || r.Plan.Turns > most {
		r.fault(Numbers, "%d turns, want %d to %d", r.Plan.Turns, least, most)
	}
}

// sections checks counts, areas and spacings, and that straight passes keep their section's direction.
func (r *run) sections() {
	p := r.Plan
	counts := make([]int, len(p.Sections))
	for i := range p.Passes {
		q := &p.Passes[i]
		if q.Section < 0 || q.Section >= len(counts) {
			r.fault(Numbers, "pass %d is in section %d of %d", q.N, q.Section, len(counts))
			continue
		}
		counts[q.Section]++
		walk := walkOf(q.Line)
		d := walk[len(walk)-1].minus(walk[0])
		if len(walk) != 2 || q.Kind != pass.Straight || p.Sections[q.Section].Kind != pass.Straight || d.length() < float64(p.Setup.Swath) {
			continue
		}
		off := math.Mod(90-math.Atan2(d.y, d.x)*180/math.Pi-p.Sections[q.Section].Bearing+720, 180)
		// A line may slant within its strip, to end where there is turf.
		if off = min(off, 180-off); off > 2 && d.length()*math.Sin(off*math.Pi/180) > float64(p.Setup.Swath)+0.02 {
			r.fault(Numbers, "pass %d is %.1f degrees off its section's bearing", q.N, off)
		}
	}
	area := 0.0
	for i, s := range p.Sections {
		if counts[i] != s.Passes {
			r.fault(Numbers, "section %d has %d passes, given as %d", i, counts[i], s.Passes)
		}
		if !(s.Spacing > 0) || float64(s.Spacing) > float64(p.Setup.Swath)*(1+1e-9) {
			r.fault(Numbers, "section %d has a spacing of %.4f m at a swath of %.4f", i, float64(s.Spacing), float64(p.Setup.Swath))
		}
		if !(s.Bearing >= 0 && s.Bearing < 180) {
			r.fault(Numbers, "section %d has a bearing of %v", i, s.Bearing)
		}
		area += float64(s.Area)
	}
	if !near(area, r.net.size, 0.001) {
		r.fault(Numbers, "sections add up to %.3f m2 of %.3f", area, r.net.size)
	}
}

// lengths checks what follows from a pass's own line.
func (r *run) lengths() {
	widest := 1.0 // by how much Even may draw strips together
	for _, s := range r.Plan.Sections {
		widest = max(widest, float64(r.Plan.Setup.Swath/s.Spacing))
	}
	for i := range r.Plan.Passes {
		q := &r.Plan.Passes[i]
		whole := lengthOf(walkOf(q.Line))
		at, off := 0.0, 0.0
		for _, o := range q.Off {
			if float64(o.From) < at-1e-6 || o.To <= o.From || float64(o.To) > whole+1e-6 {
				r.fault(Lengths, "pass %d: gun off from %.2f to %.2f m, after %.2f, of %.2f", q.N, float64(o.From), float64(o.To), at, whole)
			}
			at = float64(o.To)
			off += float64(o.To - o.From)
		}
		if math.Abs(whole-off-float64(q.Length)) > 1e-5 {
			r.fault(Lengths, "pass %d is %.4f m long with the gun on, given as %.4f", q.N, whole-off, float64(q.Length))
		}
		want := float64(q.Area)
		if !r.Plan.Setup.Trims {
			// Where slivers come to a pass it may be its area, when that is more.
			put := float64(q.Length) * float64(r.Plan.Setup.Swath)
			if s := float64(q.Sprayed); !near(s, put, 1e-9) && (s < put || !near(s, want, 1e-9)) {
				r.fault(Lengths, "pass %d sprays %.4f m2, given as %.4f", q.N, put, s)
			}
		} else if s := float64(q.Sprayed); s < want*(1-1e-9) || s > want*widest*(1+1e-9) || !r.Plan.Setup.Even && !near(s, want, 1e-9) {
			r.fault(Lengths, "pass %d sprays %.4f m2 of turf, given as %.4f", q.N, want, s)
		}
	}
}

func (r *run) bounds() {
	p := r.Plan
	r.report.Ratio = float64(p.SprayedLength) * float64(p.Setup.Swath) / r.net.size
	if !near(float64(p.BoundLength), r.net.size/float64(p.Setup.Swath), 1e-9) {
		r.fault(Bounds, "length is bounded by %.3f m, given as %.3f", r.net.size/float64(p.Setup.Swath), float64(p.BoundLength))
	}
	// A strip may exceed the swath by 1 cm in all, and slivers are taken along.
	if r.report.Ratio < 1-1e-6-0.01/float64(p.Setup.Swath)-r.lim.Extra {
		r.fault(Bounds, "length x swath is %.6f of the turf", r.report.Ratio)
	}
	if len(p.Passes) < p.BoundPasses {
		r.fault(Bounds, "%d passes are below the bound of %d", len(p.Passes), p.BoundPasses)
	}
	if p.BoundOneWay < p.BoundPasses {
		r.fault(Bounds, "the bound of %d in one direction is below that of %d in any", p.BoundOneWay, p.BoundPasses)
	}
}

// reach checks what can be told without finding ways: a hose is no shorter than the straight line to the furthest point.
func (r *run) reach() {
	p := r.Plan
	if p.Reach == nil {
		return
	}
	most := 0.0
	var out []int
	for i := range p.Passes {
		q := &p.Passes[i]
		if q.Truck < 0 || q.Truck >= len(r.Lawn.Trucks) {
			r.fault(Reach, "pass %d is reached from truck place %d of %d", q.N, q.Truck, len(r.Lawn.Trucks))
			continue
		}
		t := r.Lawn.Trucks[q.Truck]
		for _, c := range walkOf(q.Line) {
			if d := distance(pt{t[0], t[1]}, c); float64(q.Hose) < d-0.01 {
				r.fault(Reach, "pass %d needs %.2f m of hose at least, given as %.2f", q.N, d, float64(q.Hose))
				break
			}
		}
		most = max(most, float64(q.Hose))
		if p.Setup.Hose > 0 && q.Hose > p.Setup.Hose {
			out = append(out, q.N)
		}
	}
	if !near(most, float64(p.Reach.Most), 1e-9) {
		r.fault(Reach, "the longest hose is %.2f m, given as %.2f", most, float64(p.Reach.Most))
	}
	given := slices.Sorted(slices.Values(p.Reach.Out))
	if !slices.Equal(out, given) {
		r.fault(Reach, "passes %v are out of reach, given %v", out, given)
	}
}
