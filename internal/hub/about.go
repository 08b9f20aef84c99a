package hub

import (
	"context"

	"coldbatch/internal/api"
	"coldbatch/internal/batch"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// zoneYear is used to bound a table of offsets; it need not be exact.
const zoneYear = 366 * zone.Day

// About says which hub this is, what its clock shows, and who the asker is. version
// is the program's.
func (h *Hub) About(ctx context.Context, who rights.Asker, version string) (*api.AboutAnswer, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	now := h.system.Now()
	table, err := h.ZoneTable("", now)
	if err != nil {
		return nil, err
	}
	return &api.AboutAnswer{Program: "coldbatch", Version: version, StateVersion: batch.StateVersion, Hub: h.Identity,
		Zone: table, Example: h.Example, Now: now, Protocol: api.Protocol, Asker: who}, nil
}

// ZoneTable returns ZoneTableAround now for the named zone, or for the hub's own when
// name is empty.
func (h *Hub) ZoneTable(name string, now zone.Instant) (zone.Table, error) {
	if name == "" {
		name = h.Zone
	}
	return ZoneTableAround(name, now)
}

// ZoneTableAround returns the table of the named zone from two years before now to
// six years after, which covers everything computed about a batch.
func ZoneTableAround(name string, now zone.Instant) (zone.Table, error) {
	return ZoneTable(name, now.Add(-2*zoneYear), now.Add(6*zoneYear))
}
