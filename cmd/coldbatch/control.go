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

// While the program runs it holds the lock of the journal's file, so the other commands
// call it, by HTTP over a socket in the data folder.

// control is the listening end of the socket.
type control struct{ server *http.Server }

// maxSocketPath is the longest path of a socket: sun_path has 104 bytes on macOS and
// the BSDs and 108 on Linux, including a zero byte at its end.
const maxSocketPath = 103

// socketPath returns the path of a data folder's socket: in the folder, or where that is
// too long, in a folder of its own among the temporary files.
func socketPath(data string) string {
	path := filepath.Join(data, "control.sock")
	if len(path) <= maxSocketPath {
		return path
	}
	sum := sha256.Sum256([]byte(data))
	return filepath.Join(os.TempDir(), fmt.Sprintf("coldbatch-%x", sum[:8]), "control.sock")
}

// checkSocketFolder returns a fault where the socket is among the temporary files, in a
// folder that another user of this computer made or can write to: whoever has the socket
// is sent facts and codes.
func checkSocketFolder(data, path string) error {
	folder := filepath.Dir(path)
	if folder == filepath.Clean(data) {
		return nil // the journal is there too
	}
	info, err := os.Lstat(folder)
	if err != nil {
		return err
	}
	if !info.IsDir() || !isOwnAndPrivate(info) {
		return fault.New(fault.Refused, "the folder %s of the control socket belongs to another user, or others may use it", folder).
			WithHint("remove it, or use a --data folder with a shorter path, which needs no such folder")
	}
	return nil
}

// listenControl opens the socket. It replaces one that is there: the caller holds the
// journal's lock, so that is left from a program that died.
func (p *Program) listenControl() (*control, error) {
	path := socketPath(p.Data)
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	if err := checkSocketFolder(p.Data, path); err != nil {
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
	c := &control{&http.Server{Handler: p.countRequests(p.controlHandler()), ReadHeaderTimeout: 10 * time.Second,
		BaseContext: func(net.Listener) context.Context { return p.ctx }, ConnState: p.countConns}}
	p.startGoroutine(func(context.Context) {
		if err := c.server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
			p.Log.Printf("the control socket failed, so the other commands wait until the program has stopped: %v", err)
		}
	})
	return c, nil
}

// controlHandler serves what the other commands call.
func (p *Program) controlHandler() http.Handler {
	mux := http.NewServeMux()
	handleControl(mux, "check", func(context.Context, struct{}) (any, error) { return p.journal.Check() })
	handleControl(mux, "backup", func(_ context.Context, out string) (any, error) {
		return struct{}{}, p.journal.BackupFile(out, hub.CopyMark)
	})
	handleControl(mux, "pair", func(ctx context.Context, _ struct{}) (any, error) { return p.invite(ctx) })
	handleControl(mux, "take", func(ctx context.Context, facts []journal.Fact) (any, error) {
		return importFacts(ctx, p.journalHub, facts)
	})
	handleControl(mux, "export", func(ctx context.Context, _ struct{}) (any, error) { return exportJournalOf(ctx, p.activeHub.Load()) })
	handleControl(mux, "labels", func(ctx context.Context, o labelFilesRequest) (any, error) {
		return p.renderer.makeLabels(ctx, p.activeHub.Load(), o) // of the example too, so that it can be tried
	})
	handleControl(mux, "printed", func(ctx context.Context, l hub.Labels) (any, error) {
		h := p.activeHub.Load()
		if h.Example {
			return struct{}{}, nil
		}
		return struct{}{}, h.RecordLabelsPrinted(ctx, h.LocalAsker(), l)
	})
	handleControl(mux, "sheet", func(ctx context.Context, q hub.BatchSheetRequest) (any, error) {
		h := p.activeHub.Load()
		return h.LayOutBatchSheet(ctx, h.LocalAsker(), q)
	})
	handleControl(mux, "why", func(ctx context.Context, q hub.WhyRequest) (any, error) {
		h := p.activeHub.Load()
		return h.Explain(ctx, h.LocalAsker(), q)
	})
	handleControl(mux, "limits", func(ctx context.Context, change hub.Limits) (any, error) {
		return p.journalHub.ChangeLimits(ctx, p.journalHub.LocalAsker(), change)
	})
	handleControl(mux, "state", func(context.Context, struct{}) (any, error) { return p.readState() })
	handleControl(mux, "host", func(context.Context, struct{}) (any, error) { return p.journalHub.Host, nil })
	return mux
}

// handleControl adds a call with an argument of type Q, which `null` leaves empty.
func handleControl[Q any](mux *http.ServeMux, name string, call func(context.Context, Q) (any, error)) {
	mux.HandleFunc("POST /"+name, func(w http.ResponseWriter, r *http.Request) {
		var q Q
		var v any
		err := json.NewDecoder(r.Body).Decode(&q)
		if err == nil {
			v, err = call(r.Context(), q)
		}
		writeControlAnswer(w, v, err)
	})
}

// controlAnswer is an answer over the socket.
type controlAnswer struct {
	Value json.RawMessage `json:"value,omitempty"`
	Error *fault.Fault    `json:"error,omitempty"`
}

func writeControlAnswer(w http.ResponseWriter, v any, err error) {
	var a controlAnswer
	if err != nil {
		a.Error = fault.AsFault(err)
	} else if a.Value, err = json.Marshal(v); err != nil {
		a.Error = fault.AsFault(err)
	}
	json.NewEncoder(w).Encode(a) // an error means that the command is gone
}

// callProgram calls the program that runs on the data folder. Where running is false
// none does, and nothing was done.
func callProgram(ctx context.Context, data, name string, body, into any) (running bool, err error) {
	path := socketPath(data)
	if err := checkSocketFolder(data, path); errors.Is(err, os.ErrNotExist) {
		return false, nil
	} else if err != nil {
		return false, err
	}
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
	e.SetEscapeHTML(false) // facts are stored byte for byte
	if err := e.Encode(body); err != nil {
		return true, err
	}
	q, err := http.NewRequestWithContext(ctx, "POST", "http://control/"+name, &text)
	if err != nil {
		return true, err
	}
	q.Header.Set("Content-Type", "application/json")
	r, err := client.Do(q)
	if err != nil {
		return true, fault.New(fault.Unavailable, "the program running on %s stopped before it answered", data).WithHint("try again")
	}
	defer r.Body.Close()
	var a controlAnswer
	if err := json.NewDecoder(r.Body).Decode(&a); err != nil {
		return true, fault.New(fault.Unavailable, "the answer from the program running on %s cannot be read", data)
	}
	if a.Error != nil {
		return true, a.Error
	}
	return true, json.Unmarshal(a.Value, into)
}
