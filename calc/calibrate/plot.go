package calibrate

import (
	"fmt"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// plot is the ground of a test: passes of course long, spacing apart, or an area.
type plot struct {
	course, spacing unit.Length
	passes          int
	area            unit.Area
}

// count is the number of passes.
func (p plot) count() int { return max(p.passes, 1) }

// size is the area treated.
func (p plot) size() unit.Area {
	if p.area != 0 {
		return p.area
	}
	return p.course.By(p.spacing) * unit.Area(p.count())
}

// walked is the length of all passes together; 0 when only an area is known.
func (p plot) walked() unit.Length {
	switch {
	case p.course != 0:
		return p.course * unit.Length(p.count())
	case p.area != 0 && p.spacing != 0:
		return p.area.Divide(p.spacing)
	}
	return 0
}

// apart is the pass spacing; 0 when only an area is known.
func (p plot) apart() unit.Length {
	if p.spacing == 0 && p.walked() != 0 {
		return p.area.Divide(p.walked())
	}
	return p.spacing
}

// check finds what is wrong with the plot.
func (p plot) check(where string) (ps problem.List) {
	if p.area == 0 {
		if !unit.Positive(p.course) {
			ps.Errorf("course-zero", where, "Enter the length of the course with its unit, such as 143 ft.",
				"the course is %s long", unit.US.Length(p.course))
		}
		if !unit.Positive(p.spacing) {
			ps.Errorf("swath-zero", where, "Enter the pass spacing that the course was walked for, such as 7 ft.",
				"the pass spacing is %s", unit.US.Length(p.spacing))
		}
	} else {
		ps = p.checkArea(where)
	}
	if p.passes < 0 {
		ps.Errorf("passes-negative", where, "Enter how many passes make the plot, or leave it out for one.", "the plot has %d passes", p.passes)
	}
	if ps.HasErrors() {
		return ps
	}
	if s := p.apart(); s != 0 && !(s >= leastSpacing && s <= mostSpacing) {
		ps.Errorf("absurd", where, "Enter the distance between neighbouring walking lines, and check its unit: feet for inches, or metres for feet, is the usual slip.",
			"a pass spacing of %s (%s) is outside 0.5 ft to 60 ft", unit.US.Length(s), unit.Metric.Length(s))
	}
	return ps
}

// checkArea finds what is wrong with a plot that is given by its area.
func (p plot) checkArea(where string) (ps problem.List) {
	if !unit.Positive(p.area) {
		ps.Errorf("area-zero", where, "Enter the area of the plot with its unit, such as 1000 sq ft.",
			"the area of the plot is %s", unit.US.Area(p.area))
	}
	if p.course != 0 && p.spacing != 0 {
		ps.Errorf("plot-twice", where, "Leave out the area, the course or the spacing: two of them give the third.",
			"the plot is given by its area (%s) and by its course and spacing (%s)", unit.US.Area(p.area), unit.US.Area(plot{p.course, p.spacing, p.passes, 0}.size()))
	}
	if p.course != 0 && !unit.Positive(p.course) {
		ps.Errorf("course-zero", where, "Enter the length of one pass with its unit, or leave it out.", "the course is %s long", unit.US.Length(p.course))
	}
	if p.spacing != 0 && !unit.Positive(p.spacing) {
		ps.Errorf("swath-zero", where, "Enter the pass spacing with its unit, or leave it out.", "the pass spacing is %s", unit.US.Length(p.spacing))
	}
	return ps
}

// work shows the area, and the spacing and the length walked where they are not as entered. The
// expression is the area as later steps use it.
func (p plot) work(w *working.Working, in working.Units, wide string) working.Expr {
	course := working.Of("course", p.course, in.Length)
	passes := working.Number("passes", float64(p.count()))
	switch {
	case p.area == 0 && p.count() == 1:
		w.Add("area treated", course.Times(working.Of(wide, p.spacing, in.Width)), p.size(), in.Area, "")
	case p.area == 0:
		w.Add("area treated", course.Times(working.Of(wide, p.spacing, in.Width)).Times(passes), p.size(), in.Area, "")
		w.Add("length walked", course.Times(passes), p.walked(), in.Length, "")
	case p.course != 0:
		w.Add("length walked", course.Times(passes), p.walked(), in.Length, "")
		w.Add(wide, working.Of("area", p.area, in.Area).Over(working.Of("length walked", p.walked(), in.Length)), p.apart(), in.Width, "",
			"What the passes stand for on this plot: plan with the same spacing.")
	case p.spacing != 0:
		w.Add("length walked", working.Of("area", p.area, in.Area).Over(working.Of(wide, p.spacing, in.Width)), p.walked(), in.Length, "")
	}
	return working.Of("area treated", p.size(), in.Area)
}

// text is the plot on one line: "200 ft x 5.0 ft = 1,000 sq ft".
func (p plot) text(u unit.System) string {
	t := u.Area(p.size())
	switch {
	case p.area != 0 && p.passes > 1:
		return fmt.Sprintf("%s in %d passes", t, p.passes)
	case p.area != 0:
		return t
	case p.passes > 1:
		return fmt.Sprintf("%s x %s x %d passes = %s", u.Length(p.course), u.Length(p.spacing), p.passes, t)
	}
	return fmt.Sprintf("%s x %s = %s", u.Length(p.course), u.Length(p.spacing), t)
}
