package web

import (
	"fmt"
	"strings"
)

// Network says how the hub is reached. Its JSON is part of the answer to about. The
// zero value means: on this computer alone.
type Network struct {
	Host              string   `json:"host"`        // the hub's one name
	HTTPSPort         int      `json:"https"`       // port of the app; with Host it makes the one origin
	HTTPPort          int      `json:"http"`        // port of the joining page and the sensors
	Addresses         []string `json:"addresses"`   // current ones, the most likely first
	Fingerprint       string   `json:"fingerprint"` // SHA-256 of the authority, as the program prints it; empty with HasOwnCertificate
	HasOwnCertificate bool     `json:"own"`         // the certificate is the owner's own, so there is no authority to trust
	Authority         []byte   `json:"-"`           // the authority's certificate, DER
	Profile           []byte   `json:"-"`           // the authority's certificate as a configuration profile, for iPhones
}

// AppURL is the address of the app, its one origin.
func (n Network) AppURL() string { return fmt.Sprintf("https://%s:%d", n.Host, n.HTTPSPort) }

// JoinURL is the address of the joining page. It uses an address in place of the name,
// which a new phone may not find yet.
func (n Network) JoinURL() string {
	host := n.Host
	if len(n.Addresses) > 0 {
		host = n.Addresses[0]
	}
	if strings.Contains(host, ":") {
		host = "[" + host + "]"
	}
	return fmt.Sprintf("http://%s:%d", host, n.HTTPPort)
}

// RouterName is the other name of the hub, which a router can serve (RFC 8375): the
// first label of Host under home.arpa.
func (n Network) RouterName() string {
	first, _, _ := strings.Cut(n.Host, ".")
	return first + ".home.arpa"
}

// hosts returns the names and addresses by which the network may address the hub.
func (n Network) hosts() []string {
	if n.Host == "" {
		return nil
	}
	return append([]string{n.Host, n.RouterName()}, n.Addresses...)
}
