package store

import (
	"errors"
	"fmt"
	"io/fs"
	"runtime"
	"strings"
	"syscall"

	berrors "go.etcd.io/bbolt/errors"

	"coldbatch/internal/fault"
)

// damagedFault says that the file cannot be used, and why.
func damagedFault(path, format string, args ...any) *fault.Fault {
	return fault.New(fault.Damaged, "the file %s is damaged or not a coldbatch file: %s", path, fmt.Sprintf(format, args...)).
		WithHint("nothing was changed; keep the file, and put a backup in its place")
}

// asFault turns an error of bbolt or of the system about the file at path into a
// fault. A fault stays as it is.
func asFault(path string, err error) error {
	var f *fault.Fault
	switch {
	case err == nil:
		return nil
	case errors.As(err, &f):
		return f
	case errors.Is(err, berrors.ErrTimeout):
		return fault.New(fault.Locked, "the file %s is in use by another coldbatch", path).
			WithHint("stop it first")
	case isDiskFull(err):
		return fault.New(fault.Full, "there is no space on the disk for %s", path).
			WithHint("free some disk space; everything saved earlier is safe, but the latest entries were not saved")
	case errors.Is(err, fs.ErrNotExist):
		return fault.New(fault.NotFound, "there is no file %s", path)
	case errors.Is(err, fs.ErrExist):
		return fault.New(fault.Conflict, "there is already a file %s", path).WithHint("choose another name; existing files are not replaced")
	case errors.Is(err, fs.ErrPermission):
		return fault.New(fault.Refused, "this program is not allowed to use %s", path).
			WithHint("the file and its folder must belong to whoever runs coldbatch")
	case errors.Is(err, syscall.EROFS):
		return fault.New(fault.Refused, "the disk that holds %s is read-only", path)
	case errors.Is(err, syscall.EISDIR):
		return damagedFault(path, "it is a folder")
	case errors.Is(err, syscall.ENOTDIR):
		return fault.New(fault.NotFound, "part of the path %s is a file, not a folder", path)
	case errors.Is(err, berrors.ErrVersionMismatch):
		return damagedFault(path, "its pages are laid out in a way this program does not know")
	case errors.Is(err, berrors.ErrInvalid), errors.Is(err, berrors.ErrChecksum):
		return damagedFault(path, "its first pages cannot be read")
	case strings.HasPrefix(err.Error(), "file size too small"): // bbolt exports no error value for this
		return damagedFault(path, "it is cut short within its first pages")
	case errors.Is(err, berrors.ErrDatabaseNotOpen):
		return fault.New(fault.Unavailable, "the file %s is closed", path)
	case errors.Is(err, berrors.ErrDatabaseReadOnly), errors.Is(err, berrors.ErrTxNotWritable):
		return fault.New(fault.Conflict, "the file %s was opened for reading only", path)
	}
	return fault.New(fault.Internal, "the file %s cannot be used: %v", path, err).
		WithHint("check the disk, then start coldbatch again")
}

// isDiskFull reports whether err means that there is no room: on the disk, in the quota,
// or below the largest size a file may have. bbolt returns some of them as text
// only, so the text is compared too.
func isDiskFull(err error) bool {
	for _, e := range diskFullErrors {
		if errors.Is(err, e) || strings.Contains(err.Error(), e.Error()) {
			return true
		}
	}
	return false
}

var diskFullErrors = func() []syscall.Errno {
	if runtime.GOOS == "windows" {
		return []syscall.Errno{39, 112} // ERROR_HANDLE_DISK_FULL, ERROR_DISK_FULL
	}
	return []syscall.Errno{syscall.ENOSPC, syscall.EDQUOT, syscall.EFBIG}
}()
