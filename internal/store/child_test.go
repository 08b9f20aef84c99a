package store

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"testing"
)

// Some tests need another process. The test program then starts itself, and an
// environment variable names the function to run.
const childVar = "COLDBATCH_STORE_CHILD"

var childFunctions = map[string]func(path string){
	"hold":   childHold,
	"append": childAppend,
}

func TestMain(m *testing.M) {
	if be := childFunctions[os.Getenv(childVar)]; be != nil {
		be(os.Args[len(os.Args)-1])
		return
	}
	if !isLongRun {
		_ = flag.Set("rapid.checks", "30") // each opens files; the command line may still say otherwise
	}
	os.Exit(m.Run())
}

// A child is such a process; lines reads its output.
type child struct {
	cmd   *exec.Cmd
	lines *bufio.Scanner
	stdin io.WriteCloser
}

func startChild(t *testing.T, childName, path string, env ...string) *child {
	t.Helper()
	cmd := exec.Command(os.Args[0], path)
	cmd.Env = append(append(os.Environ(), childVar+"="+childName), env...)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill() })
	return &child{cmd, bufio.NewScanner(out), in}
}

// childHold opens the file and holds it until its input ends.
func childHold(path string) {
	s, err := Open(path, Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("held")
	_, _ = io.Copy(io.Discard, os.Stdin)
	s.Close()
}

// childAppend appends a few facts a call until it is killed, and prints each fact's
// text when it is acknowledged.
func childAppend(path string) {
	s, err := Open(path, Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	maker := newFactGenerator(int64(os.Getpid()))
	for {
		facts := maker.next(1 + maker.r.Intn(20))
		if err := appendAll(s, facts); err != nil {
			fmt.Println(err)
			return
		}
		var text []byte
		for _, f := range facts {
			text = append(append(text, f.Text()...), '\n')
		}
		os.Stdout.Write(text)
	}
}
