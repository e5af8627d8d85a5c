package shape

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"io/fs"
	"path"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
)

// The bounds of an archive. Entries are expanded in memory; their real length is counted while reading.
const (
	// maxExpanded is how many bytes all entries may have together.
	maxExpanded = 512 << 20
	// maxDirectory is how many bytes of the archive are read for its list of entries.
	maxDirectory = 8 << 20
	// maxLayers is how many shapefiles may be inside.
	maxLayers = 500
	// maxRatio is how often an entry may be longer expanded, once it has more than freeRatio bytes: blank columns of a table
	// compress very well.
	maxRatio  = 500
	freeRatio = 16 << 20
)

// bounded gives up after so many bytes.
type bounded struct {
	io.ReaderAt
	left int64
}

var errTooMuch = errors.New("the list of entries is too long")

func (b *bounded) ReadAt(p []byte, off int64) (int, error) {
	if b.left -= int64(len(p)); b.left < 0 {
		return 0, errTooMuch
	}
	return b.ReaderAt.ReadAt(p, off)
}

// archive is a zip archive, being expanded.
type archive struct {
	in   raw.Input
	ps   *problem.List
	left int64
	// files are the companions by lower-case path without ending, then by ending.
	files map[string]map[string]*zip.File
}

// unzip finds the shapefiles of an archive and expands what belongs to them.
func unzip(in raw.Input, ps *problem.List) []bundle {
	const fix = "Zip the shapefile again, or unzip it first."
	guard := &bounded{in.Data, maxDirectory}
	z, err := zip.NewReader(guard, in.Size)
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) { // paths are never used as such
		ps.Errorf("not-a-zip", in.Name, fix, "the zip archive can not be read: %v", err)
		return nil
	}
	guard.left = 1 << 62
	a := &archive{in: in, ps: ps, left: maxExpanded, files: map[string]map[string]*zip.File{}}
	var mains []*zip.File
	for _, f := range z.File {
		if a.take(f) {
			mains = append(mains, f)
		}
	}
	if len(mains) == 0 {
		ps.Errorf("no-shapefile", in.Name, "Zip the .shp file together with its .dbf and .prj.", "the zip archive has %d entries, and none of them is a shapefile (.shp)", len(z.File))
	}
	if len(mains) > maxLayers {
		ps.Errorf("too-many-layers", in.Name, "Unzip it first, and leave out what is no ground of yours.", "the zip archive has %d shapefiles; at most %d are read", len(mains), maxLayers)
	}
	if ps.HasErrors() {
		return nil
	}
	return a.bundles(mains)
}

// stem divides an entry's path into a lower-case path without ending, and the lower-case ending.
func stem(f *zip.File) (key, ending string) {
	p := strings.ToLower(strings.ReplaceAll(f.Name, `\`, "/"))
	ending = path.Ext(p)
	return strings.TrimSuffix(p, ending), ending
}

// take lists an entry if it belongs to a shapefile; it reports whether it is a main file.
func (a *archive) take(f *zip.File) bool {
	key, ending := stem(f)
	if f.FileInfo().IsDir() || strings.HasPrefix(key, "__macosx/") || strings.Contains(key, "/__macosx/") || strings.HasPrefix(path.Base(key), "._") {
		return false
	}
	switch ending {
	case ".shp", ".dbf", ".prj", ".cpg":
	default:
		return false
	}
	if a.files[key] == nil {
		a.files[key] = map[string]*zip.File{}
	}
	if a.files[key][ending] != nil {
		a.ps.Errorf("entry-repeated", a.in.Name, "Leave one of them out.", "the zip archive has %s twice", raw.Clip(f.Name))
		return false
	}
	a.files[key][ending] = f
	return ending == ".shp"
}

// bundles expands the main files and gives each its companions.
func (a *archive) bundles(mains []*zip.File) []bundle {
	count := map[string]int{}
	for _, f := range mains {
		count[strings.ToLower(base(f))]++
	}
	var out []bundle
	for _, f := range mains {
		inner := base(f)
		if count[strings.ToLower(inner)] > 1 { // the same name in several folders
			inner = strings.ReplaceAll(f.Name, `\`, "/")
		}
		inner = strings.ToValidUTF8(inner, "?")
		where := a.in.Name + "/" + inner
		if len(inner) > 100 {
			where = a.in.Name + "/" + raw.Clip(inner)
		}
		data, err := a.read(f)
		if err != nil {
			report(err, where, a.ps)
			continue
		}
		key, _ := stem(f)
		name := path.Base(inner)
		out = append(out, bundle{
			where: where, name: strings.TrimSuffix(name, path.Ext(name)), shp: bytes.NewReader(data), size: int64(len(data)),
			beside: func(ending string) ([]byte, error) {
				g := a.files[key][ending]
				if g == nil {
					return nil, fs.ErrNotExist
				}
				return a.read(g)
			},
		})
	}
	return out
}

func base(f *zip.File) string { return path.Base(strings.ReplaceAll(f.Name, `\`, "/")) }

var (
	errBig    = errors.New("its files have more than 512 MB together")
	errBomb   = errors.New("it expands to more than 500 times its length")
	errLocked = errors.New("it is locked with a password")
)

// read expands an entry; its error is a *raw.Fault.
func (a *archive) read(f *zip.File) ([]byte, error) {
	data, err := a.expand(f)
	switch {
	case errors.Is(err, errBig), errors.Is(err, errBomb):
		return nil, raw.Faultf("zip-too-big", "Unzip it first, and name the .shp file.", "%s in the zip archive is not expanded: %v", raw.Clip(f.Name), err)
	case err != nil:
		return nil, raw.Faultf("not-a-zip", "Zip the shapefile again, or unzip it first.", "%s in the zip archive can not be read: %v", raw.Clip(f.Name), err)
	}
	return data, nil
}

// expand reads an entry whole.
func (a *archive) expand(f *zip.File) ([]byte, error) {
	if f.Flags&1 != 0 {
		return nil, errLocked
	}
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	packed := int64(min(f.CompressedSize64, 1<<40))
	// What the entry says of its length only saves copying; deflate makes at most 1032 bytes of one.
	out := make([]byte, 0, min(int64(min(f.UncompressedSize64, maxExpanded)), a.left, 1032*packed)+1)
	buf := make([]byte, 32<<10)
	for {
		n, err := r.Read(buf)
		out = append(out, buf[:n]...)
		a.left -= int64(n)
		if a.left < 0 {
			return nil, errBig
		}
		if len(out) > freeRatio && int64(len(out)) > maxRatio*packed {
			return nil, errBomb
		}
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
	}
}
