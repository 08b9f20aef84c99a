package main

import (
	"bytes"
	"encoding/json"
	"log"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// bellTerminal collects what is written to the terminal.
type bellTerminal struct{ file string }

func (b bellTerminal) Write(text []byte) (int, error) {
	f, err := os.OpenFile(b.file, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	return f.Write(text)
}

// The owner's command gets what is ready in its environment and on its input, whatever a
// batch is called, once for the bags of a place, and not again after a restart.
func TestOnReady(t *testing.T) {
	dir := t.TempDir()
	script, out, bell := filepath.Join(dir, "ring.sh"), filepath.Join(dir, "out"), filepath.Join(dir, "bell")
	text := "#!/bin/sh\n{ echo \"[$COLDBATCH_BAGS][$COLDBATCH_BATCH][$COLDBATCH_PLACE][$COLDBATCH_READY]\"; cat; } >> '" + out + "'\n"
	if err := os.WriteFile(script, []byte(text), 0o700); err != nil {
		t.Fatal(err)
	}
	data := t.TempDir()
	run := func() *Program {
		p := &Program{Data: data, AnyPort: true, LocalOnly: true, Zone: "Europe/Lisbon", OnReady: script, Terminal: bellTerminal{bell}, Log: log.New(t.Output(), "", 0)}
		if err := p.Run(); err != nil {
			t.Fatal(err)
		}
		return p
	}
	p := run()
	const name = "market $(touch /tmp/no); `id` 'x'"
	now := machineSystem().Now()
	a := journal.Author{Now: now.Add(-40 * zone.Hour), TZ: "Europe/Lisbon", Random: machineSystem().Random}
	a.Device = a.NewID()
	batchID, shed, piece, colour, one, two, late := a.NewID(), a.NewID(), a.NewID(), a.NewID(), a.NewID(), a.NewID(), a.NewID()
	scope, place := journal.BatchScope(batchID), journal.PlaceScope(shed)
	bag := func(number int) journal.BagClosed {
		return journal.BagClosed{Number: number, Place: shed, Pieces: []journal.PieceInBag{{Piece: piece, Count: 1}}, Colours: []journal.ColourInBag{{Colour: colour, Share: 1}}}
	}
	facts, err := a.MakeFacts([]journal.Draft{
		draft(place, shed, journal.KindPlaceNamed, journal.PlaceNamed{Name: "shed"}),
		draft(place, shed, journal.KindPlaceRead, journal.TemperatureReading{Celsius: 21}),
		draft(scope, batchID, journal.KindBatchStarted, journal.BatchStarted{Name: name, Secret: a.NewID()}),
		draft(scope, piece, journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 3, Grams: 180}),
		draft(scope, colour, journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 34, Depth: 1}),
		draft(scope, one, journal.KindBagClosed, bag(4)),
		draft(scope, two, journal.KindBagClosed, bag(5)),
	})
	if err != nil {
		t.Fatal(err)
	}
	a.Now = now
	fresh, err := a.MakeFacts([]journal.Draft{draft(scope, late, journal.KindBagClosed, bag(6))})
	if err != nil {
		t.Fatal(err)
	}
	exchangeFacts(t, p, append(facts, fresh...))
	read := func(file string) string {
		b, _ := os.ReadFile(file)
		return string(b)
	}
	hubtest.WaitUntil(t, "the command to run", func() bool { return strings.HasSuffix(read(out), "}\n") })
	head, body, _ := strings.Cut(read(out), "\n")
	ready := zone.UTC().FormatStamp((facts[5].At.Add(zone.Day) + 30_000) / 60_000 * 60_000) // times are rounded to the minute
	if want := "[4 5][" + name + "][shed][" + ready + "]"; head != want {
		t.Errorf("its environment says %s, want %s", head, want)
	}
	var g batchview.ReadyGroup
	if err := json.Unmarshal([]byte(body), &g); err != nil || len(g.Bags) != 2 || g.Bags[0].Bag != one || g.Bags[1].Bag != two || g.Bags[0].BatchName != name {
		t.Errorf("its input is %s: %v", body, err)
	}
	if want := "\a2 bags are probably ready: " + name + ", shed\n"; read(bell) != want {
		t.Errorf("the terminal got %q", read(bell))
	}
	if err := p.Close(); err != nil {
		t.Fatal(err)
	}
	before := read(out)
	p = run()
	exchangeFacts(t, p, facts) // facts that are there; the times are computed again
	time.Sleep(300 * time.Millisecond)
	if err := p.Close(); err != nil {
		t.Fatal(err)
	}
	if read(out) != before {
		t.Errorf("after a restart it ran again: %s", strings.TrimPrefix(read(out), before))
	}
}

func TestFindCommand(t *testing.T) {
	dir := t.TempDir()
	script := filepath.Join(dir, "ring bell.sh")
	if err := os.WriteFile(script, []byte("#!/bin/sh\n"), 0o700); err != nil {
		t.Fatal(err)
	}
	if file, err := findCommand(script); err != nil || file != script {
		t.Errorf("%q %v", file, err)
	}
	for _, name := range []string{filepath.Join(dir, "missing"), dir, script + " --loud", "sh -c id"} {
		if file, err := findCommand(name); !fault.Is(err, fault.Input) {
			t.Errorf("%q: %q, %v", name, file, err)
		}
	}
}

// A command that writes without end once filled the program's memory.
func TestOnReadyOutput(t *testing.T) {
	script := filepath.Join(t.TempDir(), "loud.sh")
	if err := os.WriteFile(script, []byte("#!/bin/sh\necho first\nhead -c 50000000 /dev/zero | tr '\\0' x\nexit 3\n"), 0o700); err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	w := readyWatcher{program: &Program{Log: log.New(&said, "", 0)}, command: script}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	w.announce(t.Context(), batchview.ReadyGroup{Bags: []batchview.ReadyBag{{Number: "1"}}})
	runtime.ReadMemStats(&after)
	if more := after.TotalAlloc - before.TotalAlloc; more > 10e6 {
		t.Errorf("50 MB of output take %d bytes of memory", more)
	}
	if s := said.String(); !strings.Contains(s, "exit status 3: first") || len(s) > maxOutput+200 {
		t.Errorf("the log says %d bytes: %.100s", len(s), s)
	}
}
