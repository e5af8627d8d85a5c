package dayfile_test

import (
	"fmt"
	"strings"

	"tankful/geo/intake"
	"tankful/plan/dayfile"
	"tankful/testdata/demo"
)

// Three slips in one file, found in one run.
func ExampleParse() {
	good, _ := demo.Files.ReadFile(demo.DayFile)
	text := strings.NewReplacer(
		"capacity: 150 gal", "capacity: 150",
		"rate: 3 oz wt/1000 sq ft", "rate: 3 oz/1000 sq ft",
		"operator: Operator Two", "operator: Operator Too",
	).Replace(string(good))
	_, problems := dayfile.Parse("day.yaml", []byte(text), demo.Files.ReadFile, intake.Options{})
	for _, p := range problems {
		fmt.Printf("%s\n  %s\n  %s\n", p.Where, p.What, p.Fix)
	}
	// Output:
	// day.yaml:171 mixes[1].operator
	//   there is no operator named "Operator Too"
	//   Write "Operator Two".
	// day.yaml:174 mixes[1].products[0].rate
	//   rate is "3 oz/1000 sq ft", not a mass per area: "oz" could be a volume or a weight
	//   Write "fl oz" for volume or "oz wt" for weight.
	// day.yaml:182 trucks[0].tanks[0].capacity
	//   capacity is "150", not a volume: the unit is missing
	//   Write the unit behind the number, for example "150 gal".
}
