package crs

import (
	"fmt"
	"strings"
)

// datum is a geodetic datum near WGS 84, or one of its realizations.
type datum int

const (
	worldDatum datum = iota
	nad83
	nad2011
	harn
	nsrs2007
	cors96
	pa11
	ma11
	csrs
	csrs2
	csrs3
	csrs4
	csrs5
	csrs6
	csrs7
	etrs89
	gda94
	gda2020
	nzgd2000
	sirgas
	rgf93
	sweref99
	irenet95
	itrf
	chinese
	african
	datums // how many
)

// datumFacts says what is read of each datum: its name, the codes of its two- and three-dimensional degrees, its ellipsoid,
// and how far off WGS 84 it may lie, metres.
//
// Codes: EPSG Dataset v10.076 (IOGP, 2022-08-31). Distances: the accuracies, in the same dataset, of the transformations to WGS 84 that
// change nothing (1188 NAD83 4 m; 9774 NAD83(2011), 1580 NAD83(HARN), 15931 NAD83(NSRS2007) and 1842 NAD83(CSRS) 2 m;
// 1149 ETRS89, 1671 RGF93, 1879 SWEREF99 and 1678 IRENET95 1 m; 1150 GDA94 and 8450 GDA2020 3 m). The dataset gives 1 m for
// 1565 NZGD2000, 15894 SIRGAS 2000 and 1505 Hartebeesthoek94; they stand here at 2 m, as do ITRF of any year and the Chinese
// system, for the drift of their plates since: 2 to 7 cm a year (from memory). Later versions of NAD83(CSRS) and CORS96 are taken to be like
// the first. Hawaii and Guam, PA11 and MA11, have no such transformation: 2 m of NAD83 and the drift of a fast plate (from memory). Most
// outlines on NAD83 lie 1 to 2 m off (from memory): 4 m is for the surveys of 1986. In the Aleutians the dataset gives a shift
// of its own, accurate to 8 m (1251), which is not made.
var datumFacts = [datums]struct {
	name   string
	codes  [2]int
	el     ellipsoid
	metres float64
}{
	worldDatum: {"WGS 84", [2]int{4326, 4979}, wgs84, 0},
	nad83:      {"NAD83", [2]int{4269, 0}, grs80, 4},
	nad2011:    {"NAD83(2011)", [2]int{6318, 6319}, grs80, 2},
	harn:       {"NAD83(HARN)", [2]int{4152, 4957}, grs80, 2},
	nsrs2007:   {"NAD83(NSRS2007)", [2]int{4759, 4893}, grs80, 2},
	cors96:     {"NAD83(CORS96)", [2]int{6783, 6782}, grs80, 2},
	pa11:       {"NAD83(PA11)", [2]int{6322, 6321}, grs80, 4},
	ma11:       {"NAD83(MA11)", [2]int{6325, 6324}, grs80, 4},
	csrs:       {"NAD83(CSRS)", [2]int{4617, 4955}, grs80, 2},
	csrs2:      {"NAD83(CSRS)v2", [2]int{8237, 8235}, grs80, 2},
	csrs3:      {"NAD83(CSRS)v3", [2]int{8240, 8239}, grs80, 2},
	csrs4:      {"NAD83(CSRS)v4", [2]int{8246, 8244}, grs80, 2},
	csrs5:      {"NAD83(CSRS)v5", [2]int{8249, 8248}, grs80, 2},
	csrs6:      {"NAD83(CSRS)v6", [2]int{8252, 8251}, grs80, 2},
	csrs7:      {"NAD83(CSRS)v7", [2]int{8255, 8254}, grs80, 2},
	etrs89:     {"ETRS89", [2]int{4258, 4937}, grs80, 1},
	gda94:      {"GDA94", [2]int{4283, 4939}, grs80, 3},
	gda2020:    {"GDA2020", [2]int{7844, 7843}, grs80, 3},
	nzgd2000:   {"NZGD2000", [2]int{4167, 4959}, grs80, 2},
	sirgas:     {"SIRGAS 2000", [2]int{4674, 4989}, grs80, 2},
	rgf93:      {"RGF93", [2]int{4171, 4965}, grs80, 1},
	sweref99:   {"SWEREF99", [2]int{4619, 4977}, grs80, 1},
	irenet95:   {"IRENET95", [2]int{4173, 4943}, grs80, 1},
	itrf:       {"ITRF", [2]int{}, grs80, 2},
	chinese:    {"China Geodetic Coordinate System 2000", [2]int{4490, 4480}, grs80, 2},
	african:    {"Hartebeesthoek94", [2]int{4148, 4941}, wgs84, 2},
}

// note says what reading d as WGS 84 does, "" for WGS 84 itself.
func (d datum) note() string {
	f := datumFacts[d]
	if f.metres == 0 {
		return ""
	}
	return fmt.Sprintf("%s is read as WGS 84: outlines may lie up to about %g m off on the map, their areas are not affected", f.name, f.metres)
}

// datumNames are the beginnings of datum names in well-known text, squeezed. The longer of two that fit stands first.
// What stands behind a beginning names a realization, such as "HARN" or "(G1762)".
var datumNames = []struct {
	begins string
	d      datum
}{
	{"worldgeodeticsystem1984", worldDatum}, {"wgs1984", worldDatum}, {"wgs84", worldDatum},
	{"nad832011", nad2011}, {"nad19832011", nad2011}, {"nad83nationalspatialreferencesystem2011", nad2011}, {"northamerican1983nsrs2011", nad2011},
	{"nad83nationalspatialreferencesystem2007", nsrs2007}, {"nad1983nsrs2007", nsrs2007},
	{"nad83highaccuracyreferencenetwork", harn}, {"nad83harn", harn}, {"northamerican1983harn", harn}, {"nad1983harn", harn},
	{"nad83nationalspatialreferencesystempa11", pa11}, {"nad1983pa11", pa11},
	{"nad83nationalspatialreferencesystemma11", ma11}, {"nad1983ma11", ma11},
	{"nad83canadianspatialreferencesystem", csrs}, {"northamerican1983csrs", csrs}, {"nad83csrs", csrs}, {"nad1983csrs", csrs},
	{"nad83continuouslyoperatingreferencestation1996", cors96}, {"nad1983cors96", cors96},
	{"northamericandatumof1983csrsversion2", csrs2}, {"northamericandatumof1983csrsversion3", csrs3}, {"northamericandatumof1983csrsversion4", csrs4},
	{"northamericandatumof1983csrsversion5", csrs5}, {"northamericandatumof1983csrsversion6", csrs6}, {"northamericandatumof1983csrsversion7", csrs7},
	{"northamericandatumof1983csrs", csrs},
	{"northamericandatum1983", nad83}, {"northamericandatumof1983", nad83}, {"northamerican1983", nad83}, {"nad1983", nad83}, {"nad83", nad83},
	{"europeanterrestrialreferencesystem1989", etrs89}, {"etrs1989", etrs89}, {"etrs89", etrs89},
	{"geocentricdatumofaustralia1994", gda94}, {"gda1994", gda94}, {"gda94", gda94},
	{"geocentricdatumofaustralia2020", gda2020}, {"gda2020", gda2020},
	{"newzealandgeodeticdatum2000", nzgd2000}, {"nzgd2000", nzgd2000},
	{"sistemadereferenciageocentricoparalasamericas2000", sirgas}, {"sistemadereferenciageocentricoparaamericadelsur2000", sirgas}, {"sirgas2000", sirgas},
	{"reseaugeodesiquefrancais1993", rgf93}, {"rgf1993", rgf93}, {"rgf93", rgf93},
	{"sweref99", sweref99}, {"irenet95", irenet95},
	{"internationalterrestrialreferenceframe", itrf}, {"itrf", itrf},
	{"china2000", chinese}, {"cgcs2000", chinese}, {"chinageodeticcoordinatesystem2000", chinese},
	{"hartebeesthoek1994", african}, {"hartebeesthoek94", african},
}

// datumNamed finds the datum of a name in well-known text.
func datumNamed(name string) (datum, bool) {
	s := strings.TrimPrefix(squeeze(name), "d")
	for _, t := range []string{squeeze(name), s} {
		for _, n := range datumNames {
			if strings.HasPrefix(t, n.begins) {
				return n.d, true
			}
		}
	}
	return 0, false
}

// squeeze keeps the letters and digits of a name, lower case: "Scale_Factor" and "scale factor" are one.
func squeeze(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r == 'é' || r == 'É': // Réseau géodésique
			return 'e'
		}
		if r == 'ç' || r == 'Ç' {
			return 'c'
		}
		return -1
	}, s)
}
