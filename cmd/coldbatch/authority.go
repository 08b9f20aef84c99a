package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/store"
)

// authorityFiles are the files of the data folder that make up the authority.
var authorityFiles = []string{"ca.key", "ca.crt"}

// authority prints which authority the phones of this house trust, or replaces it.
func (c command) authority(args []string) error {
	var renew, unconstrained bool
	f := c.flags("authority", func(f *flags) {
		f.BoolVar(&renew, "renew", false, "")
		f.BoolVar(&renew, "anew", false, "") // its name in earlier versions
		f.BoolVar(&unconstrained, "unconstrained", false, "")
	})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	if unconstrained && !renew {
		return usage("authority: --unconstrained applies to a new authority, so use it with --renew")
	}
	host, running, err := readHostName(c.ctx, *f.data)
	switch {
	case err != nil:
		return err
	case renew && running:
		return fault.New(fault.Conflict, "the running program is using the current authority").WithHint("stop it first")
	case renew:
		err = removeAuthority(*f.data)
	case !fileExists(filepath.Join(*f.data, authorityFiles[1])):
		err = fault.New(fault.NotFound, "there is no authority in %s yet", *f.data).WithHint("coldbatch makes one when it first serves phones on the network")
	}
	if err != nil {
		return err
	}
	a, err := openAuthority(*f.data, host, unconstrained)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "%s\n  fingerprint  %s\n  certificate  %s\n  vouches for  %s, until %s\n", a.Name(), a.Fingerprint(),
		filepath.Join(*f.data, authorityFiles[1]), host, a.ExpiresAt().Format(time.DateOnly))
	if renew {
		fmt.Fprintln(c.out, "This authority is new: every phone must trust it, and should remove the old one.")
	}
	return nil
}

// readHostName returns the name of the hub of a data folder, from the running program or
// from the journal.
func readHostName(ctx context.Context, data string) (host string, running bool, err error) {
	if running, err = callProgram(ctx, data, "host", nil, &host); running {
		return host, true, err
	}
	s, err := store.Open(filepath.Join(data, journalFile), store.Options{ReadOnly: true})
	if err != nil {
		return "", false, err
	}
	defer s.Close()
	id, _, err := hub.ReadIdentity(storeJournal{s})
	return id.Host, false, err
}

func fileExists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// removeAuthority removes an authority and the certificate that it signed.
func removeAuthority(data string) error {
	for _, name := range append(authorityFiles, "leaf.key", "leaf.crt") {
		if err := os.Remove(filepath.Join(data, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// copyAuthority copies the authority to files named after a backup. A backup includes it
// only on request: whoever has its key can pass for this hub.
func copyAuthority(data, out string) error {
	for _, name := range authorityFiles {
		text, err := os.ReadFile(filepath.Join(data, name))
		if errors.Is(err, fs.ErrNotExist) {
			return fault.New(fault.NotFound, "the journal was copied, but %s has no authority to copy", data)
		} else if err != nil {
			return err
		}
		to := out + "." + name
		file, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if errors.Is(err, fs.ErrExist) {
			return fault.New(fault.Conflict, "there is already a file %s", to).WithHint("choose another name; existing files are not replaced")
		} else if err != nil {
			return err
		}
		_, err = file.Write(text)
		if err = errors.Join(err, file.Sync(), file.Close()); err != nil {
			return err
		}
	}
	return nil
}
