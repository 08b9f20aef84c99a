//go:build linux

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/need"
)

// A real systemd, that of a user, starts the installed service, starts it again after a
// kill, and forgets it once it is removed. It runs with mounts and a group of processes of
// its own, for which this test must be root.
func TestSystemdRunsTheService(t *testing.T) {
	need.CI(t)
	for _, program := range []string{"unshare", "dbus-daemon", "systemctl", "bash"} {
		need.Program(t, program)
	}
	if os.Geteuid() != 0 {
		t.Skip("only root may mount")
	}
	const systemd = "/usr/lib/systemd/systemd"
	if _, err := os.Stat(systemd); err != nil {
		t.Skipf("there is no %s", systemd)
	}
	folder := t.TempDir()
	cmd := exec.Command("unshare", "--mount", "timeout", "120", "bash", "-euc", underSystemd, "bash",
		systemd, hubtest.Binary(t), folder, strconv.Itoa(hubtest.FreePort(t)), strconv.Itoa(hubtest.FreePort(t)), "coldbatch-test-"+strconv.Itoa(os.Getpid()))
	out, err := cmd.CombinedOutput()
	want := []string{"was active, enabled", "status 0", "killed, and active again", "check 0", "removed, and inactive", "status 1", "end"}
	said := string(out)
	for _, text := range want {
		_, rest, found := strings.Cut(said, text)
		if !found {
			log, _ := os.ReadFile(filepath.Join(folder, "log"))
			t.Fatalf("%v: it does not say %q in its place:\n%s\nsystemd says\n%s", err, text, out, log)
		}
		said = rest
	}
}

const underSystemd = `
systemd=$1 coldbatch=$2 folder=$3 port=$4 https=$5 group=/sys/fs/cgroup/$6
mount --make-rprivate /
mount -t tmpfs none /run/systemd
mkdir /run/systemd/system # systemd asks for it, to see that it may run here
umount -R /sys/fs/cgroup || true
mount -t cgroup2 none /sys/fs/cgroup
mkdir "$group"
echo $$ >"$group/cgroup.procs"
export HOME=$folder/home XDG_RUNTIME_DIR=$folder/run COLDBATCH_DATA=$folder/data
unset XDG_CONFIG_HOME
export DBUS_SESSION_BUS_ADDRESS=unix:path=$folder/run/bus
mkdir -m 700 "$HOME" "$XDG_RUNTIME_DIR"
dbus-daemon --session --address="$DBUS_SESSION_BUS_ADDRESS" --nofork --nopidfile &
bus=$!
SYSTEMD_LOG_TARGET=console "$systemd" --user >"$folder/log" 2>&1 &
manager=$!
finish() {
	kill -TERM $manager; wait $manager || true
	kill -TERM $bus; wait $bus || true
	echo $$ >/sys/fs/cgroup/cgroup.procs
	find "$group" -depth -type d -exec rmdir {} \; || true
}
trap finish EXIT
until [ -S "$XDG_RUNTIME_DIR/systemd/private" ] && [ "$(systemctl --user is-system-running)" = running ]; do sleep 0.2; done

"$coldbatch" service install --port "$port" --https "$https"
echo "was $(systemctl --user is-active coldbatch), $(systemctl --user is-enabled coldbatch)"
"$coldbatch" service status; echo "status $?"
kill -KILL "$(systemctl --user show --property MainPID --value coldbatch)"
until "$coldbatch" service status >/dev/null 2>&1; do sleep 0.2; done
echo "killed, and $(systemctl --user is-active coldbatch) again"
"$coldbatch" check; echo "check $?"
"$coldbatch" service remove
echo "removed, and $(systemctl --user is-active coldbatch || true)"
"$coldbatch" service status || echo "status $?"
echo end
`
