package lan

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"html"
	"strings"
)

// Profile returns the authority as a configuration profile for iOS and macOS, to be served
// as application/x-apple-aspen-config: one payload with the root certificate (Apple,
// Device Management, "CertificateRoot"). Its identifiers are derived from the
// certificate, so that a second download replaces the first.
func (a *Authority) Profile() []byte {
	sum := sha256.Sum256(a.cert.Raw)
	id := fmt.Sprintf("home.coldbatch.%x", sum[:8])
	about := fmt.Sprintf("Lets this device trust %s. It is valid for that name and for addresses of a home network only.", a.names.Host)
	if len(a.cert.PermittedDNSDomains) == 0 {
		about = fmt.Sprintf("Lets this device trust %s. It was made without limits: it is valid for any name.", a.names.Host)
	}
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0">
<dict>
<key>PayloadContent</key>
<array>
<dict>
<key>PayloadContent</key>
<data>
` + base64.StdEncoding.EncodeToString(a.cert.Raw) + `
</data>
`)
	writeStrings(&b, "PayloadCertificateFileName", "coldbatch.crt", "PayloadDescription", about, "PayloadDisplayName", a.Name(),
		"PayloadIdentifier", id+".root", "PayloadType", "com.apple.security.root", "PayloadUUID", uuid("root", a.cert.Raw))
	b.WriteString("<key>PayloadVersion</key>\n<integer>1</integer>\n</dict>\n</array>\n")
	writeStrings(&b, "PayloadDescription", about, "PayloadDisplayName", a.Name(), "PayloadIdentifier", id,
		"PayloadType", "Configuration", "PayloadUUID", uuid("profile", a.cert.Raw))
	b.WriteString("<key>PayloadRemovalDisallowed</key>\n<false/>\n<key>PayloadVersion</key>\n<integer>1</integer>\n</dict>\n</plist>\n")
	return b.Bytes()
}

// writeStrings writes pairs of a key and a string.
func writeStrings(b *bytes.Buffer, pairs ...string) {
	for i := 0; i < len(pairs); i += 2 {
		fmt.Fprintf(b, "<key>%s</key>\n<string>%s</string>\n", pairs[i], html.EscapeString(pairs[i+1]))
	}
}

// uuid derives an identifier from what and bytes: RFC 9562, version 8.
func uuid(what string, of []byte) string {
	u := sha256.Sum256(append([]byte(what), of...))
	u[6] = u[6]&0x0f | 0x80
	u[8] = u[8]&0x3f | 0x80
	return strings.ToUpper(fmt.Sprintf("%x-%x-%x-%x-%x", u[:4], u[4:6], u[6:8], u[8:10], u[10:16]))
}
