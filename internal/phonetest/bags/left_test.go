//go:build unix

package bags_test

import (
	"os"
	"testing"

	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// A page that was left while it opened its storage was frozen by the browser for
// the back button, and every later page waited for the storage for ever: about
// one time in ten. A phone that meets a program with the example leaves its first page
// that early.
func TestPageLeftWhileItStarts(t *testing.T) {
	need.CI(t)
	t.Parallel()
	rounds := 4
	if os.Getenv("COLDBATCH_LONG") != "" {
		rounds = 30
	}
	_, p := phonetest.Start(t, "--example")
	for range rounds {
		p.WaitForText("invented example")
		p.Open("/batches")
		p.WaitForText("aprons for the stall")
		// The phone is as it was before its first page.
		phonetest.Evaluate[bool](p, `indexedDB.databases().then(all => Promise.all(all.map(({name}) => new Promise((done, failed) => {
			const request = indexedDB.deleteDatabase(name);
			request.onsuccess = () => done();
			request.onerror = () => failed(request.error);
		})))).then(() => { localStorage.clear(); return true; })`)
		p.Open("/")
	}
}
