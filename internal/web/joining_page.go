package web

import (
	"bytes"
	"embed"
	"html/template"
	"net/http"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
)

//go:embed joining
var joiningFiles embed.FS

// parseJoiningPages parses the joining page, its steps and the refusal page.
func parseJoiningPages() (*template.Template, error) {
	return template.ParseFS(joiningFiles, "joining/*.html")
}

// deviceKind is a kind of device that can be paired, with its own steps.
type deviceKind struct {
	Name   string // in the page's query, and the prefix of its steps' templates
	Label  string
	Device string // as sentences call it
	steps  []joiningStepTemplate
}

// joiningStepTemplate is one step on the joining page.
type joiningStepTemplate struct {
	template  string
	shownWhen stepCondition
}

// stepCondition says when a step is shown.
type stepCondition int

const (
	alwaysShown         stepCondition = iota
	withAuthority                     // unless the certificate is the owner's own
	withUnusableBrowser               // as withAuthority, in a browser that cannot install a certificate
)

var deviceKinds = []deviceKind{
	{"iphone", "iPhone or iPad", "this iPhone", []joiningStepTemplate{{"iphone-safari", withUnusableBrowser}, {"iphone-certificate", withAuthority},
		{"iphone-install", withAuthority}, {"iphone-trust", withAuthority}, {"iphone-check", alwaysShown}, {"iphone-home-screen", alwaysShown}, {"iphone-pair", alwaysShown}}},
	{"android", "Android phone", "this phone", []joiningStepTemplate{{"android-chrome", withUnusableBrowser}, {"android-certificate", withAuthority},
		{"android-install", withAuthority}, {"android-check", alwaysShown}, {"android-home-screen", alwaysShown}, {"android-pair", alwaysShown}}},
	{"computer", "Computer", "this computer", []joiningStepTemplate{{"computer-certificate", withAuthority}, {"computer-install", withAuthority},
		{"computer-check", alwaysShown}, {"computer-pair", alwaysShown}}},
}

// iPad returns the kind of an iPad, which has the steps of an iPhone.
func iPad() deviceKind {
	k := deviceKinds[0]
	k.Device = "this iPad"
	return k
}

// deviceKindOf returns the kind that the person chose, or else the kind that the
// browser says it runs on.
func deviceKindOf(r *http.Request) (k deviceKind, chosen bool) {
	choice := r.URL.Query().Get("for")
	for _, k := range deviceKinds {
		if k.Name == choice {
			return k, true
		}
	}
	if choice == "ipad" {
		return iPad(), true
	}
	switch agent := r.UserAgent(); {
	case strings.Contains(agent, "iPad"):
		return iPad(), false
	case strings.Contains(agent, "iPhone"), strings.Contains(agent, "iPod"):
		return deviceKinds[0], false
	case strings.Contains(agent, "Android"):
		return deviceKinds[1], false
	}
	return deviceKinds[2], false
}

// canInstallCertificate says whether a browser can: on an iPhone only Safari, on
// Android any but Firefox.
func canInstallCertificate(k deviceKind, agent string) bool {
	switch k.Name {
	case "iphone":
		for _, other := range []string{"CriOS", "FxiOS", "EdgiOS", "OPiOS", "OPT/", "GSA/", "DuckDuckGo"} {
			if strings.Contains(agent, other) {
				return false
			}
		}
		return !strings.Contains(agent, "iPhone") || strings.Contains(agent, "Safari/") // else it is within another app
	case "android":
		return !strings.Contains(agent, "Firefox/")
	}
	return true
}

// joiningPage is what the template page.html shows.
type joiningPage struct {
	Network
	Kind, Device string
	Chosen       bool   // the person chose the kind
	HereURL      string // of the app at the host in the browser's address bar
	PairURL      string
	ContinueURL  string // what was opened, by https; empty for the start page and for a pairing link
	Steps        []joiningStep
	OtherKinds   []deviceKind
}

type joiningStep struct {
	Number, Of int
	Body       template.HTML
}

// Title is the page's title.
func (p joiningPage) Title() string { return "Let " + p.Device + " in" }

// Lead is the sentence below the title.
func (p joiningPage) Lead() string {
	if p.HasOwnCertificate {
		return "coldbatch runs on a computer in this house. " + p.DeviceCapital() + " trusts its certificate already, so you only install the app."
	}
	return "coldbatch runs on a computer in this house. Once " + p.Device + " trusts that computer, the app opens here, and works out of range too."
}

// DeviceCapital is Device at the beginning of a sentence.
func (p joiningPage) DeviceCapital() string { return strings.ToUpper(p.Device[:1]) + p.Device[1:] }

// FingerprintPairs are the pairs of digits of the fingerprint. A line may break between
// them.
func (p joiningPage) FingerprintPairs() []string { return strings.Split(p.Fingerprint, ":") }

// serveJoiningPage serves the joining page, at every path: its links to https keep the
// path.
func (s *server) serveJoiningPage(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	k, chosen := deviceKindOf(r)
	origins := s.origins(r)
	p := joiningPage{Network: s.Network(), Kind: k.Name, Device: k.Device, Chosen: chosen, HereURL: origins[len(origins)-1]}
	p.PairURL = p.AppURL() + "/join"
	switch path := requestedPath(r); {
	case strings.HasPrefix(strings.ToLower(path), "/join/"):
		p.PairURL = p.AppURL() + path
	case path != "":
		p.ContinueURL = p.AppURL() + path
	}
	for _, other := range deviceKinds {
		if other.Name != k.Name {
			p.OtherKinds = append(p.OtherKinds, other)
		}
	}
	var page bytes.Buffer
	var err error
	if p.Steps, err = s.renderSteps(p, k, canInstallCertificate(k, r.UserAgent())); err != nil {
		return nil, err
	}
	if err := s.pages.ExecuteTemplate(&page, "page.html", p); err != nil {
		return nil, err
	}
	w.Header().Set("Content-Type", contentTypes[".html"])
	w.Header().Set("Cache-Control", "no-store")
	if r.Method != http.MethodHead {
		w.Write(page.Bytes()) // an error means that the client is gone
	}
	return nil, nil
}

// renderSteps renders the steps of k whose conditions hold, numbered.
func (s *server) renderSteps(p joiningPage, k deviceKind, canInstall bool) ([]joiningStep, error) {
	var steps []joiningStep
	for _, x := range k.steps {
		if p.HasOwnCertificate && x.shownWhen != alwaysShown || canInstall && x.shownWhen == withUnusableBrowser {
			continue
		}
		var body strings.Builder
		if err := s.pages.ExecuteTemplate(&body, x.template, p); err != nil {
			return nil, err
		}
		steps = append(steps, joiningStep{Number: len(steps) + 1, Body: template.HTML(body.String())}) // escaped by its own template
	}
	for i := range steps {
		steps[i].Of = len(steps)
	}
	return steps, nil
}

// requestedPath returns the path of the request for a link to https, or "" for the
// start page.
func requestedPath(r *http.Request) string {
	p := r.URL.EscapedPath()
	if p == "/" || !strings.HasPrefix(p, "/") || len(p) > 500 {
		return ""
	}
	return p
}

// writeRefusalPage writes the page that says what was refused and how to get access.
func (s *server) writeRefusalPage(w http.ResponseWriter, r *http.Request, reply *fault.Fault) {
	err := s.pages.ExecuteTemplate(w, "no-access.html", struct {
		Network
		*fault.Fault
	}{s.Network(), reply})
	if err != nil && r.Context().Err() == nil {
		s.Log.Printf("%s %s: %v", r.Method, r.URL.Path, err)
	}
}
