package main

import (
	"fmt"
	"io"
	"path/filepath"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
)

// doorway is what a person needs to bring a phone in.
type doorway struct {
	Page        string          `json:"page"` // the joining page, by address
	Fingerprint string          `json:"fingerprint,omitempty"`
	Invitation  *hub.Invitation `json:"invitation"`
}

// invite makes a fresh invitation for an owner's phone.
func (p *Program) invite() (*doorway, error) {
	if p.network == nil {
		return nil, fault.New(fault.Conflict, "the program answers on this computer alone, so no phone can be paired").
			WithHint("start it without --here")
	}
	invitation, err := p.real.Invite(p.real.LocalAsker())
	if err != nil {
		return nil, err
	}
	shown := p.network.now()
	return &doorway{shown.Door(), shown.Fingerprint, invitation}, nil
}

// firstPhone gives an invitation where no phone is paired yet, else nil.
func (p *Program) firstPhone() (*doorway, error) {
	if p.network == nil || p.Example {
		return nil, nil
	}
	phones, err := p.real.Phones(p.real.LocalAsker())
	if err != nil {
		return nil, err
	}
	for _, phone := range phones {
		if phone.Paired {
			return nil, nil
		}
	}
	return p.invite()
}

// print tells how a phone is brought in. The code in the address of the QR code
// stands behind a #, so a browser does not send it over the plain network.
func (d *doorway) print(w io.Writer) error {
	fmt.Fprintf(w, "\nTo bring in a phone: in this network, open on it\n\n  %s\n\nor scan\n\n", d.Page)
	if err := drawCode(w, d.Page+"/#"+d.Invitation.Code); err != nil {
		return err
	}
	if d.Fingerprint != "" {
		fmt.Fprintf(w, "\nThe page helps the phone to trust this program. Fingerprint to compare:\n  %s\n", d.Fingerprint)
	}
	until := time.UnixMilli(int64(d.Invitation.Until)).Format("15:04")
	_, err := fmt.Fprintf(w, "\nThen pair it, in the app: type the code  %s  (good once, until %s), or open\n  %s\n`coldbatch pair` gives a fresh one.\n\n",
		d.Invitation.Digits, until, d.Invitation.Address)
	return err
}

// pair prints a fresh invitation of the program that runs.
func (c command) pair(args []string) error {
	f := c.flags("pair", func(*flags) {})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	var d doorway
	running, err := ask(*f.data, "pair", nil, &d)
	if err != nil {
		return err
	}
	if !running {
		return fault.New(fault.Unavailable, "no program runs on %s", filepath.Join(*f.data, journalFile)).
			WithHint("start coldbatch, then run `coldbatch pair` beside it")
	}
	return d.print(c.out)
}
