package main

import (
	"coldbatch/internal/hubtest"
	"errors"
	"fmt"
	"io"
	"log"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"go.etcd.io/bbolt"
)

func TestMain(m *testing.M) {
	testscript.Main(hubtest.WithCleanup(m), programsByName)
}

// programsByName are what this binary can be when it is called by another name.
var programsByName = map[string]func(){"coldbatch": main}

// The stories are whole programs: command, output, files.
func TestScript(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "../../testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("COLDBATCH_DATA", filepath.Join(e.WorkDir, "data"))
			e.Setenv("TZ", "Europe/Lisbon")
			e.Setenv("PORT", strconv.Itoa(hubtest.FreePort(t)))
			e.Setenv("TLS", strconv.Itoa(hubtest.FreePort(t)))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"up": func(ts *testscript.TestScript, neg bool, _ []string) {
				err := hubtest.WaitUntilUp("http://localhost:" + ts.Getenv("PORT"))
				if (err == nil) == neg {
					ts.Fatalf("up: %v", err)
				}
			},
			"exits":    scriptExits,
			"http":     scriptHTTP,
			"truncate": scriptTruncate,
			"format":   scriptFormat,
		},
	})
}

// scriptExits is `exits CODE COMMAND…`: the command must fail, with that code.
func scriptExits(ts *testscript.TestScript, _ bool, args []string) {
	err := ts.Exec(args[1], args[2:]...)
	var exit *exec.ExitError
	if !errors.As(err, &exit) || strconv.Itoa(exit.ExitCode()) != args[0] {
		ts.Fatalf("%s: %v, want exit status %s", strings.Join(args[1:], " "), err, args[0])
	}
}

// scriptHTTP is `http METHOD PATH [BODY]`: it fails where the status is not 2xx.
func scriptHTTP(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 2 {
		ts.Fatalf("usage: http METHOD PATH [BODY]")
	}
	r, err := http.NewRequest(args[0], "http://localhost:"+ts.Getenv("PORT")+args[1], strings.NewReader(strings.Join(args[2:], " ")))
	ts.Check(err)
	resp, err := http.DefaultClient.Do(r)
	ts.Check(err)
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	ts.Check(err)
	fmt.Fprint(ts.Stdout(), string(body))
	if (resp.StatusCode/100 == 2) == neg {
		ts.Fatalf("%s: %s", resp.Status, body)
	}
}

func scriptTruncate(ts *testscript.TestScript, _ bool, args []string) {
	n, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	ts.Check(os.Truncate(ts.MkAbs(args[0]), n))
}

// scriptFormat sets the number of a file's format, as a newer program would.
func scriptFormat(ts *testscript.TestScript, _ bool, args []string) {
	db, err := bbolt.Open(ts.MkAbs(args[0]), 0o600, nil)
	ts.Check(err)
	ts.Check(db.Update(func(tx *bbolt.Tx) error { return tx.Bucket([]byte("meta")).Put([]byte("format"), []byte(args[1])) }))
	ts.Check(db.Close())
}

// mustRunProgram starts a program in this process, on a free port and a new folder.
func mustRunProgram(t *testing.T, p *Program) *Program {
	t.Helper()
	if p.Data == "" {
		p.Data = t.TempDir()
	}
	if p.Port == 0 {
		p.AnyPort = true
	}
	p.Zone, p.LocalOnly = "Europe/Lisbon", true
	p.Log = log.New(testLog{t}, "", 0)
	if err := p.Run(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := p.Close(); err != nil {
			t.Errorf("close: %v", err)
		}
	})
	return p
}

// testLog fails the test on what the program logs: it logs what is its own fault.
type testLog struct{ t *testing.T }

func (l testLog) Write(b []byte) (int, error) {
	l.t.Errorf("logged: %s", b)
	return len(b), nil
}
