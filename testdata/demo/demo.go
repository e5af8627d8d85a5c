// Package demo holds an invented day and an invented week: their files and the outlines that these name.
//
// It knows only the files. The place is open ocean, near 38.5 N 41.2 W, and the outfit, the
// people, the products and their labels are made up; DayFile says so with invented: true,
// which every sheet prints. It leaves out reading them (plan/dayfile does that).
package demo

import "embed"

// Files holds every file of the demo at its root.
//
//go:embed day.yaml week.yaml *.geojson prices.yaml
var Files embed.FS

// The files by name. Streets holds nine house lots and Verges two strips, grouped by the
// key "property"; each other file holds one property.
const (
	DayFile  = "day.yaml"
	WeekFile = "week.yaml"
	Streets  = "streets.geojson"
	Verges   = "verges.geojson"
	Chapel   = "chapel.geojson"
	Field    = "field.geojson"
	Pond     = "pond.geojson"
	Office   = "office.geojson"
	Park     = "park.geojson"
)
