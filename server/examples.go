package server

// examples are entries as they may look, for whoever has not written one. Names and figures are invented; a page shows them beside the form, never in it, so that no figure
// of theirs is kept by mistake. Put together they are a whole outfit.
var examples = map[Kind]string{
	Outfit: `outfit: Our outfit's name
units: us                # how sheets print: us or metric
start: "07:00"           # when trucks leave the yard
end: "17:00"
set_up: 6 min            # park, pull hose, sign, reel in
yard:
  name: Yard
  at: {lon: -41.2, lat: 38.5}     # longitude first; west and south are below zero
travel: {circuity: 1.35, speed: 25 mph, access: 1 min}
outlines: {accuracy: 1 ft}        # how far off a corner may be`,
	FillPoints: `name: Yard hydrant
at: yard                 # or {lon: -41.2, lat: 38.5}
flow: 40 gal/min
hook_up: 4 min`,
	Products: `name: Feed 18-0-4
form: liquid             # liquid, dry (into the tank) or granule (out of bags)
class: soluble           # soluble, wettable, flowable, emulsion, surfactant and others: the order of mixing
density: 10.2 lb/gal
analysis: {grade: 18-0-4}        # of the weight, or none
containers:
  - {name: jug, holds: 2.5 gal}
label:
  least: 8 fl oz/1000 sq ft
  most: 20 fl oz/1000 sq ft
  interval: 21 days      # least days between two applications
  keep_off: Keep people and pets off until the spray has dried.
  cautions: [Wash off walks and drives while still wet.]
  citation: where the label says so
  dated: 2026-01-05      # when it was read`,
	Limits: `of: N                    # of a nutrient or of a product
per: application         # or year, or 30 days
most: 0.7 lb N/1000 sq ft
citation: the rule of the place
dated: 2026-01-05`,
	Applicators: `name: Gun A
kind: gun                # gun, boom, ride-on, backpack or spreader
swath: 7 ft              # pass spacing, the same figure as in the catch test
side_step: 6 ft          # the longest bed or walk that a pass walks across
turn_time: 4 s
hose: 400 ft`,
	Operators: `name: Operator One
licence: the number
catch_tests:             # or leave this out and use the page "Catch test"
  - applicator: Gun A
    date: 2026-04-06
    course: 143 ft
    spacing: 7 ft
    runs: [38.4 s, 39.6 s, 39 s]
    caught: 2.04 gal
    caught_in: 39 s
    pressure: 60 psi`,
	Mixes: `name: Feed
operator: Operator One
applicator: Gun A
products:
  - {product: Feed 18-0-4, rate: 16 fl oz/1000 sq ft}   # or 0.25 lb N/1000 sq ft, or 0.25 % v/v`,
	Trucks: `name: Truck 1
tanks:
  - {name: tank, capacity: 150 gal, heel: 6 gal}        # the heel is what the pump cannot draw`,
}
