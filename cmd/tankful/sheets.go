package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/sheet"
	"tankful/plan/sheet/draw"
	"tankful/plan/sheet/screen"
)

// mapDPI is the resolution of the map pictures: readable on a phone, small to send.
const mapDPI = 110

// The size of a map in the file for a phone: small paper, so that its letters are large on a small screen.
const (
	phoneWide = 130 * unit.Millimetre
	phoneHigh = 160 * unit.Millimetre
)

// paperFlags are the flags that say how sheets are made.
type paperFlags struct{ paper, server string }

func (f *paperFlags) add(cmd *cobra.Command) {
	f.addPaper(cmd)
	cmd.Flags().StringVar(&f.server, "server", "", "`address` of a server that has the plan: each stop's sheet bears its link as a QR code")
}

// addPaper is for what has no page on a server.
func (f *paperFlags) addPaper(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.paper, "paper", "", "`size` of paper: letter or a4 (default: letter for US units, a4 for metric ones)")
	completeWith(cmd, "paper", string(sheet.Letter), string(sheet.A4))
}

func (f *paperFlags) options(try string) (sheet.Options, error) {
	if f.paper != "" && f.paper != string(sheet.Letter) && f.paper != string(sheet.A4) {
		return sheet.Options{}, &usageError{fmt.Sprintf("--paper: %q is not letter or a4", f.paper), try}
	}
	if err := checkServer(f.server); err != nil {
		return sheet.Options{}, &usageError{"--server: " + err.Error(), try}
	}
	return sheet.Options{Paper: sheet.Paper(f.paper), Server: f.server}, nil
}

// checkServer says what is wrong with a server's address: it must be http or https with a host, and no more than a path.
func checkServer(address string) error {
	u, err := url.Parse(address)
	switch {
	case address == "":
		return nil
	case err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "":
		return fmt.Errorf("%q is no address of a server: write it like https://office.example:8080", address)
	case u.RawQuery != "" || u.Fragment != "" || u.User != nil || len(address) > mostAddress:
		return fmt.Errorf("%q is more than the address of a server, or over %d characters: write it like https://office.example:8080", address, mostAddress)
	}
	return nil
}

// mostAddress keeps the squares of a QR code large enough to be read off wet paper.
const mostAddress = 100

// sheetWriter draws the sheets of a plan into a folder.
type sheetWriter struct {
	*env
	p    *plan.Plan
	dir  folder
	opt  sheet.Options
	done []plan.Applied
}

// all draws everything: one PDF a truck with its overview and calendar, the map of each stop as SVG and PNG, the customers'
// notices, and the day as one file for a phone.
func (s *sheetWriter) all(ctx context.Context) error {
	pr := s.progress("drawing", len(s.p.Trucks)+len(s.p.Stops))
	defer pr.end()
	for i := range s.p.Trucks {
		name := s.p.Trucks[i].Truck
		doc, err := sheet.Truck(s.p, name, s.opt)
		if err != nil {
			return fmt.Errorf("lay out the sheets of %s: %w", name, err)
		}
		prefix := s.prefix(name)
		if err := s.pdf(doc, prefix); err != nil {
			return err
		}
		pr.say("wrote " + s.dir.path(prefix+".pdf"))
		if err := drawOverview(s.p, name, s.dir, prefix); err != nil {
			return err
		}
		if err := writeCalendar(s.p, &s.p.Trucks[i], s.dir, prefix); err != nil {
			return err
		}
		if err := s.notices(name, prefix); err != nil {
			return err
		}
		if err := s.dir.writeWith(prefix+"-phone.html", phone(doc)); err != nil {
			return err
		}
		pr.step()
		if err := drawMaps(ctx, doc, s.dir, prefix, pr); err != nil {
			return err
		}
	}
	return nil
}

// prefix is what the names of a truck's files begin with: two names may differ in letters that a file name does without.
func (s *sheetWriter) prefix(truck string) string {
	prefix := fileName(s.p.Date, truck)
	for n := 2; s.dir.wrote[prefix+".pdf"] || s.dir.wrote[prefix+overviewName+".pdf"]; n++ {
		prefix = fileName(s.p.Date, truck, strconv.Itoa(n))
	}
	return prefix
}

func (s *sheetWriter) pdf(doc *sheet.Document, name string) error {
	return s.dir.writeWith(name+".pdf", func(w io.Writer) error { return draw.PDF(w, doc) })
}

// notices writes the customers' notices of a truck; a truck without a stop has none.
func (s *sheetWriter) notices(truck, prefix string) error {
	if !slices.ContainsFunc(s.p.Stops, func(x plan.StopPlan) bool { return x.Truck == truck }) {
		return nil
	}
	doc, err := sheet.Notices(s.p, truck, s.opt, s.done)
	if err != nil {
		return fmt.Errorf("lay out the notices of %s: %w", truck, err)
	}
	return s.pdf(doc, prefix+"-notices")
}

// phone writes a document as one HTML file that needs no network.
func phone(doc *sheet.Document) func(io.Writer) error {
	return func(w io.Writer) error {
		return screen.Write(w, doc, func(block sheet.Block) (string, error) {
			var svg bytes.Buffer
			if o, ok := block.(sheet.Overview); ok {
				o.Title, o.Invented = "", false // the page says both
				block = o
			}
			err := draw.BlockSVG(&svg, block, phoneWide, phoneHigh)
			return svg.String(), err
		})
	}
}

// drawMaps writes the map of each stop of a document.
func drawMaps(ctx context.Context, doc *sheet.Document, dir folder, prefix string, pr *progress) error {
	w, h := doc.Paper.Size()
	w, h = w-unit.Inch, h-4*unit.Inch
	for i := range doc.Pages {
		m := doc.Pages[i].Map()
		if m == nil {
			continue
		}
		if err := interrupted(ctx); err != nil {
			return err
		}
		var svg, png bytes.Buffer
		if err := draw.MapSVG(&svg, *m, w, h); err != nil {
			return fmt.Errorf("draw map: %w", err)
		}
		if err := draw.MapPNG(&png, *m, w, h, mapDPI); err != nil {
			return fmt.Errorf("draw map: %w", err)
		}
		name := fmt.Sprintf("%s-stop-%02d", prefix, doc.Pages[i].Stop)
		if err := dir.write(name+".svg", svg.Bytes()); err != nil {
			return err
		}
		if err := dir.write(name+".png", png.Bytes()); err != nil {
			return err
		}
		pr.step()
	}
	return nil
}

// fileName joins words to a file name of plain letters, digits and hyphens.
func fileName(words ...string) string {
	s := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, strings.Join(words, "-"))
	return strings.Trim(s, "-")
}

// pages writes a laid-out document sheet by sheet in the formats that are asked for.
func (s *sheetWriter) pages(doc *sheet.Document, name string, formats []string, dpi float64) error {
	laid, err := draw.Layout(doc)
	if err != nil {
		return fmt.Errorf("lay out %s: %w", doc.Title, err)
	}
	for _, f := range formats {
		switch f {
		case "html":
			err = s.one(name+".html", phone(doc))
		case "pdf":
			err = s.one(name+".pdf", laid.PDF)
		default:
			for n := 1; n <= laid.Len() && err == nil; n++ {
				err = s.one(fmt.Sprintf("%s-%02d.%s", name, n, f), func(w io.Writer) error {
					if f == "svg" {
						return laid.SVG(w, n)
					}
					return laid.PNG(w, n, dpi)
				})
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// one writes a file and says its name on standard output.
func (s *sheetWriter) one(name string, write func(io.Writer) error) error {
	if err := s.dir.writeWith(name, write); err != nil {
		return err
	}
	_, err := fmt.Fprintln(s.out, s.dir.path(name))
	return err
}

// makeFolder makes a folder for sheets.
func makeFolder(name string) (folder, error) {
	if err := os.MkdirAll(name, 0o755); err != nil {
		return folder{}, fmt.Errorf("make folder %s: %w", name, reason(err))
	}
	return folder{filepath.Clean(name), map[string]bool{}}, nil
}
