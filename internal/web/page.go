package web

import (
	"embed"
	"fmt"
	"html"
	"io"
	"net/http"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
)

//go:embed joining
var joiningFiles embed.FS

// part gives one of the page's own texts. A test builds every page, so that a
// missing one is seen.
func part(name string) string {
	b, _ := joiningFiles.ReadFile("joining/" + name)
	return string(b)
}

// kind is a sort of thing that is let in, each with steps of its own.
type kind struct{ name, words, this string }

var kinds = []kind{
	{"iphone", "iPhone or iPad", "this iPhone"},
	{"android", "Android phone", "this phone"},
	{"computer", "Computer", "this computer"},
}

// ipad goes the way of an iPhone.
var ipad = kind{"iphone", "", "this iPad"}

// kindOf is what the person chose, or else what the browser calls itself.
func kindOf(r *http.Request) (k kind, chosen bool) {
	want := r.URL.Query().Get("for")
	for _, k := range kinds {
		if k.name == want {
			return k, true
		}
	}
	if want == "ipad" {
		return ipad, true
	}
	switch agent := r.UserAgent(); {
	case strings.Contains(agent, "iPad"):
		return ipad, false
	case strings.Contains(agent, "iPhone"), strings.Contains(agent, "iPod"):
		return kinds[0], false
	case strings.Contains(agent, "Android"):
		return kinds[1], false
	}
	return kinds[2], false
}

// wrongBrowser says whether the page stands in a browser that cannot take the
// certificate: on an iPhone any but Safari, on Android Firefox.
func wrongBrowser(k kind, agent string) bool {
	switch k.name {
	case "iphone":
		for _, other := range []string{"CriOS", "FxiOS", "EdgiOS", "OPiOS", "OPT/", "GSA/", "DuckDuckGo"} {
			if strings.Contains(agent, other) {
				return true
			}
		}
		return strings.Contains(agent, "iPhone") && !strings.Contains(agent, "Safari/") // inside another app
	case "android":
		return strings.Contains(agent, "Firefox/")
	}
	return false
}

// joining serves the joining page, at every path: the way on to https keeps it.
func (s *server) joining(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	n := s.Network()
	k, chosen := kindOf(r)
	origins := s.origins(r)
	join := n.App() + "/join"
	came := ""
	switch on := onward(r); {
	case strings.HasPrefix(strings.ToLower(on), "/join/"):
		join = n.App() + on
	case on != "":
		came = fmt.Sprintf("<p class=\"note came\">What you opened is kept for you. Once %s is in, <a href=\"%s\">go on to it</a>.</p>",
			k.this, html.EscapeString(n.App()+on))
	}
	trust, lead := part("trust.html"), "coldbatch runs on a computer in this house. Once "+k.this+" trusts that computer, the app opens here, and works out of range too."
	if n.Own {
		trust, lead = "", "coldbatch runs on a computer in this house and has a certificate that "+k.this+" knows already: there is nothing to install but the app."
	}
	w.Header().Set("Content-Type", types[".html"])
	w.Header().Set("Cache-Control", "no-store")
	if r.Method == http.MethodHead {
		return nil, nil
	}
	own := strings.NewReplacer("{{steps}}", steps(k, n.Own, wrongBrowser(k, r.UserAgent())), "{{trust}}", trust,
		"{{came}}", came, "{{kinds}}", others(k), "{{code}}", code, "{{fingerprint}}", breakable(n.Fingerprint)).Replace
	_, err := fill(n, "{{title}}", "Let "+k.this+" in", "{{lead}}", lead, "{{kind}}", k.name, "{{chosen}}", map[bool]string{true: "yes"}[chosen],
		"{{here}}", origins[len(origins)-1], "{{join}}", join, "{{this}}", k.this, "{{This}}", strings.ToUpper(k.this[:1])+k.this[1:],
	).WriteString(w, own(own(part("page.html"))))
	if err != nil {
		return nil, nil // the phone walked off
	}
	return nil, nil
}

// code is what is typed into the app; the page's script puts in the code that it
// was opened with.
const code = `<span class="code">the 8 digits that a phone which is in shows under <b>Phones</b>, or for the very first one the program’s window.</span>`

// onward is the path that was asked for, as it goes on to https; "" for none.
func onward(r *http.Request) string {
	p := r.URL.EscapedPath()
	if p == "/" || !strings.HasPrefix(p, "/") || len(p) > 500 {
		return ""
	}
	return p
}

// steps builds the numbered steps of k. In its file each begins with a comment
// that says when it is there: `trust` not with a certificate of the owner's own,
// `elsewhere` only in a browser that cannot take one.
func steps(k kind, own, wrong bool) string {
	var bodies []string
	for _, text := range strings.Split(part(k.name+".html"), "<!-- step")[1:] {
		when, body, _ := strings.Cut(text, "-->")
		if own && strings.Contains(when, "trust") || !wrong && strings.Contains(when, "elsewhere") {
			continue
		}
		bodies = append(bodies, strings.Replace(strings.TrimSpace(body), "<h2>", `<h2 tabindex="-1">`, 1))
	}
	var b strings.Builder
	for i, body := range bodies {
		fmt.Fprintf(&b, "<li class=\"step tag\"><span class=\"hole\"></span><p class=\"n\">Step %d of %d</p>%s</li>\n", i+1, len(bodies), body)
	}
	return b.String()
}

// others links to the steps of the other kinds.
func others(this kind) string {
	var b strings.Builder
	for _, k := range kinds {
		if k.name != this.name {
			fmt.Fprintf(&b, `<a class="chip" href="?for=%s">%s</a>`, k.name, k.words)
		}
	}
	return b.String()
}

// breakable lets a line break after each pair of a fingerprint.
func breakable(print string) string {
	return strings.ReplaceAll(html.EscapeString(print), ":", ":<wbr>")
}

// fill puts values into a page, escaped, with what every page names of the network.
func fill(n Network, pairs ...string) *strings.Replacer {
	pairs = append(pairs, "{{app}}", n.App(), "{{door}}", n.Door(), "{{host}}", n.Host, "{{arpa}}", n.arpa(), "{{port}}", fmt.Sprint(n.HTTP))
	for i := 1; i < len(pairs); i += 2 {
		pairs[i] = html.EscapeString(pairs[i])
	}
	return strings.NewReplacer(pairs...)
}

// refusalPage says what is refused, and how to get in.
func (s *server) refusalPage(w io.Writer, told *fault.Fault) {
	fill(s.Network(), "{{sentence}}", told.Sentence, "{{hint}}", told.Hint).WriteString(w, part("refused.html"))
}
