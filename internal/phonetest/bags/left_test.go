//go:build unix

package bags_test

import (
	"coldbatch/internal/hubtest"
	"coldbatch/internal/phonetest"
	"os"
	"testing"
)

// A page that was left while it opened its storage was frozen by the browser for
// the back button, and every later page waited for the storage for ever: about
// one time in ten.
func TestPageLeftWhileItStarts(t *testing.T) {
	t.Parallel()
	rounds := 4
	if os.Getenv("COLDBATCH_LONG") != "" {
		rounds = 30
	}
	h := hubtest.Start(t, "--example")
	for range rounds {
		p := phonetest.NewPhone(t, h.URL())
		p.Open("/")
		p.WaitForText("invented example")
		p.Open("/batches")
		p.WaitForText("aprons for the stall")
	}
}
