package mix

import (
	"math"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Leftover is mix that is left over, the ground it would still cover, and whether it may go on ground that had the
// mix already.
type Leftover struct {
	Recipe Recipe
	Mix    unit.Volume
	// Covers is the untreated turf that it treats at the full rate, Products what is in it.
	Covers   unit.Area
	Products []Share
	// Again is each product's second application, in the order of adding.
	Again []Again
	// Room is the share of the rate that ground already treated may still have, the least over the products: 1 or more is a
	// whole second application, 0 none.
	Room float64
	// Diluted is the volume to which it must be brought so that the carrier rate puts no more than Room on, rounded up as
	// the gauge is read, and AgainCovers the treated turf that it then takes; zero when Room is 0.
	Diluted     unit.Volume
	AgainCovers unit.Area
}

// Again is one product on ground that had it already.
type Again struct {
	Product     label.Product
	Rate, Twice label.Rate
	// Room is most / rate - 1, never under 0; it is 0 too where the label has an interval or no most is entered.
	Room float64
	// Why says what limits it: "", "interval", "no most entered", "most".
	Why string
}

// LeftoverLines are what may be done with mix left over (Pesticide Environmental Stewardship, Reduce the Need for
// Disposal: rinsate and mix go on labelled sites within the rate). They defer to the label.
var LeftoverLines = []string{
	"The product labels say where it may go; they override these lines.",
	"First choice: turf that its labels allow and that has had none of it, at the full rate.",
	"Never into a drain, a ditch, a street or a well, and never on one spot.",
	"Mix only what the measured turf needs.",
}

// Leftover works out where v of the mix may go. That a second application passes a label is a warning: the figure is
// what shows it.
func (r Recipe) Leftover(v unit.Volume, s unit.System, where string) (Leftover, problem.List) {
	var ps problem.List
	sized(&ps, float64(r.Carrier), "carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate of the mix is %s", unit.US.CarrierRate(r.Carrier))
	sized(&ps, float64(v), "volume-zero", where, "Give the mix that is left, less the heel, with its unit, such as 6 gal.", "%s of mix is left", s.Volume(v))
	for _, p := range r.Parts {
		sized(&ps, rateFigure(p.Rate, p.Product.Form), "rate-zero", where, "Give the rate per area with its unit.", "the rate of %s is %s", p.Product.Name, p.Rate.Text(s))
	}
	if ps.HasErrors() {
		return Leftover{}, ps
	}
	l := Leftover{Recipe: r, Mix: v, Covers: v.At(r.Carrier), Products: r.held(v), Room: math.Inf(1)}
	for _, p := range r.Ordered() {
		a := again(p)
		l.Again, l.Room = append(l.Again, a), min(l.Room, a.Room)
		ps = append(ps, a.problem(s, where)...)
	}
	if len(l.Again) == 0 {
		l.Room = 1 // water
	}
	if l.Room > 0 {
		l.Diluted = v
		if l.Room < 1 {
			l.Diluted = upToStep(l.exact(), s)
		}
		l.AgainCovers = l.Diluted.At(r.Carrier)
	}
	return l, ps
}

// exact is the volume in which the carrier rate puts just Room of the rate on, before it is rounded up.
func (l Leftover) exact() unit.Volume { return unit.Volume(float64(l.Mix) / l.Room) }

// upToStep is v rounded up as the gauge is read: more water, never a stronger mix.
func upToStep(v unit.Volume, s unit.System) unit.Volume {
	r := s.RoundVolume(v)
	if unit.Exceeds(v, r) {
		r = s.RoundVolume(r + s.VolumeStep())
	}
	return r
}

func again(p Part) Again {
	f := p.Product.Form
	a := Again{Product: p.Product, Rate: p.Rate, Twice: p.Rate.Plus(p.Rate)}
	rate, most := rateFigure(p.Rate, f), rateFigure(p.Product.Label.Most, f)
	switch {
	case p.Product.Label.IntervalDays > 0:
		a.Why = "interval"
	case most == 0:
		a.Why = "no most entered"
	default:
		if unit.Exceeds(most, rate) {
			a.Room = (most - rate) / rate
		}
		if unit.Exceeds(2*rate, most) {
			a.Why = "most"
		}
	}
	return a
}

func (a Again) problem(s unit.System, where string) (ps problem.List) {
	const elsewhere = "Put it on turf that has had none of it."
	switch l := a.Product.Label; a.Why {
	case "interval":
		ps.Warnf("again-interval", where, elsewhere, "the label of %s asks for %d days between two applications, so that none goes on ground treated today", a.Product.Name, l.IntervalDays)
	case "no most entered":
		ps.Warnf("no-label-limit", where, "Enter the highest rate per application that the label allows.", "no highest rate is entered for %s, so that a second application cannot be checked", a.Product.Name)
	case "most":
		ps.Warnf("again-over-label", where, elsewhere, "a second application brings %s to %s, over the label's most, %s", a.Product.Name, a.Twice.Text(s), l.Most.Text(s))
	}
	return ps
}

// Facts are where it may go.
func (l Leftover) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{fact("mix left", mixText(l.Mix, s)), fact("covers at the full rate", s.Area(l.Covers)+" that has had none of it")}
	for _, p := range l.Products {
		fs = append(fs, fact("in it, "+p.Name, p.Amount.Text(s)))
	}
	switch {
	case l.Room == 0:
		fs = append(fs, fact("on ground already treated", "none may go"))
	case l.Room < 1:
		fs = append(fs, fact("on ground already treated", "at no more than "+unit.Percent(roundDown(l.Room), 1)+" of the rate: brought to "+s.Volume(l.Diluted)+" with water, over at least "+s.Area(l.AgainCovers)))
	default:
		fs = append(fs, fact("on ground already treated", "the labels' most per application leaves room for a second one at the full rate"))
	}
	for _, t := range LeftoverLines {
		fs = append(fs, fact("where it goes", t))
	}
	return fs
}

// roundDown takes a share down to a tenth of a per cent.
func roundDown(x float64) float64 { return math.Floor(x*1000+1e-9) / 1000 }

// Working shows the ground that it covers and the room for a second application.
func (l Leftover) Working(s unit.System) (w working.Working) {
	u := working.UnitsOf(s)
	w.Add("covers", working.Of("mix left", l.Mix, u.Mix).Over(working.Of("carrier rate", l.Recipe.Carrier, u.Carrier)), l.Covers, u.Area, s.Area(l.Covers))
	l.Recipe.heldSteps(&w, "mix left", l.Mix, s)
	for _, a := range l.Again {
		f, most := a.Product.Form, a.Product.Label.Most
		once := ofRate("once", a.Rate, f, s)
		addRate(&w, a.Product.Name+" on ground treated twice", once.Plus(once), a.Twice, f, s, a.Twice.Text(s))
		switch {
		case a.Why == "interval" || a.Why == "no most entered":
			w.Say("room for more of "+a.Product.Name, "none", map[string]string{"interval": "The label asks for days between two applications.", "no most entered": "No highest rate is entered, so that nothing can be said."}[a.Why])
		case a.Room == 0:
			w.Say("room for more of "+a.Product.Name, "none", "The rate is the label's most, "+most.Text(s)+".")
		default:
			w.AddPercent("room for more of "+a.Product.Name, ofRate("label's most", most, f, s).Minus(ofRate("rate", a.Rate, f, s)).Over(ofRate("rate", a.Rate, f, s)), a.Room, unit.Percent(a.Room, 1)+" of the rate",
				"Label: "+a.Product.Label.Citation+".")
		}
	}
	if l.Room > 0 && l.Room < 1 {
		w.Add("bring it with water to", working.Of("mix left", l.Mix, u.Mix).Over(working.Percent("least room", l.Room)), l.exact(), u.Mix, "at least "+s.Volume(l.Diluted), "So weak that the carrier rate puts on no more than there is room for.")
		w.Add("over treated ground", working.Of("diluted", l.Diluted, u.Mix).Over(working.Of("carrier rate", l.Recipe.Carrier, u.Carrier)), l.AgainCovers, u.Area, "at least "+s.Area(l.AgainCovers))
	}
	return w
}
