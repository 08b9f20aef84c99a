// Package web answers browsers and sensors over HTTP: it serves the phone app's files,
// passes requests on to the use cases, and lets each asker do what package rights
// allows. It adds JSON, status codes, an event stream and strict headers. Call New with
// an App, and RouteByOrigin to join its two handlers on the port of plain http. It
// opens no port and stores nothing.
package web

import (
	"context"
	"html/template"
	"io/fs"
	"log"
	"net/http"
	"net/netip"
	"path"
	"strings"
	"time"

	"github.com/gorilla/mux"

	"coldbatch/internal/api"
	"coldbatch/internal/batchview"
	"coldbatch/internal/calc"
	"coldbatch/internal/evict"
	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
)

// App is what the handlers need. Every field but DataFolder must be set.
type App struct {
	Static       fs.FS  // the phone app's files, see package static
	Unbundled    bool   // serve its modules as they are, not the bundle of them
	Version      string // of the program
	DataFolder   string // only the owner is sent messages that contain this path; may be empty
	ActiveHub    func() Hub
	Network      func() Network
	Photos       Photos
	LabelPrinter LabelPrinter
	CalcEnv      func(zone string) (calc.Env, error) // clock and zone of a calculation; "" means the hub's zone
	CloseExample func() error                        // does nothing where the example is closed
	Log          *log.Logger                         // gets internal errors
}

// Hub is the use cases that the routes call. The contexts are those of the requests.
type Hub interface {
	LocalAsker() rights.Asker                                               // the person at this computer
	AskerByToken(ctx context.Context, token string) (rights.Asker, error)   // a stranger for "" and an unknown token
	Subscribe() (seq <-chan uint64, stop func())                            // sequence numbers of new facts
	RecordReading(ctx context.Context, token string, celsius float64) error // from the sensor with that token
	CanSeePhoto(ctx context.Context, who rights.Asker, hash string) (bool, error)

	About(ctx context.Context, who rights.Asker, version string) (*api.AboutAnswer, error)
	Pair(ctx context.Context, who rights.Asker, q api.PairRequest) (*api.PairAnswer, error)
	RegisterPhone(ctx context.Context, who rights.Asker, q api.JoinRequest) (*api.JoinAnswer, error)
	Exchange(ctx context.Context, who rights.Asker, q exchange.Request) (*exchange.Answer, error) // a revoked phone calls it too, to send what it holds
	Calendar(ctx context.Context, who rights.Asker, o batchview.CalendarOrder, style unit.Style) (*batchview.CalendarFile, error)
	CalendarFeed(ctx context.Context, token string, style unit.Style) (*batchview.CalendarFile, error) // for who holds its token
	ViewBag(ctx context.Context, who rights.Asker, code string) (*batchview.BagView, error)
	Invite(ctx context.Context, who rights.Asker) (*api.Invitation, error)
	Phones(ctx context.Context, who rights.Asker) ([]api.PhoneInfo, error)
	Quarantined(ctx context.Context, who rights.Asker, device journal.ID) ([]api.QuarantinedFact, error)
	Accept(ctx context.Context, who rights.Asker, device journal.ID, most int) (*api.FactCount, error)
	Reject(ctx context.Context, who rights.Asker, device journal.ID) (*api.FactCount, error)
	Requeue(ctx context.Context, who rights.Asker, device journal.ID) (*api.FactCount, error)
}

type server struct {
	App
	assets        *assets
	contentPolicy func(*http.Request) string // the content security policy of an answer
	checkHost     func(*http.Request) error  // refuses a request for another host
	now           func() time.Time
	heartbeat     time.Duration // of the event stream
	bodyTimeout   time.Duration
	bodies        *evict.Set[netip.Addr] // bodies that are being received, by the sender's address
	streams       *evict.Set[journal.ID] // event streams of phones, by the phone
	codes, labels *guessLimiter
	builds        buildLimiter // answers from whole batches
	exchanges     buildLimiter
	photoChecks   buildLimiter
	gzipWriters   *gzipPool
	pages         *template.Template // the joining page and the refusal page
}

func newServer(app App) (*server, error) {
	assets, err := loadAssets(app.Static, app.Unbundled)
	if err != nil {
		return nil, err
	}
	pages, err := parseJoiningPages()
	if err != nil {
		return nil, err
	}
	s := &server{App: app, assets: assets, pages: pages, now: time.Now, heartbeat: defaultHeartbeat, bodyTimeout: bodyTimeout, gzipWriters: newGzipPool(),
		bodies: evict.New[netip.Addr](maxBodies, maxBodiesPerAddress), streams: evict.New[journal.ID](maxStreams, maxStreamsPerPhone),
		builds: newBuildLimiter(maxOwnerBuilds, maxOtherBuilds), exchanges: newBuildLimiter(maxOwnerExchanges, maxOtherExchanges),
		photoChecks: newBuildLimiter(maxOwnerPhotoChecks, maxOtherPhotoChecks)}
	now := func() time.Time { return s.now() }
	s.codes = newGuessLimiter("codes", "; a link or its QR code, as `coldbatch pair` prints them, needs no wait", now)
	s.labels = newGuessLimiter("labels", "", now)
	return s, nil
}

// New returns two handlers. full is the whole app, for https and for plain http from
// this computer to itself. plain is for plain http from the network: the joining page
// at every path, the certificate to trust in both its forms, the address for
// sensors, and the calendars that the owner opened; else it contains nothing of the house and gives nobody access. New returns a
// fault that says what to run when the app has not been generated.
func New(app App) (full, plain http.Handler, err error) {
	s, err := newServer(app)
	if err != nil {
		return nil, nil, err
	}
	other := *s
	return s.fullHandler(), other.plainHandler(), nil
}

func (s *server) fullHandler() http.Handler {
	s.contentPolicy = func(*http.Request) string { return s.assets.policy }
	s.checkHost = s.checkAppHost
	// Whole paths and no sub-router: in a sub-router, mux 1.8.1 answers 404 where only
	// the method is wrong.
	r := mux.NewRouter()
	for _, row := range s.routes() {
		r.HandleFunc(row.Path, s.authorize(row)).Methods(row.Method)
	}
	r.MatcherFunc(notAPI).HandlerFunc(s.serveApp).Methods("GET", "HEAD")
	r.NotFoundHandler, r.MethodNotAllowedHandler = s.refuseWith(notFound), s.refuseWith(methodNotAllowed)
	return s.withHeadersAndLimits(r)
}

func notAPI(r *http.Request, _ *mux.RouteMatch) bool { return !strings.HasPrefix(r.URL.Path, "/api/") }

// serveApp serves a file of the app, or index.html for a screen: any path whose last
// part has no dot. So a label's address works in upper and lower case, and a screen
// that a newer app adds needs no change here.
func (s *server) serveApp(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
	if name == "" {
		name = "index.html"
	}
	if a, ok := s.assets.byName[name]; ok {
		a.serve(w, r)
		return
	}
	if strings.Contains(path.Base(name), ".") {
		s.fail(w, r, stranger, notFound(r))
		return
	}
	s.assets.byName["index.html"].serve(w, r)
}
