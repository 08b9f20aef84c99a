//go:build !linux && !darwin && !windows

package main

import "errors"

func freeSpace(string) (uint64, error) { return 0, errors.ErrUnsupported }
