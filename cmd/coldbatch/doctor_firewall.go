package main

import (
	"fmt"
	"strings"
)

// What a firewall lets pass is known to the administrator alone on most systems. This
// looks at what any user may see. What the tools of firewalls print is from memory, except
// that of ufw's own file.
func (d *doctor) checkFirewall() finding {
	if d.state.LocalOnly {
		return goodFinding("it does not matter, since coldbatch runs with --local-only")
	}
	switch d.system {
	case "linux":
		return d.checkLinuxFirewall()
	case "darwin":
		return d.checkMacFirewall()
	case "windows":
		return d.checkWindowsFirewall()
	}
	return finding{unsure, "coldbatch does not know how to ask this system's firewall", d.firewallAdvice()}
}

// firewallAdvice names the ports that phones need.
func (d *doctor) firewallAdvice() string {
	return fmt.Sprintf("if a phone cannot reach coldbatch, allow ports %d and %d (TCP) and 5353 (UDP) in the firewall", d.state.Identity.HTTPPort, d.state.Identity.HTTPSPort)
}

func (d *doctor) checkLinuxFirewall() finding {
	id := d.state.Identity
	if text, err := d.readFile("/etc/ufw/ufw.conf"); err == nil && ufwIsOn(string(text)) {
		return finding{unsure, "the firewall ufw is on, and only root can see what it allows",
			fmt.Sprintf("once: sudo ufw allow %d,%d/tcp && sudo ufw allow 5353/udp", id.HTTPPort, id.HTTPSPort)}
	}
	state, err := d.runCommand("firewall-cmd", "--state")
	if err != nil || strings.TrimSpace(state) != "running" {
		return finding{unsure, "neither ufw nor firewalld is on; other firewalls cannot be seen without root", d.firewallAdvice()}
	}
	open := fmt.Sprintf("once: sudo firewall-cmd --permanent --add-service=mdns --add-port=%d/tcp --add-port=%d/tcp && sudo firewall-cmd --reload", id.HTTPPort, id.HTTPSPort)
	for _, port := range []int{id.HTTPPort, id.HTTPSPort} {
		answer, err := d.runCommand("firewall-cmd", fmt.Sprintf("--query-port=%d/tcp", port))
		switch {
		case strings.TrimSpace(answer) == "no":
			return finding{wrong, fmt.Sprintf("firewalld does not let phones reach port %d", port), open}
		case err != nil || strings.TrimSpace(answer) != "yes":
			return finding{unsure, "firewalld is on, but does not say what it allows", open}
		}
	}
	return goodFinding("firewalld lets phones reach ports %d and %d", id.HTTPPort, id.HTTPSPort)
}

// ufwIsOn reads ENABLED of ufw.conf.
func ufwIsOn(text string) bool {
	for line := range strings.Lines(text) {
		name, value, _ := strings.Cut(strings.TrimSpace(line), "=")
		if name == "ENABLED" {
			return strings.EqualFold(strings.Trim(value, `"' `), "yes")
		}
	}
	return false
}

const macFirewall = "/usr/libexec/ApplicationFirewall/socketfilterfw"

func (d *doctor) checkMacFirewall() finding {
	state, err := d.runCommand(macFirewall, "--getglobalstate")
	switch {
	case err != nil:
		return finding{unsure, "the firewall does not say how it is set", d.firewallAdvice()}
	case strings.Contains(state, "State = 0"):
		return goodFinding("the firewall is off")
	}
	app, err := d.runCommand(macFirewall, "--getappblocked", d.program)
	switch app = strings.ToLower(app); {
	case err == nil && strings.Contains(app, "blocked"):
		return finding{wrong, "the firewall blocks coldbatch", "System Settings › Network › Firewall › Options: allow incoming connections for coldbatch"}
	case err == nil && strings.Contains(app, "permitted"):
		return goodFinding("the firewall allows coldbatch")
	}
	return finding{unsure, "the firewall is on", "if it asks whether coldbatch may accept connections, allow it"}
}

func (d *doctor) checkWindowsFirewall() finding {
	category, err := d.runCommand("powershell", "-NoProfile", "-Command", "(Get-NetConnectionProfile).NetworkCategory")
	private := "Settings › Network & internet › the network: set it to Private; then allow coldbatch for private networks"
	switch {
	case err != nil:
		return finding{unsure, "Windows does not say what kind of network this is", private}
	case strings.Contains(category, "Public"):
		return finding{wrong, "Windows treats this network as public and keeps phones out", private}
	}
	return finding{unsure, "the network is private; it is not known whether the firewall allows coldbatch", "when Windows asks, allow coldbatch for private networks"}
}
