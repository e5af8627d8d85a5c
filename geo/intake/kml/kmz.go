package kml

import (
	"archive/zip"
	"io"
	"path"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
)

const (
	// maxArchive bounds the size of a KMZ archive, with the pictures in it.
	maxArchive = 64 << 20
	// maxRatio bounds how much a packed text may grow once it is larger than ratioFrom; plain KML grows 5 to 30 times (from memory).
	maxRatio  = 200
	ratioFrom = 1 << 20
)

// unpack is the main text of an archive: doc.kml, or else the first .kml in it (OGC 12-007r2, KMZ files).
func unpack(in raw.Input) (io.Reader, problem.List) {
	var ps problem.List
	if in.Size > maxArchive {
		ps.Errorf("file-too-large", in.Name, "Export the outlines without pictures.", "the archive has %d MB; at most %d MB are read", in.Size>>20, maxArchive>>20)
		return nil, ps
	}
	z, err := zip.NewReader(in.Data, in.Size)
	if err != nil {
		ps.Errorf("not-kmz", in.Name, "Export the file again; it is damaged.", "the archive can not be opened: %v", err)
		return nil, ps
	}
	main, others := choose(z.File)
	if main == nil {
		ps.Errorf("not-kmz", in.Name, "Export the outlines as KMZ or KML.", "the archive (%d files) holds no .kml file", len(z.File))
		return nil, ps
	}
	size, packed := main.UncompressedSize64, max(main.CompressedSize64, 1)
	switch {
	case size > MaxBytes:
		ps.Errorf("file-too-large", in.Name, "Export fewer outlines at once.", "%s unpacks to %d MB; at most %d MB are read", raw.Clip(main.Name), size>>20, MaxBytes>>20)
		return nil, ps
	case size > ratioFrom && size/packed > maxRatio:
		ps.Errorf("archive-bomb", in.Name, "Export the file again.", "%s unpacks to %d times its size; at most %d times is read", raw.Clip(main.Name), size/packed, maxRatio)
		return nil, ps
	}
	text, err := main.Open()
	if err != nil {
		ps.Errorf("not-kmz", in.Name, "Pack the file again, without a password.", "%s can not be unpacked: %v", raw.Clip(main.Name), err)
		return nil, ps
	}
	if others > 0 {
		ps.Warnf("not-read", in.Name, "Bring them as files of their own if outlines are missing.",
			"the archive has %d more .kml files; only %s is read", others, raw.Clip(main.Name))
	}
	return text, ps
}

// choose finds the main file and counts the other .kml files.
func choose(files []*zip.File) (main *zip.File, others int) {
	for _, f := range files {
		name := strings.ToLower(strings.ReplaceAll(f.Name, `\`, "/"))
		if path.Ext(name) != ".kml" || strings.HasPrefix(name, "__macosx/") {
			continue
		}
		others++
		if main == nil || name == "doc.kml" && strings.ToLower(main.Name) != "doc.kml" {
			main = f
		}
	}
	return main, others - min(others, 1)
}
