package gpkg

import "io/fs"

// fileInfo is the size of the one file, which is all that is asked of it.
type fileInfo struct {
	fs.FileInfo // none
	size        int64
}

func (i fileInfo) Size() int64 { return i.size }
