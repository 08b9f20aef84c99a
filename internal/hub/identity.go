package hub

import (
	"encoding/json"

	"coldbatch/internal/api"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// The identity of a first run that asks for nothing else.
const (
	DefaultName  = "coldbatch"
	DefaultHost  = "coldbatch.local"
	DefaultPort  = 8090
	DefaultHTTPS = 8443
)

const identityKey = "hub"

// ReadIdentity reads the identity stored in j. known is false before the first run.
func ReadIdentity(j Journal) (id api.Identity, known bool, err error) {
	err = j.View(func(tx Tx) error {
		b := tx.Meta(identityKey)
		if known = len(b) > 0; !known {
			return nil
		}
		if json.Unmarshal(b, &id) != nil || !id.ID.Valid() {
			return fault.New(fault.Damaged, "the identity of this hub is damaged in the journal").
				WithHint("run `coldbatch check`, or restore a backup")
		}
		return nil
	})
	return id, known, err
}

// checkWantedIdentity returns a fault when wanted differs from the stored identity. It ignores
// the zone: the machine's may change, the hub's does not.
func checkWantedIdentity(id, wanted api.Identity) error {
	conflict := func(what string, wished, stored any, flag string) error {
		return fault.New(fault.Conflict, "this journal uses %s %v, not %v", what, stored, wished).
			WithHint("phones and labels contain it; leave out %s, or use another --data folder", flag)
	}
	switch {
	case wanted.HTTPPort != 0 && wanted.HTTPPort != id.HTTPPort:
		return conflict("port", wanted.HTTPPort, id.HTTPPort, "--port")
	case wanted.HTTPSPort != 0 && wanted.HTTPSPort != id.HTTPSPort:
		return conflict("https port", wanted.HTTPSPort, id.HTTPSPort, "--https")
	case wanted.Host != "" && wanted.Host != id.Host:
		return conflict("the name", wanted.Host, id.Host, "--name")
	}
	return nil
}

// createIdentity stores the identity of a first run: wish, with defaults for what it
// leaves empty.
func createIdentity(j Journal, wanted api.Identity, s System) (api.Identity, error) {
	var b [16]byte
	s.Random(b[:])
	id := api.Identity{ID: journal.NewID(b), Name: DefaultName, Host: DefaultHost, HTTPPort: DefaultPort, HTTPSPort: DefaultHTTPS, Zone: "UTC"}
	if wanted.HTTPPort != 0 {
		id.HTTPPort = wanted.HTTPPort
	}
	if wanted.HTTPSPort != 0 {
		id.HTTPSPort = wanted.HTTPSPort
	}
	if wanted.Host != "" {
		id.Host = wanted.Host
	}
	if wanted.Zone != "" {
		id.Zone = wanted.Zone
	}
	text, err := json.Marshal(id)
	if err != nil {
		return api.Identity{}, err
	}
	return id, j.Update(func(tx Tx) error { return tx.SetMeta(identityKey, text) })
}
