package main

import (
	"bytes"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"howett.net/plist"

	"coldbatch/internal/need"
)

// oddCommand is a command line with all that a quoting rule can get wrong.
var oddCommand = []string{`/home/ann e/50 % $dye/coldbatch`, "--data", `/home/ann e/50 % $HOME\`, "--on-ready", `it's <&>; here`}

var testServices = []serviceDefinition{
	{system: "linux", home: "/home/ann", command: oddCommand},
	{system: "darwin", home: "/Users/ann", userID: 501, command: oddCommand},
	{system: "windows", home: `C:\Users\ann\AppData\Local`, account: `HOUSE\ann`, command: []string{`C:\Users\ann e\coldbatch.exe`, "--data", `C:\Users\ann e\data\`, "--name", `a "quoted" name`}},
}

// What a service's file says is what testdata/service has, which people have read.
// COLDBATCH_GOLDEN=1 writes those files again.
func TestServiceFiles(t *testing.T) {
	files := map[string][]byte{"packaged.service": systemdUnit([]string{"/usr/bin/coldbatch"})}
	for _, s := range testServices {
		files[s.system+filepath.Ext(s.file())] = s.content()
	}
	for name, text := range files {
		path := filepath.Join("..", "..", "testdata", "service", name)
		if os.Getenv("COLDBATCH_GOLDEN") != "" {
			must(t, os.MkdirAll(filepath.Dir(path), 0o755))
			must(t, os.WriteFile(path, text, 0o644))
		}
		want, err := os.ReadFile(path)
		must(t, err)
		if !bytes.Equal(text, want) {
			t.Errorf("%s is\n%s\nin testdata it is\n%s", name, text, want)
		}
	}
}

// systemd itself finds nothing wrong with a unit, and reads back the command line.
func TestSystemdReadsTheUnit(t *testing.T) {
	analyze := need.Program(t, "systemd-analyze")
	folder := t.TempDir()
	program := filepath.Join(folder, `dye works $50 %`)
	must(t, os.WriteFile(program, []byte("#!/bin/sh\n"), 0o755))
	var units []string
	write := func(name string, text []byte) string {
		unit := filepath.Join(folder, name)
		must(t, os.WriteFile(unit, text, 0o644))
		return unit
	}
	for name, command := range map[string][]string{"plain.service": {program}, "odd.service": append([]string{program}, oddCommand[1:]...)} {
		units = append(units, write(name, systemdUnit(command)))
	}
	verify := func(units ...string) (string, error) {
		cmd := exec.Command(analyze, append([]string{"--user", "verify"}, units...)...)
		cmd.Env = append(os.Environ(), "XDG_RUNTIME_DIR="+folder)
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := verify(units...); err != nil || strings.Contains(out, folder) {
		t.Errorf("systemd says: %v\n%s", err, out)
	}
	bad := write("bad.service", bytes.Replace(systemdUnit([]string{program}), []byte("ExecStart="), []byte("ExecBegin="), 1))
	if out, err := verify(bad); err == nil && !strings.Contains(out, "ExecBegin") {
		t.Errorf("systemd finds nothing wrong with a unit that starts nothing:\n%s", out)
	}
}

// A reader of property lists that is not ours reads back what launchd is to start.
func TestLaunchAgentIsRead(t *testing.T) {
	var got struct {
		Label             string
		ProgramArguments  []string
		RunAtLoad         bool
		KeepAlive         map[string]bool
		StandardOutPath   string
		StandardErrorPath string
	}
	s := testServices[1]
	if _, err := plist.Unmarshal(s.content(), &got); err != nil {
		t.Fatal(err)
	}
	again, starts := got.KeepAlive["SuccessfulExit"]
	if got.Label != agentName || !slices.Equal(got.ProgramArguments, oddCommand) || !got.RunAtLoad || again || !starts || got.StandardOutPath != "/Users/ann/Library/Logs/coldbatch.log" {
		t.Errorf("it reads %+v", got)
	}
	if s.file() != filepath.FromSlash("/Users/ann/Library/LaunchAgents/local.coldbatch.plist") {
		t.Errorf("its file is %s", s.file())
	}
}

// The task is read back from UTF-16 by a reader that is not ours, and its arguments by the
// rules that programs on Windows split them by.
func TestScheduledTaskIsRead(t *testing.T) {
	s := testServices[2]
	b := s.content()
	if !bytes.HasPrefix(b, []byte{0xff, 0xfe}) || len(b)%2 != 0 {
		t.Fatalf("it is not UTF-16 with its mark: % x …", b[:4])
	}
	var units []uint16
	for i := 2; i < len(b); i += 2 {
		units = append(units, uint16(b[i])|uint16(b[i+1])<<8)
	}
	var got struct {
		XMLName  xml.Name `xml:"http://schemas.microsoft.com/windows/2004/02/mit/task Task"`
		Trigger  string   `xml:"Triggers>LogonTrigger>UserId"`
		User     string   `xml:"Principals>Principal>UserId"`
		Limit    string   `xml:"Settings>ExecutionTimeLimit"`
		Command  string   `xml:"Actions>Exec>Command"`
		Argument string   `xml:"Actions>Exec>Arguments"`
	}
	text := strings.Replace(string(utf16.Decode(units)), `encoding="UTF-16"`, `encoding="UTF-8"`, 1) // it is that now
	if err := xml.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	if got.User != s.account || got.Trigger != s.account || got.Limit != "PT0S" || got.Command != s.command[0] || !slices.Equal(splitWindows(got.Argument), s.command[1:]) {
		t.Errorf("it reads %+v", got)
	}
}

// splitWindows splits a command line as programs on Windows do: 2n backslashes and a
// quotation mark are n backslashes and the mark of a quotation; 2n+1 are n backslashes and
// the sign itself; others are as they are (Microsoft, Parsing C++ command-line arguments).
func splitWindows(line string) (words []string) {
	var word strings.Builder
	isQuoted, isWord, backslashes := false, false, 0
	for _, r := range line + " " {
		if r == '\\' {
			backslashes++
			isWord = true
			continue
		}
		if r == '"' {
			word.WriteString(strings.Repeat(`\`, backslashes/2))
			if backslashes%2 == 1 {
				word.WriteByte('"')
			} else {
				isQuoted = !isQuoted
			}
			isWord, backslashes = true, 0
			continue
		}
		word.WriteString(strings.Repeat(`\`, backslashes))
		backslashes = 0
		if r == ' ' && !isQuoted {
			if isWord {
				words = append(words, word.String())
			}
			word.Reset()
			isWord = false
			continue
		}
		isWord = true
		word.WriteRune(r)
	}
	return words
}

// What each system is told.
func TestServiceCommands(t *testing.T) {
	var b strings.Builder
	for _, s := range testServices {
		for name, commands := range map[string][][]string{"start": s.start(), "stop": s.stop(), "forget": s.forget()} {
			for _, words := range commands {
				if words[0] != s.tool() {
					t.Errorf("%s: %s runs %q, not %s", s.system, name, words[0], s.tool())
				}
			}
		}
		for _, commands := range [][][]string{s.start(), s.stop(), s.forget()} {
			for _, words := range commands {
				b.WriteString(strings.Join(words, " ") + "\n")
			}
		}
	}
	want := `systemctl --user daemon-reload
systemctl --user enable --now coldbatch.service
systemctl --user disable --now coldbatch.service
systemctl --user daemon-reload
launchctl bootstrap gui/501 /Users/ann/Library/LaunchAgents/local.coldbatch.plist
launchctl bootout gui/501/local.coldbatch
schtasks /Create /TN coldbatch /XML C:\Users\ann\AppData\Local/coldbatch/task.xml /F
schtasks /Run /TN coldbatch
schtasks /End /TN coldbatch
schtasks /Delete /TN coldbatch /F
`
	if filepath.Separator == '/' && b.String() != want {
		t.Errorf("they are told\n%s", b.String())
	}
}
