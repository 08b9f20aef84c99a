package labeldamage

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"testing"

	"coldbatch/internal/need"
)

// readerProcess is the phone app's own reader, under Node: one process for all pictures.
type readerProcess struct {
	cmd    *exec.Cmd
	stdin  io.WriteCloser
	stdout *bufio.Scanner
}

// reading is what the app's reader says about a picture.
type reading struct {
	Texts []string
	Turn  int // of the frame that it was read in; 0 the first, as it is
	Error string
}

func startReader(t testing.TB) *readerProcess {
	t.Helper()
	need.Program(t, "node")
	a := &readerProcess{cmd: exec.Command("node", "../../testdata/scan/read.mjs")}
	a.cmd.Stderr = os.Stderr
	in, err := a.cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := a.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	a.stdin, a.stdout = in, bufio.NewScanner(out)
	if err := a.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		in.Close()
		if err := a.cmd.Wait(); err != nil {
			t.Error(err)
		}
	})
	return a
}

// readPicture returns what is read in a picture, which stands in a file meanwhile.
func (a *readerProcess) readPicture(p *Picture, path string) (r reading, err error) {
	var file bytes.Buffer
	if err := p.Write(&file); err != nil {
		return r, err
	}
	if err := os.WriteFile(path, file.Bytes(), 0o600); err != nil {
		return r, err
	}
	defer os.Remove(path)
	if _, err := io.WriteString(a.stdin, path+"\n"); err != nil {
		return r, err
	}
	if !a.stdout.Scan() {
		return r, fmt.Errorf("the reader ended: %v", a.stdout.Err())
	}
	if err := json.Unmarshal(a.stdout.Bytes(), &r); err != nil || r.Error != "" {
		return r, fmt.Errorf("%s: %v", a.stdout.Bytes(), err)
	}
	return r, nil
}
