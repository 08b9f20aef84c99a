package lan

import (
	"fmt"
	"net"
	"net/netip"
	"testing"

	"golang.org/x/net/dns/dnsmessage"
)

// One address of each family is announced on a link, and never a public one.
func TestSpoken(t *testing.T) {
	for _, row := range []struct {
		why  string
		link Link
		want string
	}{
		{"one of each family", newLink(2, "eth0", upFlags, "2001:db8::2", "203.0.113.2", "fe80::2", "fd00::2", "169.254.2.2", "192.168.1.2"), "[192.168.1.2 fd00::2]"},
		{"link-local ones where there is nothing else", newLink(2, "eth0", upFlags, "fe80::2", "169.254.2.2"), "[169.254.2.2 fe80::2]"},
		{"only public ones", newLink(2, "eth0", upFlags, "2001:db8::2", "203.0.113.2"), "[]"},
		{"no multicast", newLink(2, "eth0", upFlags&^net.FlagMulticast, "192.168.1.2"), "[]"},
		{"down", newLink(2, "eth0", net.FlagMulticast, "192.168.1.2"), "[]"},
		{"loopback", newLink(1, "lo", upFlags|net.FlagLoopback, "127.0.0.1"), "[]"},
	} {
		if got := fmt.Sprint(row.link.announcedAddresses()); got != row.want {
			t.Errorf("%s: %s, want %s", row.why, got, row.want)
		}
	}
}

// RFC 6762, sections 8.3, 10, 10.2, 18: what an announcement must be.
func TestAnnouncement(t *testing.T) {
	for _, address := range []string{"192.168.1.20", "fd00::20"} {
		a := netip.MustParseAddr(address)
		b, err := buildAnnouncement(host, a)
		if err != nil {
			t.Fatal(err)
		}
		var m dnsmessage.Message
		if err := m.Unpack(b); err != nil {
			t.Fatal(err)
		}
		if !m.Response || !m.Authoritative || m.ID != 0 || len(m.Questions) != 0 || len(m.Answers) != 1 {
			t.Fatalf("%s: %s", address, m.GoString())
		}
		if h := m.Answers[0].Header; h.TTL != 120 || h.Class != dnsmessage.ClassINET|0x8000 || h.Name.String() != host+"." {
			t.Errorf("%s: %s", address, h.GoString())
		}
		if got := parseAnswer(b, "ColdBatch.local"); len(got) != 1 || got[0] != a {
			t.Errorf("%s is read as %v", address, got)
		}
	}
}

// A question does not count as an answer, nor does an answer for another name or half an answer.
func TestAnswered(t *testing.T) {
	whole, err := buildAnnouncement(host, netip.MustParseAddr("192.168.1.20"))
	if err != nil {
		t.Fatal(err)
	}
	asks, err := buildQuery(host, dnsmessage.TypeA)
	if err != nil {
		t.Fatal(err)
	}
	for why, row := range map[string]struct {
		message []byte
		host    string
	}{
		"a question":       {asks, host},
		"another name":     {whole, "other.local"},
		"a name within":    {whole, "batch.local"},
		"half an answer":   {whole[:len(whole)-3], host},
		"nothing":          {nil, host},
		"only a beginning": {whole[:12], host},
	} {
		if got := parseAnswer(row.message, row.host); len(got) > 0 {
			t.Errorf("%s is read as %v", why, got)
		}
	}
	// What a machine of several addresses says at once.
	m := dnsmessage.Message{Header: dnsmessage.Header{Response: true}}
	name := dnsmessage.MustNewName(host + ".")
	text := dnsmessage.Resource{Header: dnsmessage.ResourceHeader{Name: name, Class: dnsmessage.ClassINET}, Body: &dnsmessage.TXTResource{TXT: []string{"x"}}}
	four := dnsmessage.Resource{Header: text.Header, Body: &dnsmessage.AResource{A: [4]byte{10, 0, 0, 1}}}
	six := dnsmessage.Resource{Header: text.Header, Body: &dnsmessage.AAAAResource{AAAA: netip.MustParseAddr("fd00::1").As16()}}
	m.Answers = []dnsmessage.Resource{text, four, text, six}
	b, err := m.Pack()
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(parseAnswer(b, host)); got != "[10.0.0.1 fd00::1]" {
		t.Errorf("several answers are read as %s", got)
	}
}

func FuzzAnswered(f *testing.F) {
	for _, a := range []string{"192.168.1.20", "fd00::20"} {
		b, err := buildAnnouncement(host, netip.MustParseAddr(a))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
		f.Add(b[:len(b)-1])
	}
	b, err := buildQuery(host, dnsmessage.TypeAAAA)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	f.Fuzz(func(t *testing.T, message []byte) {
		for _, a := range parseAnswer(message, host) {
			if !a.IsValid() {
				t.Error("an address that is none")
			}
			// Written and read again.
			b, err := buildAnnouncement(host, a)
			if err != nil {
				t.Fatal(err)
			}
			if again := parseAnswer(b, host); len(again) != 1 || again[0] != a {
				t.Errorf("%s is read again as %v", a, again)
			}
		}
	})
}

// A name that is not for multicast is neither looked up nor announced: both calls return at
// once, whatever the links.
func TestOtherNamesAreLeftAlone(t *testing.T) {
	never := func() ([]Link, error) { t.Error("the links were looked at"); return nil, nil }
	Announce(t.Context(), "dye.example.org", never, 1, func(err error) { t.Error(err) })
	if a, err := FindOwner(t.Context(), "dye.example.org", never); err != nil || a.IsValid() {
		t.Errorf("%v, %v", a, err)
	}
}
