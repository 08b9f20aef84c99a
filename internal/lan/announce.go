package lan

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"time"

	"github.com/pion/mdns/v2"
	"golang.org/x/net/dns/dnsmessage"
	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"

	"coldbatch/internal/fault"
)

// mdnsTTL says how long others may cache an answer, in seconds: RFC 6762, section 10.
const mdnsTTL = 120

// mdnsPort is the port of multicast DNS.
const mdnsPort = 5353

// Announce answers the network's questions for host, if it is a name under .local, until
// ctx ends: on each link with the home addresses of that link. It checks the links at the
// given interval and announces new addresses. It calls failed when the network does not
// let it answer, once for each reason in a row, and keeps trying: without it, phones
// still find the hub by its address.
func Announce(ctx context.Context, host string, links ListLinks, every time.Duration, failed func(error)) {
	if !isMulticastName(host) {
		return
	}
	responders := map[endpoint]*responder{}
	lastError := ""
	repeatEvery(ctx, every, func() {
		err := updateResponders(responders, host, links)
		if text := errorText(err); text != lastError {
			if lastError = text; err != nil {
				failed(err)
			}
		}
		for _, v := range responders {
			v.announce()
		}
	})
	for _, v := range responders {
		v.Close()
	}
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// endpoint is an address on a link. Each has a responder.
type endpoint struct {
	index   int
	address netip.Addr
}

// updateResponders opens a responder for each endpoint without one, and closes those
// whose endpoint is gone.
func updateResponders(responders map[endpoint]*responder, host string, links ListLinks) error {
	all, err := links()
	if err != nil {
		return err
	}
	present := map[endpoint]bool{}
	var errs []error
	for _, link := range all {
		for _, address := range link.announcedAddresses() {
			p := endpoint{link.Index, address}
			present[p] = true
			if responders[p] != nil {
				continue
			}
			v, err := newResponder(host, link, address)
			if err != nil {
				errs = append(errs, fault.New(fault.Unavailable, "%s cannot be announced on %s: %v", host, link.Name, err).
					WithHint("phones can use the address %s", address))
				continue
			}
			responders[p] = v
		}
	}
	for p, v := range responders {
		if !present[p] {
			v.Close()
			delete(responders, p)
		}
	}
	return errors.Join(errs...)
}

// announcedAddresses returns the addresses to announce on a link: the best of each family.
func (l Link) announcedAddresses() []netip.Addr {
	if !l.isUp() || l.Flags&net.FlagMulticast == 0 {
		return nil
	}
	var four, six netip.Addr
	for _, a := range l.Addresses {
		best := &six
		if a.Is4() {
			best = &four
		}
		if IsHomeAddress(a) && (!best.IsValid() || rank(l, a) < rank(l, *best)) {
			*best = a
		}
	}
	var list []netip.Addr
	for _, a := range []netip.Addr{four, six} {
		if a.IsValid() {
			list = append(list, a)
		}
	}
	return list
}

// responder answers on one link with one address, by a connection of package mdns. Given
// all links at once, that package would use the first address of each, which is often a
// public one, and would never notice a change.
type responder struct {
	*mdns.Conn
	send              func([]byte) // to the multicast group of the link
	announcement      []byte       // what announce sends
	announcementsLeft int          // how often announce still sends it
}

// newResponder opens a responder.
func newResponder(host string, link Link, address netip.Addr) (*responder, error) {
	unasked, err := buildAnnouncement(host, address)
	if err != nil {
		return nil, err
	}
	// RFC 6762, section 8.3: at least twice, at least a second apart.
	v := &responder{announcement: unasked, announcementsLeft: 2}
	options := []mdns.ServerOption{
		mdns.WithLocalNames(host), mdns.WithLocalAddress(net.IP(address.AsSlice())),
		mdns.WithInterfaces(link.Interface), mdns.WithRecordTypes(dnsmessage.TypeA, dnsmessage.TypeAAAA),
		mdns.WithResponseTTL(mdnsTTL), mdns.WithCacheRefresh(false),
	}
	if address.Is4() {
		conn, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(224, 0, 0, 0), Port: mdnsPort})
		if err != nil {
			return nil, err
		}
		packets := ipv4.NewPacketConn(conn)
		if v.Conn, err = mdns.NewServer(packets, nil, options...); err != nil {
			conn.Close()
			return nil, err
		}
		v.send = func(b []byte) {
			if packets.SetMulticastInterface(&link.Interface) == nil {
				packets.WriteTo(b, nil, multicastGroupIPv4)
			}
		}
		return v, nil
	}
	conn, err := net.ListenUDP("udp6", &net.UDPAddr{IP: net.ParseIP("ff02::"), Port: mdnsPort})
	if err != nil {
		return nil, err
	}
	packets := ipv6.NewPacketConn(conn)
	if v.Conn, err = mdns.NewServer(nil, packets, options...); err != nil {
		conn.Close()
		return nil, err
	}
	v.send = func(b []byte) {
		if packets.SetMulticastInterface(&link.Interface) == nil {
			packets.WriteTo(b, nil, multicastGroupIPv6)
		}
	}
	return v, nil
}

// The groups of multicast DNS: RFC 6762, section 3.
var (
	multicastGroupIPv4 = &net.UDPAddr{IP: net.IPv4(224, 0, 0, 251), Port: mdnsPort}
	multicastGroupIPv6 = &net.UDPAddr{IP: net.ParseIP("ff02::fb"), Port: mdnsPort}
)

// announce sends the announcement, as long as any is left to send.
func (v *responder) announce() {
	if v.announcementsLeft > 0 {
		v.announcementsLeft--
		v.send(v.announcement)
	}
}

// buildAnnouncement makes an answer without a question. It makes others drop the
// addresses that the name had before (RFC 6762, section 10.2).
func buildAnnouncement(host string, address netip.Addr) ([]byte, error) {
	name, err := dnsmessage.NewName(host + ".")
	if err != nil {
		return nil, err
	}
	const flush = 1 << 15
	answer := dnsmessage.Resource{Header: dnsmessage.ResourceHeader{Name: name, Class: dnsmessage.ClassINET | flush, TTL: mdnsTTL}}
	if address.Is4() {
		answer.Body = &dnsmessage.AResource{A: address.As4()}
	} else {
		answer.Body = &dnsmessage.AAAAResource{AAAA: address.As16()}
	}
	m := dnsmessage.Message{
		Header:  dnsmessage.Header{Response: true, Authoritative: true},
		Answers: []dnsmessage.Resource{answer},
	}
	return m.Pack()
}
