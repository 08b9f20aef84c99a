//go:build linux || darwin

package main

import "syscall"

// freeSpace says how many bytes a user may still write into the file system of a folder.
func freeSpace(folder string) (uint64, error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(folder, &s); err != nil {
		return 0, err
	}
	return uint64(s.Bavail) * uint64(s.Bsize), nil
}
