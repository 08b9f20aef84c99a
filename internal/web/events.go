package web

import (
	"fmt"
	"net/http"
	"time"

	"coldbatch/internal/rights"
)

// heartbeat is how often a silent stream says that it lives. The phone takes
// twice and a bit of that as a dead connection.
const heartbeat = 20 * time.Second

// events is a stream of hints: something changed, the journal is now at that
// sequence. It carries no data, so a hint that is missed costs nothing. It ends
// when the hub closes, and before the next word to a phone that is let in no more.
func (s *server) events(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	seqs, stop := s.Events()
	defer stop()
	out := http.NewResponseController(w)
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	in := func() bool {
		who, err := s.asker(r)
		return err == nil && rights.IsAllowed(who.Role, rights.SeeBatch)
	}
	send := func(text string) bool {
		// A phone that went to sleep must not hold the stream for ever.
		if err := out.SetWriteDeadline(time.Now().Add(2 * s.beat)); err != nil {
			return false
		}
		if _, err := fmt.Fprint(w, text); err != nil {
			return false
		}
		return out.Flush() == nil
	}
	if !send(": here\n\n") {
		return nil, nil
	}
	beat := time.NewTicker(s.beat)
	defer beat.Stop()
	for {
		select {
		case <-r.Context().Done():
			return nil, nil
		case <-beat.C:
			if !in() || !send(": still here\n\n") {
				return nil, nil
			}
		case seq, open := <-seqs:
			if !open || !in() || !send(fmt.Sprintf("event: changed\ndata: %d\n\n", seq)) {
				return nil, nil
			}
		}
	}
}
