package server

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"

	"github.com/gorilla/mux"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/tape"
)

// States of a property: what its newest measuring is worth. One that was taped has an area to quote and no outlines to plan passes on.
const (
	stateMeasured = "measured"
	stateTaped    = "by tape"
	stateMend     = "to be mended"
)

const mostTape = 20_000 // letters

// tapeLine is a shape as a page shows it.
type tapeLine struct {
	Name    string `json:"name"`
	Working string `json:"working"`
	Note    string `json:"note,omitempty"`
}

// tapeSum is what lengths come to, as printed.
type tapeSum struct {
	Lines    []tapeLine   `json:"lines"`
	Figures  []liveFigure `json:"figures"`
	Problems problem.List `json:"problems"`
}

// taped adds up what was measured with a tape or a wheel; nil beside an error.
func taped(text, accuracy string, u unit.System) (*tape.Property, problem.List) {
	var ps problem.List
	opt := tape.Options{Units: u, ID: "tape"}
	if accuracy != "" {
		var err error
		if opt.Accuracy, err = unit.ParseLength(accuracy); err != nil || !(opt.Accuracy > 0) {
			ps.Errorf("length-invalid", "accuracy", `Write how well a length is known with its unit, for example "0.5 ft", or leave it out.`, "%q is no length over 0", short(accuracy))
		}
	}
	if len(text) > mostTape {
		ps.Errorf("text-too-long", "tape", "Leave shapes out, or measure with outlines.", "%d letters, and %d are read", len(text), mostTape)
		return nil, ps
	}
	list, found := tape.Read("tape", text, opt)
	ps = append(ps, found...)
	if len(list) > 1 {
		ps.Errorf("several-properties", "tape", "Keep one property at a time.", "the lines are of %d properties", len(list))
	}
	if len(list) > 0 {
		ps = append(ps, list[0].Problems...)
	}
	if ps.HasErrors() || len(list) != 1 {
		return nil, ps
	}
	return list[0], ps
}

// tapeSumOf prints what lengths come to.
func tapeSumOf(p *tape.Property, ps problem.List, u unit.System) tapeSum {
	out := tapeSum{Lines: []tapeLine{}, Figures: []liveFigure{}, Problems: append(problem.List{}, ps...)}
	if p == nil {
		return out
	}
	for _, l := range p.Lines {
		x := tapeLine{Name: l.Name, Working: l.Working}
		if l.Less {
			x.Name = strings.TrimSpace("less " + l.Name)
		}
		if l.Perimeter > 0 {
			x.Note = "edge " + u.Length(l.Perimeter)
		}
		out.Lines = append(out.Lines, x)
	}
	net := liveFigure{Label: "Net turf by tape", Value: u.Area(p.Net)}
	if p.PlusMinus > 0 {
		net.Note = "+- " + u.Area(p.PlusMinus)
	}
	out.Figures = append(out.Figures, net, liveFigure{Label: "Turf as taped", Value: u.Area(p.Turf)})
	for _, s := range geo.LeftOut {
		if a := p.By[s]; a > 0 {
			out.Figures = append(out.Figures, liveFigure{Label: "less " + string(s), Value: u.Area(a)})
		}
	}
	return out
}

// byTape enters into the facts what the tape says: the area where nothing is drawn, else how far the two are apart.
func (f *propertyFacts) byTape(a *account, drawn, whole bool, u unit.System) (state string, ps problem.List) {
	p, ps := taped(a.Tape, a.TapeAccuracy, u)
	if p == nil {
		return "", ps
	}
	f.Tape = u.Area(p.Net)
	if drawn {
		if net := f.Measure.Net; whole && net > 0 {
			switch off := float64(p.Net-net) / float64(net); {
			case math.Abs(off) < 0.0005:
				f.TapeNote = "as much as the outlines"
			case off > 0:
				f.TapeNote = unit.Number(100*off, 1) + " % more than the outlines"
			default:
				f.TapeNote = unit.Number(-100*off, 1) + " % less than the outlines"
			}
		}
		return "", ps
	}
	f.Net = f.Tape
	if p.PlusMinus > 0 {
		f.PlusMinus = u.Area(p.PlusMinus)
	}
	return stateTaped, ps
}

// sumTape adds up lengths that are not kept.
func (s *Server) sumTape(ctx context.Context, text, accuracy string) (tapeSum, error) {
	p, err := s.parts(ctx)
	if err != nil {
		return tapeSum{}, err
	}
	t, ps := taped(text, accuracy, p.units())
	return tapeSumOf(t, ps, p.units()), nil
}

// tapeForm keeps what was measured with a tape or a wheel.
func (s *Server) tapeForm(w http.ResponseWriter, r *http.Request) error {
	id := mux.Vars(r)["id"]
	was, err := strconv.ParseInt(r.PostForm.Get("version"), 10, 64)
	if err != nil {
		return &refusal{Status: http.StatusBadRequest, Title: "the form is not whole", Detail: "Open the page again."}
	}
	said := "Saved."
	err = s.changeAccount(r.Context(), id, was, func(a *account) error {
		a.Tape, a.TapeAccuracy = strings.TrimSpace(strings.ReplaceAll(r.PostForm.Get("tape"), "\r\n", "\n")), strings.TrimSpace(r.PostForm.Get("accuracy"))
		if a.Tape == "" {
			a.TapeAccuracy, said = "", "What was taped is taken away."
			return nil
		}
		p, err := s.parts(r.Context())
		if err != nil {
			return err
		}
		t, ps := taped(a.Tape, a.TapeAccuracy, p.units())
		if t == nil {
			return fmt.Errorf("tape: %w", ps.Err())
		}
		said = "Saved: " + p.units().Area(t.Net) + " by tape."
		return nil
	})
	if err != nil {
		return err
	}
	return s.then(w, r, said, "/properties/"+id)
}

// tapeShape is a line to begin with.
type tapeShape struct{ Name, Line string }

var tapeShapes = map[unit.System][]tapeShape{
	unit.US: {{"Rectangle", "front: rectangle 90 ft x 50 ft"}, {"Triangle", "side: triangle base 125 ft height 75 ft"}, {"Trapezoid", "back: trapezoid 90 ft and 60 ft, 80 ft apart"}, {"Circle", "island: circle radius 30 ft"},
		{"Offsets", "strip: offsets every 10 ft: 32 ft 50 ft 45 ft 17 ft"}, {"Radii", "knoll: radii 48 ft 52 ft 50 ft 51 ft"}, {"Less house", "less house: rectangle 50 ft x 25 ft"}, {"Less bed", "less bed: circle radius 6 ft"}},
	unit.Metric: {{"Rectangle", "front: rectangle 27 m x 15 m"}, {"Triangle", "side: triangle base 38 m height 23 m"}, {"Trapezoid", "back: trapezoid 27 m and 18 m, 24 m apart"}, {"Circle", "island: circle radius 9 m"},
		{"Offsets", "strip: offsets every 3 m: 10 m 15 m 14 m 5 m"}, {"Radii", "knoll: radii 15 m 16 m 15 m 15.5 m"}, {"Less house", "less house: rectangle 15 m x 8 m"}, {"Less bed", "less bed: circle radius 2 m"}},
}
