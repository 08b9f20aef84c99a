package web

import (
	"fmt"
	"strings"
)

// Network is how the hub is reached. Its JSON is part of what about answers.
type Network struct {
	Host        string   `json:"host"`        // the one name
	HTTPS       int      `json:"https"`       // port of the app; with Host it is the one origin
	HTTP        int      `json:"http"`        // port of the joining page and the sensors
	Addresses   []string `json:"addresses"`   // of now, the likeliest first
	Fingerprint string   `json:"fingerprint"` // SHA-256 of the authority, as the program prints it; empty with Own
	Own         bool     `json:"own"`         // the certificate is the owner's own: there is no authority to trust
	Authority   []byte   `json:"-"`           // the authority's certificate, DER
	Profile     []byte   `json:"-"`           // the same as a profile for an iPhone
}

// App is the address of the app, the one origin.
func (n Network) App() string { return fmt.Sprintf("https://%s:%d", n.Host, n.HTTPS) }

// Door is the address of the joining page: by number, for a phone that does not
// find the name yet.
func (n Network) Door() string {
	host := n.Host
	if len(n.Addresses) > 0 {
		host = n.Addresses[0]
	}
	if strings.Contains(host, ":") {
		host = "[" + host + "]"
	}
	return fmt.Sprintf("http://%s:%d", host, n.HTTP)
}

// arpa is the other name, which a router can be told (RFC 8375): the first label
// of Host in home.arpa.
func (n Network) arpa() string {
	first, _, _ := strings.Cut(n.Host, ".")
	return first + ".home.arpa"
}
