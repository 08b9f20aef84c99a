package hub

import (
	"strings"
	"testing"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"

	"pgregory.net/rapid"
)

func TestZoneTable(t *testing.T) {
	from, to := zone.Date(2020, 1, 1), zone.Date(2060, 1, 1) // over 2040-12-31, where it hung once
	for name, changes := range map[string]int{
		"Europe/Lisbon":       1 + 80, // twice a year for 40 years
		"Australia/Lord_Howe": 1 + 80,
		"Asia/Kathmandu":      1,
		"UTC":                 1,
	} {
		table, err := ZoneTable(name, from, to)
		if err != nil || len(table.Changes) != changes || table.Name != name || table.Changes[0].From != from {
			t.Errorf("%s: %d changes, %v; want %d", name, len(table.Changes), err, changes)
		}
		loc, err := time.LoadLocation(name)
		if err != nil {
			t.Fatal(err)
		}
		rapid.Check(t, func(t *rapid.T) {
			i := rapid.Int64Range(int64(from), int64(to)).Draw(t, "i")
			if _, want := time.UnixMilli(i).In(loc).Zone(); table.Offset(zone.Instant(i)) != want {
				t.Fatalf("%s at %d: %d, want %d", name, i, table.Offset(zone.Instant(i)), want)
			}
		})
	}
}

func TestZoneTableRefuses(t *testing.T) {
	for _, name := range []string{"", "Local", "Europe/Nowhere", "../etc/passwd", "/etc/localtime", "lisbon"} {
		_, err := ZoneTable(name, 0, 1)
		if f := fault.AsFault(err); err == nil || f.Code != fault.Input || f.Typed != name || !strings.Contains(f.Hint, "Europe/Lisbon") {
			t.Errorf("%q: %v", name, err)
		}
	}
	if _, err := ZoneTable("UTC", 1, 0); !fault.Is(err, fault.Input) {
		t.Errorf("a table that ends before it begins: %v", err)
	}
}
