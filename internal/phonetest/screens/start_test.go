//go:build unix

package screens_test

import (
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// The page loads three scripts at its start: the guard, the bundle and the core's worker.
// Each further script is one more wait on a phone. With --dev it loads every module by itself, and
// the app is the same.
func TestScriptsAtStart(t *testing.T) {
	need.CI(t)
	const scripts = `performance.getEntriesByType('resource').filter(r => /\.m?js$/.test(r.name)).length`
	for _, row := range []struct {
		why      string
		args     []string
		min, max int
	}{
		{"bundled", nil, 2, 3},
		{"one by one", []string{"--dev"}, 50, 500},
	} {
		t.Run(row.why, func(t *testing.T) {
			p := phonetest.NewPhone(t, hubtest.Start(t, row.args...).URL())
			p.Open("/")
			p.WaitForText("Start a batch")
			if n := phonetest.Evaluate[int](p, scripts); n < row.min || n > row.max {
				t.Errorf("it started with %d scripts, not %d to %d", n, row.min, row.max)
			}
			p.GoTo(`/sums`)
			p.WaitFor("another screen", `location.pathname === '/sums' && document.querySelector('h1')`)
		})
	}
}
