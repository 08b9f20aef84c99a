//go:build unix

package speed_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"strings"
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/need"
)

// lighthouseResult is what lighthouse.mjs prints of one page.
type lighthouseResult struct {
	Run    string
	Scores struct {
		Performance   int
		Accessibility int
		BestPractices int `json:"best-practices"`
	}
	Faults  []string // what lost points in the last two
	Figures []string // times that the first is made from
}

// leastPerformance is the score that every page reaches, on a phone with Lighthouse's simulated
// network and a processor four times slower, and on a desktop.
const leastPerformance = 95

// Lighthouse (Google, Apache 2.0) finds nothing wrong in accessibility and best practices. In the long
// run it looks at ten pages, and each reaches the score in performance in one of three measurements.
func TestLighthouse(t *testing.T) {
	needQuiet(t)
	browser := need.Program(t, "chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
	h := hubtest.Start(t)
	runs := []string{"mobile/first-visit", "mobile/bag"}
	if isLong {
		runs = nil
		for _, form := range []string{"mobile/", "desktop/"} {
			for _, page := range []string{"first-visit", "today", "batch", "bag", "sum"} {
				runs = append(runs, form+page)
			}
		}
	}
	for try := 1; len(runs) > 0; try++ {
		var slow []string
		results := runLighthouse(t, h.URL(), browser, runs)
		if len(results) != len(runs) {
			t.Fatalf("%d of %d pages were measured", len(results), len(runs))
		}
		for _, r := range results {
			t.Logf("%-20s performance %3d, accessibility %3d, best practices %3d; %s",
				r.Run, r.Scores.Performance, r.Scores.Accessibility, r.Scores.BestPractices, strings.Join(r.Figures, ", "))
			if r.Scores.Accessibility != 100 || r.Scores.BestPractices != 100 {
				t.Errorf("%s: accessibility %d, best practices %d:\n%s", r.Run, r.Scores.Accessibility, r.Scores.BestPractices, strings.Join(r.Faults, "\n"))
			}
			if isLong && r.Scores.Performance < leastPerformance {
				slow = append(slow, r.Run)
			}
		}
		if runs = slow; try == 3 && len(slow) > 0 {
			t.Fatalf("below %d in performance three times: %s", leastPerformance, strings.Join(slow, ", "))
		}
	}
}

// runLighthouse measures pages of the program at that address.
func runLighthouse(t *testing.T, address, browser string, runs []string) []lighthouseResult {
	t.Helper()
	cmd := exec.Command(need.Program(t, "node"), append([]string{"lighthouse.mjs", address, browser}, runs...)...)
	cmd.Dir = "../../../testdata/javascript"
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: was npm ci run in testdata/javascript?\n%s", err, out)
	}
	var results []lighthouseResult
	for lines := bufio.NewScanner(bytes.NewReader(out)); lines.Scan(); {
		var r lighthouseResult
		if err := json.Unmarshal(lines.Bytes(), &r); err != nil {
			t.Fatalf("%v in %s", err, lines.Text())
		}
		results = append(results, r)
	}
	return results
}
