//go:build unix

package phonetest

import (
	"testing"

	"coldbatch/internal/hubtest"
)

// Start starts a program, with flags, and returns it with a phone on which the app is open.
func Start(t *testing.T, args ...string) (*hubtest.Hub, *Phone) {
	t.Helper()
	h := hubtest.Start(t, args...)
	p := NewPhone(t, h.URL())
	p.Open("/")
	return h, p
}

// StartPlanned is Start with what RecordPlan records; batch is the path of that batch.
func StartPlanned(t *testing.T) (h *hubtest.Hub, p *Phone, batch string) {
	t.Helper()
	h, p = Start(t)
	return h, p, p.RecordPlan("Picnic cloths")
}
