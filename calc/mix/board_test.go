package mix_test

import (
	"testing"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
	"tankful/calc/working/workingtest"
)

func board[O working.Outcome](name string) func(O, problem.List) workingtest.Case {
	return func(o O, ps problem.List) workingtest.Case {
		return workingtest.Case{Name: name, Outcome: o, Problems: ps}
	}
}

// boardRecipe is an invented mix: a liquid feed measured in jugs, a powder that takes room, one of which that is not known, and a wetter
// whose nearest measure would pass its label.
func boardRecipe() mix.Recipe {
	f := mix.Part{Product: feed(9 * floz), Rate: label.Rate{Liquid: 6 * floz}}
	f.Product.Containers = append(f.Product.Containers, label.Container{Name: "box", Holds: label.Amount{Liquid: unit.Gallon}})
	iron := dry("Iron", label.Wettable, 0.3*pound, 0.5*pound)
	iron.Product.InTank, iron.Product.Measure = 12*unit.PoundPerGallon, label.Amount{Dry: 100 * unit.Gram}
	iron.Product.Containers = []label.Container{{Name: "bag", Holds: label.Amount{Dry: 25 * unit.Pound}}}
	dye := dry("Dye", label.Soluble, 0.02*pound, 0)
	wet := liquid("Wetter", label.Surfactant, 0.33*floz, 0.33*floz)
	wet.Product.Measure, wet.Product.Label.IntervalDays = label.Amount{Liquid: 25 * unit.Millilitre}, 14
	weak := liquid("Shine", label.Surfactant, 0.05*floz, 0.0501*floz)
	return mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{f, iron, dye, wet, weak}}
}

func boards() (list []workingtest.Case) {
	r := boardRecipe()
	tank := mix.Tank{Capacity: 100 * unit.Gallon, Heel: 2 * unit.Gallon, Where: "tank"}
	list = append(list, doseBoards()...)
	f, ps := r.Filling(mix.Fill{Volume: 70 * unit.Gallon, Fill: 70 * unit.Gallon, Gauge: 72 * unit.Gallon}, unit.US, "tankful 2")
	list = append(list, board[mix.Filling]("a filling")(f, ps))
	whole := board[mix.Whole]("whole jugs")
	list = append(list, whole(r.WholeContainers("Feed", 100*unit.Gallon, unit.US, "mix")))
	run := board[mix.Run]("a run")
	list = append(list, run(r.Run(120*unit.Gallon, tank, mix.Held{}, unit.US, "")))
	marked := tank
	marked.Marks = 5 * unit.Gallon
	weed := mix.Recipe{Carrier: 1 * gal, Parts: []mix.Part{liquid("Weed", label.Emulsifiable, floz, 1.5*floz)}}
	held := mix.Held{Volume: 10 * unit.Gallon, Name: "weed mix", Mix: weed}
	run = board[mix.Run]("a run to marks on another mix")
	list = append(list, run(r.Run(120*unit.Gallon, marked, held, unit.US, "truck")))
	run = board[mix.Run]("a run on water")
	list = append(list, run(weed.Run(30*unit.Gallon, tank, mix.Held{Volume: 4 * unit.Gallon}, unit.US, "")))
	run = board[mix.Run]("a run on its own heel")
	list = append(list, run(weed.Run(30*unit.Gallon, tank, mix.Held{Volume: 2 * unit.Gallon, Mix: weed}, unit.US, "")))
	shares, ps := r.Stops([]mix.Stop{{Name: "Lot 4", Area: 5230.4 * unit.SquareFoot}}, unit.US, "")
	list = append(list, board[mix.StopShare]("a stop")(shares[0], ps))
	visits := board[mix.VisitPlan]("two tanks")
	list = append(list, visits(visit(1*floz).Plan(unit.US, "visit 1")))
	return append(list, leftBoards(r)...)
}

func doseBoards() []workingtest.Case {
	dose := func(name string, w mix.Wanted, carrier unit.VolumePerArea) workingtest.Case {
		d, ps := w.At(carrier, "here")
		return workingtest.Case{Name: name, Outcome: d, Problems: ps}
	}
	bag := dry("Bag", label.Soluble, 0, 5*pound).Product
	bag.Analysis = label.Analysis{N: 0.46, P2O5: 0.1}
	return []workingtest.Case{
		dose("wanted by its nitrogen", mix.Wanted{Product: feed(50 * floz), Nutrient: "N", NutrientRate: 0.5 * pound}, 2*gal),
		dose("wanted by its phosphorus", mix.Wanted{Product: bag, Nutrient: "P", NutrientRate: 0.04 * pound}, 2*gal),
		dose("wanted in the mix", mix.Wanted{Product: feed(0), InMix: label.Strength{Liquid: unit.PercentByVolume / 4}}, 2*gal),
		dose("wanted in the mix by weight", mix.Wanted{Product: feed(0), InMix: label.Strength{Dry: 2 * unit.PoundPerGallon / 100}}, 2*gal),
		dose("a liquid by weight", mix.Wanted{Product: feed(50 * floz), Rate: label.Rate{Dry: 1.5 * pound}}, 2*gal),
		dose("a powder", mix.Wanted{Product: bag, Rate: label.Rate{Dry: 1.5 * pound}}, 2*gal),
	}
}

func leftBoards(r mix.Recipe) (list []workingtest.Case) {
	left, one := board[mix.Leftover]("left over"), mix.Recipe{Carrier: r.Carrier, Parts: r.Parts[:1]}
	list = append(list, left(r.Leftover(6*unit.Gallon, unit.US, "tank")))
	left = board[mix.Leftover]("left over with half the room")
	list = append(list, left(one.Leftover(6.25*unit.Gallon, unit.US, "tank")))
	left = board[mix.Leftover]("left over with room for all")
	one.Parts = []mix.Part{{Product: feed(12 * floz), Rate: label.Rate{Liquid: 6 * floz}}}
	list = append(list, left(one.Leftover(6*unit.Gallon, unit.US, "tank")))
	rinse := board[mix.Rinse]("a rinse")
	list = append(list, rinse(one.Rinse(2*unit.Gallon, 10*unit.Gallon, 3, unit.US, "tank")))
	rinse = board[mix.Rinse]("a rinse to a factor")
	list = append(list, rinse(r.RinseTo(2*unit.Gallon, 2, mix.CleanFactor, unit.US, "tank")))
	cans := board[mix.ContainerRinse]("jugs rinsed")
	list = append(list, cans(mix.RinseContainers(label.Container{Name: "jug", Holds: label.Amount{Liquid: 2.5 * unit.Gallon}}, 2, "jugs")))
	cans = board[mix.ContainerRinse]("a drum rinsed")
	list = append(list, cans(mix.RinseContainers(label.Container{Name: "drum", Holds: label.Amount{Liquid: 5 * unit.Gallon}}, 1, "drum")))
	run, _ := r.Run(120*unit.Gallon, mix.Tank{Capacity: 100 * unit.Gallon, Heel: 2 * unit.Gallon}, mix.Held{}, unit.US, "")
	totals := mix.Totals(run.Fillings...)
	for _, t := range totals {
		list = append(list, workingtest.Case{Name: "truck, " + t.Product.Name, Outcome: t})
	}
	truck := mix.Truck{Rated: 8_000 * unit.Pound, Empty: 7_000 * unit.Pound, Clean: 20 * unit.Gallon, Other: []mix.Item{{Name: "crew", Mass: 360 * unit.Pound}}}
	weigh := board[mix.Weight]("over the payload")
	list = append(list, weigh(truck.Weigh([]mix.Aboard{run.Aboard("tank 1")}, totals, unit.US, "truck")))
	weigh = board[mix.Weight]("payload not known")
	list = append(list, weigh(mix.Truck{}.Weigh([]mix.Aboard{{Name: "tank 1", Recipe: one, Capacity: 1000 * unit.Gallon, Fullest: 450 * unit.Gallon}}, nil, unit.US, "truck")))
	dilution := board[mix.Dilution]("a liquid diluted")
	list = append(list, dilution(mix.Dilute(55*unit.Gallon, 0.01, 0.48, label.Liquid, "here")))
	dilution = board[mix.Dilution]("a powder diluted")
	list = append(list, dilution(mix.Dilute(5*unit.Gallon, 0.02, 0.80, label.Dry, "here")))
	volume := board[mix.InVolume]("so much in 100 gal")
	return append(list, volume(mix.PerVolume(label.Strength{Dry: unit.PoundPerGallon / 100}, label.Dry, 25*unit.Gallon, "here")))
}

// What is printed of every calculation, in both systems.
func TestBoard(t *testing.T) { workingtest.Check(t, boards()) }
