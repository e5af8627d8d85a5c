package unit

// The same few methods for each type: text in both directions, flags and JSON.
//
// Parse* read text with its unit ("7 ft", "2 gal/1000 sq ft"). Set, String and Type make
// a pointer to a quantity a command-line flag; UnmarshalText makes it a field of any text
// format. JSON is a number in the unit given in the package comment; a quantity comes back
// from it within one unit in the last place, and from String bit for bit.

// ParseLength reads a length with its unit; the error is a *ParseError.
func ParseLength(s string) (Length, error) { x, err := parse(s, kindLength); return Length(x), err }

func (q Length) String() string                { return exact(float64(q), kindLength) }
func (q *Length) Set(s string) (err error)     { *q, err = ParseLength(s); return err }
func (q *Length) Type() string                 { return "length" }
func (q *Length) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q Length) MarshalJSON() ([]byte, error)  { return marshal(float64(q), float64(Metre)) }
func (q *Length) UnmarshalJSON(b []byte) error { return unmarshal(b, float64(Metre), (*float64)(q)) }

// ParseArea reads an area with its unit; the error is a *ParseError.
func ParseArea(s string) (Area, error) { x, err := parse(s, kindArea); return Area(x), err }

func (q Area) String() string                { return exact(float64(q), kindArea) }
func (q *Area) Set(s string) (err error)     { *q, err = ParseArea(s); return err }
func (q *Area) Type() string                 { return "area" }
func (q *Area) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q Area) MarshalJSON() ([]byte, error)  { return marshal(float64(q), float64(SquareMetre)) }
func (q *Area) UnmarshalJSON(b []byte) error {
	return unmarshal(b, float64(SquareMetre), (*float64)(q))
}

// ParseVolume reads a volume with its unit; the error is a *ParseError.
func ParseVolume(s string) (Volume, error) { x, err := parse(s, kindVolume); return Volume(x), err }

func (q Volume) String() string                { return exact(float64(q), kindVolume) }
func (q *Volume) Set(s string) (err error)     { *q, err = ParseVolume(s); return err }
func (q *Volume) Type() string                 { return "volume" }
func (q *Volume) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q Volume) MarshalJSON() ([]byte, error)  { return marshal(float64(q), float64(Litre)) }
func (q *Volume) UnmarshalJSON(b []byte) error { return unmarshal(b, float64(Litre), (*float64)(q)) }

// ParseMass reads a mass with its unit; the error is a *ParseError.
func ParseMass(s string) (Mass, error) { x, err := parse(s, kindMass); return Mass(x), err }

func (q Mass) String() string                { return exact(float64(q), kindMass) }
func (q *Mass) Set(s string) (err error)     { *q, err = ParseMass(s); return err }
func (q *Mass) Type() string                 { return "mass" }
func (q *Mass) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q Mass) MarshalJSON() ([]byte, error)  { return marshal(float64(q), float64(Kilogram)) }
func (q *Mass) UnmarshalJSON(b []byte) error { return unmarshal(b, float64(Kilogram), (*float64)(q)) }

// ParseTime reads a time with its unit; the error is a *ParseError.
func ParseTime(s string) (Time, error) { x, err := parse(s, kindTime); return Time(x), err }

func (q Time) String() string                { return exact(float64(q), kindTime) }
func (q *Time) Set(s string) (err error)     { *q, err = ParseTime(s); return err }
func (q *Time) Type() string                 { return "time" }
func (q *Time) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q Time) MarshalJSON() ([]byte, error)  { return marshal(float64(q), float64(Second)) }
func (q *Time) UnmarshalJSON(b []byte) error { return unmarshal(b, float64(Second), (*float64)(q)) }

// ParseSpeed reads a speed with its unit; the error is a *ParseError.
func ParseSpeed(s string) (Speed, error) { x, err := parse(s, kindSpeed); return Speed(x), err }

func (q Speed) String() string                { return exact(float64(q), kindSpeed) }
func (q *Speed) Set(s string) (err error)     { *q, err = ParseSpeed(s); return err }
func (q *Speed) Type() string                 { return "speed" }
func (q *Speed) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q Speed) MarshalJSON() ([]byte, error)  { return marshal(float64(q), float64(MetrePerSecond)) }
func (q *Speed) UnmarshalJSON(b []byte) error {
	return unmarshal(b, float64(MetrePerSecond), (*float64)(q))
}

// ParseFlow reads a flow with its unit; the error is a *ParseError.
func ParseFlow(s string) (Flow, error) { x, err := parse(s, kindFlow); return Flow(x), err }

func (q Flow) String() string                { return exact(float64(q), kindFlow) }
func (q *Flow) Set(s string) (err error)     { *q, err = ParseFlow(s); return err }
func (q *Flow) Type() string                 { return "flow" }
func (q *Flow) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q Flow) MarshalJSON() ([]byte, error)  { return marshal(float64(q), float64(LitrePerMinute)) }
func (q *Flow) UnmarshalJSON(b []byte) error {
	return unmarshal(b, float64(LitrePerMinute), (*float64)(q))
}

// ParsePressure reads a pressure with its unit; the error is a *ParseError.
func ParsePressure(s string) (Pressure, error) {
	x, err := parse(s, kindPressure)
	return Pressure(x), err
}

func (q Pressure) String() string                { return exact(float64(q), kindPressure) }
func (q *Pressure) Set(s string) (err error)     { *q, err = ParsePressure(s); return err }
func (q *Pressure) Type() string                 { return "pressure" }
func (q *Pressure) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q Pressure) MarshalJSON() ([]byte, error)  { return marshal(float64(q), float64(Kilopascal)) }
func (q *Pressure) UnmarshalJSON(b []byte) error {
	return unmarshal(b, float64(Kilopascal), (*float64)(q))
}

// ParseDensity reads a density with its unit; the error is a *ParseError.
func ParseDensity(s string) (Density, error) { x, err := parse(s, kindDensity); return Density(x), err }

func (q Density) String() string                { return exact(float64(q), kindDensity) }
func (q *Density) Set(s string) (err error)     { *q, err = ParseDensity(s); return err }
func (q *Density) Type() string                 { return "density" }
func (q *Density) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q Density) MarshalJSON() ([]byte, error)  { return marshal(float64(q), float64(KilogramPerLitre)) }
func (q *Density) UnmarshalJSON(b []byte) error {
	return unmarshal(b, float64(KilogramPerLitre), (*float64)(q))
}

// ParseVolumePerArea reads a volume per area with its unit; the error is a *ParseError.
func ParseVolumePerArea(s string) (VolumePerArea, error) {
	x, err := parse(s, kindVolumePerArea)
	return VolumePerArea(x), err
}

func (q VolumePerArea) String() string                { return exact(float64(q), kindVolumePerArea) }
func (q *VolumePerArea) Set(s string) (err error)     { *q, err = ParseVolumePerArea(s); return err }
func (q *VolumePerArea) Type() string                 { return "volume per area" }
func (q *VolumePerArea) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q VolumePerArea) MarshalJSON() ([]byte, error) {
	return marshal(float64(q), float64(LitrePerSquareMetre))
}
func (q *VolumePerArea) UnmarshalJSON(b []byte) error {
	return unmarshal(b, float64(LitrePerSquareMetre), (*float64)(q))
}

// ParseMassPerArea reads a mass per area with its unit; the error is a *ParseError.
func ParseMassPerArea(s string) (MassPerArea, error) {
	x, err := parse(s, kindMassPerArea)
	return MassPerArea(x), err
}

func (q MassPerArea) String() string                { return exact(float64(q), kindMassPerArea) }
func (q *MassPerArea) Set(s string) (err error)     { *q, err = ParseMassPerArea(s); return err }
func (q *MassPerArea) Type() string                 { return "mass per area" }
func (q *MassPerArea) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q MassPerArea) MarshalJSON() ([]byte, error) {
	return marshal(float64(q), float64(KilogramPerSquareMetre))
}
func (q *MassPerArea) UnmarshalJSON(b []byte) error {
	return unmarshal(b, float64(KilogramPerSquareMetre), (*float64)(q))
}

// ParseVolumePerVolume reads a share of a volume of mix with its unit: "2 fl oz/gal", "0.25 %
// v/v"; the error is a *ParseError.
func ParseVolumePerVolume(s string) (VolumePerVolume, error) {
	x, err := parse(s, kindVolumePerVolume)
	return VolumePerVolume(x), err
}

func (q VolumePerVolume) String() string                { return exact(float64(q), kindVolumePerVolume) }
func (q *VolumePerVolume) Set(s string) (err error)     { *q, err = ParseVolumePerVolume(s); return err }
func (q *VolumePerVolume) Type() string                 { return "volume per volume" }
func (q *VolumePerVolume) UnmarshalText(b []byte) error { return q.Set(string(b)) }
func (q VolumePerVolume) MarshalJSON() ([]byte, error) {
	return marshal(float64(q), float64(LitrePerLitre))
}
func (q *VolumePerVolume) UnmarshalJSON(b []byte) error {
	return unmarshal(b, float64(LitrePerLitre), (*float64)(q))
}
