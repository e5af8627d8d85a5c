package calibrate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// SettingTrial is one mark that was tried and the rate it gave.
type SettingTrial struct {
	Setting float64          `json:"setting"`
	Rate    unit.MassPerArea `json:"rate_kg_per_m2"`
}

// SettingSearch finds the mark for a wanted rate between marks that were tried with the same product, pace
// and pass spacing.
type SettingSearch struct {
	Setup Setup
	// Tried are at least two marks of the spreader's own scale, as decimal numbers; where the scale has
	// letters, count A as 1.
	Tried  []SettingTrial
	Wanted unit.MassPerArea
	// Step is the least that the scale can be set to, such as 0.25 of a mark. 0 takes ScaleStep, which the working says.
	Step float64
}

// ScaleStep is how finely a scale is taken to be set where nothing is said: a tenth of a mark (common
// practice, no source).
const ScaleStep = 0.1

// MostSettingGap is the ratio of two neighbouring tried rates above which a straight line between them is
// called rough (common practice, no source).
const MostSettingGap = 2.0

// SettingResult is the mark to set.
type SettingResult struct {
	// Between is the mark by the straight line, Setting the same to a step of the scale: set this.
	Between float64 `json:"between"`
	Setting float64 `json:"setting"`
	// Rate is what Setting gives by the straight line, Off how far that is off the wanted rate, as a share.
	Rate unit.MassPerArea `json:"rate_kg_per_m2"`
	Off  float64          `json:"off"`
	// Below and Above are the two marks that the straight line joins, by setting.
	Below SettingTrial `json:"below"`
	Above SettingTrial `json:"above"`
	// PerMark is what one whole mark between the two does to the rate; below 0 where a higher mark is a smaller gate.
	PerMark unit.MassPerArea `json:"per_mark_kg_per_m2"`

	search SettingSearch
	step   float64
	sorted []SettingTrial
}

// Result finds the setting: a straight line between the two tried marks whose rates lie on either side of
// the wanted one. A rate outside all that was tried is refused: how a gate goes on beyond them, nobody
// has seen. The tried rates must rise with the setting all the way, or fall all the way.
//
//	setting = lower mark + (upper mark - lower mark) x (wanted - rate at lower) / (rate at upper - rate at lower)
//
// (linear interpolation; its use for a spreader's gate is common practice, no source). The result is
// rounded to a step of the scale within the tried marks, and the rate there is worked out again.
func (q SettingSearch) Result(where string) (SettingResult, problem.List) {
	ps := q.entries(where)
	if ps.HasErrors() {
		return SettingResult{}, ps
	}
	r := SettingResult{search: q, step: q.Step, sorted: slices.Clone(q.Tried)}
	if r.step == 0 {
		r.step = ScaleStep
	}
	slices.SortFunc(r.sorted, func(a, b SettingTrial) int { return cmp.Compare(a.Setting, b.Setting) })
	i, found := bracketRate(r.sorted, q.Wanted)
	if !found {
		q.refuseBeyond(&ps, r.sorted, where)
		return SettingResult{}, ps
	}
	r.Below, r.Above = r.sorted[i], r.sorted[i+1]
	r.PerMark = r.perMark(i)
	share := float64((q.Wanted - r.Below.Rate) / (r.Above.Rate - r.Below.Rate))
	r.Between = r.Below.Setting + share*(r.Above.Setting-r.Below.Setting)
	r.Setting = r.onScale(r.Between)
	r.Rate = r.rateAt(r.Setting)
	r.Off = float64((r.Rate - q.Wanted) / q.Wanted)
	if r.Above.Rate > MostSettingGap*r.Below.Rate || r.Below.Rate > MostSettingGap*r.Above.Rate {
		ps.Warnf("settings-far-apart", where, "Try the setting that was found, and search again with it.",
			"between %s and %s the rate goes from %s to %s: a straight line over such a step is rough",
			working.Figures(r.Below.Setting), working.Figures(r.Above.Setting), unit.US.MassRate(r.Below.Rate), unit.US.MassRate(r.Above.Rate))
	}
	if JudgeRate(r.Off) != RateAccepted {
		ps.Warnf("scale-coarse", where, "Set the nearest mark and change the pace, or the pass spacing, for the rest.",
			"the nearest mark, %s, is %s the wanted rate", working.Figures(r.Setting), offText(r.Off))
	}
	return r, ps
}

// entries finds what is wrong with the marks and the rates.
func (q SettingSearch) entries(where string) (ps problem.List) {
	checkWantedMass(&ps, q.Wanted, where)
	if q.Step != 0 && !unit.Positive(q.Step) {
		ps.Errorf("step-zero", where, "Enter the least that the scale can be set to, such as 0.25, or leave it out.", "the step of the scale is %s", unit.Number(q.Step, 2))
	}
	if n := len(q.Tried); n < 2 {
		ps.Errorf("too-few-settings", where, "Try two settings, one that gives less than the wanted rate and one that gives more.", "%d settings are given", n)
	}
	for i, t := range q.Tried {
		if !unit.Positive(t.Setting) || t.Setting > mostSetting {
			ps.Errorf("setting-negative", where, "Enter each mark of the spreader's own scale as a number, A as 1 where it has letters.", "setting %d is %s", i+1, unit.Number(t.Setting, 2))
		}
		if !unit.Positive(t.Rate) || t.Rate > mostMassRate*(1+adviceNoise) {
			ps.Errorf("rate-zero", where, "Enter the rate that each setting gave with its unit, such as 4.2 lb/1000 sq ft.", "setting %s gave %s", working.Figures(t.Setting), unit.US.MassRate(t.Rate))
		}
	}
	if ps.HasErrors() {
		return ps
	}
	sorted := slices.Clone(q.Tried)
	slices.SortStableFunc(sorted, func(a, b SettingTrial) int { return cmp.Compare(a.Setting, b.Setting) })
	rising := sorted[len(sorted)-1].Rate > sorted[0].Rate
	for i, b := range sorted[1:] {
		a := sorted[i]
		switch {
		case b.Setting == a.Setting:
			ps.Errorf("setting-twice", where, "Enter each setting once, with the mean rate of its trials.", "setting %s is given twice, with %s and %s",
				working.Figures(a.Setting), unit.US.MassRate(a.Rate), unit.US.MassRate(b.Rate))
		case b.Rate == a.Rate || (b.Rate > a.Rate) != rising:
			ps.Errorf("settings-crossed", where, "Weigh these settings again; the rate must go one way all along the scale.",
				"setting %s gave %s and setting %s gave %s", working.Figures(a.Setting), unit.US.MassRate(a.Rate), working.Figures(b.Setting), unit.US.MassRate(b.Rate))
		}
	}
	return ps
}

// refuseBeyond says which way to try on.
func (q SettingSearch) refuseBeyond(ps *problem.List, sorted []SettingTrial, where string) {
	low, high := sorted[0], sorted[len(sorted)-1]
	if low.Rate > high.Rate {
		low, high = high, low
	}
	end := high
	if q.Wanted < low.Rate {
		end = low
	}
	way := "above"
	if end == sorted[0] {
		way = "below"
	}
	ps.Errorf("beyond-tried", where, fmt.Sprintf("Try a setting %s %s, and search again with what it gives.", way, working.Figures(end.Setting)),
		"%s is wanted, and the settings tried give %s to %s: nothing is guessed beyond them", unit.US.MassRate(q.Wanted), unit.US.MassRate(low.Rate), unit.US.MassRate(high.Rate))
}

// bracketRate finds i such that the wanted rate lies between trials i and i+1, ends included.
func bracketRate(sorted []SettingTrial, wanted unit.MassPerArea) (i int, found bool) {
	for i := range len(sorted) - 1 {
		low, high := sorted[i].Rate, sorted[i+1].Rate
		if low > high {
			low, high = high, low
		}
		if wanted >= low*(1-adviceNoise) && wanted <= high*(1+adviceNoise) {
			return i, true
		}
	}
	return 0, false
}

// bracketSetting is the last i such that trial i is not above the setting, and i+1 is a trial.
func bracketSetting(sorted []SettingTrial, setting float64) int {
	i := 0
	for i+2 < len(sorted) && sorted[i+1].Setting <= setting {
		i++
	}
	return i
}

// onScale is setting to a step of the scale, within the tried marks; where no step lies within them, it
// is the setting itself.
func (r SettingResult) onScale(setting float64) float64 {
	least, most := r.sorted[0].Setting, r.sorted[len(r.sorted)-1].Setting
	x := unit.Round(setting, r.step)
	if x > most+adviceNoise {
		x = unit.Round(math.Floor(most/r.step+adviceNoise)*r.step, r.step)
	}
	if x < least-adviceNoise {
		x = unit.Round(math.Ceil(least/r.step-adviceNoise)*r.step, r.step)
	}
	if x > most+adviceNoise || x < least-adviceNoise {
		return setting
	}
	return x
}

func (r SettingResult) perMark(i int) unit.MassPerArea {
	marks := r.sorted[i+1].Setting - r.sorted[i].Setting
	return (r.sorted[i+1].Rate - r.sorted[i].Rate) / unit.MassPerArea(marks)
}

func (r SettingResult) rateAt(setting float64) unit.MassPerArea {
	i := bracketSetting(r.sorted, setting)
	marks := setting - r.sorted[i].Setting
	return r.sorted[i].Rate + unit.MassPerArea(marks)*r.perMark(i)
}
