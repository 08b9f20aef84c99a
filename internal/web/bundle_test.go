package web

import (
	"io/fs"
	"net/http/httptest"
	"path"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"coldbatch/internal/fault"
	"coldbatch/static"
)

// Unbundled, each module is served as it is in the source tree, and the bundle is not.
func TestUnbundled(t *testing.T) {
	a := newTestApp(t)
	a.Unbundled = true
	h := newFullHandler(t, a)
	for _, row := range []struct {
		target string
		status int
		says   string
	}{
		{"/main.js", 200, "import './parts/field.js'"},
		{"/parts/field.js", 200, "export const field"},
		{"/main.js.map", 404, ""},
		{"/dist/app/main.js", 404, ""},
	} {
		if w := sendRequest(h, "GET", row.target, ""); w.Code != row.status || !strings.Contains(w.Body.String(), row.says) {
			t.Errorf("%s: %d %.100q", row.target, w.Code, w.Body)
		}
	}
}

// A module that was edited, removed or renamed since the bundle was made makes the bundle
// an old version, which is never sent.
func TestStaleBundle(t *testing.T) {
	for _, edit := range []func(fstest.MapFS){
		func(f fstest.MapFS) { f["parts/field.js"] = &fstest.MapFile{Data: []byte("export const field = 2")} },
		func(f fstest.MapFS) { delete(f, "parts/field.js") },
		func(f fstest.MapFS) { f[bundleSources] = &fstest.MapFile{Data: []byte("nothing\n")} },
	} {
		f := appFiles()
		edit(f)
		if _, err := loadAssets(f, false); !fault.Is(err, fault.Unavailable) || !strings.Contains(fault.AsFault(err).Hint, "--dev") {
			t.Errorf("bundled: %v", err)
		}
		if _, err := loadAssets(f, true); err != nil {
			t.Errorf("unbundled: %v", err)
		}
	}
}

// The page starts with two scripts: the guard and the bundle, which imports nothing. What
// stays beside them are the workers and what they load. Each bundle has its source map,
// which is not stored on the phone.
func TestPageStartsWithTwoScripts(t *testing.T) {
	a, err := loadAssets(static.Files, false)
	if err != nil {
		t.Fatal(err)
	}
	page, err := fs.ReadFile(static.Files, "index.html")
	if err != nil {
		t.Fatal(err)
	}
	scripts := regexp.MustCompile(`<script[^>]* src="/([^"]+)"`).FindAllSubmatch(page, -1)
	if len(scripts) != 2 {
		t.Errorf("index.html has %d scripts, not 2", len(scripts))
	}
	for _, s := range scripts {
		if name := string(s[1]); regexp.MustCompile(`\bfrom\s*["'][^\s"']+["']|\bimport\s*["'{*(]`).MatchString(assetText(t, a, name)) {
			t.Errorf("/%s imports another script, so that the phone waits for that one too", name)
		}
	}
	if body := assetText(t, a, "main.js"); !strings.HasSuffix(body, "\n//# sourceMappingURL=main.js.map\n") {
		t.Errorf("the bundle names no source map: …%s", body[max(0, len(body)-80):])
	}
	if sourceMap := assetText(t, a, "main.js.map"); !strings.Contains(sourceMap, `"core/core.js"`) || !strings.Contains(sourceMap, "sourcesContent") {
		t.Errorf("the source map lacks the sources: %.200s", sourceMap)
	}
	if list := string(a.workerPreamble()); strings.Contains(list, ".map") || !strings.Contains(list, `"/main.js":`) {
		t.Error("the worker stores the source map, or not the bundle")
	}
	beside := map[string]bool{"boot.js": true, "main.js": true, "sw.js": true, "dist/wasm_exec.js": true}
	for name := range a.byName {
		if dir := path.Dir(name); (path.Ext(name) == ".js" || path.Ext(name) == ".mjs") && !beside[name] &&
			dir != "scan" && !strings.HasPrefix(name, "vendor/zxing") && !strings.HasSuffix(name, "-worker.js") {
			t.Errorf("/%s is served beside the bundle: nothing imports static/%s", name, name)
		}
	}
}

func assetText(t *testing.T, a *assets, name string) string {
	t.Helper()
	if a.byName[name] == nil {
		t.Fatalf("/%s is not served", name)
	}
	w := httptest.NewRecorder()
	a.byName[name].serve(w, httptest.NewRequest("GET", "/"+name, nil))
	return w.Body.String()
}
