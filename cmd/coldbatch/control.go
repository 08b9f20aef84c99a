package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
)

// While the program runs it alone may open the journal's file, so the other
// commands ask it, by HTTP over a socket in the data folder.

// control is the listening end. A nil control is closed.
type control struct {
	server *http.Server
	path   string
}

// maxSocket is the longest path of a socket: sun_path has 104 bytes on macOS and
// the BSDs and 108 on Linux, with the zero byte at its end.
const maxSocket = 103

// socketPath is where the socket of a data folder lies: in it, or where that is
// too long in a folder of its own among the temporary files.
func socketPath(data string) string {
	path := filepath.Join(data, "control.sock")
	if len(path) <= maxSocket {
		return path
	}
	sum := sha256.Sum256([]byte(data))
	return filepath.Join(os.TempDir(), fmt.Sprintf("coldbatch-%x", sum[:8]), "control.sock")
}

// listenControl opens the socket. One that is there is a dead program's: who
// calls holds the lock of the file.
func (p *Program) listenControl() (*control, error) {
	path := socketPath(p.Data)
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	l, err := net.Listen("unix", path)
	if err != nil {
		return nil, err
	}
	if err := os.Chmod(path, 0o600); err != nil {
		l.Close()
		return nil, err
	}
	mux := http.NewServeMux()
	on := func(name string, do func(body *json.Decoder) (any, error)) {
		mux.HandleFunc("POST /"+name, func(w http.ResponseWriter, r *http.Request) {
			v, err := do(json.NewDecoder(r.Body))
			tell(w, v, err)
		})
	}
	on("check", func(*json.Decoder) (any, error) { return p.journal.Check() })
	on("backup", func(body *json.Decoder) (any, error) {
		var out string
		if err := body.Decode(&out); err != nil {
			return nil, err
		}
		return struct{}{}, p.journal.BackupFile(out)
	})
	on("pair", func(*json.Decoder) (any, error) { return p.invite() })
	on("take", func(body *json.Decoder) (any, error) {
		var facts []journal.Fact
		if err := body.Decode(&facts); err != nil {
			return nil, err
		}
		return takeIn(p.real, facts)
	})
	on("labels", func(body *json.Decoder) (any, error) {
		var o labelOrder
		if err := body.Decode(&o); err != nil {
			return nil, err
		}
		return makeLabels(p.current.Load(), o) // of what the app shows, so that the example can be tried
	})
	on("printed", func(body *json.Decoder) (any, error) {
		var l hub.Labels
		if err := body.Decode(&l); err != nil {
			return nil, err
		}
		h := p.current.Load()
		if h.Example {
			return struct{}{}, nil
		}
		return struct{}{}, h.RecordLabelsPrinted(h.LocalAsker(), l)
	})
	on("host", func(*json.Decoder) (any, error) { return p.real.Host, nil })
	c := &control{&http.Server{Handler: mux, ReadHeaderTimeout: 10 * time.Second}, path}
	go c.server.Serve(l)
	return c, nil
}

// Close stops listening; the socket goes with it.
func (c *control) Close() {
	if c != nil {
		c.server.Close()
	}
}

// told is an answer over the socket.
type told struct {
	Value json.RawMessage `json:"value,omitempty"`
	Error *fault.Fault    `json:"error,omitempty"`
}

func tell(w http.ResponseWriter, v any, err error) {
	var t told
	if err != nil {
		t.Error = fault.Of(err)
	} else if t.Value, err = json.Marshal(v); err != nil {
		t.Error = fault.Of(err)
	}
	json.NewEncoder(w).Encode(t)
}

// ask asks the program that runs on the data folder. running is false where none
// answers; then nothing was done.
func ask(data, what string, body, into any) (running bool, err error) {
	path := socketPath(data)
	if c, err := net.DialTimeout("unix", path, time.Second); err != nil {
		return false, nil
	} else {
		c.Close()
	}
	client := http.Client{Transport: &http.Transport{DialContext: func(ctx context.Context, _, _ string) (net.Conn, error) {
		return (&net.Dialer{}).DialContext(ctx, "unix", path)
	}}}
	defer client.CloseIdleConnections()
	var text bytes.Buffer
	e := json.NewEncoder(&text)
	e.SetEscapeHTML(false) // facts are kept byte for byte
	if err := e.Encode(body); err != nil {
		return true, err
	}
	r, err := client.Post("http://control/"+what, "application/json", &text)
	if err != nil {
		return true, fault.New(fault.Unavailable, "the program that runs on %s stopped before it answered", data).WithHint("try again")
	}
	defer r.Body.Close()
	var t told
	if err := json.NewDecoder(r.Body).Decode(&t); err != nil {
		return true, fault.New(fault.Unavailable, "the program that runs on %s gave no answer that reads", data)
	}
	if t.Error != nil {
		return true, t.Error
	}
	return true, json.Unmarshal(t.Value, into)
}
