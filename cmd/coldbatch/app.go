package main

import (
	"coldbatch/internal/calc"
	"coldbatch/internal/exchange"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/web"
	"coldbatch/internal/zone"
	"coldbatch/static"
)

// app joins the use cases to the web. Who asks comes from the web; the example
// may take the place of the journal at any time.
func (p *Program) app() web.App {
	now := p.current.Load
	return web.App{
		Static:  static.Files,
		Who:     func(token string) (rights.Asker, error) { return now().AskerByToken(token) },
		Local:   func() rights.Asker { return now().LocalAsker() },
		Hosts:   func() []string { return p.network.hosts() },
		Network: func() web.Network { return p.network.now() },

		About: func(who rights.Asker) (any, error) { return now().About(who, buildVersion()) },
		Pair: func(who rights.Asker, body []byte) (any, string, error) {
			var token string
			v, err := web.Body(func(who rights.Asker, q hub.PairRequest) (*hub.Paired, error) {
				paired, err := now().Pair(who, q)
				if err == nil {
					token = paired.Token
				}
				return paired, err
			})(who, body)
			return v, token, err
		},
		Join: web.Body(func(who rights.Asker, q hub.JoinRequest) (*hub.Joined, error) { return now().Join(who, q) }),
		Exchange: func(who rights.Asker, body []byte) (any, error) {
			q, err := exchange.ParseRequest(body)
			if err != nil {
				return nil, err
			}
			return now().Exchange(who, q)
		},
		Events:  func() (<-chan uint64, func()) { return now().Subscribe() },
		Bag:     func(who rights.Asker, code string) (any, error) { return now().ViewBag(who, code) },
		Invite:  func(who rights.Asker) (any, error) { return now().Invite(who) },
		Phones:  func(who rights.Asker) (any, error) { return now().Phones(who) },
		Held:    func(who rights.Asker, device journal.ID) (any, error) { return now().Quarantined(who, device) },
		Accept:  func(who rights.Asker, device journal.ID) (any, error) { return now().Accept(who, device) },
		Discard: func(who rights.Asker, device journal.ID) (any, error) { return now().Reject(who, device) },
		Recall:  func(who rights.Asker, device journal.ID) (any, error) { return now().Requeue(who, device) },
		Reading: func(token string, celsius float64) error {
			return now().RecordReading(token, hub.Reading{Celsius: celsius})
		},
		Photos: album{photosOf(p.Data), func(who rights.Asker, hash string) (bool, error) {
			return now().CanSeePhoto(who, hash)
		}},
		Sheet: func(who rights.Asker, get func(string) string) (*web.File, error) {
			return sheetFor(now(), who, get)
		},
		EndExample: p.endExample,
		Env: func(name string) (calc.Env, error) {
			at := world().Now()
			table, err := now().ZoneTable(name, at)
			return env(at, table), err
		},
		Log: p.Log,
	}
}

// env is what a sum may know.
func env(now zone.Instant, table zone.Table) calc.Env {
	return calc.Env{Now: now, Zone: table, Zones: func(name string) (zone.Table, error) {
		return hub.ZoneTable(name, now.Add(-40*366*zone.Day), now.Add(10*366*zone.Day))
	}}
}
