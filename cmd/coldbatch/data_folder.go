package main

import (
	"path/filepath"
	"runtime"
	"strings"

	"coldbatch/internal/hub"
)

// The files of the data folder.
const (
	journalFile = "coldbatch.db"
	exampleFile = "example.db"
)

// dataFolder is the data folder where no flag names one: COLDBATCH_DATA, else the default.
func (c command) dataFolder() string {
	if dir := c.env("COLDBATCH_DATA"); dir != "" {
		return dir
	}
	return c.defaultFolder()
}

// defaultFolder is where programs on this system keep a user's data. Without a home folder
// it is coldbatch-data in the current folder.
func (c command) defaultFolder() string {
	switch runtime.GOOS {
	case "windows":
		if dir := c.env("LocalAppData"); dir != "" {
			return filepath.Join(dir, "coldbatch")
		}
	case "darwin":
		if home := c.env("HOME"); home != "" {
			return filepath.Join(home, "Library", "Application Support", "coldbatch")
		}
	default:
		// XDG Base Directory Specification: a relative path is to be ignored.
		if dir := c.env("XDG_DATA_HOME"); filepath.IsAbs(dir) {
			return filepath.Join(dir, "coldbatch")
		}
		if home := c.env("HOME"); home != "" {
			return filepath.Join(home, ".local", "share", "coldbatch")
		}
	}
	return "coldbatch-data"
}

// machineZone returns the IANA name of the machine's time zone: from TZ, else from
// /etc/localtime, else UTC.
func (c command) machineZone() string {
	names := []string{strings.TrimPrefix(c.env("TZ"), ":")}
	if to, err := filepath.EvalSymlinks("/etc/localtime"); err == nil {
		_, name, _ := strings.Cut(filepath.ToSlash(to), "zoneinfo/")
		names = append(names, name)
	}
	for _, name := range names {
		if _, err := hub.ZoneTable(name, 0, 0); err == nil {
			return name
		}
	}
	return "UTC"
}
