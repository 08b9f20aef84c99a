//go:build unix

package pairing_test

import (
	"os"
	"testing"

	"coldbatch/internal/hubtest"
)

func TestMain(m *testing.M) { os.Exit(hubtest.WithCleanup(m).Run()) }
