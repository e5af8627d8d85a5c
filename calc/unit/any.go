package unit

import (
	"errors"
	"fmt"
	"strings"
)

// Parse reads a quantity of any kind and tells the kind by its unit: "4.5 fl oz per 1000 sq
// ft", "200 L/ha", "7' 6\"", "0.25 % v/v". What it gives is a Length, an Area and so on. The error is a
// *ParseError; it names the choices where the text could mean two things.
func Parse(text string) (Quantity, error) {
	k, _, err := head(text)
	if err != nil {
		return nil, &ParseError{Text: text, Want: "quantity", Why: err.Error(), Try: "4.5 fl oz/1000 sq ft"}
	}
	x, err := parse(text, k)
	if err != nil {
		return nil, err
	}
	return quantityOf(k.name, x), nil
}

// ParseIn is Parse, and gives the unit that the text is written in; of a sum, such as
// 7 ft 6 in, the first.
func ParseIn(text string) (Quantity, Unit, error) {
	q, err := Parse(text)
	if err != nil {
		return nil, Unit{}, err
	}
	k, name, err := head(text)
	if err != nil {
		return nil, Unit{}, err // it was read above
	}
	u, err := factor(name, k)
	return q, Unit{u.show, k.name, u.si}, err
}

// head is the kind and the name of the first unit in a text.
func head(text string) (*kind, string, error) {
	s := plain(text)
	if s == "" {
		return nil, "", errors.New("it is empty")
	}
	_, rest, err := number(s)
	if err != nil {
		return nil, "", err
	}
	name := strings.TrimSpace(rest)
	if !isRatio(name) {
		name, _ = cutSum(name)
	}
	k, err := kindOf(name)
	return k, name, err
}

// kindOf tells the kind by the name of a unit.
func kindOf(name string) (*kind, error) {
	name = strings.TrimSpace(name)
	if name == "" {
		return nil, errors.New("the unit is missing")
	}
	if err := unclearUnit(name); err != nil {
		return nil, err
	}
	for _, k := range kinds {
		if _, ok := k.find(name); ok {
			return k, nil
		}
	}
	if err := nutrientUnit(name); err != nil {
		return nil, err
	}
	parts := perRE.Split(name, 2)
	if len(parts) != 2 {
		return nil, fmt.Errorf("the unit %q is not known", name)
	}
	num, err := kindOf(parts[0])
	if err != nil {
		return nil, err
	}
	den, err := kindBelow(parts[1])
	if err != nil {
		return nil, err
	}
	if k := ratio(num, den); k != nil {
		return k, nil
	}
	return nil, fmt.Errorf("%s per %s is no quantity of the trade", num.name, den.name)
}

// kindBelow is the kind of what stands below the line of a ratio: "1000 sq ft", "M".
func kindBelow(text string) (*kind, error) {
	if alone := strings.TrimSpace(text); alone == "M" || alone == "A" {
		return kindArea, nil
	}
	_, name, err := countBelow(text, nil)
	if err != nil {
		return nil, err
	}
	if err := belowLine(name, kindArea); err != nil {
		return nil, err
	}
	if isRatio(name) {
		return nil, fmt.Errorf("%q is itself a rate, and one line is read", name)
	}
	return kindOf(name)
}

// quantityOf is the quantity of kind k with an SI value.
func quantityOf(k Kind, si float64) Quantity {
	switch k {
	case KindLength:
		return Length(si)
	case KindArea:
		return Area(si)
	case KindVolume:
		return Volume(si)
	case KindMass:
		return Mass(si)
	case KindTime:
		return Time(si)
	case KindSpeed:
		return Speed(si)
	case KindFlow:
		return Flow(si)
	case KindPressure:
		return Pressure(si)
	case KindDensity:
		return Density(si)
	case KindVolumePerArea:
		return VolumePerArea(si)
	case KindMassPerArea:
		return MassPerArea(si)
	case KindVolumePerVolume:
		return VolumePerVolume(si)
	}
	panic(fmt.Sprintf("unit: there is no kind %q", k))
}
