package web

import (
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"testing"
)

func TestHostName(t *testing.T) {
	for host, want := range map[string]string{
		"coldbatch.local:8443": "coldbatch.local", "ColdBatch.Local": "coldbatch.local", "coldbatch.local.:8443": "coldbatch.local",
		"192.168.1.20:8090": "192.168.1.20", "[fd00::20]:8443": "fd00::20", "[FD00:0:0:0:0:0:0:20]": "fd00::20", "fd00::20": "fd00::20",
		"[fe80::1%25eth0]:8090": "fe80::1", "[::ffff:192.168.1.20]:80": "192.168.1.20", "": "", ":": "", "[": "[", "a:b:c": "a:b:c",
	} {
		if got := normalizeHost(host); got != want {
			t.Errorf("%q is %q, want %q", host, got, want)
		}
	}
}

// The address at which the connection came in is ours, also before the list of
// addresses knows of it; so a phone finds the hub again at once.
func TestAddressOfTheConnection(t *testing.T) {
	h := newPlainHandler(t, newTestApp(t))
	for host, want := range map[string]int{"192.168.7.9:8090": 200, "192.168.7.8:8090": 421} {
		r := httptest.NewRequest("GET", "/", nil)
		r.Host, r.RemoteAddr = host, "192.168.7.3:5000"
		here := &net.TCPAddr{IP: net.ParseIP("192.168.7.9"), Port: 8090}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, here)))
		if w.Code != want {
			t.Errorf("%s gives %d", host, w.Code)
		}
	}
}

func FuzzHost(f *testing.F) {
	for _, seed := range []string{"localhost", "LOCALHOST.:80", "[::1%25lo]:1", "127.0.0.1", "0x7f.1", "127.1", "[::ffff:7f00:1]", "a..", "[]", "]:[", "localhost:80:80", "ｌocalhost"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, host string) {
		name := normalizeHost(host)
		// Whatever it is, only these names are the machine's own.
		if isLoopbackName(name) && name != "localhost" {
			if ip := net.ParseIP(name); ip == nil || !ip.IsLoopback() {
				t.Errorf("%q passes for this machine", host)
			}
		}
		r := httptest.NewRequest("GET", "/", nil)
		r.Host, r.RemoteAddr = host, "192.168.1.7:5000"
		if isLocal(r) {
			t.Errorf("a phone that calls it %q passes for this machine", host)
		}
	})
}
