//go:build linux

package main

import (
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"strconv"
	"testing"
	"time"

	"golang.org/x/net/dns/dnsmessage"

	"coldbatch/internal/hub"
	"coldbatch/internal/hubtest"
	"coldbatch/internal/twohosts"
)

// maxNameFloodMemory is what a flood of packets about names may cost, in bytes of resident
// memory on top of what the program had.
const maxNameFloodMemory = 20e6

// Another host sends packets about names for a minute, as fast as a thousand a second: forged
// answers to the hub's name, its withdrawal, questions, answers to names that nobody asked
// for, and what is no message at all. The name is found meanwhile and afterwards, the program
// answers its own computer, and keeps nothing.
func TestNameFlood(t *testing.T) {
	packets := 2000
	if os.Getenv("COLDBATCH_LONG") != "" {
		packets = 60000
	}
	at, other := twohosts.NewHosts(t)
	at.IP(t, "addr", "add", "192.168.77.1/24", "dev", "eth0")
	other.IP(t, "addr", "add", "192.168.77.2/24", "dev", "eth0")
	program := startProgram(t, at.Command(hubtest.Binary(t), "--data", t.TempDir()))
	program.waitForOutput(`type the code\s+(\d{4} \d{4})`)
	link := t.TempDir() + "/" + phoneProgramName
	self, err := os.Executable()
	if err == nil {
		err = os.Symlink(self, link)
	}
	if err != nil {
		t.Fatal(err)
	}
	before := processMemory(t, program.cmd.Process.Pid, "VmRSS")
	peak := peakMemory(t, program.cmd.Process.Pid)
	flood := other.Command(link, floodNamesCommand, strconv.Itoa(packets))
	if err := flood.Start(); err != nil {
		t.Fatal(err)
	}
	for _, when := range []string{"during the flood", "after it"} {
		if out, err := at.Command(link, requestLocalCommand).CombinedOutput(); err != nil {
			t.Errorf("%s: %v: %s", when, err, out)
		}
		if when == "during the flood" {
			if err := flood.Wait(); err != nil {
				t.Fatal(err)
			}
		}
		if out, err := other.Command(link, findHubCommand, "192.168.77.1").CombinedOutput(); err != nil {
			t.Errorf("%s the name is not found: %v: %s", when, err, out)
		}
	}
	more := peak() - before
	t.Logf("%d packets: %.1f MB more than the %.0f MB before", packets, more/1e6, before/1e6)
	if more > maxNameFloodMemory {
		t.Errorf("a flood of %d packets costs %.0f MB", packets, more/1e6)
	}
}

// floodNames sends that many packets about names to the network.
func floodNames(count string) error {
	n, err := strconv.Atoi(count)
	if err != nil {
		return err
	}
	group := &net.UDPAddr{IP: net.IPv4(224, 0, 0, 251), Port: 5353}
	conn, err := net.DialUDP("udp4", &net.UDPAddr{IP: net.IPv4(192, 168, 77, 2)}, group)
	if err != nil {
		return err
	}
	defer conn.Close()
	own := hub.DefaultHost + "."
	for i := range n {
		var packet []byte
		switch i % 5 {
		case 0:
			packet, err = forgeAnswer(own, 120)
		case 1:
			packet, err = forgeAnswer(own, 0) // says that the name is given up
		case 2:
			packet, err = forgeAnswer(fmt.Sprintf("invented-%d.local.", i), 120)
		case 3:
			packet, err = (&dnsmessage.Message{Questions: []dnsmessage.Question{{Name: dnsmessage.MustNewName(own), Type: dnsmessage.TypeALL, Class: dnsmessage.ClassINET}}}).Pack()
		default:
			packet = make([]byte, rand.IntN(1400))
			for j := range packet {
				packet[j] = byte(rand.Uint32())
			}
		}
		if err != nil {
			return err
		}
		_, _ = conn.Write(packet) // a full buffer drops it, as a busy network does
		time.Sleep(500 * time.Microsecond)
	}
	return nil
}

// forgeAnswer is an answer that the sender has that name.
func forgeAnswer(name string, ttl uint32) ([]byte, error) {
	return (&dnsmessage.Message{
		Header: dnsmessage.Header{Response: true, Authoritative: true},
		Answers: []dnsmessage.Resource{{
			Header: dnsmessage.ResourceHeader{Name: dnsmessage.MustNewName(name), Class: dnsmessage.ClassINET | 0x8000, TTL: ttl},
			Body:   &dnsmessage.AResource{A: [4]byte{192, 168, 77, 2}},
		}},
	}).Pack()
}
