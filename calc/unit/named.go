package unit

import "fmt"

// Unit is a unit by its name: what figures are converted to. The zero value is no unit.
type Unit struct {
	name string
	kind Kind
	si   float64
}

// ParseUnit reads the name of a unit in any spelling that Parse reads behind a number:
// "L/ha", "gpa", "fl oz/M". The error is a *ParseError; it names the choices where the name could mean two things.
func ParseUnit(name string) (Unit, error) {
	t := plain(name)
	k, err := kindOf(t)
	if err != nil {
		return Unit{}, &ParseError{Text: name, Want: "unit", Why: err.Error(), Try: "fl oz/1000 sq ft"}
	}
	u, err := factor(t, k)
	if err != nil {
		return Unit{}, &ParseError{Text: name, Want: "unit of " + string(k.name), Why: err.Error(), Try: k.units.list[0].show}
	}
	return Unit{u.show, k.name, u.si}, nil
}

// Name is the unit's name as it is printed, which Parse reads: "gal/1000 sq ft".
func (u Unit) Name() string { return u.name }

// Kind is what the unit measures.
func (u Unit) Kind() Kind { return u.kind }

// Of is x of the unit.
func (u Unit) Of(x float64) Quantity { return quantityOf(u.kind, x*u.si) }

// Number is q as a number of the unit; the error says that q is of another kind. Of(Number(q)) is q
// to the last bit where a float64 of the unit can hold it.
func (u Unit) Number(q Quantity) (float64, error) {
	if q.Kind() != u.kind {
		return 0, fmt.Errorf("%s is %s, and a %s is wanted", u.name, article(string(u.kind)), q.Kind())
	}
	return inUnit(q.SI(), u.si), nil
}

// In gives q as a number of the unit of that name, as ParseUnit reads it: In(20*GallonPerAcre, "L/ha").
func In(q Quantity, name string) (float64, error) {
	u, err := ParseUnit(name)
	if err != nil {
		return 0, err
	}
	return u.Number(q)
}

// unitsOf are the units that each kind is converted to, in the order in which the trade asks for them.
var unitsOf = map[Kind]map[System][]string{
	KindLength:   {US: {"in", "ft", "yd", "mi"}, Metric: {"cm", "m", "km"}},
	KindArea:     {US: {"sq ft", "acre", "sq yd"}, Metric: {"m2", "ha"}},
	KindVolume:   {US: {"gal", "qt", "pt", "cup", "fl oz", "tbsp", "tsp"}, Metric: {"L", "mL"}},
	KindMass:     {US: {"lb", "oz wt", "short ton"}, Metric: {"kg", "g", "tonne"}},
	KindTime:     {US: {"s", "min", "h"}, Metric: {"s", "min", "h"}},
	KindSpeed:    {US: {"mph", "ft/min", "ft/s"}, Metric: {"km/h", "m/min", "m/s"}},
	KindFlow:     {US: {"gal/min", "fl oz/min", "fl oz/s"}, Metric: {"L/min", "mL/min", "mL/s"}},
	KindPressure: {US: {"psi"}, Metric: {"bar", "kPa"}},
	KindDensity:  {US: {"lb/gal", "lb/100 gal", "oz wt/gal"}, Metric: {"kg/L", "g/L", "g/100 mL"}},
	KindVolumePerArea: {US: {"gal/1000 sq ft", "fl oz/1000 sq ft", "gal/acre", "qt/acre", "pt/acre", "fl oz/acre"},
		Metric: {"L/ha", "L/100 m2", "mL/100 m2", "mL/m2"}},
	KindMassPerArea: {US: {"lb/1000 sq ft", "oz wt/1000 sq ft", "lb/acre", "oz wt/acre"},
		Metric: {"kg/ha", "kg/100 m2", "g/m2"}},
	KindVolumePerVolume: {US: {"% v/v", "fl oz/gal", "gal/100 gal", "qt/100 gal", "pt/100 gal", "fl oz/100 gal"},
		Metric: {"% v/v", "mL/L", "L/100 L", "mL/100 L"}},
}

// Units are the units of s that a quantity of kind k is converted to, in trade order: gallons
// per 1,000 sq ft before gallons per acre. The slice is the caller's own.
func Units(k Kind, s System) []Unit {
	var list []Unit
	for _, name := range unitsOf[k][s] {
		u, err := ParseUnit(name)
		if err != nil {
			panic(err) // the table above is at fault
		}
		list = append(list, u)
	}
	return list
}
