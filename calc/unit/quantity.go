package unit

// Kind names what a quantity measures: "length", "volume per area".
type Kind string

// The kinds, one a type.
const (
	KindLength          Kind = "length"
	KindArea            Kind = "area"
	KindVolume          Kind = "volume"
	KindMass            Kind = "mass"
	KindTime            Kind = "time"
	KindSpeed           Kind = "speed"
	KindFlow            Kind = "flow"
	KindPressure        Kind = "pressure"
	KindDensity         Kind = "density"
	KindVolumePerArea   Kind = "volume per area"
	KindMassPerArea     Kind = "mass per area"
	KindVolumePerVolume Kind = "volume per volume"
)

// Quantity is any quantity of this package, for what treats them all alike: working shown,
// conversion.
type Quantity interface {
	SI() float64 // the value in the SI unit of its kind
	Kind() Kind
}

func (q Length) SI() float64          { return float64(q) }
func (q Area) SI() float64            { return float64(q) }
func (q Volume) SI() float64          { return float64(q) }
func (q Mass) SI() float64            { return float64(q) }
func (q Time) SI() float64            { return float64(q) }
func (q Speed) SI() float64           { return float64(q) }
func (q Flow) SI() float64            { return float64(q) }
func (q Pressure) SI() float64        { return float64(q) }
func (q Density) SI() float64         { return float64(q) }
func (q VolumePerArea) SI() float64   { return float64(q) }
func (q MassPerArea) SI() float64     { return float64(q) }
func (q VolumePerVolume) SI() float64 { return float64(q) }

func (Length) Kind() Kind          { return KindLength }
func (Area) Kind() Kind            { return KindArea }
func (Volume) Kind() Kind          { return KindVolume }
func (Mass) Kind() Kind            { return KindMass }
func (Time) Kind() Kind            { return KindTime }
func (Speed) Kind() Kind           { return KindSpeed }
func (Flow) Kind() Kind            { return KindFlow }
func (Pressure) Kind() Kind        { return KindPressure }
func (Density) Kind() Kind         { return KindDensity }
func (VolumePerArea) Kind() Kind   { return KindVolumePerArea }
func (MassPerArea) Kind() Kind     { return KindMassPerArea }
func (VolumePerVolume) Kind() Kind { return KindVolumePerVolume }

// Simple looks up the name of a unit that is no ratio, as Parse reads it: "gal", "sq ft",
// "fl oz"; it gives what it measures and its SI value. What Parse refuses, "oz" or "M", is no unit here either.
func Simple(name string) (k Kind, si float64, ok bool) {
	if unclearUnit(name) != nil {
		return "", 0, false
	}
	for _, kind := range simpleKinds {
		if u, ok := kind.find(name); ok {
			return kind.name, u.si, true
		}
	}
	return "", 0, false
}
