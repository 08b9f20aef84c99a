package main

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/andybalholm/brotli"
)

// packFiles compresses every file of the app in the folder static, several at a time, to
// the folder packed. It keeps the compressed form of a file that has not changed since an
// earlier run, deletes those of files that have, and prints the sizes.
func packFiles(static, packed string) error {
	compressions, err := listCompressions(static)
	if err != nil {
		return err
	}
	var next atomic.Int64
	errs := make([]error, runtime.GOMAXPROCS(0))
	var workers sync.WaitGroup
	for i := range errs {
		workers.Go(func() {
			for errs[i] == nil {
				n := int(next.Add(1)) - 1
				if n >= len(compressions) {
					return
				}
				errs[i] = compressions[n].write(packed)
			}
		})
	}
	workers.Wait()
	if err := errors.Join(errs...); err != nil {
		return err
	}
	total, made := map[string]int{}, map[string]bool{}
	for _, c := range compressions {
		made[c.fileName()] = true
		total[c.ext] += c.size
		for _, p := range wasmPrograms {
			if c.name == "dist/"+p.rawFile() {
				fmt.Printf("%s.wasm%s %9d bytes, of %d\n", p.name, c.ext, c.size, len(c.body))
			}
		}
	}
	fmt.Printf("all files  %9d bytes as brotli, %d as gzip\n", total[".br"], total[".gz"])
	return removeOthers(packed, made)
}

// A compression is one job: a file of the app, and the format to compress it to.
type compression struct {
	name string // of the file, within static
	body []byte
	ext  string // ".br" or ".gz"
	size int    // of what is sent, once written
}

// quickVar names the variable of the environment with which the phone's programs are not compressed with
// brotli, which takes most of the time. A browser then gets them with gzip.
const quickVar = "COLDBATCH_QUICK"

// listCompressions lists what there is to compress, the largest first, so that the last
// worker does not end long after the others. Files that are equal, such as two licences, have
// one compressed form, which two workers must not write at once.
func listCompressions(static string) ([]*compression, error) {
	var list []*compression
	listed := map[string]bool{}
	err := eachFile(static, func(name string, body []byte) error {
		hash := hashName(body)
		if listed[hash] {
			return nil
		}
		listed[hash] = true
		for _, ext := range []string{".br", ".gz"} {
			if filepath.Ext(name) == ".wasm" && ext == ".br" && os.Getenv(quickVar) != "" {
				continue
			}
			list = append(list, &compression{name: name, body: body, ext: ext})
		}
		return nil
	})
	slices.SortStableFunc(list, func(a, b *compression) int { return len(b.body) - len(a.body) })
	return list, err
}

func (c *compression) fileName() string { return hashName(c.body) + c.ext }

// write compresses the file into the folder packed, unless an earlier run did. A file that compression
// shrinks by less than a tenth, such as a font, is not stored compressed.
func (c *compression) write(packed string) error {
	out := filepath.Join(packed, c.fileName())
	if info, err := os.Stat(out); err == nil {
		c.size = int(info.Size())
		return nil
	}
	small, err := compressors[c.ext](c.body)
	if err != nil {
		return err
	}
	if len(small) > len(c.body)*9/10 {
		c.size = len(c.body)
		return nil
	}
	c.size = len(small)
	unfinished := out + ".tmp" // a run that is interrupted leaves no half of a file
	if err := os.WriteFile(unfinished, small, 0o644); err != nil {
		return err
	}
	return os.Rename(unfinished, out)
}

// removeOthers deletes the files of earlier runs from the folder packed: all but made.
func removeOthers(packed string, made map[string]bool) error {
	files, err := os.ReadDir(packed)
	if err != nil {
		return err
	}
	for _, f := range files {
		if !made[f.Name()] {
			if err := os.Remove(filepath.Join(packed, f.Name())); err != nil {
				return err
			}
		}
	}
	return nil
}

// notServed are the extensions of files that are no part of the app.
var notServed = []string{".go", ".ts", ".sha256", ".sums"}

// eachFile calls do for every file of the app.
func eachFile(static string, do func(name string, body []byte) error) error {
	files := os.DirFS(static)
	return fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case name == "dist/packed":
			return fs.SkipDir
		case d.IsDir() || strings.HasPrefix(d.Name(), ".") || slices.Contains(notServed, filepath.Ext(name)):
			return nil
		}
		body, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		return do(name, body)
	})
}

// compressors maps each file extension to its compression.
var compressors = map[string]func([]byte) ([]byte, error){".br": compressBrotli, ".gz": compressGzip}

func compressBrotli(body []byte) ([]byte, error) {
	var b bytes.Buffer
	err := writeAll(brotli.NewWriterLevel(&b, brotli.BestCompression), body)
	return b.Bytes(), err
}

func compressGzip(body []byte) ([]byte, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	err = writeAll(w, body)
	return b.Bytes(), err
}

func writeAll(w io.WriteCloser, body []byte) error {
	if _, err := w.Write(body); err != nil {
		return err
	}
	return w.Close()
}
