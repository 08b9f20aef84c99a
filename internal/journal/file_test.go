package journal

import (
	"runtime"
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

// A made-up file of two million empty entries is refused, and takes the memory of its text, not many times that. One
// with some entries that do not read returns the others.
func TestSavedFileOfNothing(t *testing.T) {
	flood := []byte(`{"coldbatch":"facts","version":1,"facts":[{}` + strings.Repeat(",{}", 2_000_000) + "]}")
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, _, err := ReadSavedFile("x.json", flood)
	runtime.ReadMemStats(&after)
	if !fault.Is(err, fault.Damaged) {
		t.Errorf("%v", err)
	}
	if more := after.TotalAlloc - before.TotalAlloc; more > 20*uint64(len(flood)) {
		t.Errorf("it takes %d MB", more>>20)
	}
	for _, c := range []struct {
		text   string
		unread int
		isRead bool
	}{
		{`{"coldbatch":"facts","version":1,"facts":[{},1,"x"]}`, 3, true},
		{`{"coldbatch":"facts","version":1,"facts":[]}`, 0, true},
		{`{"coldbatch":"facts","version":1}`, 0, true},
		{`{"coldbatch":"facts","version":1,"facts":{}}`, 0, false},
		{`{"coldbatch":"facts","version":1,"facts":[{}`, 0, false},
	} {
		if _, unread, err := ReadSavedFile("x.json", []byte(c.text)); (err == nil) != c.isRead || unread != c.unread {
			t.Errorf("%s: %d unread, %v", c.text, unread, err)
		}
	}
}
