//go:build linux

package main

import (
	"bytes"
	"crypto/tls"
	"fmt"
	"io"
	"net"
	"net/http"
	"testing"
	"time"

	"golang.org/x/net/http2"
	"golang.org/x/net/http2/hpack"

	"coldbatch/internal/hubtest"
)

// What strangers may cost the program at most, in bytes of resident memory on top of
// what it had.
const maxFloodMemory = 60e6

// Strangers announce bodies and send none, by 600 connections or by 4 that carry 250
// requests each; or they ask for the app 32 times on each of 250 connections and read
// nothing of it. It costs little memory, and who may be served is served.
func TestFloods(t *testing.T) {
	h := hubtest.StartOnNetwork(t)
	phone := newSimulatedPhone(t, h)
	if err := phone.pair(h.Invite()); err != nil {
		t.Fatal(err)
	}
	before := processMemory(t, h.PID(), "VmRSS")
	peak := peakMemory(t, h.PID())
	for _, row := range []struct {
		why   string
		flood func(t *testing.T, h *hubtest.Hub) []net.Conn
	}{
		{"600 connections", floodOfConnections},
		{"4 connections by HTTP/2", floodOfStreams},
		{"answers that nobody reads", floodOfUnreadAnswers},
	} {
		conns := row.flood(t, h)
		client := http.Client{Timeout: hubtest.WaitTimeout}
		resp, err := client.Get(h.URL() + "/api/v1/phones")
		if err != nil || resp.StatusCode != http.StatusOK {
			t.Errorf("%s: this computer gets %v, %v", row.why, resp, err)
		} else {
			resp.Body.Close()
		}
		if _, _, _, err := phone.exchange(); err != nil {
			t.Errorf("%s: the phone gets %v", row.why, err)
		}
		newcomer := newSimulatedPhone(t, h)
		if err := newcomer.pair(h.Invite()); err != nil {
			t.Errorf("%s: a new phone gets %v", row.why, err)
		}
		for _, c := range conns {
			c.Close()
		}
	}
	more := peak() - before
	t.Logf("%.0f MB more than the %.0f MB before", more/1e6, before/1e6)
	if more > maxFloodMemory {
		t.Errorf("strangers cost %.0f MB", more/1e6)
	}
}

// dialStranger opens a connection by https as somebody who trusts any certificate.
func dialStranger(t *testing.T, h *hubtest.Hub, protocols ...string) *tls.Conn {
	t.Helper()
	dialer := &net.Dialer{Timeout: hubtest.WaitTimeout}
	conn, err := tls.DialWithDialer(dialer, "tcp", fmt.Sprintf("127.0.0.1:%d", h.HTTPSPort), &tls.Config{InsecureSkipVerify: true, NextProtos: protocols})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	return conn
}

func floodOfConnections(t *testing.T, h *hubtest.Hub) (conns []net.Conn) {
	for i := range 600 {
		conn := dialStranger(t, h)
		conns = append(conns, conn)
		path, length := "/api/v1/pair", announcedBodySize
		if i%2 == 0 {
			path = "/api/v1/exchange"
		} else if i%3 == 0 {
			length = 16_000 // as much as anyone may send
		}
		// An error means that the program closed the connection, to make room.
		_, _ = fmt.Fprintf(conn, "POST %s HTTP/1.1\r\nHost: coldbatch.local:%d\r\nContent-Length: %d\r\n\r\n{", path, h.HTTPSPort, length)
	}
	return conns
}

const announcedBodySize = 1 << 20

func floodOfStreams(t *testing.T, h *hubtest.Hub) (conns []net.Conn) {
	for range 4 {
		conns = append(conns, sendStreams(t, h, 250, nil, func(i int) [][2]string {
			return [][2]string{{":method", "POST"}, {":path", "/api/v1/pair"}, {"content-length", fmt.Sprint([]int{announcedBodySize, 16_000}[i%2])}}
		}))
	}
	return conns
}

// floodOfUnreadAnswers allows the program to send no byte of any answer.
func floodOfUnreadAnswers(t *testing.T, h *hubtest.Hub) (conns []net.Conn) {
	for range 250 {
		conns = append(conns, sendStreams(t, h, maxStreams, []http2.Setting{{ID: http2.SettingInitialWindowSize, Val: 0}}, func(int) [][2]string {
			return [][2]string{{":method", "GET"}, {":path", "/main.js"}}
		}))
	}
	return conns
}

// sendStreams sends n requests on a new connection by HTTP/2 and waits until the program
// has read them. An error means that the program closed the connection, as it may.
func sendStreams(t *testing.T, h *hubtest.Hub, n int, settings []http2.Setting, fields func(i int) [][2]string) net.Conn {
	conn := dialStranger(t, h, "h2")
	_ = conn.SetDeadline(time.Now().Add(hubtest.WaitTimeout))
	if _, err := io.WriteString(conn, http2.ClientPreface); err != nil {
		t.Fatal(err)
	}
	f := http2.NewFramer(conn, conn)
	if err := f.WriteSettings(settings...); err != nil {
		t.Fatal(err)
	}
	var block bytes.Buffer
	e := hpack.NewEncoder(&block)
	for i := range n {
		block.Reset()
		row := fields(i)
		for _, x := range append(row[:2:2], append([][2]string{{":scheme", "https"}, {":authority", fmt.Sprintf("coldbatch.local:%d", h.HTTPSPort)}}, row[2:]...)...) {
			if err := e.WriteField(hpack.HeaderField{Name: x[0], Value: x[1]}); err != nil {
				t.Fatal(err)
			}
		}
		_ = f.WriteHeaders(http2.HeadersFrameParam{StreamID: uint32(2*i + 1), BlockFragment: block.Bytes(), EndStream: row[0][1] == "GET", EndHeaders: true})
	}
	// Its answer to a ping says that it has read all before.
	if f.WritePing(false, [8]byte{1}) != nil {
		return conn
	}
	for {
		frame, err := f.ReadFrame()
		if err != nil {
			return conn
		}
		if ping, ok := frame.(*http2.PingFrame); ok && ping.IsAck() {
			return conn
		}
	}
}
