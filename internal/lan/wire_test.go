package lan

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/pion/mdns/v2"
	"golang.org/x/net/dns/dnsmessage"
	"golang.org/x/net/ipv4"

	"coldbatch/internal/twohosts"
)

// roleVar is the environment variable that says what this program does on one of two hosts:
// "announce" the name, look whether it is "taken", look it up as a "phone", or "listen".
const roleVar = "LAN_TEST_ROLE"

func TestMain(m *testing.M) {
	if r := os.Getenv(roleVar); r != "" {
		runAsRole(r)
		return
	}
	os.Exit(m.Run())
}

func runAsRole(r string) {
	ctx, stop := context.WithCancel(context.Background())
	go func() { io.Copy(io.Discard, os.Stdin); stop() }() // stdin closes when the test ends
	switch r {
	case "announce":
		Announce(ctx, host, MachineLinks, time.Second, func(err error) { fmt.Println("failed:", err) })
	case "taken":
		fmt.Println(FindOwner(ctx, host, MachineLinks))
	case "phone": // as the library asks, from a port of its own
		l, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(224, 0, 0, 0), Port: mdnsPort})
		if err != nil {
			fmt.Println(err)
			return
		}
		c, err := mdns.NewServer(ipv4.NewPacketConn(l), nil, mdns.WithQueryInterval(200*time.Millisecond))
		if err != nil {
			fmt.Println(err)
			return
		}
		ctx, stop := context.WithTimeout(ctx, 5*time.Second)
		defer stop()
		_, a, err := c.QueryAddr(ctx, host)
		fmt.Println(a, err)
	case "listen": // as a phone that asks nothing and remembers what it hears
		i, err := net.InterfaceByName("eth0")
		if err != nil {
			fmt.Println(err)
			return
		}
		l, err := net.ListenMulticastUDP("udp4", i, multicastGroupIPv4)
		if err != nil {
			fmt.Println(err)
			return
		}
		context.AfterFunc(ctx, func() { l.Close() })
		fmt.Println("ready")
		b := make([]byte, 9000)
		for {
			n, err := l.Read(b)
			if err != nil {
				return
			}
			var m dnsmessage.Message
			if m.Unpack(b[:n]) == nil && len(m.Questions) == 0 {
				for _, a := range m.Answers {
					fmt.Println(parseAnswer(b[:n], host), "flush", a.Header.Class&0x8000 != 0)
				}
			}
		}
	}
}

// roleProcess is this program in a role on a host.
type roleProcess struct {
	lines *bufio.Scanner
	end   func()
}

func startRole(t *testing.T, h twohosts.Host, r string) roleProcess {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := h.Command(self)
	cmd.Env = append(os.Environ(), roleVar+"="+r)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	p := roleProcess{lines: bufio.NewScanner(out)}
	ended := false
	p.end = func() {
		if !ended {
			ended = true
			in.Close()
			kill := time.AfterFunc(10*time.Second, func() { t.Errorf("%s does not end", r); cmd.Process.Kill() })
			for p.lines.Scan() {
			}
			cmd.Wait()
			kill.Stop()
		}
	}
	t.Cleanup(p.end)
	return p
}

// runRole plays a role to its end and returns what it said.
func runRole(t *testing.T, h twohosts.Host, r string) string {
	t.Helper()
	p := startRole(t, h, r)
	p.lines.Scan()
	text := p.lines.Text()
	p.end()
	return text
}

// requireLine waits for a line; the test fails where it does not come.
func (p roleProcess) requireLine(t *testing.T, want string) {
	t.Helper()
	found := make(chan bool, 1)
	go func() {
		for p.lines.Scan() {
			if p.lines.Text() == want {
				found <- true
				return
			}
		}
		found <- false
	}()
	select {
	case ok := <-found:
		if ok {
			return
		}
		t.Fatalf("it ended without %q", want)
	case <-time.After(10 * time.Second):
		t.Fatalf("no %q in 10 s", want)
	}
}

// Two hosts on one wire: the name is found, by the address that the hub has now,
// and another hub sees that it is taken.
func TestOnTheWire(t *testing.T) {
	t.Parallel()
	hub, phone := twohosts.NewHosts(t)
	hub.IP(t, "addr", "add", "192.168.77.1/24", "dev", "eth0")
	hub.IP(t, "addr", "add", "203.0.113.1/24", "dev", "eth0") // a public one beside it
	phone.IP(t, "addr", "add", "192.168.77.2/24", "dev", "eth0")
	if got := runRole(t, phone, "taken"); got != "invalid IP <nil>" {
		t.Errorf("with nobody there, the name is taken by %s", got)
	}
	listener := startRole(t, phone, "listen")
	listener.requireLine(t, "ready")
	announcer := startRole(t, hub, "announce")
	for range 2 { // RFC 6762, section 8.3
		listener.requireLine(t, "[192.168.77.1] flush true")
	}
	if got := runRole(t, phone, "phone"); got != "192.168.77.1 <nil>" {
		t.Errorf("a phone finds %s", got)
	}
	if got := runRole(t, phone, "taken"); !strings.HasSuffix(got, " <nil>") || !strings.HasPrefix(got, "192.168.77.1 ") && !strings.HasPrefix(got, "fe80::") {
		t.Errorf("another hub finds the name taken by %s", got)
	}
	if got := runRole(t, hub, "taken"); got != "invalid IP <nil>" {
		t.Errorf("the same machine finds its own name taken by %s", got)
	}
	hub.IP(t, "addr", "del", "192.168.77.1/24", "dev", "eth0")
	hub.IP(t, "addr", "add", "192.168.77.9/24", "dev", "eth0")
	listener.requireLine(t, "[192.168.77.9] flush true")
	if got := runRole(t, phone, "phone"); got != "192.168.77.9 <nil>" {
		t.Errorf("after the address changed, a phone finds %s", got)
	}
	// A cable that is pulled and put back within one look.
	hub.IP(t, "link", "set", "eth0", "down")
	hub.IP(t, "link", "set", "eth0", "up")
	hub.IP(t, "addr", "del", "192.168.77.9/24", "dev", "eth0")
	hub.IP(t, "addr", "add", "192.168.77.9/24", "dev", "eth0")
	if got := runRole(t, phone, "phone"); got != "192.168.77.9 <nil>" {
		t.Errorf("after the cable was out, a phone finds %s", got)
	}
	announcer.end()
	if got := runRole(t, phone, "taken"); got != "invalid IP <nil>" {
		t.Errorf("after its end, the name is taken by %s", got)
	}
}

// A network with no address of IPv4.
func TestOnTheWireOfIPv6(t *testing.T) {
	t.Parallel()
	hub, phone := twohosts.NewHosts(t)
	hub.IP(t, "addr", "add", "fd00::1/64", "dev", "eth0", "nodad")
	hub.IP(t, "addr", "add", "2001:db8::1/64", "dev", "eth0", "nodad")
	phone.IP(t, "addr", "add", "fd00::2/64", "dev", "eth0", "nodad")
	startRole(t, hub, "announce")
	var got string
	for range 10 { // its link-local address, from which it is asked, takes a moment
		if got = runRole(t, phone, "taken"); got == "fd00::1 <nil>" {
			return
		}
	}
	t.Errorf("the name is taken by %s", got)
}
