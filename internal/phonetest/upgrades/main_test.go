//go:build unix

package upgrades_test

import (
	"os"
	"testing"

	"coldbatch/internal/hubtest"
)

func TestMain(m *testing.M) { os.Exit(hubtest.WithCleanup(m).Run()) }
