// Package twohosts puts two hosts on one wire, for tests of what happens in a
// network: two network namespaces of Linux, joined by a pair of virtual cables.
// Call Join, then give the hosts addresses with IP and run programs there with
// Command. It is for tests only.
package twohosts

import (
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"sync/atomic"
	"testing"
)

// Host is one end of the wire. Its link is eth0.
type Host struct{ namespace string }

var wireCount atomic.Int64

// Join gives two hosts on one wire, which has no addresses yet but those of IPv6
// that each link gives itself. They are gone when the test ends. It skips the
// test where the machine has no namespaces for us, and says why.
func Join(t testing.TB) (a, b Host) {
	t.Helper()
	if runtime.GOOS != "linux" {
		t.Skip("network namespaces are of Linux")
	}
	if os.Getuid() != 0 {
		t.Skip("making a network namespace needs root")
	}
	if _, err := exec.LookPath("ip"); err != nil {
		t.Skip("there is no ip: it comes with iproute2")
	}
	n := wireCount.Add(1)
	a = Host{fmt.Sprintf("twohosts-%d-%d-a", os.Getpid(), n)}
	b = Host{fmt.Sprintf("twohosts-%d-%d-b", os.Getpid(), n)}
	for _, h := range []Host{a, b} {
		if out, err := exec.Command("ip", "netns", "add", h.namespace).CombinedOutput(); err != nil {
			t.Skipf("this machine makes no network namespace: %v: %s", err, out)
		}
		t.Cleanup(func() { exec.Command("ip", "netns", "del", h.namespace).Run() })
	}
	if out, err := exec.Command("ip", "link", "add", "eth0", "netns", a.namespace, "type", "veth", "peer", "name", "eth0", "netns", b.namespace).CombinedOutput(); err != nil {
		t.Skipf("this machine joins no network namespaces: %v: %s", err, out)
	}
	if out, err := a.Command("true").CombinedOutput(); err != nil {
		t.Skipf("this machine runs nothing in a network namespace: %v: %s", err, out)
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

// Command is exec.Command on the host.
func (h Host) Command(name string, args ...string) *exec.Cmd {
	return exec.Command("ip", append([]string{"netns", "exec", h.namespace, name}, args...)...)
}
