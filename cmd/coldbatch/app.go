package main

import (
	"coldbatch/internal/calc"
	"coldbatch/internal/hub"
	"coldbatch/internal/web"
	"coldbatch/internal/zone"
	"coldbatch/static"
)

// app connects the web to the use cases. It asks for the active hub at each request,
// because the example may be closed at any time.
func (p *Program) app() web.App {
	return web.App{
		Static:       static.Files,
		Unbundled:    p.Dev,
		Version:      buildVersion(),
		DataFolder:   p.Data,
		ActiveHub:    func() web.Hub { return p.activeHub.Load() },
		Network:      func() web.Network { return p.network.current() },
		Photos:       photosIn(p.Data),
		LabelPrinter: p,
		CloseExample: p.closeExample,
		CalcEnv: func(zoneName string) (calc.Env, error) {
			now := machineSystem().Now()
			table, err := p.activeHub.Load().ZoneTable(zoneName, now)
			return calcEnv(now, table), err
		},
		Log: p.Log,
	}
}

// calcEnv is what a calculation may know of the time and of zones.
func calcEnv(now zone.Instant, table zone.Table) calc.Env {
	return calc.Env{Now: now, Zone: table, Zones: func(name string) (zone.Table, error) {
		return hub.ZoneTable(name, now.Add(-40*366*zone.Day), now.Add(10*366*zone.Day))
	}}
}
