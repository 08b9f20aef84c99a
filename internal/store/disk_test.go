//go:build linux

package store

import (
	"bytes"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/need"
)

// A syscallLine is one system call of a child that changes files or prints.
type syscallLine struct {
	name   string
	paths  []string // of the file, or old and new
	data   []byte
	offset int64 // offset of a pwrite64, length of an ftruncate
	isNew  bool  // an openat that may create
}

var (
	syscallLineRegexp    = regexp.MustCompile(`^(\d+) +(\w+)\((.*)\) += (-?\d+)`)
	unfinishedLineRegexp = regexp.MustCompile(`^(\d+) +(\w+\(.*) <unfinished \.\.\.>$`)
	resumedLineRegexp    = regexp.MustCompile(`^(\d+) +<\.\.\. \w+ resumed>(.*)$`)
	fileRegexp           = regexp.MustCompile(`^\d+<([^>]*)>`)
	quotedTextRegexp     = regexp.MustCompile(`"([^"]*)"`)
)

// tracedSyscalls are the system calls that can change a disk.
const tracedSyscalls = "openat,write,pwrite64,ftruncate,fsync,fdatasync,mkdirat,linkat,renameat,renameat2,unlinkat"

// traceChild runs a child to its end under strace and returns its system calls
// with every byte that they wrote. more are further arguments of strace.
func traceChild(t *testing.T, childName, path string, more ...string) []syscallLine {
	t.Helper()
	out := filepath.Join(memoryDir(t), "trace")
	args := append([]string{"-f", "-y", "-xx", "-s", "10000000", "-e", "trace=" + tracedSyscalls, "-o", out}, more...)
	cmd := exec.Command(need.Program(t, "strace"), append(args, os.Args[0], path)...)
	cmd.Env = append(os.Environ(), childVar+"="+childName)
	cmd.Stderr = os.Stderr
	if err := cmd.Run(); err != nil {
		t.Fatalf("strace: %v", err)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	begun := map[string]string{} // by thread: a call that another thread interrupted
	var calls []syscallLine
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSuffix(line, "\n")
		if m := unfinishedLineRegexp.FindStringSubmatch(line); m != nil {
			begun[m[1]] = m[2]
			continue
		}
		if m := resumedLineRegexp.FindStringSubmatch(line); m != nil {
			line = m[1] + " " + begun[m[1]] + m[2]
		}
		if m := syscallLineRegexp.FindStringSubmatch(line); m != nil && !strings.HasPrefix(m[4], "-") {
			calls = append(calls, parseCall(t, m[2], m[3], m[4]))
		}
	}
	return calls
}

func parseCall(t *testing.T, name, args, result string) syscallLine {
	t.Helper()
	c := syscallLine{name: name, isNew: strings.Contains(args, "O_CREAT")}
	var texts [][]byte
	for _, m := range quotedTextRegexp.FindAllStringSubmatch(args, -1) {
		texts = append(texts, unescape(t, m[1]))
	}
	if m := fileRegexp.FindStringSubmatch(args); m != nil {
		c.paths = []string{string(unescape(t, m[1]))}
		if len(texts) > 0 {
			c.data = texts[0]
		}
	} else {
		for _, text := range texts {
			c.paths = append(c.paths, string(text))
		}
	}
	number := func(text string) int64 {
		n, err := strconv.ParseInt(strings.TrimSpace(text), 10, 64)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		return n
	}
	switch last := args[strings.LastIndex(args, ",")+1:]; name {
	case "pwrite64":
		c.offset = number(last)
		c.data = c.data[:number(result)]
	case "write":
		c.data = c.data[:number(result)]
	case "ftruncate":
		c.offset = number(last)
	}
	return c
}

// unescape reads the form \x2f\x74 in which strace -xx writes text.
func unescape(t *testing.T, text string) []byte {
	b := make([]byte, 0, len(text)/4)
	for part := range strings.SplitSeq(text, `\x`) {
		if part == "" {
			continue
		}
		n, err := strconv.ParseUint(part[:2], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		b = append(b, byte(n))
	}
	return b
}

// A lossyDisk is a disk that at a power cut may lose what was not synced: any of
// the writes to a file since its last sync, each in sectors of 512 bytes, and of the new
// names in a folder since its last sync, the last few, however many. Everything that
// was synced stays.
type lossyDisk struct {
	root          string
	currentFiles  map[string]*lossyFile // as programs see it; a folder has a nil file
	syncedFiles   map[string]*lossyFile // names that a loss of power leaves on the disk
	unsyncedNames []nameChange          // that may be lost
	childOutput   string                // the output of the child
}

type lossyFile struct {
	current, syncedContent []byte
	unsyncedWrites         []syscallLine // writes that may be lost
}

// A nameChange gives a file its name; from is the name it had, if it had one, and
// a change without to removes it.
type nameChange struct {
	from, to string
	file     *lossyFile
}

func (c nameChange) folder() string {
	if c.to != "" {
		return filepath.Dir(c.to)
	}
	return filepath.Dir(c.from)
}

func (c nameChange) apply(names map[string]*lossyFile) {
	delete(names, c.from)
	if c.to != "" {
		names[c.to] = c.file
	}
}

// newLossyDisk returns a disk that has an empty folder root, and files in it.
func newLossyDisk(root string, files map[string][]byte) *lossyDisk {
	d := &lossyDisk{root: root, currentFiles: map[string]*lossyFile{root: nil}, syncedFiles: map[string]*lossyFile{root: nil}}
	for path, b := range files {
		f := &lossyFile{current: bytes.Clone(b), syncedContent: bytes.Clone(b)}
		d.currentFiles[path], d.syncedFiles[path] = f, f
	}
	return d
}

// write applies a pwrite64 or ftruncate to b.
func (c syscallLine) write(b []byte) []byte {
	end := int(c.offset) + len(c.data)
	if c.name == "ftruncate" && end < len(b) {
		return b[:end]
	}
	if end > len(b) {
		b = append(b, make([]byte, end-len(b))...)
	}
	copy(b[c.offset:], c.data)
	return b
}

// applyCall replays one system call of the child process.
func (d *lossyDisk) applyCall(t *testing.T, c syscallLine) {
	path := c.paths[0]
	if c.name == "write" && !strings.HasPrefix(path, d.root+"/") {
		d.childOutput += string(c.data)
		return
	}
	if !strings.HasPrefix(path, d.root) {
		return
	}
	rename := func(n nameChange) {
		n.apply(d.currentFiles)
		d.unsyncedNames = append(d.unsyncedNames, n)
	}
	f, exists := d.currentFiles[path]
	switch c.name {
	case "openat":
		if c.isNew && !exists {
			rename(nameChange{to: path, file: &lossyFile{}})
		}
	case "mkdirat":
		rename(nameChange{to: path})
	case "linkat":
		rename(nameChange{to: c.paths[1], file: f})
	case "renameat", "renameat2":
		rename(nameChange{from: path, to: c.paths[1], file: f})
	case "unlinkat":
		rename(nameChange{from: path})
	case "write":
		c.offset = int64(len(f.current)) // the store only writes files from their beginning
		fallthrough
	case "pwrite64", "ftruncate":
		if f == nil {
			t.Fatalf("%s of %s, which was not opened", c.name, path)
		}
		f.current = c.write(f.current)
		f.unsyncedWrites = append(f.unsyncedWrites, c)
	case "fsync", "fdatasync":
		if f != nil {
			f.syncedContent, f.unsyncedWrites = bytes.Clone(f.current), nil
			return
		}
		d.unsyncedNames = slices.DeleteFunc(d.unsyncedNames, func(n nameChange) bool {
			if n.folder() != path {
				return false
			}
			n.apply(d.syncedFiles)
			return true
		})
	}
}

// cutPower writes into the folder dir what is left after a power cut. lose decides for
// each write, part of it and name whether it is lost.
func (d *lossyDisk) cutPower(t *testing.T, dir string, lose func() bool) {
	t.Helper()
	names := map[string]*lossyFile{}
	for path, f := range d.syncedFiles {
		names[path] = f
	}
	stopped := map[string]bool{} // folders of which the later names are lost
	for _, n := range d.unsyncedNames {
		if stopped[n.folder()] || lose() {
			stopped[n.folder()] = true
			continue
		}
		n.apply(names)
	}
	var paths []string
	for path := range names {
		paths = append(paths, path)
	}
	slices.Sort(paths) // a folder before what is in it
	for _, path := range paths {
		to := filepath.Join(dir, strings.TrimPrefix(path, d.root))
		if _, err := os.Stat(filepath.Dir(to)); path != d.root && err != nil {
			continue // its folder was lost
		}
		f := names[path]
		if f == nil {
			if err := os.MkdirAll(to, 0o700); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if err := os.WriteFile(to, f.afterPowerCut(lose), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// afterPowerCut returns what is left of a file.
func (f *lossyFile) afterPowerCut(lose func() bool) []byte {
	const sector = 512
	b := bytes.Clone(f.syncedContent)
	for _, c := range f.unsyncedWrites {
		if c.name == "ftruncate" {
			if !lose() {
				b = c.write(b)
			}
			continue
		}
		isWhole, isLost := !lose(), lose()
		for at := 0; at < len(c.data); at += sector {
			part := syscallLine{name: c.name, offset: c.offset + int64(at), data: c.data[at:min(at+sector, len(c.data))]}
			if isWhole || !isLost && !lose() {
				b = part.write(b)
			}
		}
	}
	return b
}

// forEachPowerCut calls check for the state of the disk after every call of the child and
// a power cut: with nothing lost, with all lost that may be, and n times at random.
// said is what the child had printed until then.
func forEachPowerCut(t *testing.T, d *lossyDisk, calls []syscallLine, n int, check func(dir, childOutput string) error) (cuts int) {
	t.Helper()
	r := rand.New(rand.NewSource(1))
	ways := []func() bool{func() bool { return false }, func() bool { return true }}
	for range n {
		ways = append(ways, func() bool { return r.Intn(2) == 0 })
	}
	base := memoryDir(t)
	for i, c := range calls {
		if d.applyCall(t, c); !strings.HasPrefix(c.paths[0], d.root) && c.name != "write" {
			continue
		}
		for w, lose := range ways {
			dir := filepath.Join(base, strconv.Itoa(cuts))
			d.cutPower(t, dir, lose)
			if err := check(dir, d.childOutput); err != nil {
				t.Errorf("power cut after call %d, %s of %s, way %d, child said %q: %v", i, c.name, c.paths[0], w, d.childOutput, err)
			}
			os.RemoveAll(dir)
			cuts++
		}
	}
	return cuts
}
