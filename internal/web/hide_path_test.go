package web

import (
	"bytes"
	"log"
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

// Only the owner sees a fault that names a file of the machine. Others see its code, and
// the file goes to the log.
func TestOnlyOwnerSeesPaths(t *testing.T) {
	const folder = "/invented/house/data"
	for _, code := range []fault.Code{fault.Damaged, fault.Full, fault.Locked, fault.NotFound, fault.Refused, fault.Conflict, fault.Newer, fault.Unavailable, fault.Input} {
		for from, shown := range map[string]bool{"https nobody": false, "https helper": false, "https out": false, "https owner": true} {
			var logged bytes.Buffer
			a := newTestAppOn(&fakeHub{viewBag: func(string) error {
				return fault.New(code, "there is something wrong with it").WithHint("look at %s/coldbatch.db", folder)
			}})
			a.DataFolder, a.Log = folder, log.New(&logged, "", 0)
			w := sendRequest(newFullHandler(t, a), "GET", "/api/v1/bag/x", "", "From: "+from)
			body := w.Body.String()
			if strings.Contains(body, folder) != shown || !strings.Contains(body, `"code":"`+string(code)+`"`) || w.Code != statusOf[code] {
				t.Errorf("%s, %s: %d %s", code, from, w.Code, body)
			}
			if strings.Contains(logged.String(), folder) == shown {
				t.Errorf("%s, %s: logged is %q", code, from, logged.String())
			}
		}
	}
}
