package main

import (
	"fmt"
	"path/filepath"

	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/store"
)

// check checks the journal's file and the photos.
func (c command) check(args []string) error {
	f := c.flags("check", func(*flags) {})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	path := filepath.Join(*f.data, journalFile)
	var r store.Report
	running, err := callProgram(c.ctx, *f.data, "check", nil, &r)
	if !running {
		r, err = store.Check(path)
	}
	if err != nil {
		return err
	}
	for _, p := range r.Problems {
		fmt.Fprintln(c.err, p)
	}
	if r.UnlistedProblems > 0 {
		fmt.Fprintf(c.err, "and %s more\n", plural(r.UnlistedProblems, "problem"))
	}
	if n := len(r.Problems) + r.UnlistedProblems; n > 0 {
		return fault.New(fault.Damaged, "%s has %s", path, plural(n, "problem")).WithHint("do not edit it; restore a backup")
	}
	fmt.Fprintf(c.out, "%s is good: %s, %s, %s, %d bytes\n", path, plural(r.FactCount, "fact"), plural(r.BatchCount, "batch"), plural(r.PlaceCount, "place"), r.ByteCount)
	return c.checkPhotos(*f.data)
}

// backup copies the journal's file and the photos, and on request the authority.
func (c command) backup(args []string) error {
	var authority bool
	f := c.flags("backup", func(f *flags) { f.BoolVar(&authority, "with-authority", false, "") })
	if err := f.parse(args, 1); err != nil {
		return err
	}
	out, err := filepath.Abs(f.Arg(0))
	if err != nil {
		return usage("%q is not a path", f.Arg(0))
	}
	running, err := callProgram(c.ctx, *f.data, "backup", out, &struct{}{})
	if !running {
		err = backupFrom(filepath.Join(*f.data, journalFile), out)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "the journal was copied to %s\n", out)
	if err := c.copyPhotos(*f.data, out); err != nil || !authority {
		return err
	}
	if err := copyAuthority(*f.data, out); err != nil {
		return err
	}
	fmt.Fprintf(c.out, "the authority was copied to %s and %s\n", out+"."+authorityFiles[0], out+"."+authorityFiles[1])
	return nil
}

func backupFrom(path, out string) error {
	s, err := store.Open(path, store.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer s.Close()
	return s.BackupFile(out, hub.CopyMark)
}

// warnDamage reports a damaged part of the journal, which is left out.
func (c command) warnDamage(f *fault.Fault) { fmt.Fprintln(c.err, f) }

func plural(n int, what string) string {
	switch {
	case n == 1:
		return "1 " + what
	case what == "batch":
		what += "e"
	case what == "entry":
		what = "entrie"
	}
	return fmt.Sprintf("%d %ss", n, what)
}
