package main

import (
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"coldbatch/internal/api"
	"coldbatch/internal/fault"
	"coldbatch/internal/lan"
)

// leastSpace says how much room on the disk is enough: for years of facts, for some hundred
// photos and for a copy of the journal beside it.
const leastSpace = 500 << 20

// expiryNotice says how long before the end of the authority its owner should hear of it.
const expiryNotice = 90 * 24 * time.Hour

// clockSlack says how far a clock may be set back without notice.
const clockSlack = 5 * time.Minute

func (d *doctor) journalPath() string { return filepath.Join(d.data, journalFile) }

// checkFile reads every record of the journal.
func (d *doctor) checkFile() finding {
	r := d.state.Report
	switch {
	case d.isNew:
		return finding{unsure, fmt.Sprintf("there is no journal %s yet", d.journalPath()), "start coldbatch once"}
	case d.failure != nil:
		return faultFinding(d.failure)
	case len(r.Problems) > 0:
		return finding{wrong, fmt.Sprintf("%s has %s: %s", d.journalPath(), plural(len(r.Problems)+r.UnlistedProblems, "problem"), r.Problems[0]),
			"do not edit it; restore a backup"}
	}
	return goodFinding("%s has %s, all readable", d.journalPath(), plural(r.FactCount, "fact"))
}

// checkPhotos compares every photo with its name, which is its SHA-256.
func (d *doctor) checkPhotos() finding {
	count, problems, err := photosIn(d.data).Check()
	switch {
	case err != nil:
		return faultFinding(err)
	case len(problems) > 0:
		return finding{wrong, fmt.Sprintf("of %s, %d are damaged: %s", plural(count+len(problems), "photo"), len(problems), problems[0]),
			"delete those files; a phone that has the photo then sends it again"}
	}
	return goodFinding("%s", plural(count, "photo"))
}

// checkDisk writes a file beside the journal, and asks how much room is left.
func (d *doctor) checkDisk() finding {
	folder := d.data
	for {
		if info, err := os.Stat(folder); err == nil && info.IsDir() {
			break
		}
		up := filepath.Dir(folder)
		if up == folder {
			break
		}
		folder = up // where the folder is still to be made
	}
	f, err := os.CreateTemp(folder, ".doctor-*")
	if err != nil {
		return finding{wrong, fmt.Sprintf("coldbatch cannot write to %s: %v", folder, err),
			"give your user the right to write there, or choose another folder with --data"}
	}
	_, err = f.Write(make([]byte, 4096))
	err = errors.Join(err, f.Sync(), f.Close(), os.Remove(f.Name()))
	if err != nil {
		return finding{wrong, fmt.Sprintf("%s loses what is written to it: %v", folder, err), "free some space, and copy the journal to another disk with coldbatch backup"}
	}
	free, err := d.freeSpace(folder)
	switch {
	case err != nil:
		return finding{unsure, fmt.Sprintf("the system does not say how much space %s has: %v", folder, err), ""}
	case free < leastSpace:
		return finding{wrong, fmt.Sprintf("only %d MB are free in %s", free>>20, folder), "delete what you do not need; when the disk is full, coldbatch records nothing more"}
	}
	return goodFinding("%s can be written, with %.1f GB free", folder, float64(free)/1e9)
}

// checkClock compares the clock with what this program knows without asking anyone: it
// cannot be earlier than the program itself, or than what was written last.
func (d *doctor) checkClock() finding {
	set := "set this computer's clock, and let the system set it automatically"
	shows := d.now.UTC().Format("2006-01-02 15:04") + " UTC"
	latest := time.UnixMilli(int64(d.state.LatestTime))
	switch {
	case !d.build.IsZero() && d.now.Before(d.build):
		return finding{wrong, fmt.Sprintf("the clock shows %s, and this program was made later, on %s", shows, d.build.UTC().Format(time.DateOnly)), set}
	case d.state.LatestTime > 0 && d.now.Before(latest.Add(-clockSlack)):
		return finding{wrong, fmt.Sprintf("the clock shows %s, but when coldbatch last wrote it showed %s UTC", shows, latest.UTC().Format("2006-01-02 15:04")),
			set + "; if it was wrong then, this corrects itself in time"}
	case d.now.Sub(d.build) > 20*365*24*time.Hour && !d.build.IsZero():
		return finding{wrong, fmt.Sprintf("the clock shows %s, twenty years after this program was made", shows), set}
	}
	return goodFinding("%s, which nothing here contradicts", shows)
}

// checkPorts asks the program that runs on its ports, or opens them where none does.
func (d *doctor) checkPorts() finding {
	id := d.state.Identity
	if id.HTTPPort == 0 {
		return finding{unsure, "the journal does not say its ports", "see above"}
	}
	ports := []int{id.HTTPPort, id.HTTPSPort}
	if d.state.LocalOnly {
		ports = ports[:1]
	}
	if !d.isRunning {
		for _, port := range ports {
			l, err := net.Listen("tcp", ":"+strconv.Itoa(port))
			if err != nil {
				return faultFinding(portError(port, err))
			}
			l.Close()
		}
		return finding{unsure, fmt.Sprintf("coldbatch is not running on %s; its ports %v are free", d.data, ports), "start coldbatch, and run this again while it runs"}
	}
	var about api.AboutAnswer
	r, err := probeClient.Get(fmt.Sprintf("http://localhost:%d/api/v1/about", id.HTTPPort))
	if err == nil {
		err = json.NewDecoder(r.Body).Decode(&about)
		r.Body.Close()
	}
	switch {
	case err != nil:
		return finding{wrong, fmt.Sprintf("coldbatch runs, but does not answer on port %d: %v", id.HTTPPort, err), "stop it and start it again"}
	case about.Hub.ID != id.ID:
		return finding{wrong, fmt.Sprintf("another program answers on port %d of this computer", id.HTTPPort), "stop that program, which may be another coldbatch"}
	case d.state.LocalOnly:
		return goodFinding("http://localhost:%d answers; phones cannot reach it, since it runs with --local-only", id.HTTPPort)
	}
	addresses, err := d.addresses()
	if err != nil || len(addresses) == 0 {
		return finding{wrong, "this computer has no address in a home network, so no phone can reach it", "connect it to the Wi-Fi or by cable"}
	}
	to := net.JoinHostPort(addresses[0].String(), strconv.Itoa(id.HTTPSPort))
	c, err := net.DialTimeout("tcp", to, 5*time.Second)
	if err != nil {
		return finding{wrong, fmt.Sprintf("%s does not answer even from this computer: %v", to, err), "allow that port in this computer's firewall"}
	}
	c.Close()
	return goodFinding("http://localhost:%d and %s answer", id.HTTPPort, to)
}

// checkName asks the network for the program's name, as a phone does.
func (d *doctor) checkName() finding {
	host := d.state.Identity.Host
	switch {
	case host == "":
		return finding{unsure, "the journal does not say its name", "see above"}
	case d.state.LocalOnly:
		return goodFinding("%s is not announced, since coldbatch runs with --local-only", host)
	}
	own, other, err := d.answersTo(d.ctx, host)
	byAddress := "on phones use the address that coldbatch prints; a router can also give this computer a fixed name"
	switch {
	case err != nil:
		return finding{wrong, fault.AsFault(err).Sentence, "connect this computer to the network; until then " + byAddress}
	case other != "":
		return finding{wrong, fmt.Sprintf("another machine, %s, answers to %s", other, host), "if that is a coldbatch, stop it; else start this one on a new --data folder with another --name"}
	case own:
		return goodFinding("this computer answers to %s", host)
	case d.isRunning:
		return finding{wrong, fmt.Sprintf("no computer answers to the name %s", host), "allow port 5353 (UDP, multicast DNS) in this computer's firewall; until then " + byAddress}
	}
	return goodFinding("%s is free", host)
}

// checkAuthority checks what the phones trust: the authority's files, and the certificate
// that the program presents.
func (d *doctor) checkAuthority() finding {
	host := d.state.Identity.Host
	path := filepath.Join(d.data, authorityFiles[1])
	switch {
	case d.state.LocalOnly || host == "":
		return goodFinding("none is needed on this computer alone")
	case d.state.HasOwnCertificate:
		return d.checkServed(host, nil)
	case !fileExists(path) && !fileExists(filepath.Join(d.data, authorityFiles[0])):
		return finding{unsure, "there is no authority yet", "start coldbatch once, in the network"}
	}
	a, err := lan.OpenAuthority(d.data, lan.Names{Host: host}, func() time.Time { return d.now }, lan.Options{})
	if err == nil {
		err = a.CheckValidity()
	}
	if err != nil {
		return faultFinding(err)
	}
	if d.isRunning {
		roots := x509.NewCertPool()
		roots.AppendCertsFromPEM(a.PEM())
		if f := d.checkServed(host, roots); f.verdict != good {
			return f
		}
	}
	left := a.ExpiresAt().Sub(d.now)
	days := int(math.Floor(left.Hours() / 24))
	if left < expiryNotice {
		return finding{unsure, fmt.Sprintf("the authority expires in %s, on %s", plural(days, "day"), a.ExpiresAt().Format(time.DateOnly)),
			"at a quiet time stop coldbatch, run `coldbatch authority --renew`, and let every phone trust the new one"}
	}
	return goodFinding("it vouches for %s, for %d more days", host, days)
}

// checkServed connects as a phone does and checks the certificate that the program
// presents. Without roots it is one of the owner's, and the phones decide whom they trust.
func (d *doctor) checkServed(host string, roots *x509.CertPool) finding {
	if !d.isRunning {
		return finding{unsure, "the certificate can be checked only while coldbatch runs", "start coldbatch, and run this again while it runs"}
	}
	dialer := tls.Dialer{NetDialer: &net.Dialer{Timeout: 5 * time.Second}, Config: &tls.Config{ServerName: host, InsecureSkipVerify: true}} // verified below, at d.now
	c, err := dialer.DialContext(d.ctx, "tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(d.state.Identity.HTTPSPort)))
	if err != nil {
		return finding{wrong, fmt.Sprintf("https does not answer: %v", err), "stop coldbatch and start it again; what it prints says why"}
	}
	defer c.Close()
	served := c.(*tls.Conn).ConnectionState().PeerCertificates
	leaf := served[0]
	if err := leaf.VerifyHostname(host); err != nil {
		return finding{wrong, fmt.Sprintf("the certificate of coldbatch is not for %s", host), "start coldbatch with a certificate for that name, or without --tls-cert"}
	}
	if d.now.Before(leaf.NotBefore) || d.now.After(leaf.NotAfter) {
		return finding{wrong, fmt.Sprintf("the certificate of coldbatch is valid from %s to %s, but not now", leaf.NotBefore.Format(time.DateOnly), leaf.NotAfter.Format(time.DateOnly)),
			"renew it, or set this computer's clock"}
	}
	if roots != nil {
		if _, err := leaf.Verify(x509.VerifyOptions{DNSName: host, Roots: roots, CurrentTime: d.now}); err != nil {
			return finding{wrong, fmt.Sprintf("coldbatch presents a certificate that its own authority does not vouch for: %v", err), "stop coldbatch and start it again"}
		}
	}
	return goodFinding("its certificate for %s is valid until %s", host, leaf.NotAfter.Format(time.DateOnly))
}
