//go:build unix

package hubtest

import "syscall"

// Freeze makes the program hang: it takes connections and answers nothing, until Thaw.
func (h *Hub) Freeze() { h.signal(syscall.SIGSTOP) }

// Thaw lets a program that hangs go on.
func (h *Hub) Thaw() { h.signal(syscall.SIGCONT) }

func (h *Hub) signal(s syscall.Signal) {
	h.t.Helper()
	if err := h.cmd.Process.Signal(s); err != nil {
		h.t.Fatal(err)
	}
}
