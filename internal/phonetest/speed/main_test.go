//go:build unix

// Package speed_test measures how soon the app's pages are there and how soon a tap is answered.
// .ci/run gives it a step of its own, with COLDBATCH_SPEED=1, since other work on the machine
// disturbs it. What takes minutes runs with COLDBATCH_LONG, which also judges the times.
package speed_test

import (
	"os"
	"testing"

	"coldbatch/internal/hubtest"
)

func TestMain(m *testing.M) { os.Exit(hubtest.WithCleanup(m).Run()) }

// isLong says whether figures that other work on the machine disturbs are judged too.
var isLong = os.Getenv("COLDBATCH_LONG") != ""

// needQuiet skips a test that would measure while other tests run.
func needQuiet(t *testing.T) {
	t.Helper()
	if os.Getenv("COLDBATCH_SPEED") == "" {
		t.Skip("it measures times, and runs with COLDBATCH_SPEED=1 while nothing else does")
	}
}

// needLong is needQuiet for what takes minutes.
func needLong(t *testing.T) {
	t.Helper()
	needQuiet(t)
	if !isLong {
		t.Skip("it takes minutes, and runs with COLDBATCH_LONG=1, as .ci/run --long does")
	}
}
