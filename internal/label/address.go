package label

import "strings"

// addressPath is between the host and the code. It is short because every character makes the QR
// code larger, and upper case like the code.
const addressPath = "/B/"

// Address returns what the QR code holds: "HTTPS://COLDBATCH.LOCAL:8443/B/…", in characters
// of the alphanumeric mode only. host is a name or an IPv4 address, with or without a port.
// Address returns "" if host or code has another character; an IPv6 address does, because
// the mode has no brackets.
func Address(host, code string) string {
	host = strings.ToUpper(host)
	if host == "" || strings.IndexFunc(host, isNoHostCharacter) >= 0 || !isCode(code) {
		return ""
	}
	return "HTTPS://" + host + addressPath + strings.ToUpper(code)
}

func isNoHostCharacter(c rune) bool {
	return (c < 'A' || c > 'Z') && (c < '0' || c > '9') && c != '-' && c != '.' && c != ':'
}

// FindCode finds the code in what was scanned, typed or opened: an address of any origin in
// any case, "/b/CODE", or the code alone. It returns the code in upper case; ok is false if
// there is none. Decode checks the code.
func FindCode(s string) (code string, ok bool) {
	s = strings.TrimSpace(s)
	if i := strings.IndexAny(s, "?#"); i >= 0 {
		s = s[:i]
	}
	s = strings.TrimSuffix(s, "/")
	if i := max(strings.LastIndex(s, addressPath), strings.LastIndex(s, strings.ToLower(addressPath))); i >= 0 {
		s = s[i+len(addressPath):]
	}
	if !isCode(s) {
		return "", false
	}
	return strings.ToUpper(s), true
}

// isCode says whether s could be a code by its length and characters.
func isCode(s string) bool {
	return len(s) >= minCodeChars && len(s) <= maxCodeChars && isBase32(s)
}
