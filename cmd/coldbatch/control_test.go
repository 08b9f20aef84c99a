//go:build unix

package main

import (
	"errors"
	"io"
	"log"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// With a long data path the socket is among the temporary files, where other users of the
// computer may make a folder first. Nothing is told to such a folder, and nothing is
// taken from it.
func TestControlFolderOfOthers(t *testing.T) {
	for _, row := range []struct {
		why     string
		make    func(t *testing.T, folder string) error
		refused bool
	}{
		{"nothing there yet", func(*testing.T, string) error { return nil }, false},
		{"left by a program that died", func(_ *testing.T, f string) error { return os.Mkdir(f, 0o700) }, false},
		{"others may write to it", func(_ *testing.T, f string) error { return errors.Join(os.Mkdir(f, 0o700), os.Chmod(f, 0o777)) }, true},
		{"others may look into it", func(_ *testing.T, f string) error { return errors.Join(os.Mkdir(f, 0o700), os.Chmod(f, 0o750)) }, true},
		{"a link to a folder of another's choice", func(t *testing.T, f string) error { return os.Symlink(t.TempDir(), f) }, true},
		{"of another user", func(t *testing.T, f string) error {
			if os.Getuid() != 0 {
				return os.Symlink("/nowhere", f) // only root can give a folder away
			}
			return errors.Join(os.Mkdir(f, 0o700), os.Chown(f, 12345, 12345))
		}, true},
	} {
		t.Run(row.why, func(t *testing.T) {
			temp, err := os.MkdirTemp("", "control-") // shorter than t.TempDir: the path of a socket must be
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { os.RemoveAll(temp) })
			t.Setenv("TMPDIR", temp)
			data := filepath.Join(t.TempDir(), strings.Repeat("long", 30))
			path := socketPath(data)
			if !strings.HasPrefix(path, os.TempDir()) {
				t.Fatalf("the socket is %s", path)
			}
			if err := row.make(t, filepath.Dir(path)); err != nil {
				t.Fatal(err)
			}
			if row.refused { // another's program listens there already
				l, err := net.Listen("unix", path)
				if err == nil {
					defer l.Close()
					go func() {
						if c, err := l.Accept(); err == nil {
							t.Error("another's socket was called")
							c.Close()
						}
					}()
				}
				if _, err := callProgram(t.Context(), data, "take", []journal.Fact{}, nil); !fault.Is(err, fault.Refused) {
					t.Errorf("a command gets %v", err)
				}
			}
			var logged strings.Builder
			p := &Program{Data: data, AnyPort: true, LocalOnly: true, Zone: "UTC", Log: log.New(io.Writer(&logged), "", 0)}
			if err := p.Run(); err != nil {
				t.Fatal(err)
			}
			isControlled := p.control != nil
			if err := p.Close(); err != nil {
				t.Error(err)
			}
			if isControlled == row.refused || strings.Contains(logged.String(), "belongs to another user") != row.refused {
				t.Errorf("it listens: %v, and logs %q", isControlled, logged.String())
			}
		})
	}
}
