package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

func mixCommand(e *env) *cobra.Command {
	var f mixFlags
	cmd := &cobra.Command{
		Use:   "mix",
		Short: "What each tankful takes, the full ones and the last part one",
		Long: `Splits the mix for an area into fillings of one tank, the last one sized so that the
tank ends at its heel, and gives the product for each:

  product in a filling = filling / carrier rate x product rate

The first filling brings the heel too, mixed at the same strength. Products are added in the
order given; the label's order overrides it. Without --area one full tankful is worked out.`,
		Example: `  tankful mix --carrier "2.05 gal/1000 sq ft" --tank "200 gal" --heel "5 gal" --area "150,000 sq ft" --product "feed=6 fl oz/1000 sq ft"
  tankful mix --units metric --carrier "835 L/ha" --tank "800 L" --heel "20 L" --area "2.4 ha" --product "iron=4 kg/ha" --most "iron=5 kg/ha"`,
		Args: quotedArgs,
	}
	units := unitsFlag(cmd)
	f.add(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		recipe, err := f.recipe(cmd)
		if err != nil {
			return refuse(e, err, f.asJSON)
		}
		found := recipe.Validate("command line")
		if len(recipe.Parts) > 0 && !cmd.Flags().Changed("most") {
			found = withoutCode(found, "no-label-limit")
			found.Notef("no-label-limit", "command line", "Give the label's most with --most \"name=rate\".", "no label limit was given, so that no rate is checked")
		}
		fills, more := f.fills(cmd, *units)
		found = append(found, more...)
		if err := found.Err(); err != nil {
			return refuse(e, err, f.asJSON)
		}
		m := mixPlan(recipe, fills, *units)
		for i := range m.Tankfuls {
			found = append(found, recipe.CheckRounded(m.Tankfuls[i].portions, fills[i].Fill, fmt.Sprintf("tankful %d", i+1))...)
		}
		if err := found.Err(); err != nil {
			return refuse(e, err, f.asJSON)
		}
		m.Problems = append(problem.List{}, found...)
		printProblems(e.err, found)
		if f.asJSON {
			return printJSON(e.out, m)
		}
		return m.print(e.out, recipe, *units)
	}
	return cmd
}

type mixFlags struct {
	carrier        unit.VolumePerArea
	tank, heel     unit.Volume
	area           unit.Area
	products, most []string
	asJSON         bool
}

func (f *mixFlags) add(cmd *cobra.Command) {
	fs := cmd.Flags()
	fs.Var(&f.carrier, "carrier", "carrier rate, from a catch test")
	fs.Var(&f.tank, "tank", "what the tank holds")
	fs.Var(&f.heel, "heel", "what the pump cannot draw")
	fs.Var(&f.area, "area", "area to treat")
	fs.StringArrayVar(&f.products, "product", nil, "a product and its rate as `name=rate`, such as \"feed=6 fl oz/1000 sq ft\"; repeat for more")
	fs.StringArrayVar(&f.most, "most", nil, "a product's highest rate by its label as `name=rate`, such as \"feed=9 fl oz/1000 sq ft\"")
	fs.BoolVar(&f.asJSON, "json", false, "print JSON, in SI units")
	for _, n := range []string{"carrier", "tank", "heel", "area"} {
		fs.Lookup(n).DefValue = ""
	}
}

// fills splits what the area takes, or one full tankful when no area is given.
func (f *mixFlags) fills(cmd *cobra.Command, u unit.System) ([]mix.Fill, problem.List) {
	tank := mix.Tank{Capacity: f.tank, Heel: f.heel, Where: "command line"}
	need := tank.Usable(u)
	if cmd.Flags().Changed("area") {
		if !(f.area > 0) {
			ps := tank.Validate(u)
			ps.Errorf("area-zero", "command line", "Give the area to be treated, or leave --area out for one full tankful.", "the area is %s", u.Area(f.area))
			return nil, ps
		}
		need = f.carrier.Over(f.area)
	}
	if ps := tank.Validate(u); ps.HasErrors() || !(f.carrier > 0) {
		return nil, ps // no volume can be told, and the recipe says so of the carrier rate
	}
	return mix.Tankfuls(u.RoundVolume(need), tank, u)
}

// recipe reads the products: a weight per area makes a product dry, a volume liquid.
func (f *mixFlags) recipe(cmd *cobra.Command) (r mix.Recipe, err error) {
	for _, name := range []string{"carrier", "tank", "heel"} {
		if !cmd.Flags().Changed(name) {
			return r, &usageError{"--" + name + " is missing", exampleLine(cmd)}
		}
	}
	r.Carrier = f.carrier
	var list problem.List
	most := map[string]label.Rate{}
	for _, text := range f.most {
		if name, rate, _, ok := namedRate(text, "--most", &list); ok {
			most[name] = rate
		}
	}
	for _, text := range f.products {
		name, rate, form, ok := namedRate(text, "--product", &list)
		if !ok {
			continue
		}
		p := label.Product{Name: name, Form: form, Label: label.Label{Most: most[name], Citation: "command line"}}
		delete(most, name)
		r.Parts = append(r.Parts, mix.Part{Product: p, Rate: rate})
	}
	for name := range most {
		list.Errorf("unknown-product", "--most", "Name a product that is given with --product.", "%q is not among the products", name)
	}
	list.Sort()
	return r, list.Err()
}

func namedRate(text, flag string, list *problem.List) (name string, r label.Rate, form label.Form, ok bool) {
	name, rate, found := strings.Cut(text, "=")
	name = strings.TrimSpace(name)
	if !found || name == "" {
		list.Errorf("product-unreadable", flag, "Write name=rate, such as \"feed=6 fl oz/1000 sq ft\".", "%q has no name and rate", text)
		return name, r, form, false
	}
	r, err := label.ParseRate(rate, label.Liquid)
	if err == nil {
		return name, r, label.Liquid, true
	}
	if dry, dryErr := label.ParseRate(rate, label.Dry); dryErr == nil {
		return name, dry, label.Dry, true
	}
	list.Errorf("quantity", flag, "Write the rate with its units, such as 6 fl oz/1000 sq ft or 3 lb/1000 sq ft.", "%s: %v", name, err)
	return name, r, form, false
}

func withoutCode(ps problem.List, code string) (out problem.List) {
	for _, p := range ps {
		if p.Code != code {
			out = append(out, p)
		}
	}
	return out
}

// mixed is what `mix` prints.
type mixed struct {
	Carrier  unit.VolumePerArea `json:"carrier_l_per_m2"`
	Volume   unit.Volume        `json:"volume_l"`
	Heel     unit.Volume        `json:"heel_l"`
	Covers   unit.Area          `json:"covers_m2"`
	Tankfuls []tankful          `json:"tankfuls"`
	Totals   []portion          `json:"totals"`
	Problems problem.List       `json:"problems"`
}

type tankful struct {
	N        int         `json:"n"`
	Volume   unit.Volume `json:"volume_l"`
	Fill     unit.Volume `json:"fill_l"`
	Gauge    unit.Volume `json:"gauge_l"`
	Covers   unit.Area   `json:"covers_m2"`
	Water    unit.Volume `json:"water_l"`
	Products []portion   `json:"products"`
	portions []mix.Portion
}

type portion struct {
	Name   string       `json:"name"`
	Amount label.Amount `json:"amount"`
}

func mixPlan(r mix.Recipe, fills []mix.Fill, u unit.System) mixed {
	m := mixed{Carrier: r.Carrier, Heel: fills[0].Fill - fills[0].Volume}
	for i, f := range fills {
		t := tankful{N: i + 1, Volume: f.Volume, Fill: f.Fill, Gauge: f.Gauge, Covers: f.Volume.At(r.Carrier), portions: r.Portions(f.Fill, u)}
		t.Water = r.Water(f.Fill, t.portions)
		for k, p := range t.portions {
			t.Products = append(t.Products, portion{p.Name, p.Amount})
			if i == 0 {
				m.Totals = append(m.Totals, portion{Name: p.Name})
			}
			m.Totals[k].Amount = m.Totals[k].Amount.Plus(p.Amount)
		}
		m.Volume += f.Volume
		m.Tankfuls = append(m.Tankfuls, t)
	}
	m.Volume = u.RoundVolume(m.Volume)
	m.Covers = m.Volume.At(r.Carrier)
	return m
}

func (m mixed) print(w io.Writer, r mix.Recipe, u unit.System) error {
	fmt.Fprintf(w, "%s on turf at %s covers %s; %s in %s; the heel of %s stays in the tank.\n\n", u.Volume(m.Volume), typedRate(u, m.Carrier),
		u.Area(m.Covers), "product", plural(len(m.Tankfuls), "tankful"), u.Volume(m.Heel))
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	head := "tankful\tfill\tgauge\tcovers"
	for _, p := range m.Totals {
		head += "\t" + p.Name
	}
	fmt.Fprintln(t, head+"\twater")
	for _, f := range m.Tankfuls {
		row := fmt.Sprintf("%d\t%s\t%s\t%s", f.N, u.Volume(f.Fill), u.Volume(f.Gauge), u.Area(f.Covers))
		for _, p := range f.Products {
			row += "\t" + p.Amount.Text(u)
		}
		fmt.Fprintln(t, row+"\t"+u.Volume(f.Water))
	}
	row := "total\t\t\t"
	for _, p := range m.Totals {
		row += "\t" + p.Amount.Text(u)
	}
	fmt.Fprintln(t, row+"\t")
	if err := t.Flush(); err != nil {
		return err
	}
	for _, p := range r.Parts {
		fmt.Fprintf(w, "\n%s: filling / %s x %s", p.Product.Name, typedRate(u, r.Carrier), p.Rate.Text(u))
	}
	_, err := fmt.Fprintln(w, "\nThe product label is the law and overrides these figures.")
	return err
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
