package main

import (
	"syscall"
	"unsafe"
)

var getDiskFreeSpaceEx = syscall.NewLazyDLL("kernel32.dll").NewProc("GetDiskFreeSpaceExW")

// freeSpace says how many bytes a user may still write onto the disk of a folder.
func freeSpace(folder string) (free uint64, err error) {
	path, err := syscall.UTF16PtrFromString(folder)
	if err != nil {
		return 0, err
	}
	ok, _, err := getDiskFreeSpaceEx.Call(uintptr(unsafe.Pointer(path)), uintptr(unsafe.Pointer(&free)), 0, 0)
	if ok == 0 {
		return 0, err
	}
	return free, nil
}
