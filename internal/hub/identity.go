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

// checkWish returns a fault when wish differs from the stored identity. It ignores
// the zone: the machine's may change, the hub's does not.
func checkWish(id, wish api.Identity) error {
	conflict := func(what string, wished, stored any, flag string) error {
		return fault.New(fault.Conflict, "this journal uses %s %v, not %v", what, stored, wished).
			WithHint("phones and labels contain it; leave out %s, or use another --data folder", flag)
	}
	switch {
	case wish.Port != 0 && wish.Port != id.Port:
		return conflict("port", wish.Port, id.Port, "--port")
	case wish.HTTPS != 0 && wish.HTTPS != id.HTTPS:
		return conflict("https port", wish.HTTPS, id.HTTPS, "--https")
	case wish.Host != "" && wish.Host != id.Host:
		return conflict("the name", wish.Host, id.Host, "--name")
	}
	return nil
}

// createIdentity stores the identity of a first run: wish, with defaults for what it
// leaves empty.
func createIdentity(j Journal, wish api.Identity, s System) (api.Identity, error) {
	var b [16]byte
	s.Random(b[:])
	id := api.Identity{ID: journal.NewID(b), Name: DefaultName, Host: DefaultHost, Port: DefaultPort, HTTPS: DefaultHTTPS, Zone: "UTC"}
	if wish.Port != 0 {
		id.Port = wish.Port
	}
	if wish.HTTPS != 0 {
		id.HTTPS = wish.HTTPS
	}
	if wish.Host != "" {
		id.Host = wish.Host
	}
	if wish.Zone != "" {
		id.Zone = wish.Zone
	}
	text, err := json.Marshal(id)
	if err != nil {
		return api.Identity{}, err
	}
	return id, j.Update(func(tx Tx) error { return tx.SetMeta(identityKey, text) })
}
