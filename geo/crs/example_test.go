package crs_test

import (
	"fmt"

	"tankful/geo/crs"
)

// The survey mark JV7114 of the U.S. National Geodetic Survey: "489,532.10 1,268,515.15 sFT" on its datasheet (north first), at
// 39 00 38.66215 N, 77 09 15.14805 W, which is 39.0107395 and 77.1542078.
func ExampleParse() {
	maryland, err := crs.Parse("EPSG:2248")
	if err != nil {
		fmt.Println(err)
		return
	}
	p, ok := maryland.ToDegrees(1268515.15, 489532.10)
	fmt.Println(maryland)
	fmt.Printf("%.7f %.7f %v\n", p.Lat(), p.Lon(), ok)
	fmt.Println(maryland.Note())
	// Output:
	// NAD83 / Maryland (ftUS) (EPSG:2248)
	// 39.0107395 -77.1542078 true
	// NAD83 is read as WGS 84: outlines may lie up to about 4 m off on the map, their areas are not affected
}

func ExampleParse_refused() {
	_, err := crs.Parse("EPSG:26715")
	fmt.Println(err)
	// Output:
	// unknown coordinate reference system: EPSG:26715 is on NAD27, which is a datum that lies tens of metres or more off WGS 84, and shifts between datums are not made; export the file in WGS 84 or NAD83
}
