package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A damaged fact is named by check, with its batch. Imported again from a phone's
// file, the journal is whole.
func TestDamagedFactIsImportedAgain(t *testing.T) {
	data := t.TempDir()
	facts := exampleFacts(t)
	saved, err := json.Marshal(map[string]any{"coldbatch": "facts", "version": 1, "facts": facts})
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "coldbatch-2026-05-02.json")
	if err := os.WriteFile(file, saved, 0o600); err != nil {
		t.Fatal(err)
	}
	run := func(want int, args ...string) (out, errors string) {
		t.Helper()
		var o, e bytes.Buffer
		c := command{ctx: context.Background(), out: &o, err: &e, env: func(string) string { return "" }}
		if got := c.run(append(args[:1:1], append([]string{"--data", data}, args[1:]...)...)); got != want {
			t.Fatalf("%v: exit code %d, want %d: %s%s", args, got, want, &o, &e)
		}
		return o.String(), e.String()
	}
	p := mustRunProgram(t, &Program{Data: data}) // the first run makes the journal
	if err := p.Close(); err != nil {
		t.Fatal(err)
	}
	run(exitOK, "import", file)

	path, lost := filepath.Join(data, journalFile), facts[len(facts)/2]
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := lost.Text()
	if !bytes.Contains(b, text) {
		t.Fatal("the fact is not in the file")
	}
	changed := bytes.Clone(text)
	changed[len(changed)-2] ^= 1
	if err := os.WriteFile(path, bytes.ReplaceAll(b, text, changed), 0o600); err != nil {
		t.Fatal(err)
	}

	name := fmt.Sprintf("(id %s, %s) is damaged", lost.ID, lost.Scope)
	if _, said := run(exitFailed, "check"); !strings.Contains(said, name) || !strings.Contains(said, "1 problem") {
		t.Errorf("check says %q", said)
	}
	out, said := run(exitOK, "import", file)
	if want := fmt.Sprintf("1 entry of %d", len(facts)); !strings.Contains(out, want) {
		t.Errorf("import says %q, want %q; %s", out, want, said)
	}
	run(exitOK, "check")
	run(exitOK, "backup", filepath.Join(t.TempDir(), "copy.db"))
}
