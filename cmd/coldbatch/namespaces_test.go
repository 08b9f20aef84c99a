//go:build linux

package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/pion/mdns/v2"
	"golang.org/x/net/ipv4"

	"coldbatch/internal/exchange"
	"coldbatch/internal/hub"
	"coldbatch/internal/hubtest"
	"coldbatch/internal/lan"
	"coldbatch/internal/twohosts"
)

// Two hosts on one wire: the program on one, a phone on the other. The phone
// finds the program by its name, trusts it, is paired and in step; then the
// program's address changes under it.
func TestTwoHosts(t *testing.T) {
	at, phone := twohosts.NewHosts(t)
	at.IP(t, "addr", "add", "192.168.77.1/24", "dev", "eth0")
	phone.IP(t, "addr", "add", "192.168.77.2/24", "dev", "eth0")
	program := startProgram(t, at.Command(hubtest.Binary(t), "--data", t.TempDir()))
	code := program.waitForOutput(`type the code\s+(\d{4} \d{4})`)
	fingerprint := program.waitForOutput(`((?:[0-9A-F]{2}:){31}[0-9A-F]{2})`)
	if joinURL := program.waitForOutput(`on a phone on this network: (\S+)`); joinURL != "http://192.168.77.1:8090" {
		t.Errorf("the joining page is said to be %s", joinURL)
	}

	link := filepath.Join(t.TempDir(), phoneProgramName)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(self, link); err != nil {
		t.Fatal(err)
	}
	p := startProgram(t, phone.Command(link, code))
	if got := p.waitForOutput(`trusts (\S+)`); got != fingerprint {
		t.Errorf("the phone is offered the authority %s, the terminal says %s", got, fingerprint)
	}
	first := p.waitForOutput(`in step with 192\.168\.77\.1, 3 entries there, shown (\S+)`)

	// Another program finds its name taken, as it would by a forged answer. It says so,
	// serves its own computer, and does not announce the name.
	second := startProgram(t, phone.Command(hubtest.Binary(t), "--data", t.TempDir()))
	second.waitForOutput(`another machine on this network, 192\.168\.77\.1, (answers to the name coldbatch\.local)`)
	if out, err := phone.Command(link, requestLocalCommand).CombinedOutput(); err != nil {
		t.Errorf("the second program does not serve its own computer: %v: %s", err, out)
	}

	at.IP(t, "addr", "del", "192.168.77.1/24", "dev", "eth0")
	at.IP(t, "addr", "add", "192.168.77.9/24", "dev", "eth0")
	p.writeLine("again")
	if again := p.waitForOutput(`in step with 192\.168\.77\.9, 6 entries there, shown (\S+)`); again == first {
		t.Error("after the address changed, the same certificate is shown")
	}
	p.waitForOutput(`(answered) by its address 192\.168\.77\.9`)
	if err := p.cmd.Wait(); err != nil {
		t.Errorf("the phone: %v: %s", err, p.output.String())
	}
	if err := program.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Errorf("the program had ended: %v", err)
	}
	if err := program.cmd.Wait(); err != nil {
		t.Errorf("the program: %v: %s", err, program.output.String())
	}
	// The name is free now, and the second program takes it.
	if out, err := at.Command(link, findHubCommand, "192.168.77.2").CombinedOutput(); err != nil {
		t.Errorf("the second program does not take the name: %v: %s", err, out)
	}
}

// runningProgram is a program that runs on a host and what it said so far.
type runningProgram struct {
	t      *testing.T
	cmd    *exec.Cmd
	stdin  io.Writer
	mu     sync.Mutex
	output bytes.Buffer
}

func startProgram(t *testing.T, cmd *exec.Cmd) *runningProgram {
	t.Helper()
	r := &runningProgram{t: t, cmd: cmd}
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	r.stdin, cmd.Stdout, cmd.Stderr = in, r, r
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if cmd.ProcessState == nil {
			cmd.Process.Kill()
			cmd.Wait()
		}
	})
	return r
}

func (r *runningProgram) Write(b []byte) (int, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.output.Write(b)
}

func (r *runningProgram) text() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.output.String()
}

// waitForOutput waits until the program has said what matches and returns the part in
// brackets.
func (r *runningProgram) waitForOutput(pattern string) string {
	r.t.Helper()
	e := regexp.MustCompile(pattern)
	for range 600 {
		if m := e.FindStringSubmatch(r.text()); m != nil {
			return m[1]
		}
		time.Sleep(50 * time.Millisecond)
	}
	r.t.Fatalf("it did not say %s in 30 s, but:\n%s", pattern, r.text())
	return ""
}

func (r *runningProgram) writeLine(line string) { fmt.Fprintln(r.stdin, line) }

// phoneProgramName is the argument that runs this program as a phone on the other host.
const phoneProgramName = "phone-on-wire"

func init() { programsByName[phoneProgramName] = runPhoneProgram }

// runPhoneProgram is a phone: it takes the code of an invitation, joins, and goes on
// when it is told to.
func runPhoneProgram() {
	story := pairAndSync
	switch os.Args[1] {
	case requestLocalCommand:
		story = func(string) error { return requestLocalPhones() }
	case findHubCommand:
		story = func(string) error { return waitForName(os.Args[2]) }
	case floodNamesCommand:
		story = func(string) error { return floodNames(os.Args[2]) }
	}
	if err := story(strings.Join(os.Args[1:], " ")); err != nil {
		fmt.Println("failed:", err)
		os.Exit(1)
	}
}

// What else the program on the wire can do, by its first argument: ask the program of its
// own computer, and find who has the name.
const (
	requestLocalCommand = "local"
	findHubCommand      = "find"
	floodNamesCommand   = "flood"
)

func requestLocalPhones() error {
	resp, err := http.Get(fmt.Sprintf("http://localhost:%d/api/v1/phones", hub.DefaultPort))
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		return errors.New(resp.Status)
	}
	return nil
}

// waitForName looks the hub's name up until the answer is address.
func waitForName(address string) (err error) {
	var found netip.Addr
	for range 30 {
		if found, err = resolveIPv4(hub.DefaultHost); err == nil && found.String() == address {
			return nil
		}
		time.Sleep(time.Second)
	}
	return fmt.Errorf("%s has the name: %v", found, err)
}

func pairAndSync(code string) error {
	next := bufio.NewScanner(os.Stdin)
	address, err := resolveIPv4(hub.DefaultHost)
	if err != nil {
		return err
	}
	// The joining page's part, over plain http: the authority to trust.
	resp, err := http.Get(fmt.Sprintf("http://%s:%d/authority.crt", address, hub.DefaultPort))
	if err != nil {
		return err
	}
	der, err := io.ReadAll(resp.Body)
	resp.Body.Close()
	if err != nil {
		return err
	}
	authority, err := x509.ParseCertificate(der)
	if err != nil {
		return err
	}
	fmt.Println("trusts", lan.Fingerprint(der))
	roots := x509.NewCertPool()
	roots.AddCert(authority)
	jar, err := cookiejar.New(nil)
	if err != nil {
		return err
	}
	var reached netip.Addr
	p := newWritingPhone(77)
	p.client = http.Client{Jar: jar, Timeout: 3 * time.Second, Transport: &http.Transport{
		TLSClientConfig:   &tls.Config{RootCAs: roots},
		DisableKeepAlives: true, // each call finds the name anew
		DialContext: func(ctx context.Context, network, to string) (net.Conn, error) {
			name, port, err := net.SplitHostPort(to)
			if err != nil {
				return nil, err
			}
			if reached, err = netip.ParseAddr(name); err != nil {
				if reached, err = resolveIPv4(name); err != nil {
					return nil, err
				}
			}
			return (&net.Dialer{}).DialContext(ctx, network, net.JoinHostPort(reached.String(), port))
		},
	}}
	url := fmt.Sprintf("https://%s:%d", hub.DefaultHost, hub.DefaultHTTPS)

	// An unpaired phone may do nothing.
	if err := p.write(1); err != nil {
		return err
	}
	if err := p.send(url); err == nil {
		return errors.New("a phone that is not paired was answered")
	}
	body, err := json.Marshal(map[string]any{"device": p.author.Device, "name": "phone on the wire", "code": code})
	if err != nil {
		return err
	}
	if err := p.post(url+"/api/v1/pair", body); err != nil {
		return err
	}
	for _, entries := range []int{3, 6} {
		if entries > 3 {
			next.Scan()
		}
		for len(p.waitingFacts)+len(p.acknowledgedFacts) < entries {
			if err := p.write(1); err != nil {
				return err
			}
		}
		// An app tries again, too: the program looks for new addresses now and then,
		// and until it did the phone may be told the one before.
		err := p.send(url)
		for try := 0; err != nil && try < 8; try++ {
			time.Sleep(500 * time.Millisecond)
			err = p.send(url)
		}
		if err != nil {
			return err
		}
		shown, err := p.checkHub(url)
		if err != nil {
			return err
		}
		fmt.Printf("in step with %s, %d entries there, shown %s\n", reached, len(p.acknowledgedFacts), shown)
	}
	if err := p.get(fmt.Sprintf("https://%s:%d/healthz", reached, hub.DefaultHTTPS)); err != nil {
		return err
	}
	fmt.Println("answered by its address", reached)
	return nil
}

func (p *writingPhone) post(url string, body []byte) error {
	resp, err := p.client.Post(url, "application/json", bytes.NewReader(body))
	if err != nil {
		return err
	}
	return checkStatusOK(resp)
}

func (p *writingPhone) get(url string) error {
	resp, err := p.client.Get(url)
	if err != nil {
		return err
	}
	return checkStatusOK(resp)
}

func checkStatusOK(resp *http.Response) error {
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK {
		return fmt.Errorf("%s: %s %v", resp.Status, text, err)
	}
	return nil
}

// checkHub looks whether all that was acknowledged is there, and returns the
// fingerprint of the certificate that it was shown.
func (p *writingPhone) checkHub(url string) (string, error) {
	body, err := json.Marshal(exchange.Request{Device: p.author.Device})
	if err != nil {
		return "", err
	}
	resp, err := p.client.Post(url+"/api/v1/exchange", "application/json", bytes.NewReader(body))
	if err != nil {
		return "", err
	}
	defer resp.Body.Close()
	var a exchange.Answer
	if err := json.NewDecoder(resp.Body).Decode(&a); err != nil {
		return "", err
	}
	there := map[string]bool{}
	for _, f := range a.Facts {
		there[string(f.Text())] = true
	}
	for id, text := range p.acknowledgedFacts {
		if !there[text] {
			return "", fmt.Errorf("fact %s is not there", id)
		}
	}
	return lan.Fingerprint(resp.TLS.PeerCertificates[0].Raw), nil
}

// resolveIPv4 asks the network for the IPv4 address of a name, until it gets one or ten seconds
// have passed.
func resolveIPv4(name string) (netip.Addr, error) {
	l, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(224, 0, 0, 0), Port: 5353})
	if err != nil {
		return netip.Addr{}, err
	}
	c, err := mdns.NewServer(ipv4.NewPacketConn(l), nil, mdns.WithQueryInterval(200*time.Millisecond))
	if err != nil {
		l.Close()
		return netip.Addr{}, err
	}
	defer c.Close()
	ctx, stop := context.WithTimeout(context.Background(), 10*time.Second)
	defer stop()
	_, a, err := c.QueryAddr(ctx, name)
	return a, err
}
