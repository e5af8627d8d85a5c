package calc_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// row is one published figure: inputs as "key=value; key=value", lists as "a|b".
type row struct {
	t                       *testing.T
	id, topic, unit, source string
	in                      map[string]string
	want, tol               float64
}

func (r row) num(key string) float64 {
	r.t.Helper()
	x, err := strconv.ParseFloat(r.in[key], 64)
	if err != nil {
		r.t.Fatalf("%s: input %s: %v", r.id, key, err)
	}
	return x
}

// list reads "77|79|78" and "300x150".
func (r row) list(key string) []float64 {
	r.t.Helper()
	var xs []float64
	for _, f := range strings.FieldsFunc(r.in[key], func(c rune) bool { return c == '|' || c == 'x' }) {
		x, err := strconv.ParseFloat(f, 64)
		if err != nil {
			r.t.Fatalf("%s: input %s: %v", r.id, key, err)
		}
		xs = append(xs, x)
	}
	return xs
}

func (r row) feet(key string) unit.Length        { return unit.Length(r.num(key)) * unit.Foot }
func (r row) inches(key string) unit.Length      { return unit.Length(r.num(key)) * unit.Inch }
func (r row) squareFeet(key string) unit.Area    { return unit.Area(r.num(key)) * unit.SquareFoot }
func (r row) gallons(key string) unit.Volume     { return unit.Volume(r.num(key)) * unit.Gallon }
func (r row) fluidOunces(key string) unit.Volume { return unit.Volume(r.num(key)) * unit.FluidOunce }
func (r row) seconds(key string) unit.Time       { return unit.Time(r.num(key)) * unit.Second }
func (r row) mph(key string) unit.Speed          { return unit.Speed(r.num(key)) * unit.MilePerHour }

func (r row) pounds(key string) unit.Mass { return unit.Mass(r.num(key)) * unit.Pound }

func (r row) density(key string) unit.Density {
	return unit.Density(r.num(key)) * unit.PoundPerGallon
}

// catch works a catch test out for the given area. The published rows give areas and times,
// seldom a course: an area is walked here as if at 2.5 mph, which moves no rate.
func (r row) catch(area unit.Area, caught unit.Volume, runs ...unit.Time) calibrate.Result {
	r.t.Helper()
	for len(runs) < calibrate.LeastRuns {
		runs = append(runs, runs[0])
	}
	course := (2.5 * unit.MilePerHour).For(runs[0])
	res, problems := calibrate.Catch{Course: course, Spacing: area.Divide(course), Runs: runs, Caught: caught}.Result(r.id)
	if problems.HasErrors() {
		r.t.Errorf("%s: %v", r.id, problems)
	}
	return res
}

// good fails the row when there are errors.
func (r row) good(problems problem.List) {
	r.t.Helper()
	if problems.HasErrors() {
		r.t.Errorf("%s: %v", r.id, problems)
	}
}

// bag is a dry product whose label gives the share of one nutrient in a row's input.
func (r row) bag(key string, nutrient unit.Nutrient) label.Product {
	p := label.Product{Name: "product", Form: label.Granule, Class: label.Soluble, Label: label.Label{Citation: r.id}}
	share := label.Share(r.num(key) / 100)
	switch nutrient {
	case unit.N:
		p.Analysis.N = share
	case unit.K2O:
		p.Analysis.K2O = share
	default:
		p.Analysis.Other = map[string]label.Share{string(nutrient): share}
	}
	return p
}

// productFor is the product per 1,000 sq ft that puts on a nutrient.
func productFor(nutrient unit.Nutrient, rate, pct string) func(row) float64 {
	return func(r row) float64 {
		c, problems := r.bag(pct, nutrient).Content(string(nutrient), label.Total, r.id)
		r.good(problems)
		d, problems := c.ForWeight(unit.MassPerArea(r.num(rate))*unit.PoundPerThousand, r.id)
		r.good(problems)
		return d.Rate.Dry.In(unit.PoundPerThousand)
	}
}

// solution is a liquid fertilizer of the row's density and nitrogen.
func (r row) solution() label.Product {
	return label.Product{Name: "product", Form: label.Liquid, Class: label.Soluble, Density: r.density("density_lb_per_gal"),
		Analysis: label.Analysis{N: label.Share(r.num("n_pct") / 100)}, Label: label.Label{Citation: r.id}}
}

// counted is a weight of one nutrient counted as another.
func counted(as unit.Nutrient, from unit.Nutrient, key string) func(row) float64 {
	return func(r row) float64 {
		f, ok := from.As(as)
		if !ok {
			r.t.Errorf("%s: %s is not counted as %s", r.id, from, as)
		}
		return r.num(key) * f
	}
}

// spread is the rate of one weighing on an area, in the order of the kinds' tests.
func (r row) spread(t calibrate.SpreaderTest) unit.MassPerArea {
	res, problems := t.Result(r.id)
	r.good(problems)
	return res.Rate
}

func densityFactor(r row) float64 {
	return calibrate.DensityFactor(r.density("density_lb_per_gal"), unit.Water)
}

func flowAtPressure(r row) float64 {
	psi := func(key string) unit.Pressure { return unit.Pressure(r.num(key)) * unit.PSI }
	return calibrate.FlowAtPressure(unit.Flow(r.num("gpm1"))*unit.GallonPerMinute, psi("psi1"), psi("psi2")).In(unit.GallonPerMinute)
}

// portion is what a one-product recipe puts into a filling.
func (r row) portion(carrier unit.VolumePerArea, rate label.Rate, fill unit.Volume) label.Amount {
	form := label.Liquid
	if rate.Dry != 0 {
		form = label.Dry
	}
	p := label.Product{Name: "product", Form: form, Class: label.Soluble}
	return mix.Recipe{Carrier: carrier, Parts: []mix.Part{{Product: p, Rate: rate}}}.Portions(fill, unit.US)[0].Exact
}

func (r row) fluidOuncesPerAcre(key string) unit.VolumePerArea {
	return unit.VolumePerArea(r.num(key)) * unit.GallonPerAcre / 128
}

// boom is the rate of a flow driven at a speed over a width.
func (r row) boom(f unit.Flow) float64 {
	res, problems := calibrate.Formula{Flow: f, Speed: r.mph("mph"), Width: r.inches("swath_in")}.Result(r.id)
	r.good(problems)
	return res.CarrierRate.In(unit.GallonPerAcre)
}

// band is the rate of a catch over a course and a band.
func (r row) band() float64 {
	return r.catch(r.feet("course_ft").By(r.inches("band_in")), r.fluidOunces("catch_floz"), 60).CarrierRate.In(unit.GallonPerAcre)
}

// course128 is the course of 1/128 acre for a nozzle spacing.
func course128(r row) float64 {
	return (unit.Acre / 128).Divide(r.inches("nozzle_spacing_in")).In(unit.Foot)
}

// diluted is the concentrate for a percent solution.
func (r row) diluted(form label.Form) label.Amount {
	d, problems := mix.Dilute(r.gallons("final_gal"), label.Share(r.num("strength_pct")/100), label.Share(r.num("concentrate_pct")/100), form, r.id)
	r.good(problems)
	return d.Product
}

func courseTime(r row) float64 {
	return r.feet("course_ft").Over(r.mph("mph")).In(unit.Second)
}

func courseLength(r row) float64 {
	return r.squareFeet("course_area_ft2").Divide(r.feet("swath_ft")).In(unit.Foot)
}

func perAcre(r row) float64 {
	return (unit.VolumePerArea(r.num("rate_gal_per_1000ft2")) * unit.GallonPerThousand).In(unit.GallonPerAcre)
}

func water(r row) float64 {
	return (1 * unit.KilogramPerLitre).Of(r.gallons("gal_water")).In(unit.Pound)
}

func readRows(t *testing.T, path string) (rows []row) {
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if want := "id,topic,inputs,answer,unit,tolerance,source"; len(lines) < 2 || strings.Join(lines[0], ",") != want {
		t.Fatalf("%s does not begin with %s", path, want)
	}
	for _, l := range lines[1:] {
		r := row{t: t, id: l[0], topic: l[1], unit: l[4], source: l[6], in: map[string]string{}}
		for _, kv := range strings.Split(l[2], ";") {
			k, v, _ := strings.Cut(strings.TrimSpace(kv), "=")
			r.in[k] = v
		}
		var err1, err2 error
		r.want, err1 = strconv.ParseFloat(l[3], 64)
		r.tol, err2 = strconv.ParseFloat(l[5], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("%s: answer %q, tolerance %q", r.id, l[3], l[5])
		}
		rows = append(rows, r)
	}
	return rows
}
