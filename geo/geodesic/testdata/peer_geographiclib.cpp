// Times the polygon area of GeographicLib on polygons from standard input: a count, then for
// each a number of corners and longitude, latitude of each. Prints the nanoseconds per corner
// of each round, and last the sum of all areas. One argument: rounds.
#include <GeographicLib/Geodesic.hpp>
#include <GeographicLib/PolygonArea.hpp>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <vector>

int main(int argc, char **argv) {
	int rounds = argc > 1 ? std::atoi(argv[1]) : 5, polygons, total = 0;
	if (std::scanf("%d", &polygons) != 1) return 1;
	std::vector<std::vector<double>> at(polygons);
	for (auto &p : at) {
		int n;
		if (std::scanf("%d", &n) != 1) return 1;
		p.resize(2 * n);
		for (auto &x : p)
			if (std::scanf("%lf", &x) != 1) return 1;
		total += n;
	}
	const GeographicLib::Geodesic &g = GeographicLib::Geodesic::WGS84();
	double sum = 0;
	for (int r = 0; r < rounds; r++) {
		sum = 0;
		auto t0 = std::chrono::steady_clock::now();
		for (const auto &p : at) {
			GeographicLib::PolygonArea poly(g);
			double area, perimeter;
			for (size_t j = 0; j < p.size(); j += 2) poly.AddPoint(p[j + 1], p[j]);
			poly.Compute(false, true, perimeter, area);
			sum += area;
		}
		auto t1 = std::chrono::steady_clock::now();
		std::printf("%.3f\n", std::chrono::duration<double, std::nano>(t1 - t0).count() / total);
	}
	std::printf("%.6f\n", sum);
}
