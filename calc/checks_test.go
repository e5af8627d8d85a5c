// Package calc_test holds the calc packages against a table of published check values
// that is not part of the repository.
package calc_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/mix"
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
	swept := r.mph("mph").For(unit.Minute).By(r.inches("swath_in"))
	return f.For(unit.Minute).Per(swept).In(unit.GallonPerAcre)
}

// band is the rate of a catch over a course and a band.
func (r row) band() float64 {
	return r.catch(r.feet("course_ft").By(r.inches("band_in")), r.fluidOunces("catch_floz"), 60).CarrierRate.In(unit.GallonPerAcre)
}

// course128 is the course of 1/128 acre for a nozzle spacing.
func course128(r row) float64 {
	return (unit.Acre / 128).Divide(r.inches("nozzle_spacing_in")).In(unit.Foot)
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

// computed says how our code works each row out, in the row's unit.
var computed = map[string]func(row) float64{
	"P01": courseLength, "A01": courseLength, "P05": perAcre, "A04": perAcre,
	"P02": func(r row) float64 { return r.mph("mph").In(unit.FootPerSecond) },
	"A02": func(r row) float64 {
		var runs []unit.Time
		for _, s := range r.list("runs_s") {
			runs = append(runs, unit.Time(s))
		}
		return r.catch(unit.Thousand, 5*unit.Gallon, runs...).Mean.In(unit.Second)
	},
	"A03": func(r row) float64 {
		return r.catch(r.squareFeet("course_area_ft2"), r.gallons("catch_gal"), r.seconds("course_s")).CarrierRate.In(unit.GallonPerThousand)
	},
	"A06": func(r row) float64 {
		side := r.list("course_ft")
		area := (unit.Length(side[0]) * unit.Foot).By(unit.Length(side[1]) * unit.Foot)
		return r.catch(area, r.fluidOunces("catch_floz"), r.seconds("course_s")).CarrierRate.In(unit.GallonPerAcre)
	},
	"A07": func(r row) float64 {
		return r.gallons("tank_gal").At(unit.VolumePerArea(r.num("rate_gal_per_acre")) * unit.GallonPerAcre).In(unit.Acre)
	},
	"A12": func(r row) float64 {
		return r.catch(r.squareFeet("course_area_ft2"), r.gallons("output_gal"), r.seconds("time_s")).CarrierRate.In(unit.GallonPerThousand)
	},
	"B01": func(r row) float64 { return r.boom(unit.Flow(r.num("gpm")) * unit.GallonPerMinute) },
	"B02": func(r row) float64 { return r.boom(r.fluidOunces("ozpm").During(unit.Minute)) },
	"B04": func(r row) float64 {
		area := r.feet("course_ft").By(r.inches("nozzle_spacing_in"))
		return r.catch(area, r.fluidOunces("catch_floz"), r.seconds("time_s")).CarrierRate.In(unit.GallonPerAcre)
	},
	"B08": row.band, "B10": row.band, "B11": row.band,
	"B12": func(r row) float64 {
		return r.catch(r.feet("course_ft").By(r.feet("swath_ft")), r.gallons("gal_used"), 180).CarrierRate.In(unit.GallonPerAcre)
	},
	"B20": course128, "B21": course128, "B22": course128, "B24": course128, "B26": course128, "B28": course128,
	"B30": func(r row) float64 { return r.squareFeet("area_ft2").Divide(r.inches("band_in")).In(unit.Foot) },
	"P03": courseTime, "BS01": courseTime, "BS02": courseTime, "BS04": courseTime, "BS05": courseTime, "BS07": courseTime,
	"BS09": courseTime, "BS10": courseTime, "BS11": courseTime, "BS13": courseTime, "BS14": courseTime, "BS15": courseTime, "BS16": courseTime,
	"BS17": func(r row) float64 { return r.mph("mph").In(unit.FootPerMinute) },
	"BS21": func(r row) float64 {
		return (100 * unit.Metre).Per(r.seconds("time_s_per_100m")).In(unit.KilometrePerHour)
	},
	"C01": func(r row) float64 { return r.squareFeet("area_ft2").Divide(r.feet("spray_width_ft")).In(unit.Foot) },
	"C03": func(r row) float64 {
		return r.catch(unit.Acre/128, r.fluidOunces("catch_floz"), 60).CarrierRate.In(unit.GallonPerAcre)
	},
	"C04": func(r row) float64 {
		carrier := unit.VolumePerArea(r.num("gpa")) * unit.GallonPerAcre
		return r.portion(carrier, label.Rate{Liquid: r.fluidOuncesPerAcre("rate_floz_per_acre")}, unit.Gallon).Liquid.In(unit.FluidOunce)
	},
	// A strength is product in so much mix: a rate of 1 carried by concentrate / strength.
	"C09": func(r row) float64 {
		carrier := unit.VolumePerArea(r.num("concentrate_pct")/r.num("strength_pct")) * unit.GallonPerAcre
		return r.portion(carrier, label.Rate{Liquid: unit.GallonPerAcre}, r.gallons("final_gal")).Liquid.In(unit.Gallon)
	},
	"C11": func(r row) float64 {
		share := unit.Mass(r.num("strength_pct") / r.num("concentrate_pct"))
		return (share * r.density("water_lb_per_gal").Of(r.gallons("final_gal"))).In(unit.Pound)
	},
	"C16": func(r row) float64 {
		rate := label.Rate{Dry: unit.MassPerArea(r.num("product_lb_per_100gal")) * unit.PoundPerAcre}
		return r.portion(100*unit.GallonPerAcre, rate, r.gallons("volume_gal")).Dry.In(unit.Pound)
	},
	"C17": func(r row) float64 {
		rate := label.Rate{Liquid: unit.VolumePerArea(r.num("product_qt_per_100gal")) * unit.GallonPerAcre / 4}
		return r.portion(100*unit.GallonPerAcre, rate, r.gallons("volume_gal")).Liquid.In(unit.Quart)
	},
	"C21": func(r row) float64 {
		return (unit.Area(r.num("area_m2")) * unit.SquareMetre).Divide(unit.Length(r.num("swath_m")) * unit.Metre).In(unit.Metre)
	},
	"D05": func(r row) float64 { return r.squareFeet("area_ft2").Divide(r.feet("swath_ft")).In(unit.Foot) },
	"D06": func(r row) float64 {
		side := r.list("tarp_ft")
		area := (unit.Length(side[0]) * unit.Foot).By(unit.Length(side[1]) * unit.Foot)
		return (unit.Mass(r.num("collected_lb")) * unit.Pound).Per(area).In(unit.PoundPerThousand)
	},
	"D08": func(r row) float64 {
		return (unit.Mass(r.num("collected_lb")) * unit.Pound).Per(r.squareFeet("area_ft2")).In(unit.PoundPerThousand)
	},
	"D16": func(r row) float64 {
		rate := (unit.Mass(r.num("rate_kg_per_100m2")) * unit.Kilogram).Per(100 * unit.SquareMetre)
		return rate.Over(unit.Area(r.num("area_m2"))).In(unit.Gram)
	},
	"E02": func(r row) float64 {
		rate := label.Rate{Dry: unit.MassPerArea(r.num("lb_per_1000ft2")) * unit.PoundPerThousand}
		return rate.Over(r.squareFeet("area_ft2")).Dry.In(unit.Pound)
	},
	"F18": func(r row) float64 { return r.squareFeet("area_ft2").In(unit.Acre) },
	"F22": func(r row) float64 { return r.squareFeet("area_ft2").In(unit.Acre) },
	"G01": func(r row) float64 {
		side := r.list("area_ft")
		area := (unit.Length(side[0]) * unit.Foot).By(unit.Length(side[1]) * unit.Foot)
		need := (unit.VolumePerArea(r.num("rate_gal_per_1000ft2")) * unit.GallonPerThousand).Over(area)
		fills, problems := mix.Tankfuls(need, mix.Tank{Capacity: 20 * unit.Gallon, Heel: unit.Gallon}, unit.US)
		if len(problems) > 0 {
			r.t.Errorf("%s: %v", r.id, problems)
		}
		var total unit.Volume
		for _, f := range fills {
			total += f.Volume
		}
		return total.In(unit.Gallon)
	},
	"G02": func(r row) float64 {
		rate := label.Rate{Liquid: unit.VolumePerArea(r.num("rate_pt_per_acre")) * unit.GallonPerAcre / 8}
		return rate.Over(unit.Area(r.num("area_acre")) * unit.Acre).Liquid.In(unit.Gallon)
	},
	"G06": func(r row) float64 {
		carrier := unit.VolumePerArea(r.num("gpa")) * unit.GallonPerAcre
		return r.portion(carrier, label.Rate{Liquid: r.fluidOuncesPerAcre("rate_floz_per_acre")}, r.gallons("mix_gal")).Liquid.In(unit.FluidOunce)
	},
	"J01": func(r row) float64 { return (unit.Area(r.num("acre")) * unit.Acre).In(unit.SquareFoot) },
	"J02": func(r row) float64 { return (unit.Area(r.num("acre")) * unit.Acre).In(unit.SquareMetre) },
	"J03": func(r row) float64 { return r.gallons("gal").In(unit.FluidOunce) },
	"J05": func(r row) float64 { return r.fluidOunces("floz").In(unit.Millilitre) },
	"J07": water, "J08": water,
	"J09": func(r row) float64 { return float64(r.gallons("gal")) / math.Pow(float64(unit.Inch), 3) },
	"J11": func(r row) float64 {
		return (unit.MassPerArea(r.num("lb_per_acre")) * unit.PoundPerAcre).In(unit.KilogramPerHectare)
	},
	"J12": func(r row) float64 { return r.density("lb_per_gal").In(unit.KilogramPerLitre) * 1e6 },
	"J14": func(r row) float64 {
		return r.num("acre_inch") * float64(unit.Acre) * float64(unit.Inch) / math.Pow(float64(unit.Foot), 3)
	},
	"J18": func(r row) float64 {
		return (unit.Volume(r.num("tbsp")) * unit.Tablespoon).In(unit.FluidOunce)
	},
}

// leftOut says why a row is not worked out here: reason -> ids. A row that is neither here
// nor in computed fails the test, so that a new one is looked at.
var leftOut = map[string]string{
	"the swath of a boomless nozzle is entered as measured, not derived from the wetted width": "B06",
	"no prediction of a rate from a changed speed: the operator catches again":                 "B13",
	"no correction for dense products: the product itself is caught":                           "BD01 BD02 BD03 BD04 BD05 BD06 BD07 BD09 BD11 BD13 BD14 BD16",
	"no prediction of a flow from a changed pressure: the operator catches again":              "BP04 BP06 BP07",
	"nozzle-by-nozzle boom checks are left out":                                                "BN01",
	"a 30 mL fluid ounce is a working factor for a cup; ours is 29.57 mL":                      "C06",
	"nutrients are left out": "D01 D11 E01 E05 E08 E10 E12 E13 E14 E17 E18 E19 E21 E23 " +
		"E24 E26",
	"spreaders are left out":  "D02 D07 D09",
	"whole bags are left out": "E06",
	"areas of outlines are checked in geo (TestHandbookAreas, ExampleMeasure)": "F01 F02 F03 F05 F07 F08 F10 F14 F15 F17 F20 F24 F25 F26 " +
		"F27 F29",
}

func TestPublishedValues(t *testing.T) {
	root := os.Getenv("TANKFUL_SHARED")
	if root == "" {
		t.Skip("TANKFUL_SHARED is not set: the published check values are not part of the repository")
	}
	rows := readRows(t, filepath.Join(root, "reference", "checks.csv"))
	left := map[string]string{}
	for why, list := range leftOut {
		for _, id := range strings.Fields(list) {
			left[id] = why
		}
	}
	var ids []string
	done := 0
	for _, r := range rows {
		ids = append(ids, r.id)
		f, ok := computed[r.id]
		if !ok {
			if left[r.id] == "" {
				t.Errorf("%s (%s): neither worked out nor left out with a reason", r.id, r.topic)
			}
			continue
		}
		done++
		if got := f(r); !(math.Abs(got-r.want) <= r.tol) {
			t.Errorf("%s: got %.6g %s, want %g within %g (%s)", r.id, got, r.unit, r.want, r.tol, r.source)
		}
	}
	for id := range computed {
		if !slices.Contains(ids, id) {
			t.Errorf("%s is worked out and not in the table", id)
		}
		if left[id] != "" {
			t.Errorf("%s is worked out and left out", id)
		}
	}
	for id := range left {
		if !slices.Contains(ids, id) {
			t.Errorf("%s is left out and not in the table", id)
		}
	}
	t.Logf("%d of %d rows worked out", done, len(rows))
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
