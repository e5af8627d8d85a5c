package season_test

import (
	"testing"

	"tankful/calc/label"
	"tankful/calc/season"
	"tankful/calc/working/workingtest"
)

// What is printed of a visit within its limits, one that breaks every kind, and one with a product that nobody analysed, in both systems.
func TestBoard(t *testing.T) {
	var list []workingtest.Case
	add := func(name string, s season.Season, v season.Visit) {
		r, ps := s.Check(v)
		list = append(list, workingtest.Case{Name: name, Outcome: r, Problems: ps})
	}
	quick := limit("N", label.PerApplication, 0.7)
	quick.Basis = label.Quick
	slow := label.Limit{Of: "N", LeastSlow: 0.20, Citation: "invented ordinance", Dated: "2026-02-01"}
	window := limit("N", label.PerDays, 1)
	window.Days = 30
	winter := label.Limit{Of: "N", From: "11-15", To: "03-01", Citation: "invented ordinance", Dated: "2026-02-01"}
	for_ := limit("P2O5", label.PerYear, 0.5)
	for_.Grass = "bermuda"
	s := season.Season{Limits: []label.Limit{limit("N", label.PerYear, 3), quick, slow, window, winter, for_},
		Past: []season.Applied{past("2026-03-16", feed, oz(30)), past("2026-04-01", weed, oz(1)), past("2025-06-01", spread, lb(3)), past("2026-05-20", spread, lb(1))}}
	add("within", s, visit("2026-04-14", part(feed, oz(16))))
	add("one product", s, visit("2026-06-20", part(spread, lb(0.5)), part(feed, oz(30))))
	add("broken", s, visit("2026-12-01", part(spread, lb(20)), part(weed, oz(1.6))))
	add("too soon", s, visit("2026-04-20", part(weed, oz(1))))
	thrice := season.Season{Past: []season.Applied{past("2026-03-01", weed, oz(0.5)), past("2026-04-01", weed, oz(0.5)), past("2026-05-01", weed, oz(0.5))}}
	add("a fourth time", thrice, visit("2026-06-20", part(weed, oz(0.5))))
	never := season.Season{Limits: []label.Limit{limit("N", label.PerApplication, 0.0001)}}
	add("the most is all but nothing", never, visit("2026-06-20", part(feed, oz(16))))
	open := spread
	open.Name, open.Analysis = "Open", label.Analysis{}
	blank := visit("2026-06-20", part(open, lb(2)), part(feed, oz(16)))
	blank.Grass = ""
	add("not analysed", season.Season{Limits: []label.Limit{{Of: "Open", Per: label.PerYear, Most: lb(4), Grass: "bermuda", Citation: "invented ordinance", Dated: "2026-02-01"}}}, blank)
	workingtest.Check(t, list)
}
