package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"time"

	"coldbatch/internal/api"
	"coldbatch/internal/fault"
)

// pairingInfo is what a person needs to pair a phone.
type pairingInfo struct {
	JoinURL     string          `json:"page"` // of the joining page
	Fingerprint string          `json:"fingerprint,omitempty"`
	Invitation  *api.Invitation `json:"invitation"`
}

// invite makes a new invitation for an owner's phone.
func (p *Program) invite(ctx context.Context) (*pairingInfo, error) {
	if p.network == nil {
		return nil, fault.New(fault.Conflict, "the program serves only this computer, so no phone can be paired").
			WithHint("start it without --local-only")
	}
	invitation, err := p.journalHub.Invite(ctx, p.journalHub.LocalAsker())
	if err != nil {
		return nil, err
	}
	network := p.network.current()
	return &pairingInfo{network.JoinURL(), network.Fingerprint, invitation}, nil
}

// inviteFirstPhone returns an invitation where no phone is paired yet, else nil.
func (p *Program) inviteFirstPhone(ctx context.Context) (*pairingInfo, error) {
	if p.network == nil || p.Example {
		return nil, nil
	}
	phones, err := p.journalHub.Phones(ctx, p.journalHub.LocalAsker())
	if err != nil {
		return nil, err
	}
	for _, phone := range phones {
		if phone.IsPaired {
			return nil, nil
		}
	}
	return p.invite(ctx)
}

// print says how to pair a phone. In the address of the QR code the code comes after a
// #, so that a browser does not send it over plain http.
func (i *pairingInfo) print(w io.Writer) error {
	fmt.Fprintf(w, "\nTo pair a phone: on a phone on this network, open\n\n  %s\n\nor scan\n\n", i.JoinURL)
	if err := printQR(w, i.JoinURL+"/#"+i.Invitation.Code); err != nil {
		return err
	}
	if i.Fingerprint != "" {
		fmt.Fprintf(w, "\nThe page helps the phone to trust this program. Fingerprint to compare:\n  %s\n", i.Fingerprint)
	}
	until := time.UnixMilli(int64(i.Invitation.DigitsExpireAt)).Format("15:04")
	_, err := fmt.Fprintf(w, "\nThen pair it in the app: type the code  %s  (for one phone, until %s), or open\n  %s\n`coldbatch pair` makes a new one.\n\n",
		i.Invitation.Digits, until, i.Invitation.Address)
	return err
}

// pair prints a new invitation of the running program.
func (c command) pair(args []string) error {
	f := c.flags("pair", func(*flags) {})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	var info pairingInfo
	running, err := callProgram(c.ctx, *f.data, "pair", nil, &info)
	if err != nil {
		return err
	}
	if !running {
		return fault.New(fault.Unavailable, "coldbatch is not running on %s", filepath.Join(*f.data, journalFile)).
			WithHint("start coldbatch, then run `coldbatch pair` while it runs")
	}
	return info.print(c.out)
}
