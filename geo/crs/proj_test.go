package crs

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"
)

type projPoint struct {
	code     int
	lon, lat float64
	x, y     float64
}

// projPoints were computed by cs2cs of PROJ 9.1.1 (Debian 12) with its proj.db (EPSG Dataset v10.076), from the degrees of the
// system's own datum: cs2cs -f %.10f EPSG:<degrees> EPSG:<code>. For 2222 and 32139 that program rounds a central meridian of
// 110 1/6 or 100 1/3 degrees to 15 digits, which is 3e-8 m; these lines come from proj of the same release with
// +lon_0=110d10W and +lon_0=100d20W and the other parameters of the zone.
//
// Once, the same was done with three points in each of the 1,974 projected systems of Codes (5,921 points): the worst lay 3.4e-8 m
// apart where cs2cs rounds a meridian beyond 100 degrees that is not a decimal fraction, and 1.2e-8 m elsewhere. The texts that
// projinfo of that release writes of every fifth listed system, version 1 (its own and ESRI's) and 2 (2015 and 2019), 1,615 of them,
// gave the same unit and note, and a point within 2e-5 of a unit.
var projPoints = []projPoint{
	{26915, -93.265, 44.9778, 479105.8824631475, 4980518.4198345393},
	{26915, -93, 0.5, 499999.9999999986, 55265.0371408265},
	{26915, -95.93, 41.2587, 254534.3942538767, 4571616.7859169189},
	{26915, -90.07, 29.951, 782792.7022737691, 3316967.7830145084},
	{26915, -89.2, 48.4, 781240.4490465508, 5367739.1337666167},
	{32615, -93.265, 44.9778, 479105.8824633190, 4980518.4199542189},
	{32615, -96.0, 10.25, 171326.2581651512, 1134585.7678125005},
	{32615, -78, 60, 1331808.3334123986, 6746522.3239598414},
	{32615, -93.000001, 83.5, 499999.9873614859, 9272275.8710193951},
	{32733, 15.5, -33.9, 546228.1763219208, 6248819.2302491078},
	{32733, 18.4241, -33.9249, 816557.7955966464, 6240887.9955698028},
	{32733, 12.1, -5.75, 178780.1334613045, 9363615.8766054437},
	{25832, 9.18, 48.775, 513224.8527051089, 5402459.7136756256},
	{25832, 6.0001, 51.2, 290424.9943898332, 5676343.5984491874},
	{25832, 12.4, 55.68, 713753.6564495101, 6175705.9397261012},
	{28356, 151.2093, -33.8688, 334368.6336472522, 6250948.3454885576},
	{28356, 153.02, -27.47, 501975.9876163647, 6961506.0311223660},
	{6344, -93.265, 44.9778, 479105.8824631475, 4980518.4198345393},
	{6344, -91.5, 38.6, 630619.1132711680, 4273456.5233806036},
	{26971, -88.2434, 40.1164, 307666.5071859654, 382928.4278861652},
	{26971, -87.6298, 41.8781, 358398.0888697850, 578802.6038910300},
	{26971, -89.1, 37.1, 231848.3352057512, 48363.2135803488},
	{26971, -90.5, 42.5, 121902.8181622461, 649915.8530461962},
	{3435, -88.2434, 40.1164, 1009402.5323259550, 1256324.3504898604},
	{3435, -87.6298, 41.8781, 1175844.3965669530, 1898954.8762658210},
	{3435, -88.9, 38.33, 821695.1513838065, 606152.8661581090},
	{6455, -88.2434, 40.1164, 1009402.5323259550, 1256324.3504898604},
	{6455, -87.6298, 41.8781, 1175844.3965669530, 1898954.8762658210},
	{2222, -110.9747, 32.2226, 450124.5247953829, 445652.1157694304},
	{2222, -109.06, 36.99, 1023198.8308805383, 2181538.3512869105},
	{2222, -111.3, 31.4, 346403.5830756085, 147310.1471415609},
	{26929, -86.3, 32.3668, 156081.2024696662, 207072.6331536811},
	{26929, -85.0, 34.9, 276163.7975687734, 488254.5971849541},
	{2263, -73.9857, 40.7484, 988212.2371829849, 211939.2785683094},
	{2263, -72.0, 41.05, 1535852.2425229736, 328121.7041560431},
	{2263, -74.25, 40.5, 914721.9323261717, 121539.3941137684},
	{2226, -121.4944, 38.5816, 6706196.5082703019, 1974030.2400265799},
	{2226, -123.9, 39.0, 6021758.5831922339, 2131647.2389031029},
	{2226, -119.9, 38.9, 7159239.0374496216, 2096488.6781691031},
	{32139, -97.7431, 30.2672, 949218.0486270150, 3069475.0717556281},
	{32139, -106.2, 31.9, 145294.1211345295, 3262218.8840804179},
	{32139, -93.6, 30.1, 1348628.6090720338, 3067675.1609683363},
	{2278, -98.4936, 29.4241, 2129698.7750755595, 13702089.8681457378},
	{2278, -95.3698, 29.7604, 3120099.0877559595, 13841900.8581406288},
	{2278, -104.5, 29.6, 221370.0272665476, 13806790.3118212055},
	{2253, -83.0458, 42.3314, 13480497.3709788416, 305787.9748738135},
	{2253, -86.5, 41.8, 12541677.5703239180, 116702.3966654845},
	{2253, -82.5, 43.9, 13615376.6054954138, 880141.2258818218},
	{32161, -66.1057, 18.4655, 234605.8762114405, 270000.5012590602},
	{32161, -64.75, 17.73, 378545.9709174432, 189383.6506902858},
	{3347, -75.6972, 45.4215, 7471241.7885118248, 1190644.0096222090},
	{3347, -123.12, 49.28, 4018737.7347236290, 2007048.7165650604},
	{3347, -63.57, 44.65, 8412910.7603525296, 1441480.6257613660},
	{3347, -135.05, 60.72, 4082586.2316907845, 3458941.0363387321},
	{7590, -91.0, 46.6, 788407.0393430041, 462007.6255262019},
	{7590, -91.4, 46.2, 687392.6121814708, 316184.0636790504},
	{3857, -93.265, 44.9778, -10382212.3088346589, 5618027.2273623804},
	{3857, 151.2093, -33.8688, 16832542.2792073414, -4011198.6473075720},
	{3857, -0.01, 0.01, -1113.194907933, 1113.194913584},
	{3857, 179.999, 84.9, 20037397.0232984461, 19845401.3354963809},
	{3857, -100.333333, 24.381787, -11169055.5391519498, 2800000.0099261394},
}

// TestAgainstPROJ holds both directions to 1e-8 m of PROJ.
func TestAgainstPROJ(t *testing.T) {
	worst := 0.0
	for _, c := range projPoints {
		s, err := Parse(fmt.Sprintf("EPSG:%d", c.code))
		if err != nil {
			t.Fatal(err)
		}
		x, y, ok := s.FromDegrees(orb.Point{c.lon, c.lat})
		d := math.Hypot(x-c.x, y-c.y) * s.UnitMetres()
		p, ok2 := s.ToDegrees(c.x, c.y)
		back := math.Hypot((p[0]-c.lon)*math.Cos(c.lat*degree), p[1]-c.lat) * 111700
		worst = max(worst, d, back)
		if !ok || !ok2 || !(d <= 1e-8 && back <= 1e-8) {
			t.Errorf("%s at %v, %v: got %.9f, %.9f (%.1e m off, %v), back %v (%.1e m off, %v)", s, c.lon, c.lat, x, y, d, ok, p, back, ok2)
		}
	}
	t.Logf("%d points, worst %.1e m", len(projPoints), worst)
}

// TestFeet guards the slip of taking one foot for the other: the same place, and eastings 2 parts in a million apart.
func TestFeet(t *testing.T) {
	if got := surveyFoot / foot; math.Abs(got-1.000002000004) > 1e-12 { // 1200/3937/0.3048, by hand
		t.Errorf("survey foot over foot is %.13f", got)
	}
	for code, want := range map[int]float64{3435: 1200.0 / 3937, 2263: 1200.0 / 3937, 2222: 0.3048, 2253: 0.3048, 2256: 0.3048, 26971: 1, 4269: 0, 3857: 1} {
		c, err := Parse(fmt.Sprintf("EPSG:%d", code))
		if err != nil {
			t.Fatal(err)
		}
		if c.UnitMetres() != want {
			t.Errorf("%s: unit %v m, want %v", c, c.UnitMetres(), want)
		}
	}
	// NAD83 / New York Long Island has its false easting at 984250 US survey feet = 300000 m exactly: the same coordinates
	// taken in international feet lie 0.6 m west. (1 foot of the slip: 984250 ft * 0.3048 = 299999.4 m.)
	c, _ := Parse("EPSG:2263")
	p, ok := c.ToDegrees(984250, 0)
	if !ok || math.Abs(p[0]+74) > 1e-13 {
		t.Errorf("false origin lies at %v, want 74 W", p)
	}
}

func BenchmarkToDegrees(b *testing.B) {
	for _, code := range []int{26971, 2263, 3857} {
		i := slices.IndexFunc(projPoints, func(p projPoint) bool { return p.code == code })
		c := projPoints[i]
		s, err := Parse(fmt.Sprintf("EPSG:%d", code))
		if err != nil {
			b.Fatal(err)
		}
		b.Run(s.Name(), func(b *testing.B) {
			for range b.N {
				sink, _ = s.ToDegrees(c.x, c.y)
			}
		})
		b.Run("back "+s.Name(), func(b *testing.B) {
			for range b.N {
				sink[0], sink[1], _ = s.FromDegrees(orb.Point{c.lon, c.lat})
			}
		})
	}
}

// sink keeps the benchmark's work from being dropped.
var sink orb.Point
