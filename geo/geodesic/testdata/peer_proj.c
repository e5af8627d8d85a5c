/* Times the polygon area of PROJ's geodesic.h on polygons from standard input: a count,
   then for each a number of corners and longitude, latitude of each. Prints the nanoseconds
   per corner of each round, and last the sum of all areas. One argument: rounds. */
#include <geodesic.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

int main(int argc, char **argv) {
	int rounds = argc > 1 ? atoi(argv[1]) : 5, polygons, total = 0;
	if (scanf("%d", &polygons) != 1) return 1;
	int *n = malloc(polygons * sizeof *n);
	double **at = malloc(polygons * sizeof *at);
	for (int i = 0; i < polygons; i++) {
		if (scanf("%d", &n[i]) != 1) return 1;
		at[i] = malloc(2 * n[i] * sizeof **at);
		for (int j = 0; j < 2 * n[i]; j++)
			if (scanf("%lf", &at[i][j]) != 1) return 1;
		total += n[i];
	}
	struct geod_geodesic g;
	geod_init(&g, 6378137, 1 / 298.257223563);
	double sum = 0;
	for (int r = 0; r < rounds; r++) {
		struct timespec t0, t1;
		sum = 0;
		clock_gettime(CLOCK_MONOTONIC, &t0);
		for (int i = 0; i < polygons; i++) {
			struct geod_polygon p;
			double area, perimeter;
			geod_polygon_init(&p, 0);
			for (int j = 0; j < n[i]; j++)
				geod_polygon_addpoint(&g, &p, at[i][2 * j + 1], at[i][2 * j]);
			geod_polygon_compute(&g, &p, 0, 1, &area, &perimeter);
			sum += area;
		}
		clock_gettime(CLOCK_MONOTONIC, &t1);
		printf("%.3f\n", ((t1.tv_sec - t0.tv_sec) * 1e9 + (t1.tv_nsec - t0.tv_nsec)) / total);
	}
	printf("%.6f\n", sum);
	return 0;
}
