package crs

// utmZones are the UTM zones of North America on NAD83; those of other datums are counted out in zone.go.
// From the EPSG Dataset v10.076 (IOGP, 2022-08-31) as published in proj.db of PROJ 9.1.1: every system of NAD83 and its
// realizations by transverse Mercator or Lambert conformal conic that is not withdrawn. Minutes and seconds of arc are written as published.
var utmZones = []zone{
	{"UTM zone 1N", metre, tm, 0, -177, 0.9996, 0, 500000, 0, codes{nad83: 26901, nad2011: 6330, nsrs2007: 3708}},
	{"UTM zone 2N", metre, tm, 0, -171, 0.9996, 0, 500000, 0, codes{nad83: 26902, nad2011: 6331, nsrs2007: 3709}},
	{"UTM zone 2S", metre, tm, 0, -171, 0.9996, 0, 500000, 10000000, codes{harn: 2195, pa11: 6636}},
	{"UTM zone 3N", metre, tm, 0, -165, 0.9996, 0, 500000, 0, codes{nad83: 26903, nad2011: 6332, nsrs2007: 3710}},
	{"UTM zone 4N", metre, tm, 0, -159, 0.9996, 0, 500000, 0, codes{nad83: 26904, nad2011: 6333, harn: 3750, nsrs2007: 3711, pa11: 6634}},
	{"UTM zone 5N", metre, tm, 0, -153, 0.9996, 0, 500000, 0, codes{nad83: 26905, nad2011: 6334, harn: 3751, nsrs2007: 3712, pa11: 6635}},
	{"UTM zone 6N", metre, tm, 0, -147, 0.9996, 0, 500000, 0, codes{nad83: 26906, nad2011: 6335, nsrs2007: 3713}},
	{"UTM zone 7N", metre, tm, 0, -141, 0.9996, 0, 500000, 0, codes{nad83: 26907, nad2011: 6336, nsrs2007: 3714, csrs: 3154, csrs2: 22207, csrs3: 22307, csrs4: 22407, csrs6: 22607, csrs7: 22707}},
	{"UTM zone 8N", metre, tm, 0, -135, 0.9996, 0, 500000, 0, codes{nad83: 26908, nad2011: 6337, nsrs2007: 3715, csrs: 3155, csrs2: 22208, csrs3: 22308, csrs4: 22408, csrs6: 22608, csrs7: 22708}},
	{"UTM zone 9N", metre, tm, 0, -129, 0.9996, 0, 500000, 0, codes{nad83: 26909, nad2011: 6338, nsrs2007: 3716, csrs: 3156, csrs2: 22209, csrs3: 22309, csrs4: 22409, csrs6: 22609, csrs7: 22709}},
	{"UTM zone 10N", metre, tm, 0, -123, 0.9996, 0, 500000, 0, codes{nad83: 26910, nad2011: 6339, harn: 3740, nsrs2007: 3717, csrs: 3157, csrs2: 22210, csrs3: 22310, csrs4: 22410, csrs6: 22610, csrs7: 22710}},
	{"UTM zone 11N", metre, tm, 0, -117, 0.9996, 0, 500000, 0, codes{nad83: 26911, nad2011: 6340, harn: 3741, nsrs2007: 3718, csrs: 2955, csrs2: 22211, csrs3: 22311, csrs4: 22411, csrs6: 22611, csrs7: 22711}},
	{"UTM zone 12N", metre, tm, 0, -111, 0.9996, 0, 500000, 0, codes{nad83: 26912, nad2011: 6341, harn: 3742, nsrs2007: 3719, csrs: 2956, csrs2: 22212, csrs3: 22312, csrs4: 22412, csrs6: 22612, csrs7: 22712}},
	{"UTM zone 13N", metre, tm, 0, -105, 0.9996, 0, 500000, 0, codes{nad83: 26913, nad2011: 6342, harn: 3743, nsrs2007: 3720, csrs: 2957, csrs2: 22213, csrs3: 22313, csrs4: 22413, csrs6: 22613, csrs7: 22713}},
	{"UTM zone 14N", metre, tm, 0, -99, 0.9996, 0, 500000, 0, codes{nad83: 26914, nad2011: 6343, harn: 3744, nsrs2007: 3721, csrs: 3158, csrs2: 22214, csrs3: 22314, csrs4: 22414, csrs6: 22614, csrs7: 22714}},
	{"UTM zone 15N", metre, tm, 0, -93, 0.9996, 0, 500000, 0, codes{nad83: 26915, nad2011: 6344, harn: 3745, nsrs2007: 3722, csrs: 3159, csrs2: 22215, csrs3: 22315, csrs4: 22415, csrs6: 22615, csrs7: 22715}},
	{"UTM zone 16N", metre, tm, 0, -87, 0.9996, 0, 500000, 0, codes{nad83: 26916, nad2011: 6345, harn: 3746, nsrs2007: 3723, csrs: 3160, csrs2: 22216, csrs3: 22316, csrs4: 22416, csrs6: 22616, csrs7: 22716}},
	{"UTM zone 17N", metre, tm, 0, -81, 0.9996, 0, 500000, 0, codes{nad83: 26917, nad2011: 6346, harn: 3747, nsrs2007: 3724, csrs: 2958, csrs2: 22217, csrs3: 22317, csrs4: 22417, csrs6: 22617, csrs7: 22717}},
	{"UTM zone 18N", metre, tm, 0, -75, 0.9996, 0, 500000, 0, codes{nad83: 26918, nad2011: 6347, harn: 3748, nsrs2007: 3725, csrs: 2959, csrs2: 22218, csrs3: 22318, csrs4: 22418, csrs6: 22618, csrs7: 22718}},
	{"UTM zone 19N", metre, tm, 0, -69, 0.9996, 0, 500000, 0, codes{nad83: 26919, nad2011: 6348, harn: 3749, nsrs2007: 3726, csrs: 2960, csrs2: 22219, csrs3: 22319, csrs4: 22419, csrs6: 22619, csrs7: 22719}},
	{"UTM zone 20N", metre, tm, 0, -63, 0.9996, 0, 500000, 0, codes{nad83: 26920, csrs: 2961, csrs2: 22220, csrs3: 22320, csrs4: 22420, csrs6: 22620, csrs7: 22720}},
	{"UTM zone 21N", metre, tm, 0, -57, 0.9996, 0, 500000, 0, codes{nad83: 26921, csrs: 2962, csrs2: 22221, csrs3: 22321, csrs4: 22421, csrs6: 22621, csrs7: 22721}},
	{"UTM zone 22N", metre, tm, 0, -51, 0.9996, 0, 500000, 0, codes{nad83: 26922, csrs: 3761, csrs2: 22222, csrs3: 22322, csrs4: 22422, csrs6: 22622, csrs7: 22722}},
	{"UTM zone 23N", metre, tm, 0, -45, 0.9996, 0, 500000, 0, codes{nad83: 26923, csrs: 9709}},
	{"UTM zone 24N", metre, tm, 0, -39, 0.9996, 0, 500000, 0, codes{nad83: 9712, csrs: 9713}},
	{"UTM zone 54N", metre, tm, 0, 141, 0.9996, 0, 500000, 0, codes{ma11: 8692}},
	{"UTM zone 55N", metre, tm, 0, 147, 0.9996, 0, 500000, 0, codes{ma11: 8693}},
	{"UTM zone 59N", metre, tm, 0, 171, 0.9996, 0, 500000, 0, codes{nad83: 3372, nad2011: 6328, nsrs2007: 3706}},
	{"UTM zone 60N", metre, tm, 0, 177, 0.9996, 0, 500000, 0, codes{nad83: 3373, nad2011: 6329, nsrs2007: 3707}},
}
