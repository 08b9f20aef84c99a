package main

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"path/filepath"
	"strings"
	"unicode/utf16"
)

// serviceDefinition describes the entry that has the system start the program when the user logs in:
// a user unit of systemd (Linux), a launch agent (macOS) or a scheduled task (Windows).
type serviceDefinition struct {
	system  string   // by its name in runtime.GOOS
	home    string   // folder of the user; on Windows the one for local data
	config  string   // folder of settings on Linux; empty: the usual one
	userID  int      // on macOS
	account string   // of the user on Windows
	command []string // the program and its arguments
}

const (
	unitName  = "coldbatch.service"
	agentName = "local.coldbatch"
	taskName  = "coldbatch"
)

// serviceTools are the programs by which systems are told what to start.
var serviceTools = map[string]string{"linux": "systemctl", "darwin": "launchctl", "windows": "schtasks"}

func (s serviceDefinition) tool() string { return serviceTools[s.system] }

// file is the path of the file that describes the service.
func (s serviceDefinition) file() string {
	switch s.system {
	case "darwin":
		return filepath.Join(s.home, "Library", "LaunchAgents", agentName+".plist")
	case "windows":
		return filepath.Join(s.home, "coldbatch", "task.xml")
	}
	folder := s.config
	if !filepath.IsAbs(folder) { // XDG Base Directory Specification: a relative path is to be ignored
		folder = filepath.Join(s.home, ".config")
	}
	return filepath.Join(folder, "systemd", "user", unitName)
}

// content is the text of that file.
func (s serviceDefinition) content() []byte {
	switch s.system {
	case "darwin":
		return s.launchAgent()
	case "windows":
		return s.scheduledTask()
	}
	return systemdUnit(s.command)
}

// start are the commands that have the system start the program now and at each login.
func (s serviceDefinition) start() [][]string {
	switch s.system {
	case "darwin":
		return [][]string{{"launchctl", "bootstrap", s.domain(), s.file()}}
	case "windows":
		return [][]string{{"schtasks", "/Create", "/TN", taskName, "/XML", s.file(), "/F"}, {"schtasks", "/Run", "/TN", taskName}}
	}
	return [][]string{{"systemctl", "--user", "daemon-reload"}, {"systemctl", "--user", "enable", "--now", unitName}}
}

// stop are the commands that end that.
func (s serviceDefinition) stop() [][]string {
	switch s.system {
	case "darwin":
		return [][]string{{"launchctl", "bootout", s.domain() + "/" + agentName}}
	case "windows":
		return [][]string{{"schtasks", "/End", "/TN", taskName}, {"schtasks", "/Delete", "/TN", taskName, "/F"}}
	}
	return [][]string{{"systemctl", "--user", "disable", "--now", unitName}}
}

// forget are the commands for when the file is gone.
func (s serviceDefinition) forget() [][]string {
	if s.system == "linux" {
		return [][]string{{"systemctl", "--user", "daemon-reload"}}
	}
	return nil
}

// domain is the user's own part of what launchd manages.
func (s serviceDefinition) domain() string { return fmt.Sprintf("gui/%d", s.userID) }

// logPath is the file of what the program logs, where the system keeps no log.
func (s serviceDefinition) logPath() string {
	return filepath.Join(s.home, "Library", "Logs", "coldbatch.log")
}

// logHint says how to read what the program logged.
func (s serviceDefinition) logHint() string {
	switch s.system {
	case "darwin":
		return s.logPath()
	case "windows":
		return "start coldbatch in a window of its own"
	}
	return "journalctl --user --unit coldbatch"
}

// afterInstall says what a person may still want to do.
func (s serviceDefinition) afterInstall() string {
	if s.system == "linux" {
		return "to have it run while you are not logged in: loginctl enable-linger\n"
	}
	return ""
}

// systemdUnit is a unit file (systemd.unit, systemd.service). Where the flags are wrong,
// the program ends with exit status 2: it is not started again.
func systemdUnit(command []string) []byte {
	return fmt.Appendf(nil, `[Unit]
Description=coldbatch, the program and app for dyeing at home

[Service]
ExecStart=%s
Restart=on-failure
RestartSec=5
RestartPreventExitStatus=%d
UMask=0077

[Install]
WantedBy=default.target
`, systemdCommand(command), exitUsage)
}

// systemdCommand quotes a command line by the rules of systemd.service and systemd.syntax:
// in double quotes, with % doubled everywhere, and $ in all but the program's path.
func systemdCommand(words []string) string {
	escape := strings.NewReplacer(`\`, `\\`, `"`, `\"`, `%`, `%%`, "\n", `\n`, "\t", `\t`)
	var quoted []string
	for i, w := range words {
		isPlain := w != "" && !strings.ContainsAny(w, " \t\n\\\"'%$;")
		w = escape.Replace(w)
		if i > 0 {
			w = strings.ReplaceAll(w, "$", "$$")
		}
		if !isPlain {
			w = `"` + w + `"`
		}
		quoted = append(quoted, w)
	}
	return strings.Join(quoted, " ")
}

// launchAgent is a property list (launchd.plist): started at login, and again where it failed.
func (s serviceDefinition) launchAgent() []byte {
	var arguments strings.Builder
	for _, w := range s.command {
		fmt.Fprintf(&arguments, "\t\t<string>%s</string>\n", escapeXML(w))
	}
	return fmt.Appendf(nil, `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0">
<dict>
	<key>Label</key>
	<string>%s</string>
	<key>ProgramArguments</key>
	<array>
%s	</array>
	<key>RunAtLoad</key>
	<true/>
	<key>KeepAlive</key>
	<dict>
		<key>SuccessfulExit</key>
		<false/>
	</dict>
	<key>StandardOutPath</key>
	<string>%[3]s</string>
	<key>StandardErrorPath</key>
	<string>%[3]s</string>
</dict>
</plist>
`, agentName, arguments.String(), escapeXML(s.logPath()))
}

// scheduledTask is a task of the Task Scheduler, in UTF-16 as its tool wants: started at
// login, also on battery, for as long as it runs, and again where it failed.
func (s serviceDefinition) scheduledTask() []byte {
	var arguments []string
	for _, w := range s.command[1:] {
		arguments = append(arguments, quoteWindows(w))
	}
	text := fmt.Sprintf(`<?xml version="1.0" encoding="UTF-16"?>
<Task version="1.2" xmlns="http://schemas.microsoft.com/windows/2004/02/mit/task">
  <RegistrationInfo>
    <Description>coldbatch, the program and app for dyeing at home</Description>
  </RegistrationInfo>
  <Triggers>
    <LogonTrigger>
      <Enabled>true</Enabled>
      <UserId>%[1]s</UserId>
    </LogonTrigger>
  </Triggers>
  <Principals>
    <Principal id="Author">
      <UserId>%[1]s</UserId>
      <LogonType>InteractiveToken</LogonType>
      <RunLevel>LeastPrivilege</RunLevel>
    </Principal>
  </Principals>
  <Settings>
    <MultipleInstancesPolicy>IgnoreNew</MultipleInstancesPolicy>
    <DisallowStartIfOnBatteries>false</DisallowStartIfOnBatteries>
    <StopIfGoingOnBatteries>false</StopIfGoingOnBatteries>
    <ExecutionTimeLimit>PT0S</ExecutionTimeLimit>
    <RestartOnFailure>
      <Interval>PT1M</Interval>
      <Count>10</Count>
    </RestartOnFailure>
  </Settings>
  <Actions Context="Author">
    <Exec>
      <Command>%[2]s</Command>
      <Arguments>%[3]s</Arguments>
    </Exec>
  </Actions>
</Task>
`, escapeXML(s.account), escapeXML(s.command[0]), escapeXML(strings.Join(arguments, " ")))
	b := []byte{0xff, 0xfe} // the mark of little-endian UTF-16
	for _, unit := range utf16.Encode([]rune(strings.ReplaceAll(text, "\n", "\r\n"))) {
		b = binary.LittleEndian.AppendUint16(b, unit)
	}
	return b
}

// quoteWindows quotes an argument so that programs on Windows read it back as it is: a
// backslash is special only before a quotation mark.
func quoteWindows(word string) string {
	if word != "" && !strings.ContainsAny(word, " \t\"") {
		return word
	}
	var b strings.Builder
	b.WriteByte('"')
	backslashes := 0
	for _, r := range word {
		switch r {
		case '\\':
			backslashes++
		case '"':
			b.WriteString(strings.Repeat(`\`, backslashes+1))
			backslashes = 0
		default:
			backslashes = 0
		}
		b.WriteRune(r)
	}
	b.WriteString(strings.Repeat(`\`, backslashes))
	b.WriteByte('"')
	return b.String()
}

func escapeXML(text string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(text)) // a buffer takes everything
	return b.String()
}
