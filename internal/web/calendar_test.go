package web

import (
	"strings"
	"testing"
)

func TestCalendarRoutes(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	batch, other := string(thisBatch), string(otherBatch)
	for _, row := range []struct {
		why, target, asker string
		status             int
		says               string
	}{
		{"a bag, with a 12-hour clock", "?batch=" + batch + "&bag=" + other + "&clock12=1", "helper", 200, batch + "  " + other + " true"},
		{"a place", "?place=" + batch, "owner", 200, " " + batch + "  false"},
		{"everything", "", "owner", 200, "   false"},
		{"a batch that it does not help with", "?batch=" + other, "helper", 403, "does not help"},
		{"no id", "?batch=market", "owner", 422, "the batch"},
		{"a bag of no batch", "?bag=" + batch, "owner", 422, "batch of the bag is missing"},
		{"a calendar's token opens no file", "?batch=" + batch, calendarToken, 401, "not paired"},
		{"a calendar by its token", "/" + calendarToken + ".ics", "nobody", 200, "BEGIN:VCALENDAR"},
		{"also without its ending", "/" + calendarToken, "nobody", 200, "BEGIN:VCALENDAR"},
		{"the owner without the token", "/other.ics", "owner", 403, "no calendar"},
	} {
		w := sendRequest(h, "GET", "/api/v1/calendar"+row.target, "", "From: https "+row.asker)
		if w.Code != row.status || !strings.Contains(w.Body.String(), row.says) {
			t.Errorf("%s: %d %s", row.why, w.Code, w.Body)
		}
		if w.Code == 200 && (w.Header().Get("Content-Type") != "text/calendar; charset=utf-8" || w.Header().Get("Cache-Control") != "no-store") {
			t.Errorf("%s: %v", row.why, w.Header())
		}
	}
}
