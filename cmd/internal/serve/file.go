package serve

import (
	"encoding/binary"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"

	"faultloom/cmd/internal/bundle"
)

// sendPacked sends the built bench, which is kept as a gzip file, as what is in it. Every browser that runs the bench takes
// gzip. X-Plain-Length tells a page how much will come, for its progress bar.
func (site Site) sendPacked(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "application/wasm")
	if size, err := plainSize(filepath.Join(site.Bundle, bundle.WasmName)); err == nil {
		w.Header().Set("Content-Encoding", "gzip")
		w.Header().Set("X-Plain-Length", fmt.Sprint(size))
	}
	site.send(w, r, bundle.WasmName)
}

// plainSize reads the length of what a gzip file holds from its last four bytes (RFC 1952, section 2.3.1, ISIZE).
func plainSize(file string) (uint32, error) {
	f, err := os.Open(file)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	if _, err := f.Seek(-4, io.SeekEnd); err != nil {
		return 0, err
	}
	var b [4]byte
	if _, err := io.ReadFull(f, b[:]); err != nil {
		return 0, err
	}
	return binary.LittleEndian.Uint32(b[:]), nil
}

// send sends a file of the bundle whole. A browser that has it already is told so.
func (site Site) send(w http.ResponseWriter, r *http.Request, name string) {
	f, err := os.Open(filepath.Join(site.Bundle, name))
	if err != nil {
		w.Header().Del("Content-Encoding")
		http.Error(w, "the built bench is gone; start the program again", http.StatusInternalServerError)
		return
	}
	defer f.Close()
	head := w.Header()
	head.Set("Cache-Control", "no-cache") // may be kept, but is to be asked for
	info, err := f.Stat()
	if err == nil {
		tag := fmt.Sprintf(`"%s-%d-%d"`, filepath.Base(site.Bundle), info.Size(), info.ModTime().UnixNano())
		head.Set("ETag", tag)
		if r.Header.Get("If-None-Match") == tag {
			head.Del("Content-Encoding")
			w.WriteHeader(http.StatusNotModified)
			return
		}
		head.Set("Content-Length", fmt.Sprint(info.Size()))
	}
	_, _ = io.Copy(w, f)
}
