package lan

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"slices"
	"strings"
	"time"

	"golang.org/x/net/dns/dnsmessage"
	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"

	"coldbatch/internal/fault"
)

// asked is how often the network is asked, and rest how long between two: RFC
// 6762, section 8.1, asks three times within a second before a name is taken.
const (
	queries       = 3
	queryInterval = 250 * time.Millisecond
)

// FindOwner asks the network whether another machine answers to host and gives that
// one's address, or none. It takes a second at most, or until ctx ends. Answers
// that are this machine's own do not count. A name that is not under .local is
// never asked for. It gives fault.Unavailable where no link lets it ask.
//
// It listens to every answer, where the library ends with the first one: which
// may be this machine's own.
func FindOwner(ctx context.Context, host string, links Links) (netip.Addr, error) {
	if !isMulticastName(host) {
		return netip.Addr{}, nil
	}
	all, err := links()
	if err != nil {
		return netip.Addr{}, err
	}
	var own []netip.Addr
	for _, link := range all {
		own = append(own, link.Addresses...)
	}
	ctx, stop := context.WithTimeout(ctx, (queries+1)*queryInterval)
	defer stop()
	answers := make(chan netip.Addr)
	open := 0
	var errs []error
	for _, link := range all {
		for _, address := range link.announcedAddresses() {
			if err := sendQueries(ctx, host, link, address.Is4(), answers); err != nil {
				errs = append(errs, err)
				continue
			}
			open++
		}
	}
	if open == 0 && len(errs) > 0 {
		return netip.Addr{}, fault.New(fault.Unavailable, "the network could not be asked for %s: %v", host, errors.Join(errs...))
	}
	for {
		select {
		case a := <-answers:
			if !slices.Contains(own, a) {
				return a, nil
			}
		case <-ctx.Done():
			return netip.Addr{}, nil
		}
	}
}

// sendQueries asks on one link, in the background until ctx ends, and hands on what is
// answered. It asks from a port of its own: whoever answers does so to that port
// (RFC 6762, section 6.7).
func sendQueries(ctx context.Context, host string, link Link, four bool, answers chan<- netip.Addr) error {
	kind, network, group := dnsmessage.TypeAAAA, "udp6", group6
	if four {
		kind, network, group = dnsmessage.TypeA, "udp4", group4
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
	go func() {
		for range queries - 1 {
			select {
			case <-time.After(queryInterval):
				conn.WriteToUDP(text, group)
			case <-ctx.Done():
			}
		}
	}()
	go func() {
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
	}()
	return nil
}

// buildQuery is one question for the addresses of a host.
func buildQuery(host string, kind dnsmessage.Type) ([]byte, error) {
	name, err := dnsmessage.NewName(host + ".")
	if err != nil {
		return nil, err
	}
	m := dnsmessage.Message{Questions: []dnsmessage.Question{{Name: name, Type: kind, Class: dnsmessage.ClassINET}}}
	return m.Pack()
}

// parseAnswer gives the addresses of host in a message; none where it is not an
// answer, or not one for that name.
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
