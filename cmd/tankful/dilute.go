package main

import (
	"github.com/spf13/cobra"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// dilution is what the command takes.
type dilution struct {
	final                 unit.Volume
	strength, concentrate label.Share
	powder                bool
}

func (d *dilution) entries() []entry {
	return []entry{
		{name: "final", usage: "how much mix to make", example: "55 gal", need: true, set: into(&d.final, unit.ParseVolume)},
		{name: "strength", usage: "active ingredient wanted in the mix", example: "1 %", need: true, set: into(&d.strength, label.ParseShare)},
		{name: "concentrate", usage: "active ingredient in the product", example: "48 %", need: true, set: into(&d.concentrate, label.ParseShare)},
		{name: "powder", usage: "yes for a powder, which is weighed", example: "no", set: into(&d.powder, yesNo)},
	}
}

func diluteCommand(e *env) *cobra.Command {
	d := &dilution{}
	f := &form{entries: d.entries()}
	var s style
	cmd := &cobra.Command{
		Use:   "dilute",
		Short: "How much concentrate makes a per cent solution",
		Long: `Works out a per cent solution from a concentrate: amount x strength wanted / strength of the
concentrate. A liquid goes by volume, a powder by weight in the weight of the water.

A strength that a label gives as product in the mix (0.25 % v/v, 1 qt/100 gal) is a product of mix.`,
		Example: `  tankful dilute --final "55 gal" --strength "1 %" --concentrate "48 %"
  tankful dilute --final "5 gal" --strength "2 %" --concentrate "80 %" --powder yes --working`,
		Args: quotedArgs,
	}
	f.add(cmd)
	s.add(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		var o mix.Dilution
		work := func() (found problem.List, err error) {
			form := label.Liquid
			if d.powder {
				form = label.Dry
			}
			o, found = mix.Dilute(d.final, d.strength, d.concentrate, form, "command line")
			return found, nil
		}
		return f.answer(e, cmd, []string{"How much concentrate makes a per cent solution."}, &s, work, func(found problem.List) error {
			if s.json {
				return printDilution(e, o, &s, found)
			}
			return printOutcome(e.out, o, nil, "", &s)
		})
	}
	return cmd
}

// printDilution is the answer in JSON.
func printDilution(e *env, o mix.Dilution, s *style, found problem.List) error {
	return printOutcomeJSON(e.out, bench{}, struct {
		mix.Dilution `json:"-"`
		Final        unit.Volume  `json:"final_l"`
		Product      label.Amount `json:"product"`
		Water        unit.Volume  `json:"water_l,omitempty"`
	}{o, o.Final, o.Product, o.Water}, nil, s, found)
}
