package dayfile

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tankful/calc/label"
	"tankful/calc/unit"
)

// stocked is the small day with products that have every entry.
var stocked = strings.Replace(small, "products:\n", `products:
  - name: Spread
    form: granule
    code: GR
    analysis: {grade: 20-5-10, slow_n: 5 %, other: {Fe: 2 %, Mn: 0.4 %}}
    containers: [{name: bag, holds: 50 lb}]
    label:
      most: 5 lb/1000 sq ft
      citation: made up
      dated: 2026-01-05
      limits:
        - {of: N, per: year, most: 4 lb N/1000 sq ft, grass: bermuda, citation: a county, dated: 2026-02-01}
        - {of: N, basis: quick, per: application, most: 0.7 lb/1000 sq ft}
        - {of: N, least_slow: 20 %, blackout: {from: 11-15, to: 03-01}}
  - name: Killer
    form: liquid
    code: 2 EC
    density: 9.1 lb/gal
    analysis: none
    active: 30 %
    active_per_volume: 2.73 lb/gal
    containers:
      - {name: jug, holds: 2.5 gal}
      - {name: drum, holds: 30 gal}
    measure: 0.5 fl oz
    label:
      most: 1.5 fl oz/1000 sq ft
      least_in_mix: 0.25 % v/v
      most_in_mix: 2 fl oz/gal
      interval: 4 weeks
      limits:
        - {per: 30 days, most: 3 fl oz/1000 sq ft, times: 2, applicator: gun}
      buffers:
        - {near: water, distance: 25 ft, applicator: gun}
        - {near: well, distance: 50 ft, citation: a county, dated: 2026-02-01}
      not_with: [Feed, wettable]
      ppe: [Gloves., Goggles.]
      citation: made up
      dated: 2026-01-05
  - name: Powder
    form: dry
    code: 75 WDG
    class: flowable
    in_tank: 1.5 kg/L
    measure: 0.25 oz wt
    label: {most_in_mix: 2 lb/100 gal, citation: made up}
`, 1)

func TestProducts(t *testing.T) {
	day, problems := parse(stocked)
	if problems.HasErrors() || len(day.Products) != 5 {
		t.Fatalf("got %d products, %v", len(day.Products), problems)
	}
	spread, killer, powder := day.Products[0], day.Products[1], day.Products[2]
	near := func(name string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
	a := spread.Analysis
	if a.Grade() != "20-5-10" || a.SlowN != 0.05 || a.Other["Fe"] != 0.02 || a.Other["Mn"] != 0.004 || a.None || spread.Class != "" || spread.Code != "GR" {
		t.Errorf("spread: got %+v", spread)
	}
	near("bag", spread.Containers[0].Holds.Dry.In(unit.Pound), 50)
	year, quick, slow := spread.Label.Limits[0], spread.Label.Limits[1], spread.Label.Limits[2]
	if year.Of != "N" || year.Per != label.PerYear || year.Grass != "bermuda" || year.Citation != "a county" || year.Dated != "2026-02-01" ||
		quick.Basis != label.Quick || quick.Per != label.PerApplication || quick.Citation != "made up" || quick.Dated != "2026-01-05" ||
		slow.LeastSlow != 0.2 || slow.From != "11-15" || slow.To != "03-01" || slow.Per != "" {
		t.Errorf("limits: got %+v", spread.Label.Limits)
	}
	if want := fmt.Sprintf("day.yaml:%d products[0].label.limits[2]", lineWith(t, stocked, "least_slow: 20 %")); slow.Where != want {
		t.Errorf("a limit's place: got %s, want %s", slow.Where, want)
	}
	near("4 lb N", year.Most.Dry.In(unit.PoundPerThousand), 4)
	near("0.7 lb", quick.Most.Dry.In(unit.PoundPerThousand), 0.7)
	l := killer.Label
	if killer.Class != label.Emulsifiable || !killer.Analysis.None || killer.Active != 0.3 || l.IntervalDays != 28 || len(l.NotWith) != 2 || len(l.PPE) != 2 || len(killer.Containers) != 2 ||
		l.Limits[0].Of != "Killer" || l.Limits[0].Days != 30 || l.Limits[0].Times != 2 || l.Limits[0].Applicator != "gun" ||
		l.Buffers[0].Citation != "made up" || l.Buffers[0].Applicator != "gun" || l.Buffers[1].Citation != "a county" || l.Buffers[1].Near != "well" {
		t.Errorf("killer: got %+v", killer)
	}
	near("active", killer.ActivePerVolume.In(unit.PoundPerGallon), 2.73)
	near("measure", killer.Measure.Liquid.In(unit.FluidOunce), 0.5)
	near("least in mix", l.LeastInMix.Liquid.In(unit.PercentByVolume), 0.25)
	near("most in mix", l.MostInMix.Liquid.In(unit.FluidOuncePerGallon), 2)
	near("3 fl oz", l.Limits[0].Most.Liquid.In(unit.FluidOuncePerThousand), 3)
	near("buffer", l.Buffers[0].Distance.In(unit.Foot), 25)
	if powder.Class != label.Flowable || powder.InTank != 1.5*unit.KilogramPerLitre {
		t.Errorf("powder: got %+v", powder)
	}
	near("powder in mix", powder.Label.MostInMix.Dry.In(unit.PoundPerGallon), 0.02)
}

// One edit of the products, and everything that must then be found.
func TestBadProducts(t *testing.T) {
	for _, c := range []struct {
		old, now string
		code     string
		at       string
		path     string
		says     string
	}{
		{"grade: 20-5-10", "grade: 20-5", "bad-quantity", "grade: 20-5", "products[0].analysis.grade", "18-0-4"},
		{"grade: 20-5-10, ", "", "missing-key", "slow_n", "products[0].analysis.grade", "grade"},
		{"slow_n: 5 %", "slow_n: 5", "missing-unit", "slow_n", "products[0].analysis.slow_n", "18 %"},
		{"slow_n: 5 %", "slow_n: 25 %", "slow-over-total", "- name: Spread", "products[0]", "all its N"},
		{"Fe: 2 %", "Irn: 2 %", "unknown-key", "Irn", "products[0].analysis.other.Irn", "Irn"},
		{"Fe: 2 %", "P: 2 %", "unknown-key", "P: 2", "products[0].analysis.other.P", "P"},
		{"Fe: 2 %", "Fe: 200 %", "bad-quantity", "200", "products[0].analysis.other.Fe", "100"},
		{"analysis: none", "analysis: nothing", "wrong-type", "nothing", "products[1].analysis", "none"},
		{"analysis: none", "analysis:", "empty-value", "analysis:\n", "products[1].analysis", "empty"},
		{"code: GR", "code: WDG", "code-not-for-form", "- name: Spread", "products[0]", "granule"},
		{"    code: 2 EC\n", "", "missing-key", "- name: Killer", "products[1].class", "code"},
		{"code: 2 EC", "code: 2 QQ", "missing-key", "- name: Killer", "products[1].class", "code"},
		{"holds: 50 lb", "holds: 50", "missing-unit", "holds: 50", "products[0].containers[0].holds", "50 lb"},
		{"holds: 50 lb", "holds: 5 gal", "bad-quantity", "holds: 5", "products[0].containers[0].holds", "mass"},
		{"{name: bag, ", "{", "missing-key", "holds: 50", "products[0].containers[0].name", "name"},
		{"containers: [{name: bag, holds: 50 lb}]", "containers: []", "empty-list", "containers: []", "products[0].containers", "no entries"},
		{"most: 4 lb N/1000 sq ft", "most: 4 lb P2O5/1000 sq ft", "bad-quantity", "4 lb P2O5", "products[0].label.limits[0].most", "the limit is of N"},
		{"most: 4 lb N/1000 sq ft", "most: 4 fl oz/1000 sq ft", "bad-quantity", "4 fl oz", "products[0].label.limits[0].most", "volume"},
		{"of: N, per: year", "of: phosphorus, per: year", "nutrient-ambiguous", "phosphorus", "products[0].label.limits[0]", "P2O5"},
		{"of: N, per: year", "of: N, per: month", "bad-quantity", "month", "products[0].label.limits[0].per", "days"},
		{"of: N, per: year", "of: N", "per-missing", "a county", "products[0].label.limits[0]", "per what"},
		{"basis: quick", "basis: slow", "unknown-word", "basis: slow", "products[0].label.limits[1].basis", "quick"},
		{"least_slow: 20 %", "least_slow: 0.2", "missing-unit", "least_slow", "products[0].label.limits[2].least_slow", "18 %"},
		{"from: 11-15", "from: 15 Nov", "date-invalid", "15 Nov", "products[0].label.limits[2].blackout.from", "11-15"},
		{"from: 11-15, ", "", "missing-key", "to: 03-01", "products[0].label.limits[2].blackout.from", "from"},
		{"most: 5 lb/1000 sq ft", "most_in_mix: 5 lb/100 gal", "granule-in-tank", "most_in_mix: 5", "products[0].label.most_in_mix", "granule"},
		{"most_in_mix: 2 lb/100 gal", "most_in_mix: 2 %", "bad-quantity", "most_in_mix: 2 %", "products[2].label.most_in_mix", "w/v"},
		{"most_in_mix: 2 fl oz/gal", "most_in_mix: 2 oz/gal", "ambiguous-unit", "2 oz/gal", "products[1].label.most_in_mix", `"fl oz"`},
		{"least_in_mix: 0.25 % v/v", "least_in_mix: 2.5 % v/v", "limits-crossed", "- name: Killer", "products[1]", "over its most"},
		{"interval: 4 weeks", "interval: 28", "bad-quantity", "interval: 28", "products[1].label.interval", "28 days"},
		{"interval: 4 weeks", "interval: 0 days", "out-of-range", "interval: 0", "products[1].label.interval", "0 days"},
		{"times: 2", "times: 2.5", "not-a-number", "times: 2.5", "products[1].label.limits[0].times", "whole"},
		{"times: 2", "times: 0", "out-of-range", "times: 0", "products[1].label.limits[0].times", "366"},
		{"times: 2, applicator: gun", "times: 2, applicator: cannon", "unknown-word", "cannon", "products[1].label.limits[0].applicator", "boom"},
		{"distance: 25 ft", "distance: 25", "missing-unit", "distance: 25", "products[1].label.buffers[0].distance", "7 ft"},
		{"near: water, ", "", "missing-key", "distance: 25", "products[1].label.buffers[0].near", "near"},
		{"      citation: made up\n      dated: 2026-01-05\n  - name: Powder", "      citation: made up\n  - name: Powder", "dated-missing", "- name: Killer", "products[1]", "when it was read"},
		{"active_per_volume: 2.73 lb/gal", "active_per_volume: 27.3 lb/gal", "out-of-range", "27.3", "products[1].active_per_volume", "3 kg/L"},
		{"active: 30 %", "active: 30", "missing-unit", "active: 30", "products[1].active", "18 %"},
		{"measure: 0.5 fl oz", "measure: 0.5 oz", "ambiguous-unit", "0.5 oz", "products[1].measure", "oz wt"},
		{"in_tank: 1.5 kg/L", "in_tank: 15 kg/L", "out-of-range", "in_tank", "products[2].in_tank", "8 kg/L"},
		{"{product: Feed, rate: 6 fl oz/1000 sq ft}", "{product: Spread, rate: 3 lb/1000 sq ft}", "granule-in-tank", "{product: Spread", "mixes[0].products[0]", "spreader"},
		// The catch gives about 2 gal/1000 sq ft: 3 oz wt would be 9 lb/100 gal.
		{"- product: Iron\n", "- product: Powder\n", "strength-over-label", "rate: 3 oz wt", "mixes[0].products[1].rate", "of mix"},
	} {
		t.Run(c.now, func(t *testing.T) {
			if !strings.Contains(stocked, c.old) {
				t.Fatalf("the day has no %q", c.old)
			}
			text := strings.Replace(stocked, c.old, c.now, 1)
			_, problems := parse(text)
			var found []string
			for _, p := range onlyErrors(problems) {
				found = append(found, p.String())
				if want := fmt.Sprintf("day.yaml:%d %s", lineWith(t, text, c.at), c.path); p.Code == c.code && p.Where == want && strings.Contains(p.String(), c.says) {
					if p.Code != "dated-missing" && len(onlyErrors(problems)) != 1 {
						t.Errorf("got more: %v", list2text(problems))
					}
					return
				}
			}
			t.Errorf("got %s\nwant one %s at line %d %s that says %q", strings.Join(found, "\n"), c.code, lineWith(t, text, c.at), c.path, c.says)
		})
	}
}
