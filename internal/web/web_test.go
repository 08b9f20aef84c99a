package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"path"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/andybalholm/brotli"

	"coldbatch/internal/fault"
	"coldbatch/static"
)

const testPage = `<!doctype html><link rel="stylesheet" href="/app.css"><script type="importmap">{"imports":{}}</script><script src="/app.js"></script><p>coldbatch`

// appFiles returns the files of a small app, with compressed forms as go generate makes them.
func appFiles() fstest.MapFS {
	f := fstest.MapFS{
		"index.html":           {Data: []byte(testPage)},
		"app.js":               {Data: []byte(strings.Repeat("export const a = 1;\n", 50))},
		"app.css":              {Data: []byte("p { margin: 0 }")},
		"app.webmanifest":      {Data: []byte("{}")},
		"font/latin.woff2":     {Data: []byte("font")},
		"font/text.txt":        {Data: []byte(strings.Repeat("free\n", 50))},
		"icon/icon.png":        {Data: []byte("png")},
		"vendor/x@1.2/LICENSE": {Data: []byte("free")},
		"vendor/x@1.2/x.mjs":   {Data: []byte("export {};")},

		"vendor/zxing-wasm@1.2/reader.js":   {Data: []byte("var read;")},
		"vendor/zxing-wasm@1.2/reader.wasm": {Data: []byte("wasm")},
		"vendor/zxing-wasm@1.2/LICENSE":     {Data: []byte("free")},

		"embed.go":          {Data: []byte("package static")},
		"dist/.keep":        {},
		"dist/core.wasm":    {Data: bytes.Repeat([]byte("core"), 1000)},
		"dist/extra.wasm":   {Data: bytes.Repeat([]byte("extra"), 1000)},
		"dist/wasm_exec.js": {Data: []byte("class Go {}")},
		"sw.js":             {Data: []byte("// the worker\n")},

		"main.js":              {Data: []byte("import './parts/field.js'")},
		"parts/field.js":       {Data: []byte("export const field = 1")},
		"dist/app/main.js":     {Data: []byte("const bundled=1")},
		"dist/app/main.js.map": {Data: []byte("{}")},
	}
	f[bundleSources] = &fstest.MapFile{Data: fmt.Appendf(nil, "%x  main.js\n%x  parts/field.js\n", sha256.Sum256(f["main.js"].Data), sha256.Sum256(f["parts/field.js"].Data))}
	for _, name := range []string{"app.js", "dist/core.wasm", "font/text.txt"} {
		body := f[name].Data
		var br, gz bytes.Buffer
		for _, w := range []io.WriteCloser{brotli.NewWriter(&br), gzip.NewWriter(&gz)} {
			w.Write(body)
			w.Close()
		}
		hash := fmt.Sprintf("dist/packed/%x", sha256.Sum256(body))
		f[hash+".br"], f[hash+".gz"] = &fstest.MapFile{Data: br.Bytes()}, &fstest.MapFile{Data: gz.Bytes()}
	}
	return f
}

// Each address calls its use case with what was sent, and answers with its status.
func TestRoutes(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	for _, row := range []struct {
		why, method, target, body string
		status                    int
		kind, says                string
	}{
		{"the page", "GET", "/", "", 200, "text/html; charset=utf-8", "<p>coldbatch"},
		{"the page by its name", "GET", "/index.html", "", 200, "text/html; charset=utf-8", "<p>coldbatch"},
		{"a screen", "GET", "/today", "", 200, "text/html; charset=utf-8", "<p>coldbatch"},
		{"a screen below a screen", "GET", "/batch/0123/jugs", "", 200, "text/html; charset=utf-8", "<p>coldbatch"},
		{"a label's address, as printed", "GET", "/B/ABC234", "", 200, "text/html; charset=utf-8", "<p>coldbatch"},
		{"a label's address, as some readers fold it", "GET", "/b/abc234", "", 200, "text/html; charset=utf-8", "<p>coldbatch"},
		{"a file that is not there is no screen", "GET", "/gone.js", "", 404, "text/html; charset=utf-8", "nothing at"},
		{"a module", "GET", "/app.js", "", 200, "text/javascript; charset=utf-8", "export"},
		{"a vendored module", "GET", "/vendor/x@1.2/x.mjs", "", 200, "text/javascript; charset=utf-8", "export"},
		{"the bundle", "GET", "/main.js", "", 200, "text/javascript; charset=utf-8", "bundled"},
		{"its source map", "GET", "/main.js.map", "", 200, "application/json", "{}"},
		{"a module in the bundle would run twice", "GET", "/parts/field.js", "", 404, "", "nothing at"},
		{"the bundle has one address", "GET", "/dist/app/main.js", "", 404, "", "nothing at"},
		{"nor are its sources listed", "GET", "/dist/app.sums", "", 404, "", "nothing at"},
		{"a licence", "GET", "/vendor/x@1.2/LICENSE", "", 200, "application/octet-stream", "free"},
		{"the core, or it cannot be compiled while it streams", "GET", "/dist/core.wasm", "", 200, "application/wasm", "core"},
		{"the font", "GET", "/font/latin.woff2", "", 200, "font/woff2", "font"},
		{"the manifest", "GET", "/app.webmanifest", "", 200, "application/manifest+json", "{}"},
		{"the embed itself is no part of the app", "GET", "/embed.go", "", 404, "", "nothing at"},
		{"nor is a hidden file", "GET", "/dist/.keep", "", 404, "", "nothing at"},
		{"nor a compressed form", "GET", fmt.Sprintf("/dist/packed/%x.br", sha256.Sum256(appFiles()["app.js"].Data)), "", 404, "", "nothing at"},
		{"a page takes no POST", "POST", "/today", "", 405, "", "method"},
		{"alive", "GET", "/healthz", "", 200, "", "ok"},

		{"about", "GET", "/api/v1/about", "", 200, "application/json", `"program"`},
		{"join", "POST", "/api/v1/join", `{"name":"d"}`, 200, "application/json", `"letter":"d"`},
		{"facts are not escaped on the way", "POST", "/api/v1/exchange", `{"device":"<b> & c"}`, 200, "application/json", `"id":"<b> & c"`},
		{"not JSON", "POST", "/api/v1/join", `{`, 422, "application/json", "not the JSON"},
		{"a wrong method", "GET", "/api/v1/join", "", 405, "application/json", `"error"`},
		{"nothing there", "GET", "/api/v1/nothing", "", 404, "application/json", `"not-found"`},
		{"an older interface", "GET", "/api/v0/about", "", 404, "application/json", `"not-found"`},
		{"too long", "POST", "/api/v1/exchange", strings.Repeat(" ", maxExchangeBody+1), 413, "application/json", "longer than 1 MB"},
		{"just not too long", "POST", "/api/v1/exchange", `{}` + strings.Repeat(" ", maxExchangeBody-2), 200, "application/json", `"hub"`},
		{"a bag", "GET", "/api/v1/bag/abc", "", 200, "application/json", `"id":"abc"`},
		{"no bag", "GET", "/api/v1/bag/NONE", "", 404, "application/json", "no such bag"},
		{"a fault of our own is not given away", "GET", "/api/v1/bag/BROKEN", "", 500, "application/json", "it is in the log"},
		{"nor is a panic", "GET", "/api/v1/bag/PANIC", "", 500, "application/json", "it is in the log"},
		{"a full disk", "GET", "/api/v1/bag/FULL", "", 507, "application/json", "the disk is full"},

		{"the calculators", "GET", "/api/v1/calc", "", 200, "application/json", `"name":"bottle"`},
		{"one calculator", "GET", "/api/v1/calc/bottle", "", 200, "application/json", `"purpose"`},
		{"no such calculator", "GET", "/api/v1/calc/bottles", "", 404, "application/json", "bottle, "},
		{"no such calculator to run", "POST", "/api/v1/calc/bottles", `{"inputs":{}}`, 404, "application/json", "bottle, "},
		{"a sum", "POST", "/api/v1/calc/bottle", `{"inputs":{"strength":"6.2 g per 8 fl oz","bottle":"2 fl oz"}}`, 200, "application/json", `"value":1.55`},
		{"bananas", "POST", "/api/v1/calc/bottle", `{"inputs":{"strength":"6.2 bananas","bottle":"2 fl oz"}}`, 422, "application/json", "bananas"},
		{"a negative volume", "POST", "/api/v1/calc/bottle", `{"inputs":{"strength":"20 g/L","bottle":"-2 fl oz"}}`, 422, "application/json", "bottle"},
		{"too hot for water", "POST", "/api/v1/calc/soak", `{"inputs":{"water":"4 L","temperature":"400 °C"}}`, 422, "application/json", "400"},
		{"a missing value", "POST", "/api/v1/calc/bottle", `{"inputs":{}}`, 422, "application/json", `"missing"`},
		{"a number is not what a person typed", "POST", "/api/v1/calc/bottle", `{"inputs":{"strength":6}}`, 422, "application/json", "JSON"},
	} {
		w := sendRequest(h, row.method, row.target, row.body)
		if w.Code != row.status || !strings.Contains(w.Body.String(), row.says) ||
			row.kind != "" && w.Header().Get("Content-Type") != row.kind {
			t.Errorf("%s: %s %s gave %d %q %.200q", row.why, row.method, row.target, w.Code, w.Header().Get("Content-Type"), w.Body)
		}
		if w.Header().Get("Content-Security-Policy") == "" || w.Header().Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s: no strict headers on %s", row.why, row.target)
		}
		if strings.Contains(w.Body.String(), "secret") {
			t.Errorf("%s: gives away %q", row.why, w.Body)
		}
	}
}

func TestForeign(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	for _, row := range []struct {
		why, target, header string
		status              int
	}{
		{"this machine by name", "/", "Host: localhost:8090", 200},
		{"a name in other letters", "/", "Host: LocalHost:8090", 200},
		{"by number", "/", "Host: 127.0.0.1:8090", 200},
		{"by number, IPv6", "/", "Host: [::1]:8090", 200},
		{"through a tunnel with another port", "/", "Host: localhost:9999", 200},
		{"a foreign name that points here", "/", "Host: evil.example:8090", 421},
		{"and its data", "/api/v1/about", "Host: evil.example", 421},
		{"a name that only begins like ours", "/api/v1/about", "Host: localhost.evil.example:8090", 421},
		{"our own page", "/api/v1/about", "Origin: http://localhost:8090", 200},
		{"a page of another port", "/api/v1/about", "Origin: http://localhost:3000", 403},
		{"a page of another site", "/api/v1/about", "Origin: https://evil.example", 403},
		{"a page that hides where it is from", "/api/v1/about", "Origin: null", 403},
		{"our page over another scheme", "/api/v1/about", "Origin: https://localhost:8090", 403},
		{"an image on another site", "/api/v1/about", "Sec-Fetch-Site: cross-site", 403},
		{"an image on another port of this host", "/api/v1/about", "Sec-Fetch-Site: same-site", 403},
		{"the app's own page", "/api/v1/about", "Sec-Fetch-Site: same-origin", 200},
		{"a link on another site to the app", "/b/ABC", "Sec-Fetch-Site: cross-site", 200},
		{"the address bar", "/api/v1/about", "Sec-Fetch-Site: none", 200},
	} {
		w := sendRequest(h, "GET", row.target, "", row.header)
		if w.Code != row.status {
			t.Errorf("%s: %s with %q gave %d", row.why, row.target, row.header, w.Code)
		}
		if isAPI := strings.HasPrefix(row.target, "/api/"); row.status >= 400 && isAPI != strings.Contains(w.Body.String(), `"refused"`) {
			t.Errorf("%s: told as %.100q", row.why, w.Body)
		}
	}
}

func TestPolicy(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	sum := sha256.Sum256([]byte(`{"imports":{}}`))
	want := "default-src 'none'; script-src 'self' 'wasm-unsafe-eval' 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; " +
		"style-src 'self'; img-src 'self' blob: data:; font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; " +
		"base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
	if got := sendRequest(h, "GET", "/", "").Header().Get("Content-Security-Policy"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestEncodings(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	read := func(w *httptest.ResponseRecorder) string {
		var r io.Reader = w.Body
		switch w.Header().Get("Content-Encoding") {
		case "br":
			r = brotli.NewReader(r)
		case "gzip":
			z, err := gzip.NewReader(r)
			if err != nil {
				t.Fatal(err)
			}
			r = z
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	for _, row := range []struct{ why, target, accept, want string }{
		{"what Chromium sends to localhost", "/app.js", "gzip, deflate, br, zstd", "br"},
		{"what it sends over plain http", "/app.js", "gzip, deflate", "gzip"},
		{"nothing", "/app.js", "", ""},
		{"brotli is declined", "/app.js", "br;q=0, gzip", "gzip"},
		{"the core", "/dist/core.wasm", "br", "br"},
		{"a font is compressed as it is", "/font/latin.woff2", "br, gzip", ""},
		{"a file that was changed after generation", "/app.css", "br, gzip", ""},
	} {
		plain := sendRequest(h, "GET", row.target, "")
		w := sendRequest(h, "GET", row.target, "", "Accept-Encoding: "+row.accept)
		if got := w.Header().Get("Content-Encoding"); got != row.want {
			t.Errorf("%s: encoding %q, want %q", row.why, got, row.want)
		}
		if w.Header().Get("Vary") != "Accept-Encoding" || w.Header().Get("Cache-Control") != "no-cache" {
			t.Errorf("%s: headers %v", row.why, w.Header())
		}
		tag := w.Header().Get("ETag")
		if got := read(w); got != plain.Body.String() {
			t.Errorf("%s: the body is another", row.why)
		}
		again := sendRequest(h, "GET", row.target, "", "Accept-Encoding: "+row.accept, "If-None-Match: W/"+tag)
		if again.Code != 304 || again.Body.Len() != 0 {
			t.Errorf("%s: with its ETag %d and %d bytes", row.why, again.Code, again.Body.Len())
		}
		if changed := sendRequest(h, "GET", row.target, "", `If-None-Match: "other"`); changed.Code != 200 {
			t.Errorf("%s: with another ETag %d", row.why, changed.Code)
		}
	}
	// Over plain http from another machine brotli is refused by Chromium.
	_, plain, err := New(newTestApp(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		why, from, want string
		h               http.Handler
	}{
		{"to a phone over plain http", "http phone", "gzip", plain},
		{"to a phone over https", "https phone", "br", h},
	} {
		w := sendRequest(row.h, "GET", "/font/text.txt", "", "From: "+row.from, "Accept-Encoding: br, gzip")
		if got := w.Header().Get("Content-Encoding"); w.Code != 200 || got != row.want {
			t.Errorf("%s: %d %q", row.why, w.Code, got)
		}
	}
}

// readWorkerLists reads the three lines before the worker's code; later are the scanner's files.
func readWorkerLists(t *testing.T, h http.Handler) (version string, assets, later map[string]string) {
	t.Helper()
	lines := strings.SplitN(sendRequest(h, "GET", "/sw.js", "").Body.String(), "\n", 4)
	if len(lines) != 4 || lines[3] == "" {
		t.Fatalf("three lines and the worker's code are %q", lines)
	}
	if _, err := fmt.Sscanf(lines[0], "const VERSION = %q;", &version); err != nil {
		t.Fatalf("%q: %v", lines[0], err)
	}
	var groups map[string]map[string]string
	for i, row := range []struct {
		name string
		into any
	}{{"ASSETS", &assets}, {"GROUPS", &groups}} {
		text := strings.TrimSuffix(strings.TrimPrefix(lines[i+1], "const "+row.name+" = "), ";")
		if err := json.Unmarshal([]byte(text), row.into); err != nil {
			t.Fatalf("%q: %v", text, err)
		}
	}
	if len(groups) != 2 || groups["extra"]["/dist/extra.wasm"] == "" || assets["/dist/extra.wasm"] != "" {
		t.Errorf("the groups are %v", groups)
	}
	return version, assets, groups["scanner"]
}

func TestWorkerList(t *testing.T) {
	a := newTestApp(t)
	h := newFullHandler(t, a)
	version, assets, later := readWorkerLists(t, h)
	for _, part := range []map[string]string{assets, later} {
		for name, integrity := range part {
			sum := sha256.Sum256(sendRequest(h, "GET", name, "").Body.Bytes())
			if integrity != "sha256-"+base64.StdEncoding.EncodeToString(sum[:]) {
				t.Errorf("%s is not what the worker would get", name)
			}
		}
	}
	// The reader of codes comes second, and all of it: the app is whole without it.
	for _, name := range []string{"/vendor/zxing-wasm@1.2/reader.js", "/vendor/zxing-wasm@1.2/reader.wasm"} {
		if later[name] == "" || assets[name] != "" {
			t.Errorf("%s does not come second", name)
		}
	}
	if len(later) != 2 {
		t.Errorf("these come second: %v", later)
	}
	for _, name := range []string{"/", "/app.js", "/dist/core.wasm", "/dist/wasm_exec.js", "/font/latin.woff2", "/icon/icon.png", "/app.webmanifest", "/vendor/x@1.2/x.mjs"} {
		if assets[name] == "" {
			t.Errorf("%s is forgotten", name)
		}
	}
	for _, name := range []string{"/sw.js", "/index.html", "/embed.go", fmt.Sprintf("/dist/packed/%x.br", sha256.Sum256(appFiles()["app.js"].Data)), "/dist/.keep", "/vendor/x@1.2/LICENSE"} {
		if assets[name] != "" {
			t.Errorf("%s is kept on the phone", name)
		}
	}
	// A change of one letter anywhere makes another version, in the worker and in a licence too.
	for _, name := range []string{"index.html", "app.css", "dist/core.wasm", "sw.js", "vendor/x@1.2/LICENSE", "vendor/zxing-wasm@1.2/reader.wasm"} {
		changed := appFiles()
		changed[name] = &fstest.MapFile{Data: append([]byte("x"), changed[name].Data...)}
		a.Static = changed
		if v, _, _ := readWorkerLists(t, newFullHandler(t, a)); v == version {
			t.Errorf("a change of %s leaves the version", name)
		}
	}
}

func TestNotBuilt(t *testing.T) {
	for _, name := range requiredFiles {
		a := newTestApp(t)
		f := appFiles()
		delete(f, name)
		a.Static = f
		if _, _, err := New(a); !fault.Is(err, fault.Unavailable) || !strings.Contains(err.Error(), "go generate ./...") {
			t.Errorf("without %s: %v", name, err)
		}
	}
}

// A list of extensions that forgets one serves it as bytes, and a browser then
// refuses it.
func TestEveryFileHasAType(t *testing.T) {
	err := fs.WalkDir(static.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !isServed(name) {
			return err
		}
		if ext := path.Ext(name); contentTypes[ext] == "" && !strings.HasPrefix(name, "vendor/") {
			t.Errorf("static/%s has no content type", name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Every fault code has an HTTP status.
func TestEveryCodeHasStatus(t *testing.T) {
	for _, code := range []fault.Code{fault.Input, fault.Missing, fault.NotFound, fault.Refused, fault.Conflict, fault.Unsure, fault.Newer,
		fault.Locked, fault.Full, fault.Damaged, fault.Unavailable, fault.Internal} {
		if statusOf[code] == 0 {
			t.Errorf("%s has none", code)
		}
	}
}

// A file that is embedded in its compressed forms alone is served like any other, also to
// a client that takes no compressed form; where its hash or a form is missing, the
// program says what to run.
func TestPackedAsset(t *testing.T) {
	body := bytes.Repeat([]byte("core"), 5000)
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	w.Write(body)
	w.Close()
	sum := fmt.Sprintf("%x", sha256.Sum256(body))
	files := fstest.MapFS{
		"dist/core.wasm.sha256":      {Data: fmt.Appendf(nil, "%s %d\n", sum, len(body))},
		"dist/extra.wasm.sha256":     {Data: fmt.Appendf(nil, "%s %d\n", sum, len(body))},
		"dist/packed/" + sum + ".gz": {Data: packed.Bytes()},
		"dist/wasm_exec.js":          {Data: []byte("loader")},
		bundleSources:                {},
		"index.html":                 {Data: []byte("<p>")},
	}
	a, err := loadAssets(files, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, accept := range []string{"", "gzip"} {
		rec := httptest.NewRecorder()
		r := httptest.NewRequest("GET", "/dist/core.wasm", nil)
		r.Header.Set("Accept-Encoding", accept)
		a.byName["dist/core.wasm"].serve(rec, r)
		want := body
		if accept != "" {
			want = packed.Bytes()
		}
		if got := rec.Body.Bytes(); !bytes.Equal(got, want) || rec.Header().Get("Content-Length") != fmt.Sprint(len(want)) || rec.Header().Get("Content-Encoding") != accept {
			t.Errorf("%q: %d bytes, %v", accept, len(got), rec.Header())
		}
	}
	delete(files, "dist/packed/"+sum+".gz")
	if _, err := loadAssets(files, false); err == nil || !strings.Contains(fault.AsFault(err).Hint, "go generate") {
		t.Errorf("without its compressed form: %v", err)
	}
	files["dist/core.wasm.sha256"] = &fstest.MapFile{Data: []byte("nothing")}
	if _, err := loadAssets(files, false); err == nil || !strings.Contains(fault.AsFault(err).Hint, "go generate") {
		t.Errorf("with a damaged hash: %v", err)
	}
}
