package lan

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"io"
	"regexp"
	"strings"
	"testing"
)

// plist reads a property list of dictionaries, arrays, strings, data, integers
// and booleans.
func plist(t *testing.T, text []byte) any {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(text))
	next := func() xml.Token {
		for {
			tok, err := d.Token()
			if err == io.EOF {
				return nil
			}
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			switch tok := tok.(type) {
			case xml.StartElement, xml.EndElement:
				return tok
			case xml.CharData:
				if len(bytes.TrimSpace(tok)) > 0 {
					return xml.CopyToken(tok)
				}
			}
		}
	}
	var value func(xml.StartElement) any
	text1 := func() string {
		s := ""
		for {
			switch tok := next().(type) {
			case xml.CharData:
				s += string(tok)
			case xml.EndElement:
				return s
			}
		}
	}
	value = func(e xml.StartElement) any {
		switch e.Name.Local {
		case "plist":
			v := value(next().(xml.StartElement))
			next()
			return v
		case "dict":
			m := map[string]any{}
			for {
				key, ok := next().(xml.StartElement)
				if !ok {
					return m
				}
				if key.Name.Local != "key" {
					t.Fatalf("a %s where a key should be", key.Name.Local)
				}
				name := text1()
				if _, twice := m[name]; twice {
					t.Errorf("%s is there twice", name)
				}
				m[name] = value(next().(xml.StartElement))
			}
		case "array":
			var list []any
			for {
				item, ok := next().(xml.StartElement)
				if !ok {
					return list
				}
				list = append(list, value(item))
			}
		case "true", "false":
			text1()
			return e.Name.Local == "true"
		case "data":
			b, err := base64.StdEncoding.DecodeString(strings.Join(strings.Fields(text1()), ""))
			if err != nil {
				t.Fatal(err)
			}
			return b
		case "string", "integer":
			return text1()
		}
		t.Fatalf("a %s in a property list", e.Name.Local)
		return nil
	}
	v := value(next().(xml.StartElement))
	if next() != nil {
		t.Error("something follows the property list")
	}
	return v
}

// Apple, Device Management: "TopLevel", "CertificateRoot".
func TestProfile(t *testing.T) {
	dir := t.TempDir()
	a := mustOpenAuthority(t, dir, clockAt(noon), Options{Machine: "kitchen"})
	top := plist(t, a.Profile()).(map[string]any)
	list := top["PayloadContent"].([]any)
	if len(list) != 1 {
		t.Fatalf("%d payloads", len(list))
	}
	root := list[0].(map[string]any)
	if got := root["PayloadContent"].([]byte); !bytes.Equal(got, a.DER()) {
		t.Error("the certificate inside is another")
	}
	if top["PayloadType"] != "Configuration" || root["PayloadType"] != "com.apple.security.root" || top["PayloadRemovalDisallowed"] != false {
		t.Errorf("it is %v with %v, which may be removed: %v", top["PayloadType"], root["PayloadType"], top["PayloadRemovalDisallowed"])
	}
	id := regexp.MustCompile(`^[0-9A-F]{8}-[0-9A-F]{4}-8[0-9A-F]{3}-[89AB][0-9A-F]{3}-[0-9A-F]{12}$`) // RFC 9562
	for _, d := range []map[string]any{top, root} {
		if d["PayloadVersion"] != "1" || d["PayloadDisplayName"] != a.Name() || !id.MatchString(fmt.Sprint(d["PayloadUUID"])) {
			t.Errorf("version %v, name %v, id %v", d["PayloadVersion"], d["PayloadDisplayName"], d["PayloadUUID"])
		}
		if about := fmt.Sprint(d["PayloadDescription"]); !strings.Contains(about, host) || !strings.Contains(about, "home network only") {
			t.Errorf("it says %q", about)
		}
	}
	if top["PayloadUUID"] == root["PayloadUUID"] || top["PayloadIdentifier"] == root["PayloadIdentifier"] {
		t.Error("two things have one identifier")
	}
	// A second download must replace the first, and another hub's must not.
	if again := mustOpenAuthority(t, dir, clockAt(noon.Add(day)), Options{}); !bytes.Equal(again.Profile(), a.Profile()) {
		t.Error("asked for again, the profile is another")
	}
	free := mustOpenAuthority(t, t.TempDir(), clockAt(noon), Options{Unconstrained: true})
	other := plist(t, free.Profile()).(map[string]any)
	if other["PayloadIdentifier"] == top["PayloadIdentifier"] || other["PayloadUUID"] == top["PayloadUUID"] {
		t.Error("two hubs have one identifier")
	}
	if !strings.Contains(fmt.Sprint(other["PayloadDescription"]), "any name") {
		t.Errorf("without limits, it says %q", other["PayloadDescription"])
	}
}
