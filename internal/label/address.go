package label

import "strings"

// path stands between the host and the code. It is short, since every character
// counts, and upper case, as all in the code is.
const path = "/B/"

// Address gives what the QR code holds: "HTTPS://COLDBATCH.LOCAL:8443/B/…", in
// characters of the alphanumeric mode alone. Host is a name or an IPv4 address,
// with a port or without. It gives "" where host or code has a character that
// does not belong there; an IPv6 address has, for want of brackets in the set.
func Address(host, code string) string {
	host = strings.ToUpper(host)
	if host == "" || strings.IndexFunc(host, notHost) >= 0 || !isCode(code) {
		return ""
	}
	return "HTTPS://" + host + path + strings.ToUpper(code)
}

func notHost(c rune) bool {
	return (c < 'A' || c > 'Z') && (c < '0' || c > '9') && c != '-' && c != '.' && c != ':'
}

// FindCode finds the code in what was scanned, typed or opened: an address
// of any origin in any case, "/b/CODE", or the code alone. It gives the code in
// upper case; ok is false where there is none. Decode says whether it is whole.
func FindCode(s string) (code string, ok bool) {
	s = strings.TrimSpace(s)
	if i := strings.IndexAny(s, "?#"); i >= 0 {
		s = s[:i]
	}
	s = strings.TrimSuffix(s, "/")
	if i := max(strings.LastIndex(s, path), strings.LastIndex(s, strings.ToLower(path))); i >= 0 {
		s = s[i+len(path):]
	}
	if !isCode(s) {
		return "", false
	}
	return strings.ToUpper(s), true
}

// isCode says whether s could be a code by its length and characters.
func isCode(s string) bool {
	return len(s) >= shortest && len(s) <= longest && isBase32(s)
}
