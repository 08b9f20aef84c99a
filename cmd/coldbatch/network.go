package main

import (
	"context"
	"crypto/tls"
	"net/netip"
	"os"
	"strings"
	"sync/atomic"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/lan"
	"coldbatch/internal/web"
)

// lookEvery is how often the program looks whether its addresses changed: a phone
// may be told the one before for so long. A look takes a tenth of a millisecond.
const lookEvery = 2 * time.Second

// refreshEvery is how often the certificate is looked at, whoever asks for it:
// what is wrong with it must be in the log long before it ends.
const refreshEvery = time.Hour

// presence is the program in the home network: under which name and addresses it
// is reached, and by what certificate.
type presence struct {
	shown     web.Network // all but the addresses
	leaf      leaf
	addresses atomic.Pointer[[]netip.Addr]
}

// leaf is the certificate that is shown, the program's or the owner's own.
type leaf interface {
	GetCertificate(*tls.ClientHelloInfo) (*tls.Certificate, error)
	Refresh() error
}

// now gives how the program is reached now.
func (n *presence) now() web.Network {
	if n == nil {
		return web.Network{}
	}
	shown := n.shown
	shown.Addresses = []string{}
	for _, a := range *n.addresses.Load() {
		shown.Addresses = append(shown.Addresses, a.String())
	}
	return shown
}

// live gives the addresses as they are at this moment, for the certificate: a
// phone may come by one that is a second old.
func (n *presence) live() []netip.Addr {
	now, err := lan.Addresses(lan.Machine)
	if err != nil {
		return *n.addresses.Load()
	}
	return now
}

// hosts gives the names and addresses that the network may ask for.
func (n *presence) hosts() []string {
	if n == nil {
		return nil
	}
	shown := n.now()
	stem, _, _ := strings.Cut(shown.Host, ".")
	return append(shown.Addresses, shown.Host, stem+".home.arpa")
}

func (n *presence) tls() *tls.Config {
	return &tls.Config{GetCertificate: n.leaf.GetCertificate, MinVersion: tls.VersionTLS12}
}

// free makes sure that no other machine of the network has the name that the
// program is about to answer to.
func (p *Program) free(ctx context.Context, wish hub.Identity) error {
	id, known, err := hub.ReadIdentity(bolt{p.journal})
	if err != nil {
		return err
	}
	host := hub.DefaultHost
	switch {
	case known:
		host = id.Host
	case wish.Host != "":
		host = wish.Host
	}
	other, err := lan.Taken(ctx, host, lan.Machine)
	switch {
	case err != nil:
		p.Log.Printf("phones may have to use the address instead of the name: %v", err)
	case other.IsValid() && known:
		return fault.New(fault.Conflict, "the name %s, by which phones and labels know this program, is another machine's now: %s", host, other).
			WithHint("stop coldbatch there, or start this one with --here")
	case other.IsValid():
		return fault.New(fault.Conflict, "the name %s is another machine's in this network: %s", host, other).
			WithHint("start with another one, such as --name dyehouse")
	}
	return nil
}

// joinNetwork makes ready what phones need to reach the program and to trust it,
// and keeps that up to date until ctx ends.
func (p *Program) joinNetwork(ctx context.Context) error {
	n := &presence{shown: web.Network{Host: p.real.Host, HTTPS: p.HTTPS, HTTP: p.Port, Own: p.Cert != ""}}
	addresses, err := lan.Addresses(lan.Machine)
	if err != nil {
		p.Log.Print(err)
	}
	n.addresses.Store(&addresses)
	if n.shown.Own {
		if n.leaf, err = lan.OpenOwn(p.Cert, p.Key, p.real.Host, time.Now); err != nil {
			return err
		}
	} else {
		authority, err := openAuthority(p.Data, p.real.Host, false)
		if err != nil {
			return err
		}
		if n.leaf, err = authority.Leaf(n.live); err != nil {
			return err
		}
		n.shown.Fingerprint, n.shown.Authority, n.shown.Profile = authority.Fingerprint(), authority.DER(), authority.Profile()
	}
	p.network = n
	refresh := func() {
		if err := n.leaf.Refresh(); err != nil {
			p.Log.Print(err)
		}
	}
	go lan.Watch(ctx, lan.Machine, lookEvery, func(now []netip.Addr) {
		n.addresses.Store(&now)
		refresh()
	})
	go func() {
		for tick := time.NewTicker(refreshEvery); ; {
			select {
			case <-tick.C:
				refresh()
			case <-ctx.Done():
				tick.Stop()
				return
			}
		}
	}()
	go lan.Announce(ctx, p.real.Host, lan.Machine, lookEvery, func(err error) {
		p.Log.Printf("phones may have to use the address instead of the name: %v", err)
	})
	return nil
}

// openAuthority opens the authority of a data folder, and makes it at the first
// time.
func openAuthority(data, host string, unconstrained bool) (*lan.Authority, error) {
	machine, _ := os.Hostname() // only part of its name
	return lan.OpenAuthority(data, lan.Names{Host: host}, time.Now, lan.Options{Machine: machine, Unconstrained: unconstrained})
}
