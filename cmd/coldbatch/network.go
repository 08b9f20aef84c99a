package main

import (
	"context"
	"crypto/tls"
	"net/netip"
	"os"
	"sync/atomic"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/lan"
	"coldbatch/internal/web"
)

// addressInterval says how often the program looks for new addresses, which takes a tenth of
// a millisecond. Until then a phone may be told an old one.
const addressInterval = 2 * time.Second

// certificateInterval says how often the program checks its certificate even when nobody
// connects, so that a problem is in the log long before the certificate expires.
const certificateInterval = time.Hour

// networkState says by which name and addresses the home network reaches the program,
// and with which certificate.
type networkState struct {
	withoutAddresses web.Network // all but the addresses
	certificate      certificate
	addresses        atomic.Pointer[[]netip.Addr]
}

// certificate is the one that the program presents: its own or the owner's.
type certificate interface {
	GetCertificate(*tls.ClientHelloInfo) (*tls.Certificate, error)
	Refresh() error
}

// current returns how the program is reached at present; nothing where n is nil.
func (n *networkState) current() web.Network {
	if n == nil {
		return web.Network{}
	}
	network := n.withoutAddresses
	network.Addresses = []string{}
	for _, a := range *n.addresses.Load() {
		network.Addresses = append(network.Addresses, a.String())
	}
	return network
}

// currentAddresses asks the system for the addresses. The certificate needs them: a phone
// may connect to one that is a second old.
func (n *networkState) currentAddresses() []netip.Addr {
	addresses, err := lan.Addresses(lan.MachineLinks)
	if err != nil {
		return *n.addresses.Load()
	}
	return addresses
}

func (n *networkState) tlsConfig() *tls.Config {
	return &tls.Config{GetCertificate: n.certificate.GetCertificate, MinVersion: tls.VersionTLS12}
}

// nameInterval says how often the program asks again whether its name is free.
const nameInterval = 10 * time.Second

// waitForName waits until no other machine answers to the program's name, and returns
// false where ctx ended before. It logs each machine that does. Anyone in the network can
// answer, so an answer must not stop the program: this computer is served as ever, phones
// by the address, and only the name is not announced.
func (p *Program) waitForName(ctx context.Context) bool {
	host := p.journalHub.Host
	var logged netip.Addr
	ticker := time.NewTicker(nameInterval)
	defer ticker.Stop()
	for {
		other, err := lan.FindOwner(ctx, host, lan.MachineLinks)
		if err != nil {
			p.Log.Printf("phones may have to use the address instead of the name: %v", err)
		}
		if !other.IsValid() {
			return ctx.Err() == nil
		}
		if other != logged {
			logged = other
			p.Log.Print(fault.New(fault.Conflict, "another machine on this network, %s, answers to the name %s: phones may reach that one", other, host).
				WithHint("if that is a coldbatch, stop it, or start this one on a new --data folder with another name, such as --name dyehouse; this one uses the name once it is free"))
		}
		select {
		case <-ticker.C:
		case <-ctx.Done():
			return false
		}
	}
}

// joinNetwork prepares what phones need to reach and to trust the program, and starts
// what keeps that up to date.
func (p *Program) joinNetwork() error {
	n := &networkState{withoutAddresses: web.Network{Host: p.journalHub.Host, HTTPSPort: p.HTTPS, HTTPPort: p.Port, HasOwnCertificate: p.Cert != ""}}
	addresses, err := lan.Addresses(lan.MachineLinks)
	if err != nil {
		p.Log.Print(err)
	}
	n.addresses.Store(&addresses)
	if n.withoutAddresses.HasOwnCertificate {
		if n.certificate, err = lan.OpenOwnCertificate(p.Cert, p.Key, p.journalHub.Host, time.Now); err != nil {
			return err
		}
	} else {
		authority, err := openAuthority(p.Data, p.journalHub.Host, false)
		if err != nil {
			return err
		}
		if n.certificate, err = authority.Leaf(n.currentAddresses); err != nil {
			return err
		}
		if err := authority.CheckValidity(); err != nil {
			p.Log.Printf("https does not work, so no phone can reach this program: %v", err)
		}
		n.withoutAddresses.Fingerprint, n.withoutAddresses.Authority, n.withoutAddresses.Profile = authority.Fingerprint(), authority.DER(), authority.Profile()
	}
	p.network = n
	refresh := func() {
		if err := n.certificate.Refresh(); err != nil {
			p.Log.Print(err)
		}
	}
	p.startGoroutine(func(ctx context.Context) {
		lan.Watch(ctx, lan.MachineLinks, addressInterval, func(addresses []netip.Addr) {
			n.addresses.Store(&addresses)
			refresh()
		})
	})
	p.startGoroutine(func(ctx context.Context) {
		ticker := time.NewTicker(certificateInterval)
		defer ticker.Stop()
		for {
			select {
			case <-ticker.C:
				refresh()
			case <-ctx.Done():
				return
			}
		}
	})
	p.startGoroutine(func(ctx context.Context) {
		if !p.waitForName(ctx) {
			return
		}
		lan.Announce(ctx, p.journalHub.Host, lan.MachineLinks, addressInterval, func(err error) {
			p.Log.Printf("phones may have to use the address instead of the name: %v", err)
		})
	})
	return nil
}

// openAuthority opens the authority of a data folder, and makes it the first time.
func openAuthority(data, host string, unconstrained bool) (*lan.Authority, error) {
	machine, _ := os.Hostname() // it only makes the name of the authority clearer
	return lan.OpenAuthority(data, lan.Names{Host: host}, time.Now, lan.Options{Machine: machine, Unconstrained: unconstrained})
}
