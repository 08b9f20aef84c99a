package web

import (
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
)

// contentTypes maps extensions to content types. A test checks that every file of the app
// has one.
var contentTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".mjs": "text/javascript; charset=utf-8",
	".css": "text/css; charset=utf-8", ".json": "application/json", ".map": "application/json", ".webmanifest": "application/manifest+json",
	".wasm": "application/wasm", ".woff2": "font/woff2", ".svg": "image/svg+xml", ".png": "image/png",
	".ico": "image/x-icon", ".webp": "image/webp", ".jpg": "image/jpeg", ".txt": "text/plain; charset=utf-8", ".md": "text/plain; charset=utf-8",
}

// asset is one file of the app under its stable name, with its compressed variants where
// `go generate` made them.
type asset struct {
	name   string
	sum    [sha256.Size]byte
	plain  variant
	br, gz variant // size 0 where there is none
}

// variant is one encoding of an asset. Its bytes stay in the program's file until they
// are requested, unless the program made them.
type variant struct {
	files    fs.FS
	name     string
	isPacked bool // the file is gzip of the variant's bytes
	content  []byte
	size     int64
}

func findVariant(files fs.FS, name string) variant {
	info, err := fs.Stat(files, name)
	if err != nil {
		return variant{}
	}
	return variant{files: files, name: name, size: info.Size()}
}

// send writes the variant's bytes.
func (f variant) send(w io.Writer) error {
	if f.content != nil {
		_, err := w.Write(f.content)
		return err
	}
	file, err := f.files.Open(f.name)
	if err != nil {
		return err
	}
	defer file.Close()
	var bytes io.Reader = file
	if f.isPacked {
		if bytes, err = gzip.NewReader(file); err != nil {
			return err
		}
	}
	_, err = io.Copy(w, bytes)
	return err
}

// assets holds the app's files, and the content security policy that its page needs.
type assets struct {
	byName map[string]*asset
	policy string
}

// requiredFiles are the files without which the app cannot run.
var requiredFiles = []string{"index.html", "dist/core.wasm", "dist/extra.wasm", "dist/wasm_exec.js", bundleSources}

// loadAssets finds the files of the app: with its bundles, or with the modules as they are.
func loadAssets(files fs.FS, unbundled bool) (*assets, error) {
	a := &assets{byName: map[string]*asset{}}
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if of, isHash := strings.CutSuffix(name, hashSuffix); isHash && err == nil {
			a.byName[of], err = packedAsset(files, of, name)
			return err
		}
		if err != nil || d.IsDir() || !isServed(name) {
			return err
		}
		a.byName[name], err = newAsset(files, name, findVariant(files, name))
		return err
	})
	if err != nil {
		return nil, err
	}
	for _, name := range requiredFiles {
		if _, err := fs.Stat(files, name); err != nil && a.byName[name] == nil { // the core is there in its compressed forms
			return nil, fault.New(fault.Unavailable, "the phone app is not built: static/%s is missing", name).
				WithHint("run `go generate ./...` first, then build again")
		}
	}
	if err := a.placeBundles(files, unbundled); err != nil {
		return nil, err
	}
	if a.byName["sw.js"] != nil {
		worker, err := fs.ReadFile(files, "sw.js")
		if err != nil {
			return nil, err
		}
		worker = append(a.workerPreamble(), worker...)
		if a.byName["sw.js"], err = newAsset(files, "sw.js", variant{content: worker, size: int64(len(worker))}); err != nil {
			return nil, err
		}
	}
	page, err := fs.ReadFile(files, "index.html")
	a.policy = contentPolicy(page)
	return a, err
}

// isServed says whether an embedded file is part of the app: not Go, not a declaration of
// types, not a list of hashes, not hidden, and not a compressed variant of another file.
func isServed(name string) bool {
	for _, part := range strings.Split(name, "/") {
		if strings.HasPrefix(part, ".") {
			return false
		}
	}
	return !slices.Contains(notServed, path.Ext(name)) && !strings.HasPrefix(name, packedPrefix)
}

var notServed = []string{".go", ".ts", hashSuffix, path.Ext(bundleSources)}

// hashSuffix ends the name of a file that stands for another, which is embedded in its
// compressed forms alone.
const hashSuffix = ".sha256"

// packedPrefix is the folder of compressed variants, each named by the hash of its
// original: a file that has changed since `go generate` has none and is sent as it is.
const packedPrefix = "dist/packed/"

func newAsset(files fs.FS, name string, plain variant) (*asset, error) {
	sum := sha256.New()
	if err := plain.send(sum); err != nil {
		return nil, err
	}
	a := &asset{name: name, plain: plain, sum: [sha256.Size]byte(sum.Sum(nil))}
	a.findCompressed(files)
	return a, nil
}

// findCompressed finds the asset's compressed variants by its hash.
func (a *asset) findCompressed(files fs.FS) {
	a.br = findVariant(files, fmt.Sprintf("%s%x.br", packedPrefix, a.sum))
	a.gz = findVariant(files, fmt.Sprintf("%s%x.gz", packedPrefix, a.sum))
}

// packedAsset makes the asset of a file that is embedded in its compressed forms alone;
// the file hashName holds its SHA-256 and its size.
func packedAsset(files fs.FS, name, hashName string) (*asset, error) {
	text, err := fs.ReadFile(files, hashName)
	if err != nil {
		return nil, err
	}
	a := &asset{name: name}
	var sum []byte
	if _, err := fmt.Sscanf(string(text), "%x %d", &sum, &a.plain.size); err != nil || copy(a.sum[:], sum) != sha256.Size {
		return nil, fault.New(fault.Unavailable, "static/%s is damaged", hashName).WithHint("run `go generate ./...`, then build again")
	}
	a.findCompressed(files)
	if a.gz.size == 0 {
		return nil, fault.New(fault.Unavailable, "the compressed form of static/%s is missing", name).WithHint("run `go generate ./...`, then build again")
	}
	a.plain.files, a.plain.name, a.plain.isPacked = files, a.gz.name, true
	return a, nil
}

// integrity is the asset's hash in the form that fetch takes.
func (a *asset) integrity() string {
	return "sha256-" + base64.StdEncoding.EncodeToString(a.sum[:])
}

// serve sends the asset in the best encoding that the browser accepts. Names are stable,
// so the browser revalidates at every use; the service worker caches for longer.
func (a *asset) serve(w http.ResponseWriter, r *http.Request) {
	body, encoding := a.plain, ""
	switch accept := r.Header.Get("Accept-Encoding"); {
	case a.br.size > 0 && acceptsEncoding(accept, "br") && canSendBrotli(r):
		body, encoding = a.br, "br"
	case a.gz.size > 0 && acceptsEncoding(accept, "gzip"):
		body, encoding = a.gz, "gzip"
	}
	tag := `"` + hex.EncodeToString(a.sum[:]) + encoding + `"`
	h := w.Header()
	h.Set("ETag", tag)
	h.Set("Cache-Control", "no-cache")
	h.Set("Vary", "Accept-Encoding")
	for _, have := range strings.Split(r.Header.Get("If-None-Match"), ",") {
		if have = strings.TrimPrefix(strings.TrimSpace(have), "W/"); have == tag {
			w.WriteHeader(http.StatusNotModified)
			return
		}
	}
	if t := contentTypes[path.Ext(a.name)]; t != "" {
		h.Set("Content-Type", t)
	} else {
		h.Set("Content-Type", "application/octet-stream")
	}
	if encoding != "" {
		h.Set("Content-Encoding", encoding)
	}
	h.Set("Content-Length", strconv.FormatInt(body.size, 10))
	if r.Method != http.MethodHead {
		_ = body.send(w) // an error means that the client is gone
	}
}

// acceptsEncoding says whether an Accept-Encoding header accepts coding.
func acceptsEncoding(header, coding string) bool {
	for _, part := range strings.Split(header, ",") {
		name, q, _ := strings.Cut(part, ";")
		if strings.EqualFold(strings.TrimSpace(name), coding) {
			q = strings.ReplaceAll(q, " ", "")
			return q != "q=0" && !strings.HasPrefix(q, "q=0.0")
		}
	}
	return false
}

// canSendBrotli says whether brotli may be sent: over TLS, or to this computer. Over
// plain http from elsewhere Chromium refuses it and proxies damage it.
func canSendBrotli(r *http.Request) bool { return r.TLS != nil || isLoopback(r.RemoteAddr) }
