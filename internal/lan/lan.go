// Package lan is the program's place in the home network: which addresses the
// machine has there (Addresses, Watch), the name it answers to (ReadHost, FindOwner, Announce), and the certificate it shows (OpenAuthority and then its Leaf, or
// OpenOwnCertificate for a certificate of the user's). It listens on no port but that of
// multicast DNS and knows nothing of the program: its caller hands it the
// folder, the clock and the machine's links.
package lan

import (
	"cmp"
	"context"
	"net"
	"net/netip"
	"slices"
	"strings"
	"time"

	"coldbatch/internal/fault"
)

// Link is one of the machine's network interfaces with its addresses. Its
// IPv6 addresses have no zone.
type Link struct {
	net.Interface
	Addresses []netip.Addr
}

// ListLinks returns the links as they are now.
type ListLinks func() ([]Link, error)

// MachineLinks returns the links of this machine; fault.Unavailable where the system
// does not tell them.
func MachineLinks() ([]Link, error) {
	interfaces, err := net.Interfaces()
	if err != nil {
		return nil, fault.New(fault.Unavailable, "the system did not list its network interfaces: %v", err)
	}
	var links []Link
	for _, i := range interfaces {
		link := Link{Interface: i}
		list, err := i.Addrs()
		if err != nil {
			continue // it disappeared in the meantime
		}
		for _, a := range list {
			if p, err := netip.ParsePrefix(a.String()); err == nil {
				link.Addresses = append(link.Addresses, p.Addr().Unmap().WithZone(""))
			}
		}
		links = append(links, link)
	}
	return links, nil
}

// isUp says whether others can be reached over the link.
func (l Link) isUp() bool {
	const need = net.FlagUp | net.FlagRunning
	return l.Flags&need == need && l.Flags&net.FlagLoopback == 0
}

// isInternal says whether the link most likely leads to no phone: a network inside
// this machine, or a tunnel.
func (l Link) isInternal() bool {
	if l.Flags&net.FlagPointToPoint != 0 {
		return true
	}
	for _, prefix := range []string{"docker", "veth", "virbr", "vmnet", "vEthernet"} {
		if strings.HasPrefix(l.Name, prefix) {
			return true
		}
	}
	return false
}

// IsHomeAddress says whether an address is one of a home network: private (RFC 1918, RFC
// 4193) or link-local (RFC 3927, RFC 4291). A public one, which IPv6 gives to
// most machines, is never shown or announced: a browser treats a page from
// there as a stranger to the house's other addresses.
func IsHomeAddress(a netip.Addr) bool { return a.IsPrivate() || a.IsLinkLocalUnicast() }

// Addresses returns the home addresses of the links that are up, best first: one
// that a person can type, on a link that phones are on. The order does not
// change while the links do not.
func Addresses(links ListLinks) ([]netip.Addr, error) {
	all, err := links()
	if err != nil {
		return nil, err
	}
	type ranked struct {
		rank, index int
		netip.Addr
	}
	var list []ranked
	for _, link := range all {
		if !link.isUp() {
			continue
		}
		for _, a := range link.Addresses {
			if IsHomeAddress(a) {
				list = append(list, ranked{rank(link, a), link.Index, a})
			}
		}
	}
	slices.SortFunc(list, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(a.index, b.index), a.Addr.Compare(b.Addr))
	})
	var addresses []netip.Addr
	for _, r := range list {
		if !slices.Contains(addresses, r.Addr) {
			addresses = append(addresses, r.Addr)
		}
	}
	return addresses, nil
}

// rank orders addresses, the best first.
func rank(link Link, a netip.Addr) int {
	n := 0
	if a.Is6() {
		n++
	}
	if a.IsLinkLocalUnicast() {
		n += 2
	}
	if link.isInternal() {
		n += 4
	}
	return n
}

// Watch looks at the addresses at once and then every so often until ctx ends.
// It calls changed with the first ones, and again whenever they differ from those before. A
// failed look is skipped.
func Watch(ctx context.Context, links ListLinks, every time.Duration, changed func([]netip.Addr)) {
	var last []netip.Addr
	first := true
	repeatEvery(ctx, every, func() {
		now, err := Addresses(links)
		if err != nil || !first && slices.Equal(now, last) {
			return
		}
		first, last = false, now
		changed(now)
	})
}

// repeatEvery calls do at once and then every so often until ctx ends.
func repeatEvery(ctx context.Context, every time.Duration, do func()) {
	ticker := time.NewTicker(every)
	defer ticker.Stop()
	for ctx.Err() == nil {
		do()
		select {
		case <-ctx.Done():
		case <-ticker.C:
		}
	}
}
