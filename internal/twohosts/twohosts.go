// Package twohosts connects two hosts by a wire, for tests of network behaviour: two
// Linux network namespaces, connected by a pair of virtual interfaces. Call NewHosts, then
// give the hosts addresses with IP and run programs on them with Command. The package
// is for tests only.
package twohosts

import (
	"crypto/rand"
	"os"
	"os/exec"
	"runtime"
	"testing"
)

// Host is one end of the wire. Its network interface is eth0.
type Host struct{ namespace string }

// NewHosts returns two hosts on one wire. They have only the IPv6 addresses that each link
// gives itself, and are removed when the test ends. Where the machine cannot make
// network namespaces, NewHosts skips the test and says why.
func NewHosts(t testing.TB) (a, b Host) {
	t.Helper()
	if runtime.GOOS != "linux" {
		t.Skip("only Linux has network namespaces")
	}
	if os.Getuid() != 0 {
		t.Skip("making a network namespace needs root")
	}
	if _, err := exec.LookPath("ip"); err != nil {
		t.Skip("the program ip is missing: install iproute2")
	}
	id := rand.Text()[:8] // several tests, and several programs, may join hosts at once
	a = Host{"twohosts-" + id + "-a"}
	b = Host{"twohosts-" + id + "-b"}
	for _, h := range []Host{a, b} {
		if out, err := exec.Command("ip", "netns", "add", h.namespace).CombinedOutput(); err != nil {
			t.Skipf("this machine cannot make a network namespace: %v: %s", err, out)
		}
		t.Cleanup(func() { exec.Command("ip", "netns", "del", h.namespace).Run() })
	}
	if out, err := exec.Command("ip", "link", "add", "eth0", "netns", a.namespace, "type", "veth", "peer", "name", "eth0", "netns", b.namespace).CombinedOutput(); err != nil {
		t.Skipf("this machine cannot connect network namespaces: %v: %s", err, out)
	}
	if out, err := a.Command("true").CombinedOutput(); err != nil {
		t.Skipf("this machine cannot run a program in a network namespace: %v: %s", err, out)
	}
	for _, h := range []Host{a, b} {
		h.IP(t, "link", "set", "lo", "up")
		h.IP(t, "link", "set", "eth0", "up")
	}
	return a, b
}

// IP runs iproute2's ip on the host: IP(t, "addr", "add", "10.0.0.1/24", "dev", "eth0").
func (h Host) IP(t testing.TB, args ...string) {
	t.Helper()
	args = append([]string{"-n", h.namespace}, args...)
	if out, err := exec.Command("ip", args...).CombinedOutput(); err != nil {
		t.Fatalf("ip %v: %v: %s", args, err, out)
	}
}

// Command is like exec.Command; the program runs on the host.
func (h Host) Command(name string, args ...string) *exec.Cmd {
	return exec.Command("ip", append([]string{"netns", "exec", h.namespace, name}, args...)...)
}
