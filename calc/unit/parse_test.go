package unit_test

import (
	"encoding/json"
	"errors"
	"flag"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/unit"
)

// anyKind lets one table hold every kind of quantity.
func anyKind[T ~float64](parse func(string) (T, error)) func(string) (float64, error) {
	return func(s string) (float64, error) { x, err := parse(s); return float64(x), err }
}

var parsers = map[string]func(string) (float64, error){
	"length":          anyKind(unit.ParseLength),
	"area":            anyKind(unit.ParseArea),
	"volume":          anyKind(unit.ParseVolume),
	"mass":            anyKind(unit.ParseMass),
	"time":            anyKind(unit.ParseTime),
	"speed":           anyKind(unit.ParseSpeed),
	"flow":            anyKind(unit.ParseFlow),
	"pressure":        anyKind(unit.ParsePressure),
	"density":         anyKind(unit.ParseDensity),
	"volume per area": anyKind(unit.ParseVolumePerArea),
	"mass per area":   anyKind(unit.ParseMassPerArea),

	"volume per volume": anyKind(unit.ParseVolumePerVolume),
}

// Wanted values are written as SI numbers worked out by hand from the definitions: 1 ft =
// 0.3048 m, 1 US gal = 3.785411784 L, 1 lb = 0.45359237 kg, 1 acre = 4046.8564224 m2.
func TestParse(t *testing.T) {
	for _, c := range []struct {
		kind, text string
		want       float64
	}{
		{"length", "7 ft", 2.1336},
		{"length", "7ft", 2.1336},
		{"length", "7 Feet", 2.1336},
		{"length", "  7   ft ", 2.1336},
		{"length", "7\u00a0ft", 2.1336},
		{"length", "7 ft 6 in", 2.286},
		{"length", "7ft 6in.", 2.286},
		{"length", "7 ft .5 in", 2.1463},
		{"length", "-7 ft 6 in", -2.286},
		{"length", "1 1/2 in", 0.0381},
		{"length", "-1 1/2 in", -0.0381},
		{"length", "-1/2 in", -0.0127},
		{"length", "-0 1/2 in", -0.0127},
		{"length", "+18.5 ft", 5.6388},
		{"length", "1e3 mm", 1},
		{"length", "2.5 mi", 4023.36},
		{"area", "1,250 sq ft", 116.1288},
		{"area", "1,250 sq. ft.", 116.1288},
		{"area", "81,000ft2", 7525.14624},
		{"area", "1000 ft²", 92.90304},
		{"area", "1 acre 500 sq ft", 4093.3079424},
		{"area", "0.25 ha", 2500},
		{"volume", "150 gal", 0.5678117676},
		{"volume", "3 gal 28.5 fl oz", 0.012199081725984375},
		{"volume", "1 1/2 pt", 0.000709764709},
		{"volume", "12 Fl. Oz.", 0.000354882354750},
		{"volume", "200 mL", 0.0002},
		{"volume", "1 imp gal", 0.00454609},
		{"mass", "50 lb", 22.6796185},
		{"mass", "8 oz wt", 0.226796185},
		{"mass", "1 lb 8 oz wt", 0.680388555},
		{"mass", "2 t", 2000},
		{"time", "1 min 18 s", 78},
		{"time", "1 h 30 min", 5400},
		{"time", "78 sec", 78},
		{"speed", "3 mph", 1.34112},
		{"speed", "4.4 ft/s", 1.34112},
		{"speed", "3 miles per hour", 1.34112},
		{"speed", "3.6 km/h", 1},
		{"flow", "3.5 gal/min", 0.00022081568740},
		{"flow", "3.5 gpm", 0.00022081568740},
		{"pressure", "2 bar", 200000},
		{"pressure", "40 psi", 275790.29172673443},
		{"density", "10 lb/gal", 1198.264273},
		{"density", "1.2 kg/L", 1200},
		{"volume per area", "2 gal/1000 sq ft", 8.14916667e-5},
		{"volume per area", "2 gal / 1,000 sq ft", 8.14916667e-5},
		{"volume per area", "4.5 fl oz per 1000 sq ft", 1.43247070e-6},
		{"volume per area", "1 1/2 pt/acre", 1.75386679e-7},
		{"volume per area", "200 L/ha", 2e-5},
		{"volume per area", "20 gpa", 1.87079125e-5},
		{"mass per area", "3 lb/1000 sq ft", 0.014647283},
		{"mass per area", "1 lb per acre", 1.1208511e-4},
		{"mass per area", "4 oz wt/1000 sq ft", 0.0012206069},
	} {
		got, err := parsers[c.kind](c.text)
		if err != nil {
			t.Errorf("%s %q: %v", c.kind, c.text, err)
			continue
		}
		// The wanted figures have eight significant digits or more.
		if math.Abs(got-c.want) > 1e-7*math.Abs(c.want) {
			t.Errorf("%s %q: got %.10g, want %.10g (SI)", c.kind, c.text, got, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ kind, text, why string }{
		{"length", "", "empty"},
		{"length", "   ", "empty"},
		{"length", "7", "unit is missing"},
		{"length", "7 1/2", "unit is missing"},
		{"length", "ft", "begin with a number"},
		{"length", "NaN ft", "begin with a number"},
		{"length", "Inf ft", "begin with a number"},
		{"length", "1e999 ft", "out of range"},
		{"length", "1e308 km", "out of range"},
		{"length", "1/0 ft", "divides by zero"},
		{"length", "7 gal", `"gal" is a volume`},
		{"length", "7 ft 6", "unit is missing"},
		{"length", "7 ft -6 in", "one sign"},
		{"length", "6 in 7 ft", "large units to small"},
		{"length", "7 ft 7 ft", "large units to small"},
		{"length", "0x10 ft", "not known"},
		{"length", "1 000 ft", "two numbers stand in a row"},
		{"length", "7 ft 1,5 in", "decimal point or a thousands mark"},
		{"volume", "12 oz", `"fl oz" for volume or "oz wt" for weight`},
		{"mass", "12 oz", `"fl oz" for volume or "oz wt" for weight`},
		{"mass", "12 Ounces", `"fl oz" for volume or "oz wt" for weight`},
		{"mass", "12 fl oz", `"fl oz" is a volume`},
		{"volume", "12 oz wt", `"oz wt" is a mass`},
		{"mass", "1 ton", "2,000 lb or 1,000 kg"},
		{"mass", "1 T", `"short ton", "tonne" or "tbsp"`},
		{"volume", "1,5 gal", "decimal point or a thousands mark"},
		{"volume", "1,25,000 gal", "decimal point or a thousands mark"},
		{"volume", "2 gal/1000 sq ft", "is a volume per area"},
		{"volume", "2 gal per 1000 sq ft", "is a volume per area"},
		{"volume", "2 gal/firkin", "is a rate"},
		{"time", "1:18", `"1 min 18 s" or "1 h 18 min"`},
		{"time", "5 m", `"m" is a length`},
		{"volume per area", "5", "unit is missing"},
		{"volume per area", "5 gal", "volume per area, with both units"},
		{"volume per area", "5 gal/", "unit is missing"},
		{"volume per area", "5 gal/1000", "per 1000 of what"},
		{"volume per area", "5 gal per 1,000", "per 1000 of what"},
		{"volume per area", "5 gal/0 acre", "per 0 of something"},
		{"volume per area", "5 gal/-1 acre", "per -1 of something"},
		{"volume per area", "5 gal/1,5 acre", "decimal point or a thousands mark"},
		{"volume per area", "5 oz/1000 sq ft", `"fl oz" for volume`},
		{"volume per area", "5 lb/1000 sq ft", `"lb/1000 sq ft" is a mass per area`},
		{"volume per area", "5 gal/1000 ft", `"ft" is a length`},
		{"mass per area", "5 oz/acre", `"oz wt" for weight`},
		{"mass per area", "5 fl oz/acre", `"fl oz/acre" is a volume per area`},
		{"speed", "3 gal/h", `"gal/h" is a flow`},
	} {
		x, err := parsers[c.kind](c.text)
		var pe *unit.ParseError
		if !errors.As(err, &pe) {
			t.Errorf("%s %q: got %v (SI) and error %v, want a ParseError", c.kind, c.text, x, err)
			continue
		}
		if x != 0 || pe.Text != c.text || pe.Want != c.kind || !strings.Contains(pe.Why, c.why) {
			t.Errorf("%s %q: got %g, %+v; want 0 and a reason with %q", c.kind, c.text, x, pe, c.why)
		}
		if _, err := parsers[c.kind](pe.Try); err != nil {
			t.Errorf("%s: the example %q is itself refused: %v", c.kind, pe.Try, err)
		}
	}
}

// A named rate and the same rate spelled out are the same float64, so that a limit entered
// one way and a rate entered the other never differ.
func TestParseSameBits(t *testing.T) {
	for _, c := range []struct{ kind, a, b string }{
		{"volume per area", "20 gpa", "20 gal/acre"},
		{"volume per area", "2 gal/1000 sq ft", "2 gallons per 1,000 square feet"},
		{"speed", "3 mph", "3 mi/h"},
		{"flow", "3.5 gpm", "3.5 gal/min"},
		{"flow", "3.5 lpm", "3.5 L/min"},
		{"volume per area", "2 gal/M", "2 gal per thousand sq ft"},
		{"mass per area", "0.7 lb/A", "0.7 lb per acre"},
		{"volume per volume", "0.1 %v/v", "0.1 % by volume"},
		{"density", "0.7 % w/v", "0.7 g/100 mL"},
	} {
		a, err1 := parsers[c.kind](c.a)
		b, err2 := parsers[c.kind](c.b)
		if err1 != nil || err2 != nil || a != b {
			t.Errorf("%q is %g (%v), %q is %g (%v)", c.a, a, err1, c.b, b, err2)
		}
	}
}

// quantity is what every type of the package can do.
type quantity[T any] interface {
	*T
	flag.Value
	Type() string
	UnmarshalText([]byte) error
	json.Unmarshaler
}

// laws holds for every type: parse(print(x)) == x to the bit; JSON comes back within one
// unit in the last place. Sizes under 1e-200 are left out: a subnormal float64 in SI may have
// no neighbour in another unit, and no lawn is that small.
func laws[T interface {
	~float64
	String() string
	json.Marshaler
}, P quantity[T]](t *testing.T) {
	var zero T
	t.Run(P(&zero).Type(), rapid.MakeCheck(func(t *rapid.T) {
		x := rapid.OneOf(rapid.Float64Range(-1e9, 1e9), rapid.Float64Range(-1, 1),
			rapid.Float64Range(-1e-9, 1e-9)).Filter(func(x float64) bool { return x == 0 || math.Abs(x) > 1e-200 }).Draw(t, "x")
		q := T(x)
		var viaText, viaFlag, viaJSON T
		if err := P(&viaText).UnmarshalText([]byte(q.String())); err != nil || viaText != q {
			t.Fatalf("%v reads back as %v (%v)", q, viaText, err)
		}
		if err := P(&viaFlag).Set(q.String()); err != nil || viaFlag != q {
			t.Fatalf("flag %v reads back as %v (%v)", q, viaFlag, err)
		}
		b, err := json.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(b, &viaJSON); err != nil {
			t.Fatal(err)
		}
		if d := math.Abs(float64(viaJSON - q)); d > math.Nextafter(math.Abs(x), math.Inf(1))-math.Abs(x) {
			t.Fatalf("JSON %s reads back %g apart from %v", b, d, q)
		}
	}))
}

func TestRoundTrip(t *testing.T) {
	laws[unit.Length](t)
	laws[unit.Area](t)
	laws[unit.Volume](t)
	laws[unit.Mass](t)
	laws[unit.Time](t)
	laws[unit.Speed](t)
	laws[unit.Flow](t)
	laws[unit.Pressure](t)
	laws[unit.Density](t)
	laws[unit.VolumePerArea](t)
	laws[unit.MassPerArea](t)
	laws[unit.VolumePerVolume](t)
}

func TestJSON(t *testing.T) {
	var in struct {
		Fill unit.Volume        `json:"fill_l"`
		Rate unit.VolumePerArea `json:"carrier_l_per_m2"`
		Flow unit.Flow          `json:"flow_l_per_min"`
	}
	if err := json.Unmarshal([]byte(`{"fill_l":567.8,"carrier_l_per_m2":0.08,"flow_l_per_min":12}`), &in); err != nil {
		t.Fatal(err)
	}
	// 567.8 L = 0.5678 m3; 0.08 L/m2 = 8e-5 m3/m2 = 800 L/ha; 12 L/min = 2e-4 m3/s.
	if in.Fill != 0.5678 || math.Abs(float64(in.Rate)-8e-5) > 1e-19 || math.Abs(float64(in.Flow)-2e-4) > 1e-18 {
		t.Errorf("read %v, %v, %v", float64(in.Fill), float64(in.Rate), float64(in.Flow))
	}
	b, err := json.Marshal(in)
	if want := `{"fill_l":567.8,"carrier_l_per_m2":0.08,"flow_l_per_min":12}`; err != nil || string(b) != want {
		t.Errorf("wrote %s (%v), want %s", b, err, want)
	}
	for _, bad := range []string{`{"fill_l":"150 gal"}`, `{"fill_l":1e999}`, `{"fill_l":true}`} {
		if err := json.Unmarshal([]byte(bad), &in); err == nil {
			t.Errorf("%s is read as %v", bad, in.Fill)
		}
	}
	var p unit.Pressure
	if err := json.Unmarshal([]byte("1e307"), &p); err == nil {
		t.Errorf("1e307 kPa is read as %v", p)
	}
	if b, err := json.Marshal(unit.Volume(math.NaN())); err == nil {
		t.Errorf("NaN is written as %s", b)
	}
}
