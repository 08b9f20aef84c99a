package lan

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"testing"
	"testing/synctest"
	"time"

	"pgregory.net/rapid"
)

const upFlags = net.FlagUp | net.FlagRunning | net.FlagMulticast | net.FlagBroadcast

// newLink makes a link as a system tells it.
func newLink(index int, name string, flags net.Flags, addresses ...string) Link {
	l := Link{Interface: net.Interface{Index: index, Name: name, Flags: flags, MTU: 1500}}
	for _, a := range addresses {
		l.Addresses = append(l.Addresses, netip.MustParseAddr(a))
	}
	return l
}

// fixedLinks returns links that do not change.
func fixedLinks(links ...Link) ListLinks { return func() ([]Link, error) { return links, nil } }

func TestAddresses(t *testing.T) {
	loopback := newLink(1, "lo", upFlags|net.FlagLoopback, "127.0.0.1", "::1")
	for _, row := range []struct {
		why   string
		links []Link
		want  string
	}{
		{"no network at all", nil, "[]"},
		{"loopback is no network", []Link{loopback}, "[]"},
		{"one that people type comes first", []Link{loopback, newLink(2, "eth0", upFlags, "fe80::1", "fd00::1", "192.168.1.20")},
			"[192.168.1.20 fd00::1 fe80::1]"},
		{"a public address is not of the house", []Link{newLink(2, "eth0", upFlags, "203.0.113.9", "2001:db8::9", "10.0.0.9")}, "[10.0.0.9]"},
		// RFC 1918, section 3, and RFC 3927, section 2.1: the ends of the ranges.
		{"the ends of the private ranges", []Link{newLink(2, "eth0", upFlags, "10.0.0.0", "10.255.255.255", "11.0.0.0", "172.15.255.255",
			"172.16.0.0", "172.31.255.255", "172.32.0.0", "192.168.255.255", "192.169.0.0", "169.254.1.1", "100.64.0.1")},
			"[10.0.0.0 10.255.255.255 172.16.0.0 172.31.255.255 192.168.255.255 169.254.1.1]"},
		{"a cable that is out", []Link{newLink(2, "eth0", net.FlagUp|net.FlagMulticast, "192.168.1.20")}, "[]"},
		{"a link that is down", []Link{newLink(2, "eth0", net.FlagRunning, "192.168.1.20")}, "[]"},
		{"phones are not inside the machine, nor in a tunnel", []Link{newLink(2, "docker0", upFlags, "172.17.0.1"),
			newLink(3, "tun0", upFlags|net.FlagPointToPoint, "10.8.0.2"), newLink(4, "wlan0", upFlags, "192.168.1.20", "169.254.3.3")},
			"[192.168.1.20 169.254.3.3 172.17.0.1 10.8.0.2]"},
		{"the same on two links is one", []Link{newLink(2, "eth0", upFlags, "fe80::1"), newLink(3, "wlan0", upFlags, "fe80::1")}, "[fe80::1]"},
	} {
		got, err := Addresses(fixedLinks(row.links...))
		if err != nil || fmt.Sprint(got) != row.want {
			t.Errorf("%s: %v, %v, want %s", row.why, got, err, row.want)
		}
	}
	broken := errors.New("broken")
	if _, err := Addresses(func() ([]Link, error) { return nil, broken }); err != broken {
		t.Errorf("links that cannot be read: %v", err)
	}
}

// The order is the same however the system lists its links, and what is listed
// is within what the authority may vouch for.
func TestAddressesHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var links []Link
		for i := range rapid.IntRange(0, 4).Draw(t, "links") {
			l := newLink(i+1, rapid.SampledFrom([]string{"eth0", "wlan0", "docker0"}).Draw(t, "name"), upFlags)
			for range rapid.IntRange(0, 4).Draw(t, "addresses") {
				four := rapid.SliceOfN(rapid.Byte(), 4, 4).Draw(t, "address")
				head := rapid.SampledFrom([][]byte{{10}, {172, 20}, {192, 168}, {169, 254}, {8}}).Draw(t, "head")
				copy(four, head)
				a, _ := netip.AddrFromSlice(four)
				l.Addresses = append(l.Addresses, a)
			}
			links = append(links, l)
		}
		first, _ := Addresses(fixedLinks(links...))
		second, _ := Addresses(fixedLinks(rapid.Permutation(links).Draw(t, "order")...))
		if fmt.Sprint(first) != fmt.Sprint(second) {
			t.Fatalf("%v, in another order %v", first, second)
		}
		for _, a := range first {
			inside := false
			for _, r := range permittedRanges {
				inside = inside || r.Contains(a.AsSlice())
			}
			if !inside {
				t.Fatalf("%s is listed, and no certificate may cover it", a)
			}
		}
	})
}

// This machine can be read, whatever it has.
func TestMachine(t *testing.T) {
	links, err := MachineLinks()
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range links {
		for _, a := range l.Addresses {
			if !a.IsValid() || a.Zone() != "" || a.Is4In6() {
				t.Errorf("%s has %s", l.Name, a)
			}
		}
	}
}

func TestWatch(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var seen []string
		looks := 0
		at := []string{"192.168.1.20", "192.168.1.20", "", "192.168.1.20", "192.168.1.21", "192.168.1.21"}
		ctx, stop := context.WithCancel(t.Context())
		links := func() ([]Link, error) {
			defer func() { looks++ }()
			if looks == len(at)-1 {
				stop()
			}
			if at[looks] == "" {
				return nil, errors.New("not now")
			}
			return []Link{newLink(2, "eth0", upFlags, at[looks])}, nil
		}
		start := time.Now()
		Watch(ctx, links, 5*time.Second, func(a []netip.Addr) { seen = append(seen, fmt.Sprint(a, time.Since(start))) })
		if got, want := fmt.Sprint(seen), "[[192.168.1.20] 0s [192.168.1.21] 20s]"; got != want {
			t.Errorf("seen %s, want %s", got, want)
		}
	})
	synctest.Test(t, func(t *testing.T) {
		called := 0
		ctx, stop := context.WithTimeout(t.Context(), time.Minute)
		defer stop()
		Watch(ctx, fixedLinks(), time.Second, func([]netip.Addr) { called++ })
		if called != 1 {
			t.Errorf("a machine without a network was told of %d times, want once", called)
		}
	})
}
