package web

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"coldbatch/internal/rights"
)

// defaultHeartbeat is the interval at which a silent stream sends a sign of life. The
// phone takes a connection for dead after a little more than twice that.
const defaultHeartbeat = 20 * time.Second

// A phone has one stream for each of its tabs. With one more than these, the oldest ends.
const (
	maxStreamsPerPhone = 8
	maxStreams         = 256
)

// streamEvents streams a hint for each change of the journal: the newest sequence
// number. A hint carries no data, so a phone that misses one loses nothing. The stream
// ends when the hub closes, and before anything is sent to a phone that was revoked.
func (s *server) streamEvents(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	ctx, end := context.WithCancel(r.Context())
	defer end()
	if who.Device != "" { // this computer's are as many as its connections
		defer s.streams.Add(who.Device, end).Remove()
	}
	seqs, stop := s.ActiveHub().Subscribe()
	defer stop()
	stream := http.NewResponseController(w)
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	hasAccess := func() bool {
		who, err := s.identify(r)
		return err == nil && rights.IsAllowed(who.Role, rights.SeeBatch)
	}
	send := func(text string) bool {
		// A phone that fell asleep must not hold the stream for ever.
		if err := stream.SetWriteDeadline(time.Now().Add(2 * s.heartbeat)); err != nil {
			return false
		}
		if _, err := fmt.Fprint(w, text); err != nil {
			return false
		}
		return stream.Flush() == nil
	}
	if !send(": open\n\n") {
		return nil, nil
	}
	ticker := time.NewTicker(s.heartbeat)
	defer ticker.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil, nil
		case <-ticker.C:
			if !hasAccess() || !send(": heartbeat\n\n") {
				return nil, nil
			}
		case seq, open := <-seqs:
			if !open || !hasAccess() || !send(fmt.Sprintf("event: changed\ndata: %d\n\n", seq)) {
				return nil, nil
			}
		}
	}
}
