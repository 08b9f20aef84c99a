package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
)

// writeNewFile has write fill a temporary file in path's folder, syncs it, and
// names it path. It replaces nothing: if there is such a file, it returns
// fs.ErrExist. When it returns nil, the file and its name are on the disk.
func writeNewFile(path string, write func(*os.File) error) (err error) {
	dir := filepath.Dir(path)
	temp, err := os.CreateTemp(dir, filepath.Base(path)+".new-*") // mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(temp.Name())
	err = write(temp)
	if err == nil {
		err = temp.Sync()
	}
	if err = errors.Join(err, temp.Close()); err != nil {
		return err
	}
	if err := linkNew(temp.Name(), path); err != nil {
		return err
	}
	return syncFolder(dir)
}

// linkNew names the file temp path and returns fs.ErrExist if there is a file of
// that name. A link does that in one step; on a disk without links it looks first
// and then renames.
func linkNew(temp, path string) error {
	err := os.Link(temp, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		return fs.ErrExist
	}
	return os.Rename(temp, path)
}

// makeFolder makes a folder and those above it that are missing, mode 0700, and
// syncs the folder above each. It syncs the one above dir also if dir is there: a
// program may have been killed between the two steps.
func makeFolder(dir string) error {
	above := filepath.Dir(dir)
	err := os.Mkdir(dir, dirMode)
	if errors.Is(err, fs.ErrNotExist) && above != dir {
		if err := makeFolder(above); err != nil {
			return err
		}
		err = os.Mkdir(dir, dirMode)
	}
	if errors.Is(err, fs.ErrExist) {
		if info, statErr := os.Stat(dir); statErr != nil || !info.IsDir() {
			return &fs.PathError{Op: "mkdir", Path: dir, Err: syscall.ENOTDIR}
		}
		err = nil
	}
	if err != nil {
		return err
	}
	return syncFolder(above)
}

// syncFolder puts the names in a folder on the disk, on systems that can do that.
func syncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	if err = d.Sync(); errors.Is(err, syscall.EINVAL) || errors.Is(err, errors.ErrUnsupported) {
		return nil // this file system syncs names by itself, or not at all
	}
	return err
}
