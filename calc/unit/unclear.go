package unit

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
)

// unclear are units that people write and that could be two things, with the choices.
var unclear = map[string]string{
	"oz":       `"oz" could be a volume or a weight: write "fl oz" for volume or "oz wt" for weight`,
	"ton":      `"ton" could be 2,000 lb or 1,000 kg: write "short ton" or "tonne"`,
	"#":        `"#" could be pounds or a count: write "lb"`,
	"%":        `"%" could be by volume, by weight, or a weight in a volume: write "% v/v" or "% w/v"; a share by weight needs the weight worked out`,
	"part":     `a "part" could be by volume or by weight, of the mix or to the water: write both amounts with their units, such as "1 gal/100 gal"`,
	"ppm":      `"ppm" could be by volume or by weight: write "mL/m3" or "mg/L"`,
	"gr":       `"gr" could be a gram or a grain: write "g"`,
	"T":        `"T" could be a ton of 2,000 lb, a tonne of 1,000 kg or a tablespoon: write "short ton", "tonne" or "tbsp"`,
	"G":        `"G" could be a gallon or a gram: write "gal" or "g"`,
	"M":        `"M" is 1,000 sq ft below the line of a rate and nothing else: write "m" for metres or "1000 sq ft"`,
	"A":        `"A" is an acre below the line of a rate and nothing else: write "acre"`,
	"imp oz":   `"imp oz" could be a volume or a weight: write "imp fl oz" or "oz wt"`,
	"thousand": `"thousand" says not of what: write "1000 sq ft"`,
}

// alike are more spellings of the unclear units, in lower case.
var alike = map[string]string{"ounce": "oz", "ounces": "oz", "ozs": "oz", "tons": "ton", "%": "%", "percent": "%", "pct": "%", "per cent": "%",
	"part": "part", "parts": "part", "oz": "oz", "ton": "ton", "#": "#", "#s": "#", "ppm": "ppm", "gr": "gr", "grs": "gr", "imp oz": "imp oz",
	"% w/w": "%", "%w/w": "%", "% by weight": "%", "thousand": "thousand"}

// unclearUnit gives the choices for a unit that could be two things; nil when it is none of
// them. Single capitals count only as capitals.
func unclearUnit(name string) error {
	if len(name) != 1 || name == "#" || name == "%" {
		name = alike[strings.ReplaceAll(strings.ToLower(name), ".", "")]
	}
	if why, ok := unclear[name]; ok {
		return errors.New(why)
	}
	return nil
}

// belowLine gives the choices for what is unclear only as the area below the line of a rate.
func belowLine(name string, k *kind) error {
	if k != kindArea {
		return nil
	}
	switch name {
	case "m":
		return errors.New(`"m" is a metre and "M" is 1,000 sq ft: write "/M", "/1000 sq ft" or "/m2"`)
	case "a":
		return errors.New(`"a" could be an acre or an are of 100 m2: write "/acre" or "/100 m2"`)
	case "ft", "feet", "foot", "'":
		return fmt.Errorf(`%q is a length: write "/1000 sq ft" for an area`, name)
	}
	return nil
}

// nutrientRE finds a nutrient behind a weight: "lb N", "lb of P2O5".
var nutrientRE = regexp.MustCompile(`(?i)^(.*?\S) (?:of )?(n|p2o5|k2o|p|k|nitrogen|phosphate|phosphorus|potash|potassium)$`)

// isOther refuses a unit that is read as one of another kind than k. What stands above the
// line of k alone is none: it wants what stands below.
func isOther(name string, k *kind) error {
	if other, err := kindOf(name); err == nil && other != k && other != k.num {
		return fmt.Errorf("%q is %s", name, article(string(other.name)))
	}
	return nil
}

// unknownUnit says why n is not a unit of kind k, which has no such name.
func unknownUnit(n string, k *kind) error {
	if err := nutrientUnit(n); err != nil {
		return err
	}
	if err := isOther(n, k); err != nil {
		return err
	}
	if perRE.MatchString(n) {
		return fmt.Errorf("%q is a rate, and one %s is wanted", n, k.name)
	}
	var known []string
	for _, u := range k.units.list {
		known = append(known, u.show)
	}
	return fmt.Errorf("the unit %q is not known here (known: %s)", n, strings.Join(known, ", "))
}

// nutrientUnit refuses a weight of a nutrient where a weight is wanted: a pound of nitrogen is
// two to ten pounds of product.
func nutrientUnit(n string) error {
	m := nutrientRE.FindStringSubmatch(n)
	if m == nil {
		return nil
	}
	if _, ok := kindMass.find(m[1]); !ok {
		return nil
	}
	return fmt.Errorf("%q is a weight of a nutrient, not of a product", n)
}
