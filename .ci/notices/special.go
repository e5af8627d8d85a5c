package main

import (
	_ "embed"
	"fmt"
	"strings"
)

//go:embed edl-1.0.txt
var edl string

// ours is our own licence and how to read the rest.
const ours = `Tankful is published under the MIT licence.

MIT License

Copyright (c) 2026 the Tankful authors

Permission is hereby granted, free of charge, to any person obtaining a copy
of this software and associated documentation files (the "Software"), to deal
in the Software without restriction, including without limitation the rights
to use, copy, modify, merge, publish, distribute, sublicense, and/or sell
copies of the Software, and to permit persons to whom the Software is
furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in all
copies or substantial portions of the Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR
IMPLIED, INCLUDING BUT NOT LIMITED TO THE WARRANTIES OF MERCHANTABILITY,
FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE
AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER
LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR OTHERWISE, ARISING FROM,
OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE
SOFTWARE.

The program also contains the works below, each under its own licence. Modules
that only one system (Linux, macOS, Windows) needs are named on all.
Portions of this software are copyright (c) 1996-2002, 2006 The FreeType Project
(www.freetype.org). All rights reserved. It uses a port of the GNU FriBidi
library, which is under the GNU Lesser General Public License 2.1. The parameters
of its map projections are those of the EPSG Dataset v10.076 of the International
Association of Oil and Gas Producers (https://epsg.org/terms-of-use.html), as far
as a projection is understood, out of the copy in PROJ 9.1.1.
`

// An exception says what the files of a module do not say by themselves.
type exception struct {
	// licence overrides what the texts would give; note is printed above them.
	licence, note string
	// omit holds texts to leave out: licences that were not chosen.
	omit []string
	// add gives texts that stand in no licence file of the module's linked folders.
	add []func(*module) (text, error)
}

const freetypeNote = `Offered under the FreeType License (FTL) or the GNU General Public License 2 or
later; Tankful takes the FTL.`

// special holds the modules that were read by a person, and what was found.
var special = map[string]exception{
	"github.com/benoitkugler/textprocessing": {
		licence: "LGPL-2.1",
		note: `Only its package fribidi is linked: a port of the GNU FriBidi library, unchanged. You
may change it and link it anew, and may take the program apart to find faults in your
change: with the public sources of Tankful and of this module, run
  go mod edit -replace github.com/benoitkugler/textprocessing=FOLDER
  go build ./cmd/tankful
where FOLDER holds your copy. Its source is the module named above, at that version.`,
	},
	"github.com/BurntSushi/freetype-go": {licence: "FTL", note: freetypeNote, add: one(file("licenses/ftl.txt"))},
	"github.com/golang/freetype":        {licence: "FTL", note: freetypeNote, add: one(file("licenses/ftl.txt"))},
	"github.com/srwiley/scanx": {
		licence: "FTL",
		note: `The module has no licence file. The head of scan.go says that it was adapted from the
Go translation of FreeType and names the choice below; Tankful takes the FTL, whose
text stands above (licenses/ftl.txt). The rest of the module comes from the
author of github.com/srwiley/rasterx and names no licence of its own.`,
		add: one(head("scan.go")),
	},
	"github.com/BurntSushi/xgbutil": {licence: "WTFPL"},
	"github.com/go-fonts/latin-modern": {
		licence: "BSD-3-Clause (the Go code) and GUST Font License 1.0 (the fonts)",
	},
	"github.com/go-text/typesetting": {
		licence: "BSD-3-Clause and MIT (package harfbuzz)",
		note:    "Offered under the Unlicense or the BSD licence; Tankful takes the BSD licence.",
	},
	"github.com/peterstace/simplefeatures": {
		licence: "MIT and EDL-1.0 (the code derived from JTS)",
		add:     one(fixed("Eclipse Distribution License 1.0", &edl)),
	},
	"golang.org/x/image": {
		licence: "BSD-3-Clause, the Go fonts too",
		add:     one(file("font/gofont/ttfs/README")),
	},
	"modernc.org/knuth":  {licence: "BSD-3-Clause and Knuth"},
	"modernc.org/libc":   {licence: "BSD-3-Clause; parts from musl under MIT, see LICENSE-3RD-PARTY.md"},
	"modernc.org/memory": {licence: "BSD-3-Clause", omit: []string{"LICENSE-LOGO"}},
	"modernc.org/sqlite": {licence: "BSD-3-Clause; SQLite itself is in the public domain"},
	"star-tex.org/x/tex": {
		licence: "BSD-3-Clause (the Go code), OFL-1.1 (the Computer Modern fonts), LPPL (xcolor, dvipsnam.def)",
		note: `It carries files of TeX: plain.tex and hyphen.tex, unchanged, free to copy while they
are; the Computer Modern metrics by Donald E. Knuth; the Computer Modern Type 1 fonts,
Copyright (c) 1997, 2009 American Mathematical Society (<http://www.ams.org>), with
each font's name (CMR10 and so on) a Reserved Font Name, under the SIL Open Font
License 1.1; xcolor, Copyright (C) 2003-2016 Uwe Kern, and dvipsnam.def, Copyright (C)
1994-2020 David Carlisle, Sebastian Rahtz and the LaTeX3 Project, both unchanged under
the LaTeX Project Public License (www.latex-project.org/lppl).`,
		add: one(openFontLicence),
	},
}

// The text of the Open Font License is not in star-tex's own module; a module that we
// link as well has it beside a font for its tests.
const oflModule, oflFile = "github.com/go-text/typesetting", "font/testdata/OFL.txt"

func openFontLicence(*module) (text, error) {
	mods, err := linked([]string{oflModule + "/font"})
	if err != nil {
		return text{}, err
	}
	for _, m := range mods {
		if m.path != oflModule {
			continue
		}
		body, err := read(m.dir, oflFile)
		if err != nil {
			return text{}, err
		}
		_, licence, ok := strings.Cut(body, "SIL OPEN FONT LICENSE")
		if !ok {
			return text{}, fmt.Errorf("%s of %s holds no Open Font License", oflFile, oflModule)
		}
		return text{"SIL Open Font License 1.1", "SIL OPEN FONT LICENSE" + licence}, nil
	}
	return text{}, fmt.Errorf("%s is not linked any more: take the Open Font License from elsewhere", oflModule)
}

func one(f func(*module) (text, error)) []func(*module) (text, error) {
	return []func(*module) (text, error){f}
}

// file gives a file of the module.
func file(name string) func(*module) (text, error) {
	return func(m *module) (text, error) {
		body, err := read(m.dir, name)
		return text{name, body}, err
	}
}

// head gives the comment at the top of a Go file of the module.
func head(name string) func(*module) (text, error) {
	return func(m *module) (text, error) {
		body, err := read(m.dir, name)
		comment, _, _ := strings.Cut(body, "\npackage ")
		return text{"head of " + name, strings.Trim(comment, "\n")}, err
	}
}

// fixed gives a text that is kept here.
func fixed(name string, body *string) func(*module) (text, error) {
	return func(*module) (text, error) { return text{name, strings.Trim(*body, "\n")}, nil }
}
