package hub

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// About is what a phone asks first.
type About struct {
	Program      string       `json:"program"`
	Version      string       `json:"version"`
	StateVersion int          `json:"stateVersion"`
	Hub          Identity     `json:"hub"`
	Zone         zone.Table   `json:"zone"` // the hub's, two years back and six ahead
	Example      bool         `json:"example"`
	Now          zone.Instant `json:"now"`
	Protocol     int          `json:"protocol"` // of the exchange
	You          rights.Asker `json:"you"`
}

// protocol is the version of the exchange. A field may join it; what has another
// meaning would be the next version, and this one be served beside it.
const protocol = 1

// year is near enough to bound a table of offsets.
const year = 366 * zone.Day

// About tells who the hub is, what time it has, and who asks. Version is the
// program's.
func (h *Hub) About(who rights.Asker, version string) (*About, error) {
	now := h.system.Now()
	table, err := h.ZoneTable("", now)
	if err != nil {
		return nil, err
	}
	return &About{"coldbatch", version, batch.StateVersion, h.Identity, table, h.Example, now, protocol, who}, nil
}

// ZoneTable gives the zone of that name, the hub's own where it is empty, as Around.
func (h *Hub) ZoneTable(name string, now zone.Instant) (zone.Table, error) {
	if name == "" {
		name = h.Zone
	}
	return ZoneTableAround(name, now)
}

// ZoneTableAround gives the zone of that name from two years before now to six after:
// enough for whatever is worked out about a batch.
func ZoneTableAround(name string, now zone.Instant) (zone.Table, error) {
	return ZoneTable(name, now.Add(-2*year), now.Add(6*year))
}
