package dayfile

import (
	"tankful/calc/unit"
	"tankful/plan"
)

// readWeights reads what things cost besides their time.
func readWeights(c cursor) plan.Weights {
	o, ok := c.object("overtime refill split drive")
	if !ok {
		return plan.Weights{}
	}
	w := plan.Weights{
		Refill: quantity(o.at("refill"), unit.ParseTime, "0 min", "60 min"),
		Split:  quantity(o.at("split"), unit.ParseTime, "0 min", "60 min"),
		Where:  c.where(),
	}
	if !o.has("overtime") && !o.has("refill") && !o.has("split") && !o.has("drive") {
		c.fail("empty-value", "Write overtime, refill, split or drive, or remove the entry.", "weights has no weight")
	}
	if x, ok := o.at("overtime").object("each! counts!"); ok {
		w.OvertimeEach = quantity(x.at("each"), unit.ParseTime, "1 min", "24 h")
		w.Overtime = quantity(x.at("counts"), unit.ParseTime, "0 min", "1440 h")
		if per := w.PerOvertime(); per > plan.MostOvertime*(1+1e-9) {
			x.at("counts").fail("weight-too-large", "Write no more than "+unit.Minutes(plan.MostOvertime)+" for each minute.", "a minute of overtime counts for %s", unit.Minutes(per))
		}
	}
	if x, ok := o.at("drive").object("each! counts!"); ok {
		w.DriveEach = quantity(x.at("each"), unit.ParseLength, "0.1 mi", "100 mi")
		w.Drive = quantity(x.at("counts"), unit.ParseTime, "0 min", "100 h")
		if per := w.PerMile(); per > plan.MostWeight*(1+1e-9) {
			x.at("counts").fail("weight-too-large", "Write no more than "+unit.Minutes(plan.MostWeight)+" for each mile.", "a mile of road counts for %s", unit.Minutes(per))
		}
	}
	return w
}
