package lan

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"slices"
	"strings"
	"sync"
	"time"

	"golang.org/x/net/dns/dnsmessage"
	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"

	"coldbatch/internal/fault"
)

// queries says how often the network is asked, and queryInterval the time between two: RFC
// 6762, section 8.1, asks three times within a second before it takes a name.
const (
	queryCount    = 3
	queryInterval = 250 * time.Millisecond
)

// FindOwner asks the network whether another machine answers to host, and returns that
// machine's address, or the zero Addr where none does. It takes a second at most, or until
// ctx ends. It ignores this machine's own answers. It never asks for a name outside
// .local. It returns fault.Unavailable where no link lets it ask.
func FindOwner(ctx context.Context, host string, links ListLinks) (other netip.Addr, err error) {
	err = askForName(ctx, host, links, func(a netip.Addr, isOwn bool) bool {
		if !isOwn {
			other = a
		}
		return !isOwn
	})
	return other, err
}

// AnswersTo asks the network for host, and returns whether this machine answers to it and
// the address of another that does, as FindOwner. It listens for a whole second.
func AnswersTo(ctx context.Context, host string, links ListLinks) (own bool, other netip.Addr, err error) {
	err = askForName(ctx, host, links, func(a netip.Addr, isOwn bool) bool {
		if isOwn {
			own = true
		} else {
			other = a
		}
		return false
	})
	return own, other, err
}

// askForName asks for host and calls hear with each address that is answered, until hear
// returns true. It listens to every answer, because the library returns only the first,
// which may be this machine's own.
func askForName(ctx context.Context, host string, links ListLinks, hear func(a netip.Addr, isOwn bool) bool) error {
	if !isMulticastName(host) {
		return nil
	}
	all, err := links()
	if err != nil {
		return err
	}
	var own []netip.Addr
	for _, link := range all {
		own = append(own, link.Addresses...)
	}
	ctx, stop := context.WithTimeout(ctx, (queryCount+1)*queryInterval)
	var goroutines sync.WaitGroup
	defer goroutines.Wait()
	defer stop()
	answers := make(chan netip.Addr)
	open := 0
	var errs []error
	for _, link := range all {
		for _, address := range link.announcedAddresses() {
			if err := sendQueries(ctx, &goroutines, host, link, address.Is4(), answers); err != nil {
				errs = append(errs, err)
				continue
			}
			open++
		}
	}
	if open == 0 && len(errs) > 0 {
		return fault.New(fault.Unavailable, "%s could not be looked up on the network: %v", host, errors.Join(errs...))
	}
	for {
		select {
		case a := <-answers:
			if hear(a, slices.Contains(own, a)) {
				return nil
			}
		case <-ctx.Done():
			return nil
		}
	}
}

// sendQueries asks on one link, in goroutines that run until ctx ends, and sends what is
// answered to answers. It asks from a port of its own, and answers come to that port (RFC
// 6762, section 6.7).
func sendQueries(ctx context.Context, goroutines *sync.WaitGroup, host string, link Link, four bool, answers chan<- netip.Addr) error {
	kind, network, group := dnsmessage.TypeAAAA, "udp6", multicastGroupIPv6
	if four {
		kind, network, group = dnsmessage.TypeA, "udp4", multicastGroupIPv4
	}
	text, err := buildQuery(host, kind)
	if err != nil {
		return err
	}
	conn, err := net.ListenUDP(network, nil)
	if err != nil {
		return err
	}
	if four {
		err = ipv4.NewPacketConn(conn).SetMulticastInterface(&link.Interface)
	} else {
		err = ipv6.NewPacketConn(conn).SetMulticastInterface(&link.Interface)
	}
	if err == nil {
		_, err = conn.WriteToUDP(text, group)
	}
	if err != nil {
		conn.Close()
		return err
	}
	context.AfterFunc(ctx, func() { conn.Close() }) // ends the reading below
	goroutines.Go(func() {
		for range queryCount - 1 {
			select {
			case <-time.After(queryInterval):
				conn.WriteToUDP(text, group)
			case <-ctx.Done():
			}
		}
	})
	goroutines.Go(func() {
		b := make([]byte, 9000) // RFC 6762, section 17
		for {
			n, _, err := conn.ReadFromUDPAddrPort(b)
			if err != nil {
				return
			}
			for _, a := range parseAnswer(b[:n], host) {
				select {
				case answers <- a:
				case <-ctx.Done():
				}
			}
		}
	})
	return nil
}

// buildQuery makes a question for the addresses of a host.
func buildQuery(host string, kind dnsmessage.Type) ([]byte, error) {
	name, err := dnsmessage.NewName(host + ".")
	if err != nil {
		return nil, err
	}
	m := dnsmessage.Message{Questions: []dnsmessage.Question{{Name: name, Type: kind, Class: dnsmessage.ClassINET}}}
	return m.Pack()
}

// parseAnswer returns the addresses of host in a message; none where the message is no
// answer, or one for another name.
func parseAnswer(message []byte, host string) []netip.Addr {
	var p dnsmessage.Parser
	header, err := p.Start(message)
	if err != nil || !header.Response || p.SkipAllQuestions() != nil {
		return nil
	}
	var list []netip.Addr
	for {
		h, err := p.AnswerHeader()
		if err != nil {
			return list
		}
		wanted := strings.EqualFold(h.Name.String(), host+".")
		switch {
		case wanted && h.Type == dnsmessage.TypeA:
			r, err := p.AResource()
			if err != nil {
				return list
			}
			list = append(list, netip.AddrFrom4(r.A))
		case wanted && h.Type == dnsmessage.TypeAAAA:
			r, err := p.AAAAResource()
			if err != nil {
				return list
			}
			list = append(list, netip.AddrFrom16(r.AAAA))
		default:
			if p.SkipAnswer() != nil {
				return list
			}
		}
	}
}
