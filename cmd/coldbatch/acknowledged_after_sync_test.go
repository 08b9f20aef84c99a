//go:build linux

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/need"
)

// A fact is acknowledged only when it is on the disk. The kernel is the witness:
// strace notes when the program syncs and when it writes an answer. Between a
// request and its answer a sync must have begun and ended; what only reads needs
// none.
func TestAcknowledgedAfterSync(t *testing.T) {
	strace := need.Program(t, "strace")
	h := hubtest.New(t)
	out := filepath.Join(t.TempDir(), "calls")
	args := []string{"-f", "-ttt", "-T", "-s", "12", "-e", "trace=fdatasync,fsync,msync,write", "-o", out, h.Path}
	cmd := exec.Command(strace, append(args, h.Flags()...)...)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // killing strace alone would leave the program
	stop := func() {
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
		_ = cmd.Wait()
	}
	h.StartCommand(cmd)
	defer stop()

	type phoneCall struct {
		hasFacts           bool
		sentAt, answeredAt time.Time
	}
	var calls []phoneCall
	p := newWritingPhone(1)
	for i := range 40 {
		c := phoneCall{hasFacts: i%4 != 3}
		if c.hasFacts {
			if err := p.write(40); err != nil {
				t.Fatal(err)
			}
		}
		c.sentAt = time.Now()
		if err := p.send(h.URL()); err != nil {
			t.Fatal(err)
		}
		c.answeredAt = time.Now()
		calls = append(calls, c)
	}
	time.Sleep(100 * time.Millisecond) // strace writes a moment after
	stop()

	seen := readCalls(t, out)
	most := 0
	for i, c := range calls {
		var answer time.Time
		for _, s := range seen {
			if s.answers && !s.beginTime.Before(c.sentAt) && !s.beginTime.After(c.answeredAt) {
				answer = s.beginTime
			}
		}
		if answer.IsZero() {
			t.Errorf("call %d: strace saw no answer", i)
			continue
		}
		before, during := 0, 0
		for _, s := range seen {
			if s.syncs && !s.beginTime.Before(c.sentAt) && !s.beginTime.After(c.answeredAt) {
				during++
				if !s.endTime.After(answer) {
					before++
				}
			}
		}
		most = max(most, during)
		switch {
		case c.hasFacts && before == 0:
			t.Errorf("call %d was answered with no sync begun after it was sent and ended before the answer", i)
		case before != during:
			t.Errorf("call %d: %d syncs, of which %d ended before the answer", i, during, before)
		case !c.hasFacts && during > 0:
			t.Errorf("call %d brought nothing and took %d syncs", i, during)
		}
	}
	// One commit: its pages, then the page that makes them count; and where the
	// file had to grow, its new length.
	if most > 3 {
		t.Errorf("a call took %d syncs, more than one commit's", most)
	}
	t.Logf("%d calls, at most %d syncs in one", len(calls), most)
}

// tracedSyscall is one line of strace's, or two that belong together.
type tracedSyscall struct {
	syncs, answers     bool
	beginTime, endTime time.Time
}

// readCalls reads strace's output: a thread, the time the call began in seconds
// since 1970, the call, and last in brackets how long it took. A call during
// which another thread made one is told in two lines.
func readCalls(t *testing.T, path string) (seen []tracedSyscall) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	open := map[string]tracedSyscall{} // by thread
	for line := range strings.Lines(string(b)) {
		f := strings.Fields(line)
		if len(f) < 3 {
			continue
		}
		thread, call := f[0], strings.Join(f[2:], " ")
		s := tracedSyscall{
			syncs:     strings.HasPrefix(call, "fdatasync(") || strings.HasPrefix(call, "fsync(") || strings.HasPrefix(call, "msync("),
			answers:   strings.HasPrefix(call, "write(") && strings.Contains(call, `"HTTP/1.1 200`),
			beginTime: seconds(t, f[1]),
		}
		if strings.HasPrefix(call, "<... ") {
			s = open[thread]
			delete(open, thread)
		}
		if !s.syncs && !s.answers {
			continue
		}
		if strings.HasSuffix(call, "<unfinished ...>") {
			open[thread] = s
			continue
		}
		if s.syncs && !strings.Contains(call, "= 0 <") {
			continue // one that failed
		}
		took := strings.Trim(f[len(f)-1], "<>")
		d, err := time.ParseDuration(took + "s")
		if err != nil {
			continue // cut off when the program was killed
		}
		s.endTime = s.beginTime.Add(d)
		seen = append(seen, s)
	}
	return seen
}

func seconds(t *testing.T, text string) time.Time {
	t.Helper()
	whole, part, _ := strings.Cut(text, ".")
	s, err1 := strconv.ParseInt(whole, 10, 64)
	us, err2 := strconv.ParseInt(part, 10, 64)
	if err1 != nil || err2 != nil || len(part) != 6 {
		t.Fatalf("strace gives the time %q", text)
	}
	return time.Unix(s, us*1000)
}
