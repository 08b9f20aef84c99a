package main

import (
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

// authority tells whom the phones of this house trust, or founds another one.
func (c command) authority(args []string) error {
	var anew, unconstrained bool
	f := c.flags("authority", func(f *flags) {
		f.BoolVar(&anew, "anew", false, "")
		f.BoolVar(&unconstrained, "unconstrained", false, "")
	})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	if unconstrained && !anew {
		return usage("authority: --unconstrained is a choice for a new one, with --anew")
	}
	host, running, err := hostOf(*f.data)
	switch {
	case err != nil:
		return err
	case anew && running:
		return fault.New(fault.Conflict, "the program that runs shows the authority that there is").WithHint("stop it first")
	case anew:
		err = dropAuthority(*f.data)
	case !exists(filepath.Join(*f.data, authorityFiles[1])):
		err = fault.New(fault.NotFound, "there is no authority in %s yet", *f.data).WithHint("it is made when coldbatch starts in the network")
	}
	if err != nil {
		return err
	}
	a, err := openAuthority(*f.data, host, unconstrained)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "%s\n  fingerprint  %s\n  certificate  %s\n  vouches for  %s, until %s\n", a.Name(), a.Fingerprint(),
		filepath.Join(*f.data, authorityFiles[1]), host, a.Until().Format(time.DateOnly))
	if anew {
		fmt.Fprintln(c.out, "It is new: every phone must trust it anew, and should let go of the one before.")
	}
	return nil
}

// hostOf gives the name that the hub of a data folder has, from the program that
// runs on it or from its file.
func hostOf(data string) (host string, running bool, err error) {
	if running, err = ask(data, "host", nil, &host); running {
		return host, true, err
	}
	s, err := store.Open(filepath.Join(data, journalFile), store.Options{ReadOnly: true})
	if err != nil {
		return "", false, err
	}
	defer s.Close()
	id, _, err := hub.ReadIdentity(bolt{s})
	return id.Host, false, err
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// dropAuthority removes an authority and the certificate that it signed.
func dropAuthority(data string) error {
	for _, name := range append(authorityFiles, "leaf.key", "leaf.crt") {
		if err := os.Remove(filepath.Join(data, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// copyAuthority copies the authority to files named after a backup. It is not part
// of a backup unless asked for: who has its key can pass for this hub.
func copyAuthority(data, out string) error {
	for _, name := range authorityFiles {
		text, err := os.ReadFile(filepath.Join(data, name))
		if errors.Is(err, fs.ErrNotExist) {
			return fault.New(fault.NotFound, "the journal was copied, but there is no authority in %s to copy", data)
		} else if err != nil {
			return err
		}
		to := out + "." + name
		file, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if errors.Is(err, fs.ErrExist) {
			return fault.New(fault.Conflict, "there is already a file %s", to).WithHint("it is not replaced; give another name")
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
