package hub

import (
	"encoding/json"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// Identity is who the hub is. It is fixed at the first run and never changes by
// itself: phones and printed labels depend on it.
type Identity struct {
	ID    journal.ID `json:"id"`
	Name  string     `json:"name"`
	Host  string     `json:"host"`  // the name in the house's network
	Port  int        `json:"port"`  // of plain http
	HTTPS int        `json:"https"` // of https, which labels name
	Zone  string     `json:"zone"`  // IANA name
}

// What a first run takes where nothing else is wished.
const (
	DefaultName  = "coldbatch"
	DefaultHost  = "coldbatch.local"
	DefaultPort  = 8090
	DefaultHTTPS = 8443
)

const identityKey = "hub"

// ReadIdentity reads the identity that j holds; known is false before the first run.
func ReadIdentity(j Journal) (id Identity, known bool, err error) {
	err = j.View(func(tx Tx) error {
		b := tx.Meta(identityKey)
		if known = len(b) > 0; !known {
			return nil
		}
		if json.Unmarshal(b, &id) != nil || !id.ID.Valid() {
			return fault.New(fault.Damaged, "the file does not say who this hub is").
				WithHint("run `coldbatch check`, or go back to a backup")
		}
		return nil
	})
	return id, known, err
}

// checkWish returns a fault where wish names something else than what is fixed. The
// zone of the machine may change; that of the hub does not.
func (id Identity) checkWish(wish Identity) error {
	differ := func(what string, wished, fixed any, flag string) error {
		return fault.New(fault.Conflict, "%s %v is not the %s of this file, which is %v", what, wished, what, fixed).
			WithHint("phones and labels know it by %v; leave %s out, or use another --data folder", fixed, flag)
	}
	switch {
	case wish.Port != 0 && wish.Port != id.Port:
		return differ("port", wish.Port, id.Port, "--port")
	case wish.HTTPS != 0 && wish.HTTPS != id.HTTPS:
		return differ("https port", wish.HTTPS, id.HTTPS, "--https")
	case wish.Host != "" && wish.Host != id.Host:
		return differ("name", wish.Host, id.Host, "--name")
	}
	return nil
}

// createIdentity writes the identity of a first run.
func createIdentity(j Journal, wish Identity, w System) (Identity, error) {
	var b [16]byte
	w.Random(b[:])
	id := Identity{ID: journal.NewID(b), Name: DefaultName, Host: DefaultHost, Port: DefaultPort, HTTPS: DefaultHTTPS, Zone: "UTC"}
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
		return Identity{}, err
	}
	return id, j.Update(func(tx Tx) error { return tx.SetMeta(identityKey, text) })
}
