//go:build linux

package store

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
)

// These tests record every system call of a child and replay them on a disk that
// loses what was not synced. What the child had acknowledged must be there.

func powerCutVariants() int {
	if isLongRun {
		return 60
	}
	return 2
}

const powerCalls, powerFacts = 7, 13

func powerFactsOf(calls int) []journal.Fact {
	maker := newFactGenerator(31)
	var facts []journal.Fact
	for range calls {
		facts = append(facts, maker.next(powerFacts)...)
	}
	return facts
}

func init() {
	childFunctions["power"] = func(path string) {
		runtime.LockOSThread() // the calls of one thread are in order
		s, err := Open(path, Options{})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println("opened")
		facts := powerFactsOf(powerCalls)
		for i := range powerCalls {
			if err := appendAll(s, facts[i*powerFacts:(i+1)*powerFacts]); err != nil {
				fmt.Println(err)
				return
			}
			fmt.Println("call")
		}
		if err := s.BackupFile(path + ".copy"); err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println("backup")
	}
	childFunctions["power photos"] = func(dir string) {
		runtime.LockOSThread()
		for i := range int64(3) {
			hash, b := fakeJPEG(i, 3000)
			for range 2 { // the second time it is there
				if err := NewPhotos(dir).Put(hash, b); err != nil {
					fmt.Println("refused")
				} else {
					fmt.Println(hash)
				}
			}
		}
	}
}

func TestPowerCut(t *testing.T) {
	root := filepath.Join(memoryDir(t), "root")
	if err := os.Mkdir(root, 0o700); err != nil {
		t.Fatal(err)
	}
	inside := filepath.Join("new", "data", "coldbatch.db") // its folders are new, too
	calls := traceChild(t, "power", filepath.Join(root, inside))
	d := newLossyDisk(root, nil)
	all := powerFactsOf(powerCalls)
	n := forEachPowerCut(t, d, calls, powerCutVariants(), func(dir, said string) error {
		path := filepath.Join(dir, inside)
		if err := checkAfterCut(path, strings.Contains(said, "opened"), strings.Count(said, "call")*powerFacts, powerFacts, all); err != nil {
			return err
		}
		return checkAfterCut(path+".copy", strings.Contains(said, "backup"), len(all), 0, all)
	})
	if !strings.HasSuffix(d.childOutput, "call\nbackup\n") {
		t.Errorf("the child said %q", d.childOutput)
	}
	t.Logf("%d power cuts", n)
}

// checkAfterCut opens a file after a power cut: acknowledged facts are there, and
// at most those of the call that was in progress; they are the first of all.
func checkAfterCut(path string, mustExist bool, acknowledged, inProgress int, all []journal.Fact) error {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) && !mustExist {
		return nil
	}
	s, err := Open(path, Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer s.Close()
	r, err := s.Check()
	if err != nil || len(r.Problems) > 0 || r.FactCount != acknowledged && r.FactCount != acknowledged+inProgress {
		return fmt.Errorf("%d facts were acknowledged, check: %+v %v", acknowledged, r, err)
	}
	return s.View(func(tx *Tx) error {
		return errors.Join(tx.Since(0, func(seq uint64, f journal.Fact) bool {
			if !bytes.Equal(f.Text(), all[seq-1].Text()) {
				err = fmt.Errorf("fact %d is %s", seq, f.Text())
			}
			return true
		}), err)
	})
}

// A power cut while a file of format 1 is migrated leaves it in format 1 or 2. So does a
// kill, which is a power cut that loses nothing.
func TestPowerCutWhileMigrating(t *testing.T) {
	old, byNumber := newFormat1File(t)
	var facts []journal.Fact
	for seq := range len(byNumber) {
		facts = append(facts, byNumber[uint64(seq+1)])
	}
	t.Run("format1", func(t *testing.T) { cutPowerWhileMigrating(t, old, facts, powerCutVariants()) })
	variants := 0 // only the two ends: nothing is lost, and all that may be
	if isLongRun {
		variants = powerCutVariants()
	}
	for _, u := range hubtest.Upgrades(t) {
		file, err := os.ReadFile(filepath.Join(u.Unpack(t), "coldbatch.db"))
		if err != nil {
			t.Fatal(err)
		}
		if s, err := openFile(writeTemp(t, file), Options{ReadOnly: true}); err != nil {
			t.Fatal(err)
		} else if err = errors.Join(s.loadFormat(), s.Close()); err != nil {
			t.Fatal(err)
		} else if s.format < formatVersion {
			t.Run(u.Name, func(t *testing.T) { cutPowerWhileMigrating(t, file, u.Facts, variants) })
		}
	}
}

func cutPowerWhileMigrating(t *testing.T, old []byte, facts []journal.Fact, variants int) {
	root := memoryDir(t)
	path := filepath.Join(root, "coldbatch.db")
	if err := os.WriteFile(path, old, 0o600); err != nil {
		t.Fatal(err)
	}
	calls := traceChild(t, "power", path)
	d := newLossyDisk(root, map[string][]byte{path: old})
	all := append(slices.Clone(facts), powerFactsOf(powerCalls)...)
	formats := map[int]int{}
	n := forEachPowerCut(t, d, calls, variants, func(dir, said string) error {
		path := filepath.Join(dir, "coldbatch.db")
		s, err := Open(path, Options{ReadOnly: true})
		if err != nil {
			return err
		}
		formats[s.format]++
		s.Close()
		acknowledged := len(facts) + strings.Count(said, "call")*powerFacts
		if err := checkAfterCut(path, true, acknowledged, powerFacts, all); err != nil {
			return err
		}
		if s, err = Open(path, Options{}); err != nil { // and now it is migrated, or was
			return err
		}
		if err := s.Close(); err != nil {
			return err
		}
		return checkAfterCut(path, true, acknowledged, powerFacts, all)
	})
	if !strings.HasSuffix(d.childOutput, "call\nbackup\n") || formats[1] == 0 || formats[2] == 0 {
		t.Errorf("the child said %q; files by format: %v", d.childOutput, formats)
	}
	t.Logf("%d power cuts, files by format: %v", n, formats)
}

func TestPowerCutBetweenPhotos(t *testing.T) {
	for _, c := range []struct {
		why    string
		strace []string
		said   string // the first two answers
	}{
		{"all is well", nil, "HASH\nHASH\n"},
		{"the sync of the photo's name fails, and the photo is sent again", []string{"-e", "inject=fsync:error=EIO:when=5"}, "refused\nHASH\n"},
	} {
		root := memoryDir(t)
		dir := filepath.Join("data", "photos")
		calls := traceChild(t, "power photos", filepath.Join(root, dir), c.strace...)
		d := newLossyDisk(root, nil)
		n := forEachPowerCut(t, d, calls, powerCutVariants(), func(base, said string) error {
			p := NewPhotos(filepath.Join(base, dir))
			for line := range strings.Lines(said) {
				hash := strings.TrimSuffix(line, "\n")
				if _, err := p.Get(hash); hash != "refused" && err != nil {
					return err
				}
			}
			if _, problems, err := p.Check(); err != nil || len(problems) > 0 {
				return fmt.Errorf("%v %v", problems, err)
			}
			return nil
		})
		first, _ := fakeJPEG(0, 3000)
		want := strings.ReplaceAll(c.said, "HASH", first)
		if !strings.HasPrefix(d.childOutput, want) || strings.Count(d.childOutput, "\n") != 6 {
			t.Errorf("%s: the child said %q", c.why, d.childOutput)
		}
		t.Logf("%s: %d power cuts", c.why, n)
	}
}
