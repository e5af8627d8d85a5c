package crs

import "fmt"

const farDatum = "is a datum that lies tens of metres or more off WGS 84, and shifts between datums are not made; export the file in WGS 84 or NAD83"

const otherProjection = "is projected by %s, which is not read; export the file in degrees (EPSG:4326) or in UTM"

// refusedCodes are NAD83 systems by another projection (EPSG Dataset v10.076).
var refusedCodes = []struct {
	how   string
	codes []int
}{
	{"Hotine oblique Mercator", []int{3078, 3079, 3468, 3591, 6394, 6497, 6808, 6809, 6810, 6811, 6840, 6841, 6842, 6843, 8065, 20050, 26931}},
	{"Albers equal area", []int{3005, 3083, 3085, 3086, 3087, 3153, 3174, 3175, 3310, 3311, 3338, 3467, 3488, 3513, 3578, 3579, 3665, 5070, 5071, 5072, 6350, 6393, 6414, 6439, 6579, 6623, 6624, 9674}},
	{"oblique stereographic", []int{2953, 2954, 22239, 22240, 22639, 22739}},
}

// farSystems are codes of systems on a datum that needs a shift, the ones that North American and a few other files carry (EPSG Dataset v10.076).
var farSystems = []struct {
	first, last int
	name        string
}{
	{4267, 4267, "NAD27"}, {26701, 26799, "NAD27"}, {32001, 32099, "NAD27"}, {4135, 4135, "Old Hawaiian"}, {4139, 4139, "Puerto Rico (1940)"},
	{4277, 4277, "OSGB 1936"}, {27700, 27700, "OSGB 1936"}, {4230, 4230, "ED50"}, {23028, 23038, "ED50"},
	{4314, 4314, "DHDN"}, {31466, 31469, "DHDN"}, {4322, 4322, "WGS 72"}, {32201, 32260, "WGS 72"}, {32301, 32360, "WGS 72"},
}

// refusedCode says why a code is refused, when that is known.
func refusedCode(code int) (why string, ok bool) {
	for _, r := range refusedCodes {
		for _, c := range r.codes {
			if c == code {
				return fmt.Sprintf(otherProjection, r.how), true
			}
		}
	}
	for _, f := range farSystems {
		if code >= f.first && code <= f.last {
			return "is on " + f.name + ", which " + farDatum, true
		}
	}
	return "", false
}
