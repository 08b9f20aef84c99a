package web

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
)

// types are the content types by extension. A test holds that every file of the
// app has one.
var types = map[string]string{
	".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".mjs": "text/javascript; charset=utf-8",
	".css": "text/css; charset=utf-8", ".json": "application/json", ".webmanifest": "application/manifest+json",
	".wasm": "application/wasm", ".woff2": "font/woff2", ".svg": "image/svg+xml", ".png": "image/png",
	".ico": "image/x-icon", ".webp": "image/webp", ".jpg": "image/jpeg", ".txt": "text/plain; charset=utf-8", ".md": "text/plain; charset=utf-8",
}

// asset is one file of the app under its stable name, with its compressed forms
// where generation made them.
type asset struct {
	name   string
	sum    [sha256.Size]byte
	plain  form
	br, gz form // of no size where there is none
}

// form is one form of an asset. Its bytes stay where they are embedded, on the
// disk until somebody asks for them, or are made by the program.
type form struct {
	files fs.FS
	name  string
	made  []byte
	size  int64
}

func formOf(files fs.FS, name string) form {
	info, err := fs.Stat(files, name)
	if err != nil {
		return form{}
	}
	return form{files: files, name: name, size: info.Size()}
}

// send writes the form's bytes.
func (f form) send(w io.Writer) error {
	if f.made != nil {
		_, err := w.Write(f.made)
		return err
	}
	file, err := f.files.Open(f.name)
	if err != nil {
		return err
	}
	defer file.Close()
	_, err = io.Copy(w, file)
	return err
}

// assets are the app's files, and the policy that its page needs.
type assets struct {
	byName map[string]*asset
	policy string
}

// needed are the files without which there is no app.
var needed = []string{"index.html", "dist/core.wasm", "dist/wasm_exec.js"}

func load(files fs.FS) (*assets, error) {
	a := &assets{byName: map[string]*asset{}}
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !served(name) {
			return err
		}
		a.byName[name], err = newAsset(files, name, formOf(files, name))
		return err
	})
	if err != nil {
		return nil, err
	}
	for _, name := range needed {
		if a.byName[name] == nil {
			return nil, fault.New(fault.Unavailable, "the phone app is not built: static/%s is missing", name).
				WithHint("run `go generate ./...` first, then build again")
		}
	}
	if a.byName["sw.js"] != nil {
		worker, err := fs.ReadFile(files, "sw.js")
		if err != nil {
			return nil, err
		}
		worker = append(a.list(), worker...)
		if a.byName["sw.js"], err = newAsset(files, "sw.js", form{made: worker, size: int64(len(worker))}); err != nil {
			return nil, err
		}
	}
	page, err := fs.ReadFile(files, "index.html")
	a.policy = policy(page)
	return a, err
}

// served says whether an embedded file is part of the app: not Go, not a declaration
// of types, not hidden, and not the compressed form of another file.
func served(name string) bool {
	for _, part := range strings.Split(name, "/") {
		if strings.HasPrefix(part, ".") {
			return false
		}
	}
	return path.Ext(name) != ".go" && path.Ext(name) != ".ts" && !strings.HasPrefix(name, packed)
}

// packed is where generation puts compressed forms, each under the hash of what
// it was made of: a file that has changed since has none, and is sent as it is.
const packed = "dist/packed/"

func newAsset(files fs.FS, name string, plain form) (*asset, error) {
	sum := sha256.New()
	if err := plain.send(sum); err != nil {
		return nil, err
	}
	a := &asset{name: name, plain: plain, sum: [sha256.Size]byte(sum.Sum(nil))}
	a.br = formOf(files, fmt.Sprintf("%s%x.br", packed, a.sum))
	a.gz = formOf(files, fmt.Sprintf("%s%x.gz", packed, a.sum))
	return a, nil
}

// integrity is the asset's hash as fetch takes it.
func (a *asset) integrity() string {
	return "sha256-" + base64.StdEncoding.EncodeToString(a.sum[:])
}

// serve answers with the asset in the best encoding the browser takes. Names are
// stable, so every use is revalidated; the long cache is the service worker's.
func (a *asset) serve(w http.ResponseWriter, r *http.Request) {
	body, encoding := a.plain, ""
	switch accept := r.Header.Get("Accept-Encoding"); {
	case a.br.size > 0 && accepts(accept, "br") && brAllowed(r):
		body, encoding = a.br, "br"
	case a.gz.size > 0 && accepts(accept, "gzip"):
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
	if t := types[path.Ext(a.name)]; t != "" {
		h.Set("Content-Type", t)
	} else {
		h.Set("Content-Type", "application/octet-stream")
	}
	if encoding != "" {
		h.Set("Content-Encoding", encoding)
	}
	h.Set("Content-Length", strconv.FormatInt(body.size, 10))
	if r.Method != http.MethodHead {
		_ = body.send(w) // whoever asked is gone
	}
}

// accepts says whether an Accept-Encoding header takes coding.
func accepts(header, coding string) bool {
	for _, part := range strings.Split(header, ",") {
		name, q, _ := strings.Cut(part, ";")
		if strings.EqualFold(strings.TrimSpace(name), coding) {
			q = strings.ReplaceAll(q, " ", "")
			return q != "q=0" && !strings.HasPrefix(q, "q=0.0")
		}
	}
	return false
}

// brAllowed says whether brotli may be sent: over TLS, or to this very machine.
// On plain http from elsewhere Chromium refuses it and proxies spoil it.
func brAllowed(r *http.Request) bool { return r.TLS != nil || loopback(r.RemoteAddr) }
