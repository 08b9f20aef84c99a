package web

import (
	"net/http"
	"testing"

	"coldbatch/internal/fault"
)

// Labels come as a file that nothing keeps and that no browser takes for a page.
func TestSheet(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	w := sendRequest(h, "GET", "/api/v1/sheet?sheet=a4-70x37", "", "From: https helper")
	if w.Code != http.StatusOK || w.Body.String() != "%PDF a4-70x37" {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	for name, want := range map[string]string{"Content-Type": "application/pdf", "Content-Disposition": `inline; filename="labels.pdf"`,
		"Cache-Control": "no-store", "X-Content-Type-Options": "nosniff"} {
		if got := w.Header().Get(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	a := newTestApp(t)
	a.LabelPrinter = fakePrinter{fault.New(fault.NotFound, "there is no batch")}
	if w := sendRequest(newFullHandler(t, a), "GET", "/api/v1/sheet", "", "From: https owner"); w.Code != http.StatusNotFound || w.Header().Get("Content-Disposition") != "" {
		t.Errorf("no batch: %d %v", w.Code, w.Header())
	}
}
