package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

func mixCommand(e *env) *cobra.Command {
	m := &mixEntries{}
	f := &form{entries: m.entries()}
	var s style
	cmd := &cobra.Command{
		Use:   "mix",
		Short: "What each tankful takes, the full ones and the last part one",
		Long: `Splits the mix for an area into fillings of one tank, the last one sized so that the
tank ends at its heel, and gives the product for each:

  product in a filling = filling / carrier rate x product rate

A product is wanted per area (6 fl oz/1000 sq ft), by a nutrient (0.75 lb N/1000 sq ft, with its
analysis) or in the mix (0.25 % v/v, 2 lb/100 gal). The first filling brings the heel too, mixed
at the same strength. Amounts are rounded to the marks of jug, scale and gauge (--measure, --marks);
what that does to the rate is printed, and no rounding passes the label. --left says where mix left
over may go, --rinse what rinsing takes, --whole which fillings use whole jugs, the entries of the
truck what it weighs.

Several products are several --product, or one with a comma and a space between them. A file says
the same, a line each:

  carrier: 2.05 gal/1000 sq ft
  tank: 200 gal
  heel: 5 gal
  product: [feed=6 fl oz/1000 sq ft, wetter=0.25 % v/v]
  most: [feed=9 fl oz/1000 sq ft]

At a terminal the command asks for the main entries when it is given none.`,
		Example: `  tankful mix --carrier "2.05 gal/1000 sq ft" --tank "200 gal" --heel "5 gal" --area "150,000 sq ft" --product "feed=6 fl oz/1000 sq ft"
  tankful mix --units metric --carrier "835 L/ha" --tank "800 L" --heel "20 L" --area "2.4 ha" --product "iron=4 kg/ha" --most "iron=5 kg/ha"
  tankful mix --carrier "2 gal/1000 sq ft" --tank "50 gal" --heel "1 gal" --product "feed=0.5 lb N/1000 sq ft" --analysis "feed=18-0-4" --density "feed=10.2 lb/gal" --working
  tankful mix --file feed.yaml --left "20 gal" --rinse "10 gal"`,
		Args: quotedArgs,
	}
	f.add(cmd)
	s.add(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		var a mixAnswer
		work := func() (found problem.List, err error) {
			m.areaGiven = f.set["area"]
			a, found, err = m.work(*s.units)
			return found, err
		}
		before := []string{"What goes into each tankful. A product is given as its name, = and its rate."}
		return f.answer(e, cmd, before, &s, work, func(found problem.List) error {
			a.Problems = append(problem.List{}, found...)
			if s.working {
				a.Working = a.steps(*s.units)
			}
			if s.json {
				a.Facts = a.facts(*s.units)
				return printJSON(e.out, a)
			}
			return a.print(e.out, *s.units)
		})
	}
	return cmd
}

// mixAnswer is what `mix` says; the fields without a name in JSON are what it was made from.
type mixAnswer struct {
	Carrier  unit.VolumePerArea `json:"carrier_l_per_m2"`
	Volume   unit.Volume        `json:"volume_l"`
	Heel     unit.Volume        `json:"heel_l"`
	Covers   unit.Area          `json:"covers_m2"`
	Rates    []mixRate          `json:"rates"`
	Tankfuls []tankful          `json:"tankfuls"`
	Totals   []portion          `json:"totals"`
	Facts    []working.Fact     `json:"facts"`
	Working  working.Working    `json:"working,omitempty"`
	Problems problem.List       `json:"problems"`

	doses  []mix.Dose
	run    mix.Run
	totals []mix.Total
	more   []titled
}

// mixRate is a product's rate per area and its strength in the mix.
type mixRate struct {
	Name  string         `json:"name"`
	Rate  label.Rate     `json:"rate"`
	InMix label.Strength `json:"in_mix"`
}

type tankful struct {
	N        int         `json:"n"`
	Volume   unit.Volume `json:"volume_l"`
	Fill     unit.Volume `json:"fill_l"`
	Gauge    unit.Volume `json:"gauge_l"`
	Covers   unit.Area   `json:"covers_m2"`
	Water    unit.Volume `json:"water_l"`
	Start    unit.Volume `json:"start_gauge_l"` // water to begin with, up to this reading
	Products []portion   `json:"products"`      // in the order of adding
}

type portion struct {
	Name   string       `json:"name"`
	Amount label.Amount `json:"amount"`
	// Gauge is the reading when it is in, Effect what measuring does to its rate; in a tankful only.
	Gauge  unit.Volume `json:"gauge_after_l,omitempty"`
	Effect float64     `json:"effect,omitempty"`
	// Take is the containers to put on the truck; in the totals only.
	Take []mix.Taken `json:"take,omitempty"`
}

// titled is one of the further results under its heading.
type titled struct {
	title string
	working.Outcome
}

// work does all that was asked for.
func (m *mixEntries) work(u unit.System) (a mixAnswer, found problem.List, err error) {
	r, doses, found, err := m.recipe()
	tank := mix.Tank{Capacity: m.tank, Heel: m.heel, Marks: m.marks, Where: m.where()}
	if err != nil || found.HasErrors() {
		return a, append(found, tank.Validate(u)...), err
	}
	need, shares, list := m.need(r, tank, u)
	found = append(found, list...)
	held, list, err := m.heldIn(u)
	found = append(found, list...)
	if err != nil || found.HasErrors() {
		return a, found, err
	}
	run, list := r.Run(need, tank, held, u, m.where())
	found = append(found, list...)
	if found.HasErrors() {
		return a, found, nil
	}
	a = mixAnswer{doses: doses, run: run, totals: mix.Totals(run.Fillings...)}
	for _, s := range shares {
		a.more = append(a.more, titled{"Stop " + s.Stop.Name, s})
	}
	a.fill(r, u)
	list, err = m.besides(&a, u)
	return a, append(found, list...), err
}

// need is the mix to be put on turf: that of the stops, of the area, or one full tankful.
func (m *mixEntries) need(r mix.Recipe, tank mix.Tank, u unit.System) (need unit.Volume, shares []mix.StopShare, found problem.List) {
	if found = tank.Validate(u); found.HasErrors() {
		return 0, nil, found
	}
	stops, found := m.stopList()
	switch {
	case found.HasErrors():
	case len(stops) > 0 && m.area != 0:
		found.Errorf("one-of-two", m.where(), "Give the area, or the stops.", "both an area and stops are given")
	case len(stops) > 0:
		shares, found = r.Stops(stops, u, m.where())
		for _, s := range shares {
			need += s.Mix
		}
		need = u.RoundVolume(need)
	case m.area < 0 || m.area == 0 && m.areaGiven:
		found.Errorf("area-zero", m.where(), "Give the area to be treated, or leave --area out for one full tankful.", "the area is %s", u.Area(m.area))
	case m.area > 0:
		need = u.RoundVolume(r.Carrier.Over(m.area))
	default:
		need = tank.Usable(u)
	}
	return need, shares, found
}

// heldIn is what is in the tank before the first filling.
func (m *mixEntries) heldIn(u unit.System) (h mix.Held, found problem.List, err error) {
	switch {
	case m.held != 0 && m.heldWater != 0:
		found.Errorf("one-of-two", m.where(), "Give --held or --held-water.", "the tank holds mix and water apart")
	case m.heldWater != 0:
		h = mix.Held{Volume: m.heldWater, Name: "water"}
	case m.held != 0 && m.heldMix != "":
		other, err := readMixFile(m.heldMix)
		if err != nil {
			return h, nil, err
		}
		r, _, found, err := other.recipe()
		return mix.Held{Volume: m.held, Name: other.title(m.heldMix), Mix: r}, found, err
	case m.held != 0:
		r, _, _, err := m.recipe()
		return mix.Held{Volume: m.held, Name: m.title("this mix"), Mix: r}, nil, err
	}
	return h, found, nil
}

// stays is what is in the tank in the end.
func (a *mixAnswer) stays(u unit.System) string {
	if a.run.Extra > 0 {
		return fmt.Sprintf("the heel of %s and %s too much stay in the tank", u.Volume(a.Heel-a.run.Extra), u.Volume(a.run.Extra))
	}
	return "the heel of " + u.Volume(a.Heel) + " stays in the tank"
}

// fill takes the run into the answer.
func (a *mixAnswer) fill(r mix.Recipe, u unit.System) {
	a.Carrier, a.Heel = r.Carrier, a.run.Ends
	for _, d := range a.doses {
		a.Rates = append(a.Rates, mixRate{d.Wanted.Product.Name, d.Rate, d.InMix})
	}
	for i, g := range a.run.Fillings {
		t := tankful{N: i + 1, Volume: g.Fill.Volume, Fill: g.Fill.Fill, Gauge: g.Fill.Gauge, Covers: g.Covers, Water: g.Water, Start: g.Marks[0].Gauge}
		for k, p := range g.Portions {
			t.Products = append(t.Products, portion{Name: p.Name, Amount: p.Amount, Gauge: g.Marks[k+1].Gauge, Effect: p.Effect})
		}
		a.Volume += g.Fill.Volume
		a.Tankfuls = append(a.Tankfuls, t)
	}
	for _, t := range a.totals {
		a.Totals = append(a.Totals, portion{Name: t.Product.Name, Amount: t.Amount, Take: t.Take})
	}
	a.Volume = u.RoundVolume(a.Volume)
	a.Covers = a.Volume.At(a.Carrier)
}

// besides works out what was asked for beside the fillings.
func (m *mixEntries) besides(a *mixAnswer, u unit.System) (found problem.List, err error) {
	r, where := a.run.Recipe, m.where()
	add := func(title string, o working.Outcome, list problem.List) {
		if found = append(found, list...); !list.HasErrors() {
			a.more = append(a.more, titled{title, o})
		}
	}
	if m.whole != "" {
		w, list := r.WholeContainers(m.whole, a.run.Tank.Usable(u), u, where)
		add("Whole containers of "+m.whole, w, list)
	}
	if m.left != 0 {
		l, list := r.Leftover(m.left, u, where)
		add("Mix left over", l, list)
	}
	if m.rinse != 0 || m.rinseFactor != 0 {
		times := m.rinseTimes
		if times == 0 {
			times = mix.TripleRinse
		}
		x, list := mix.Rinse{}, problem.List(nil)
		switch {
		case m.rinse != 0 && m.rinseFactor != 0:
			list.Errorf("one-of-two", where, "Give --rinse or --rinse-factor.", "the water of a rinse and the factor are both given")
		case m.rinse != 0:
			x, list = r.Rinse(m.heel, m.rinse, times, u, where)
		default:
			x, list = r.RinseTo(m.heel, times, m.rinseFactor, u, where)
		}
		add("Rinsing", x, list)
		for _, t := range a.totals {
			for _, k := range t.Take {
				if k.Container.Holds.Liquid > 0 {
					c, list := mix.RinseContainers(k.Container, k.Count, where)
					add("Emptied containers of "+t.Product.Name, c, list)
				}
			}
		}
	}
	tanks := []mix.Aboard{a.run.Aboard(m.title("tank"))}
	totals := a.totals
	if len(m.beside) > 0 {
		v, list, err := m.visit(r, u)
		if err != nil {
			return found, err
		}
		add("Together on the same ground", v, list)
		if !list.HasErrors() {
			tanks, totals = nil, v.Totals
			for i, run := range v.Runs {
				tanks = append(tanks, run.Aboard(v.Visit.Mixes[i].Name))
			}
		}
	}
	if t, ok, list := m.truck(); ok {
		w, more := mix.Weight{}, problem.List(nil)
		if !list.HasErrors() {
			w, more = t.Weigh(tanks, totals, u, where)
		}
		add("Weight on the truck", w, append(list, more...))
	}
	return found, nil
}

// visit is this mix and those beside it on the same stops.
func (m *mixEntries) visit(r mix.Recipe, u unit.System) (v mix.VisitPlan, found problem.List, err error) {
	stops, found := m.stopList()
	if m.area > 0 {
		stops = []mix.Stop{{Name: "the area", Area: m.area}}
	}
	if len(stops) == 0 {
		found.Errorf("area-zero", m.where(), "Give the area or the stops that both mixes go on.", "no ground is given for the mixes beside this one")
		return v, found, nil
	}
	visit := mix.Visit{Stops: stops, Mixes: []mix.TankMix{{Name: m.title("this mix"), Recipe: r, Tank: mix.Tank{Capacity: m.tank, Heel: m.heel, Marks: m.marks, Where: m.where()}}}}
	for _, path := range m.beside {
		other, err := readMixFile(path)
		if err != nil {
			return v, found, err
		}
		recipe, _, list, err := other.recipe()
		if err != nil {
			return v, found, err
		}
		found = append(found, list...)
		visit.Mixes = append(visit.Mixes, mix.TankMix{Name: other.title(path), Recipe: recipe,
			Tank: mix.Tank{Capacity: other.tank, Heel: other.heel, Marks: other.marks, Where: other.title(path)}})
	}
	if found.HasErrors() {
		return v, found, nil
	}
	v, list := visit.Plan(u, m.where())
	return v, append(found, withoutCode(list, "no-label-limit")...), nil // told for each mix
}

func (a *mixAnswer) print(w io.Writer, u unit.System) error {
	fmt.Fprintf(w, "%s on turf at %s covers %s; product in %s; %s.\n\n", u.Volume(a.Volume), typedRate(u, a.Carrier),
		u.Area(a.Covers), plural(len(a.Tankfuls), "tankful"), a.stays(u))
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	head := "tankful\tfill\tgauge\tcovers"
	for _, p := range a.Totals {
		head += "\t" + p.Name
	}
	fmt.Fprintln(t, head+"\twater")
	for _, f := range a.Tankfuls {
		row := fmt.Sprintf("%d\t%s\t%s\t%s", f.N, u.Volume(f.Fill), u.Volume(f.Gauge), u.Area(f.Covers))
		for _, p := range a.Totals {
			k := slices.IndexFunc(f.Products, func(q portion) bool { return q.Name == p.Name })
			row += "\t" + f.Products[k].Amount.Text(u)
		}
		fmt.Fprintln(t, row+"\t"+u.Volume(f.Water))
	}
	row := "total\t\t\t"
	for _, p := range a.Totals {
		row += "\t" + p.Amount.Text(u)
	}
	fmt.Fprintln(t, row+"\t")
	if err := t.Flush(); err != nil {
		return err
	}
	for _, p := range a.parts() {
		fmt.Fprintf(w, "\n%s\n", p.title)
		facts := slices.DeleteFunc(p.Facts(u), func(f working.Fact) bool { return f.Text == mix.OrderNote }) // once, below
		if err := printFacts(w, facts); err != nil {
			return err
		}
	}
	if len(a.Working) > 0 {
		fmt.Fprintf(w, "\n%s%s", workingHead, a.Working.Text())
	}
	_, err := fmt.Fprintf(w, "\n%s\nThe product label is the law and overrides these figures.\n", mix.OrderNote)
	return err
}

// parts are the results in the order in which they are printed. Fillings that are alike are one.
func (a *mixAnswer) parts() (list []titled) {
	for _, d := range a.doses {
		list = append(list, titled{d.Wanted.Product.Name, d})
	}
	for i := 0; i < len(a.run.Fillings); {
		k := i
		for k+1 < len(a.run.Fillings) && a.run.Fillings[k+1].Fill == a.run.Fillings[i].Fill {
			k++
		}
		title := fmt.Sprintf("Tankful %d", i+1)
		if k > i {
			title = fmt.Sprintf("Tankfuls %d to %d, each", i+1, k+1)
		}
		list = append(list, titled{title, a.run.Fillings[i]})
		i = k + 1
	}
	for _, t := range a.totals {
		list = append(list, titled{"To put on the truck: " + t.Product.Name, t})
	}
	return append(list, a.more...)
}

func (a *mixAnswer) facts(u unit.System) (all []working.Fact) {
	for _, p := range a.parts() {
		for _, f := range p.Facts(u) {
			all = append(all, working.Fact{Name: p.title + ": " + f.Name, Text: f.Text})
		}
	}
	return all
}

// steps is the working of everything, the run's as one.
func (a *mixAnswer) steps(u unit.System) (w working.Working) {
	for _, d := range a.doses {
		w.Append(d.Working(u))
	}
	w.Append(a.run.Working(u))
	for _, t := range a.totals {
		w.Append(t.Working(u))
	}
	for _, p := range a.more {
		w.Append(p.Working(u))
	}
	return w
}

func withoutCode(ps problem.List, code string) (out problem.List) {
	for _, p := range ps {
		if p.Code != code {
			out = append(out, p)
		}
	}
	return out
}

// typedRate prints a carrier rate as the user gave it: rounded as a calibrated one it would be another
// than the amounts are worked out from.
func typedRate(u unit.System, r unit.VolumePerArea) string {
	one, name, decimals := unit.GallonPerThousand, "gal/1000 sq ft", 2
	if u == unit.Metric {
		one, name, decimals = unit.LitrePerHectare, "L/ha", 0
	}
	x := r.In(one)
	for step := math.Pow10(-decimals); decimals < 6 && math.Abs(unit.Round(x, step)-x) > 1e-6*x; step /= 10 {
		decimals++
	}
	return unit.Number(x, decimals) + " " + name
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// title is the mix's name, or one for a mix without.
func (m *mixEntries) title(otherwise string) string {
	if m.name != "" {
		return m.name
	}
	return strings.TrimSuffix(otherwise, ".yaml")
}
