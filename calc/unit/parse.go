package unit

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// ParseError says why a text is not a quantity and what to write instead.
type ParseError struct {
	Text string // what was given
	Want string // the kind of quantity: "volume per area"
	Why  string // what is wrong with it
	Try  string // something that would be read: "2 gal/1000 sq ft"
}

func (e *ParseError) Error() string {
	return fmt.Sprintf("%q is not %s: %s; write for example %q", e.Text, article(e.Want), e.Why, e.Try)
}

// article puts "a" or "an" before a noun.
func article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// kind is one sort of quantity: its names, the unit it prints exactly in, an example.
type kind struct {
	name  string
	units map[string]float64 // name -> SI factor; nil for a ratio
	num   *kind              // ratio: numerator
	den   *kind              // ratio: denominator
	exact string             // unit for String
	si    float64            // SI value of that unit
	base  string             // the SI unit, for the few values that exact cannot hold
	try   string
}

var (
	kindLength = &kind{name: "length", exact: "m", si: 1, try: "7 ft", units: names(
		"m metre metres meter meters", Metre, "mm millimetre millimetres millimeter millimeters", Millimetre,
		"cm centimetre centimetres centimeter centimeters", Centimetre, "km kilometre kilometres kilometer kilometers", Kilometre,
		"in inch inches", Inch, "ft foot feet", Foot, "yd yard yards", Yard, "mi mile miles", Mile)}
	kindArea = &kind{name: "area", exact: "m2", si: 1, try: "5000 sq ft", units: names(
		"m2 m² sq_m sqm square_metre square_metres square_meter square_meters", SquareMetre,
		"ha hectare hectares", Hectare, "ft2 ft² sq_ft sqft square_foot square_feet", SquareFoot,
		"yd2 yd² sq_yd sqyd square_yard square_yards", SquareYard, "ac acre acres", Acre)}
	kindVolume = &kind{name: "volume", exact: "L", si: 0.001, base: "m3", try: "150 gal", units: names(
		"m3 m³ cubic_metre cubic_metres cubic_meter cubic_meters", CubicMetre, "l litre litres liter liters", Litre,
		"ml millilitre millilitres milliliter milliliters cc", Millilitre, "gal gals gallon gallons us_gal us_gallon us_gallons", Gallon,
		"qt qts quart quarts", Quart, "pt pts pint pints", Pint, "cup cups", Cup,
		"fl_oz floz fluid_ounce fluid_ounces", FluidOunce, "tbsp tablespoon tablespoons", Tablespoon,
		"tsp teaspoon teaspoons", Teaspoon, "imp_gal imperial_gallon imperial_gallons", ImperialGallon)}
	kindMass = &kind{name: "mass", exact: "kg", si: 1, try: "50 lb", units: names(
		"kg kilogram kilograms", Kilogram, "g gram grams", Gram, "t tonne tonnes", Tonne, "lb lbs pound pounds", Pound,
		"oz_wt oz_av wt_oz dry_oz ounce_weight ounces_weight", Ounce)}
	kindTime = &kind{name: "time", exact: "s", si: 1, try: "32 s", units: names(
		"s sec secs second seconds", Second, "min mins minute minutes", Minute, "h hr hrs hour hours", Hour)}
	kindSpeed = &kind{name: "speed", exact: "m/s", si: 1, try: "3 mph", num: kindLength, den: kindTime, units: names(
		"mph", MilePerHour, "kph kmh", KilometrePerHour)}
	kindFlow = &kind{name: "flow", exact: "L/min", si: 0.001 / 60, base: "m3/s", try: "3.5 gal/min", num: kindVolume, den: kindTime,
		units: names("gpm", GallonPerMinute, "lpm", LitrePerMinute)}
	kindPressure = &kind{name: "pressure", exact: "kPa", si: 1000, base: "Pa", try: "40 psi", units: names(
		"pa", Pascal, "kpa", Kilopascal, "bar", Bar, "psi", PSI)}
	kindDensity       = &kind{name: "density", exact: "kg/L", si: 1000, base: "kg/m3", try: "10.4 lb/gal", num: kindMass, den: kindVolume}
	kindVolumePerArea = &kind{name: "volume per area", exact: "L/m2", si: 0.001, base: "m3/m2", try: "2 gal/1000 sq ft",
		num: kindVolume, den: kindArea, units: names("gpa", GallonPerAcre)}
	kindMassPerArea     = &kind{name: "mass per area", exact: "kg/m2", si: 1, try: "3 lb/1000 sq ft", num: kindMass, den: kindArea}
	kindVolumePerVolume = &kind{name: "volume per volume", exact: "L/L", si: 1, try: "2 fl oz/gal", num: kindVolume, den: kindVolume,
		units: names("%_v/v %v/v", PercentByVolume)}
)

// names builds a table from pairs "name name ...", unit; an underscore stands for a space.
func names(pairs ...any) map[string]float64 {
	m := map[string]float64{}
	for i := 0; i < len(pairs); i += 2 {
		f := si(pairs[i+1])
		for _, n := range strings.Fields(pairs[i].(string)) {
			m[strings.ReplaceAll(n, "_", " ")] = f
		}
	}
	return m
}

func si(u any) float64 {
	switch u := u.(type) {
	case Length:
		return float64(u)
	case Area:
		return float64(u)
	case Volume:
		return float64(u)
	case Mass:
		return float64(u)
	case Time:
		return float64(u)
	case Speed:
		return float64(u)
	case Flow:
		return float64(u)
	case Pressure:
		return float64(u)
	case VolumePerArea:
		return float64(u)
	case VolumePerVolume:
		return float64(u)
	}
	panic(fmt.Sprintf("unit: no SI factor for %T", u))
}

// A number at the head of a text: 1 1/2, 1/2, 1,250.5, .5, 1e3.
var numberRE = regexp.MustCompile(`^[+-]?(?:\d+ \d+/\d+|\d+/\d+|\d[\d,]*(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?)`)

var thousandsRE = regexp.MustCompile(`^[+-]?\d{1,3}(,\d{3})+(\.\d*)?$`)

var perRE = regexp.MustCompile(`\s*/\s*|\s+per\s+`)

// nextRE finds where the next part of a sum begins: "1 min" ends before " 18 s".
var nextRE = regexp.MustCompile(` [+-]?\.?\d`)

// number reads the number at the head of s and gives what is left of s.
func number(s string) (x float64, rest string, err error) {
	t := numberRE.FindString(s)
	if t == "" {
		return 0, s, errors.New("it does not begin with a number")
	}
	rest = s[len(t):]
	if strings.Contains(t, ",") {
		if !thousandsRE.MatchString(t) {
			return 0, s, fmt.Errorf("the comma in %q could be a decimal point or a thousands mark", t)
		}
		t = strings.ReplaceAll(t, ",", "")
	}
	if strings.Contains(t, "/") {
		x, err = fraction(t)
		return x, rest, err
	}
	x, err = strconv.ParseFloat(t, 64)
	if err != nil || math.IsInf(x, 0) {
		return 0, s, fmt.Errorf("%q is out of range", t)
	}
	return x, rest, nil
}

// fraction reads "1/2", "1 1/2", "-1 1/2"; the sign is that of the whole.
func fraction(t string) (float64, error) {
	digits := strings.TrimLeft(t, "+-")
	whole, part, mixed := strings.Cut(digits, " ")
	if !mixed {
		whole, part = "0", digits
	}
	num, den, _ := strings.Cut(part, "/")
	var f [3]float64
	for i, d := range []string{whole, num, den} {
		x, err := strconv.ParseFloat(d, 64)
		if err != nil {
			return 0, fmt.Errorf("%q is out of range", t)
		}
		f[i] = x
	}
	if f[2] == 0 {
		return 0, fmt.Errorf("%q divides by zero", t)
	}
	x := f[0] + f[1]/f[2]
	if t[0] == '-' {
		x = -x
	}
	return x, nil
}

func parse(text string, k *kind) (float64, error) {
	x, err := sum(strings.Join(strings.Fields(text), " "), k)
	if err != nil {
		return 0, &ParseError{Text: text, Want: k.name, Why: err.Error(), Try: k.try}
	}
	return x, nil
}

// sum reads one number with its unit or, for a quantity that is not a ratio, several from
// large units to small: "7 ft 6 in". The sign at the head is that of the whole.
func sum(s string, k *kind) (float64, error) {
	if s == "" {
		return 0, errors.New("it is empty")
	}
	total, sign, last := 0.0, 1.0, math.Inf(1)
	for first := true; s != ""; first = false {
		if !first && (s[0] == '-' || s[0] == '+') {
			return 0, errors.New("a sum of parts has one sign, at its head")
		}
		x, rest, err := number(s)
		if err != nil {
			return 0, err
		}
		if first && s[0] == '-' {
			x, sign = -x, -1
		}
		name, next := strings.TrimSpace(rest), ""
		if k.num == nil {
			if i := nextRE.FindStringIndex(name); i != nil {
				name, next = name[:i[0]], name[i[0]+1:]
			}
		}
		f, err := factor(name, k)
		if err != nil {
			return 0, err
		}
		if f >= last {
			return 0, fmt.Errorf("the parts of a sum go from large units to small, and %q does not", name)
		}
		total, last, s = total+x*f, f, next
	}
	if math.IsInf(total, 0) || math.IsNaN(total) {
		return 0, errors.New("it is out of range")
	}
	return sign * total, nil
}

// factor is the SI value of one of the named unit of kind k. Case and the dots of
// abbreviations do not matter.
func factor(name string, k *kind) (float64, error) {
	name = strings.TrimSpace(name)
	if name == "T" { // a short ton as often as a tonne
		return 0, unknownUnit("ton", k)
	}
	n := strings.ToLower(name)
	if n == "" {
		return 0, errors.New("the unit is missing")
	}
	if f, ok := k.units[strings.ReplaceAll(n, ".", "")]; ok {
		return f, nil
	}
	if k.num == nil {
		return 0, unknownUnit(n, k)
	}
	parts := perRE.Split(n, 2)
	if len(parts) != 2 {
		return 0, fmt.Errorf("it needs a %s per %s, with both units", k.num.name, k.den.name)
	}
	num, err := factor(parts[0], k.num)
	if err != nil {
		return 0, err
	}
	den, err := perWhat(parts[1], k.den)
	if err != nil {
		return 0, err
	}
	return num / den, nil
}

// perWhat is the SI value of what follows "per": "acre", "1000 sq ft".
func perWhat(text string, k *kind) (float64, error) {
	count, name := 1.0, text
	if text != "" && (isDigit(text[0]) || strings.ContainsRune("+-.", rune(text[0]))) {
		x, rest, err := number(text)
		if err != nil {
			return 0, err
		}
		if x <= 0 {
			return 0, fmt.Errorf("it is per %g of something", x)
		}
		if count, name = x, strings.TrimSpace(rest); name == "" {
			return 0, fmt.Errorf("per %g of what: %s?", x, k.try)
		}
	}
	f, err := factor(name, k)
	return count * f, err
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func unknownUnit(n string, k *kind) error {
	switch n {
	case "oz", "ounce", "ounces":
		return errors.New(`"oz" could be a volume or a weight: write "fl oz" for volume or "oz wt" for weight`)
	case "ton", "tons":
		return errors.New(`"ton" could be 2,000 lb or 1,000 kg: write lb, kg or "tonne"`)
	}
	if perRE.MatchString(n) {
		return fmt.Errorf("%q is a rate, and one %s is wanted", n, k.name)
	}
	for _, other := range []*kind{kindLength, kindArea, kindVolume, kindMass, kindTime, kindPressure} {
		if _, ok := other.units[n]; ok && other != k {
			return fmt.Errorf("%q is %s", n, article(other.name))
		}
	}
	var known []string
	for name := range k.units {
		if len(name) <= 5 {
			known = append(known, name)
		}
	}
	slices.Sort(known)
	return fmt.Errorf("the unit %q is not known here (known: %s)", n, strings.Join(known, ", "))
}

// exact prints x so that parsing the text gives x again, bit for bit.
func exact(x float64, k *kind) string {
	u := inUnit(x, k.si)
	name := k.exact
	if u*k.si != x && k.base != "" { // no float64 of this unit is x: fall back on SI
		u, name = x, k.base
	}
	return strconv.FormatFloat(u, 'g', -1, 64) + " " + name
}

// inUnit is x in a unit of the given SI value: the number that comes back to x, where there
// is one, else the nearest. Multiplying a quotient back loses its last bit about one time in ten.
func inUnit(x, si float64) float64 {
	u := x / si
	if u*si == x {
		return u
	}
	for _, v := range []float64{math.Nextafter(u, math.Inf(1)), math.Nextafter(u, math.Inf(-1))} {
		if v*si == x {
			return v
		}
	}
	return u
}

func marshal(x, si float64) ([]byte, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil, fmt.Errorf("unit: %v cannot be written as a number", x)
	}
	return json.Marshal(inUnit(x, si))
}

func unmarshal(b []byte, si float64, q *float64) error {
	var x float64
	if err := json.Unmarshal(b, &x); err != nil {
		return err
	}
	if x *= si; math.IsInf(x, 0) {
		return fmt.Errorf("unit: %s is out of range", b)
	}
	*q = x
	return nil
}
