package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/crs"
	"tankful/geo/geodesic"
	"tankful/geo/intake"
	"tankful/geo/intake/raw"
)

// outlineFlags are the options of every command that reads outlines.
type outlineFlags struct {
	surfaceKey, groupKey, surfaceMap string
	crs, strips, slope               string
	lineWidth, accuracy, bias        unit.Length
	height                           unit.Length
	edges                            geodesic.Edges
}

// add is for every command that reads outlines.
func (f *outlineFlags) add(cmd *cobra.Command) {
	fs := cmd.Flags()
	fs.StringVar(&f.surfaceKey, "surface-key", "", "feature `member` that says what a surface is (default: surface, kind, role and the like, then OpenStreetMap tags)")
	fs.StringVar(&f.groupKey, "group-key", "", "feature `member` that groups features into properties; id for the feature's own id (default: property, site, account, parcel, lot, else one property a file)")
	fs.StringVar(&f.surfaceMap, "surface-map", "", "what a file's `words` for surfaces mean, such as path=hardscape,exclusion=keep-off")
	fs.StringVar(&f.crs, "crs", "", "coordinate `system` of files that do not say: EPSG:26915, \"UTM 15N\" or a .prj file")
	fs.Var(&f.lineWidth, "line-width", "width of paths that are drawn as lines and say no width (default: such lines are left out, with a warning)")
	fs.Lookup("line-width").DefValue = ""
}

// addMeasuring is for commands that measure outlines by themselves; a day file has entries of its own.
func (f *outlineFlags) addMeasuring(cmd *cobra.Command) {
	fs := cmd.Flags()
	fs.Var(&f.accuracy, "accuracy", "how well the corners of the outlines are known, such as \"0.5 m\" (default: a guess, which is named)")
	fs.Var(&f.bias, "bias", "how far outlines may be drawn too wide or too narrow all along, such as \"4 in\" (default: a guess, which is named)")
	fs.StringVar(&f.strips, "keep-off", "", "keep-off `strips` along the edges of surfaces, such as \"water=10 ft,building=1 ft,turf=1 ft\"")
	fs.StringVar(&f.slope, "slope", "", "`slope` of turf that says none, such as \"10 %\" or \"6 deg\": the ground on it is printed beside the map's area")
	fs.Var(&f.height, "height", "height of the place, such as \"5,000 ft\", when the outlines do not say: how much ground that adds is noted")
	fs.Var(&f.edges, "edges", "what an edge between two corners is: lon-lat, straight in degrees (GeoJSON), or geodesic, straight on the ground")
	fs.Lookup("edges").DefValue = string(geodesic.LonLat)
	for _, name := range []string{"accuracy", "bias", "height"} {
		fs.Lookup(name).DefValue = ""
	}
	completeWith(cmd, "edges", string(geodesic.LonLat), string(geodesic.Geodesic))
}

// options are how files are to be read.
func (f *outlineFlags) options(cmd *cobra.Command) (intake.Options, error) {
	opt := intake.Options{SurfaceKey: f.surfaceKey, GroupKey: f.groupKey, LineWidth: f.lineWidth}
	if f.surfaceMap != "" {
		m, err := intake.ParseSurfaceMap(f.surfaceMap)
		if err != nil {
			return opt, &usageError{"--surface-map: " + err.Error(), cmd.CommandPath() + " --surface-map path=hardscape,exclusion=keep-off FILE"}
		}
		opt.SurfaceMap = m
	}
	if f.crs != "" {
		text := f.crs
		if strings.EqualFold(filepath.Ext(text), ".prj") {
			data, err := os.ReadFile(text)
			if err != nil {
				return opt, fmt.Errorf("read coordinate system: %w", err)
			}
			text = string(data)
		}
		system, err := crs.Parse(text)
		if err != nil {
			return opt, &usageError{"--crs: " + err.Error(), cmd.CommandPath() + " --crs EPSG:26915 FILE"}
		}
		opt.CRS = system
	}
	for name, l := range map[string]unit.Length{"line-width": f.lineWidth, "accuracy": f.accuracy, "bias": f.bias} {
		if cmd.Flags().Changed(name) && !(l > 0) {
			return opt, &usageError{"--" + name + " must be above zero", cmd.CommandPath() + " --" + name + " \"0.5 m\" FILE"}
		}
	}
	return opt, nil
}

// measuring is how outlines are to be measured.
func (f *outlineFlags) measuring(cmd *cobra.Command) (geo.MeasureOptions, error) {
	opt := geo.MeasureOptions{Accuracy: f.accuracy, Bias: f.bias, Edges: f.edges, Height: f.height}
	var err error
	if f.slope != "" {
		if opt.Slope, err = geo.ParseSlope(f.slope); err != nil {
			return opt, &usageError{"--slope: " + err.Error(), cmd.CommandPath() + " --slope \"10 %\" FILE"}
		}
	}
	if opt.Strips, err = geo.ParseStrips(f.strips); err != nil {
		return opt, &usageError{"--keep-off: " + err.Error(), cmd.CommandPath() + " --keep-off \"water=10 ft\" FILE"}
	}
	return opt, nil
}

// outlineFile is a file that outlines are read from.
type outlineFile struct {
	path string
	size int64
}

// outlineFiles are the files that the paths name, folders searched through. A path that is not there is an error at once.
func outlineFiles(paths []string) ([]outlineFile, error) {
	var out []outlineFile
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return nil, fmt.Errorf("read outlines: %w", err)
		}
		if !info.IsDir() {
			out = append(out, outlineFile{path, info.Size()})
			continue
		}
		found := 0
		err = filepath.WalkDir(path, func(p string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if hidden := strings.HasPrefix(d.Name(), ".") && p != path; hidden || d.IsDir() {
				if hidden && d.IsDir() {
					return fs.SkipDir
				}
				return nil
			}
			if !slices.Contains(intake.FolderEndings(), strings.ToLower(filepath.Ext(p))) {
				return nil
			}
			info, err := os.Stat(p)
			if err == nil && !info.IsDir() {
				found++
				out = append(out, outlineFile{p, info.Size()})
			}
			return err
		})
		if err != nil {
			return nil, fmt.Errorf("read outlines: %w", err)
		}
		if found == 0 {
			var list problem.List
			list.Errorf("no-outline-files", path, "Name the files themselves when their names end otherwise.",
				"the folder holds no file that ends in %s", strings.Join(intake.FolderEndings(), ", "))
			return nil, list.Err()
		}
	}
	return out, nil
}

// openOutlines opens a file and reads it once through. The file is nil when it is not to be used; done closes all.
func openOutlines(path string, opt intake.Options) (file *intake.File, found problem.List, done func()) {
	f, err := os.Open(path)
	var info fs.FileInfo
	if err == nil {
		info, err = f.Stat()
	}
	if err != nil {
		found.Errorf("file-unreadable", path, "Check the file and who may read it.", "the file can not be read: %v", err)
		return nil, found, func() {}
	}
	in := raw.Input{Name: path, Data: f, Size: info.Size(), Beside: func(ending string) ([]byte, error) { return readBeside(path, ending) }}
	file, found = intake.Open(in, opt)
	return file, found, func() {
		if file != nil {
			_ = file.Close() // it was only read from
		}
		_ = f.Close()
	}
}

// largestBeside bounds a file beside another that is read whole, such as a .prj; a .dbf of a million records fits.
const largestBeside = 1 << 30

// readBeside reads the file of the same name with another ending, in small or capital letters.
func readBeside(path, ending string) ([]byte, error) {
	base := strings.TrimSuffix(path, filepath.Ext(path))
	for _, e := range []string{ending, strings.ToUpper(ending)} {
		info, err := os.Stat(base + e)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			continue
		case err != nil:
			return nil, err
		case info.Size() > largestBeside:
			return nil, fmt.Errorf("%s%s is larger than %d MB", base, e, largestBeside>>20)
		}
		return os.ReadFile(base + e)
	}
	return nil, fs.ErrNotExist
}

// measured is a property measured, or the problems of one that holds no ground.
type measured struct {
	file     string
	site     *geo.Site // nil when there is nothing to measure
	problems problem.List
	ground   bool // there is something to measure, whether it was or not
}

// each reads and measures every property of the files, on all cores, and calls visit for each in their
// order. skip, when it is not nil, says which need no measuring. The list holds the problems that belong to no
// property; visit gets the others, those of its Site among them.
func (f *outlineFlags) each(ctx context.Context, e *env, cmd *cobra.Command, files []outlineFile, skip func(file, id string) bool, visit func(measured) error) (problem.List, error) {
	opt, err := f.options(cmd)
	if err != nil {
		return nil, err
	}
	how, err := f.measuring(cmd)
	if err != nil {
		return nil, err
	}
	pr := e.progress("measuring", 0)
	defer pr.end()
	sizes := int64(0)
	for _, file := range files {
		sizes += file.size
	}
	var found problem.List
	seen := newSeen(len(files))
	before := int64(0)
	for i, file := range files {
		pr.show()
		in, list, done := openOutlines(file.path, opt)
		found = append(found, list...)
		if in != nil {
			ground := false
			err = inOrder(ctx, in.Len(), func(k int) measured {
				p, list := in.Property(k)
				m := measured{file: file.path, problems: list, ground: p != nil}
				if p != nil && (skip == nil || !skip(file.path, p.ID)) {
					m.site = geo.Measure(p, how)
					m.problems = append(m.problems, m.site.Problems...)
				}
				return m
			}, func(k int, m measured) error {
				ground = ground || m.ground || m.problems.HasErrors()
				if m.site != nil {
					if p := seen.repeated(m.site.Property, files, i); p != nil {
						found = append(found, *p)
					}
				}
				pr.share = (float64(before) + float64(file.size)*float64(k+1)/float64(in.Len())) / float64(max(1, sizes))
				pr.step()
				return visit(m)
			})
			if !ground && err == nil && !list.HasErrors() {
				found = append(found, in.NoOutlines())
			}
		}
		done()
		if err != nil {
			return nil, err
		}
		before += file.size
	}
	return found, nil
}

// inOrder works on n things on all cores and hands over the results in their order.
func inOrder[T any](ctx context.Context, n int, work func(int) T, take func(int, T) error) error {
	workers := runtime.GOMAXPROCS(0)
	queue := make(chan chan T, 16*workers) // results in order, some of them still to come
	free := make(chan struct{}, workers)
	stop := make(chan struct{})
	go func() {
		defer close(queue)
		for i := range n {
			result := make(chan T, 1)
			select {
			case <-stop:
				return
			case queue <- result:
			}
			free <- struct{}{}
			go func() {
				result <- work(i)
				<-free
			}()
		}
	}()
	var err error
	i := 0
	for result := range queue {
		r := <-result // awaited in any case: whoever works on it reads the file, which is closed next
		if err == nil {
			if err = interrupted(ctx); err == nil {
				err = take(i, r)
			}
			if err != nil {
				close(stop)
			}
		}
		i++
	}
	return err
}

// seen finds properties that two files call by the same id.
type seen map[string]int // the index of the file; nil when there is but one

func newSeen(files int) seen {
	if files < 2 {
		return nil
	}
	return seen{}
}

func (s seen) repeated(p *geo.Property, files []outlineFile, file int) *problem.Problem {
	if s == nil {
		return nil
	}
	first, ok := s[p.ID]
	if !ok {
		s[p.ID] = file
		return nil
	}
	var list problem.List
	list.Warnf("property-repeated", p.Where, "Give each property an id of its own.", "property %q is also in %s; they are measured apart", p.ID, files[first].path)
	return &list[0]
}

// sites reads and measures every property of the files. Problems of a file that belong to no
// property are in the list; those of a property are in its Site.
func (f *outlineFlags) sites(ctx context.Context, e *env, cmd *cobra.Command, paths []string) ([]*geo.Site, problem.List, error) {
	files, err := outlineFiles(paths)
	if err != nil {
		return nil, nil, err
	}
	var sites []*geo.Site
	var found problem.List
	list, err := f.each(ctx, e, cmd, files, nil, func(m measured) error {
		if m.site != nil {
			sites = append(sites, m.site)
			found = append(found, m.problems[:len(m.problems)-len(m.site.Problems)]...)
		} else {
			found = append(found, m.problems...)
		}
		return nil
	})
	found = append(list, found...)
	found.Sort()
	return sites, found, err
}

// allProblems is the files' problems and those of the sites, sorted.
func allProblems(found problem.List, sites []*geo.Site) problem.List {
	all := append(problem.List{}, found...)
	for _, s := range sites {
		all = append(all, s.Problems...)
	}
	all.Sort()
	return all
}

// endProblems prints what is not an error and returns the errors, if any, as the command's end.
func endProblems(e *env, all problem.List) error {
	if err := all.Err(); err != nil {
		return err
	}
	printProblems(e.err, all)
	return nil
}
