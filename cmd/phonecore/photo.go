package main

import (
	"coldbatch/internal/label"
	"coldbatch/internal/photo"
)

// photoCalls work on the bytes of photos.
var photoCalls = callTable{
	"photo.hash": onBytes(hashPhoto),
}

// photoHash is the SHA-256 of a photo in hex, by which facts name it. The core computes it
// because browsers offer SHA-256 only to pages loaded by https.
type photoHash struct {
	SHA256 string `json:"sha256"`
}

// hashPhoto refuses what the hub would refuse, before the page unpacks it.
func hashPhoto(_ struct{}, b []byte) (photoHash, []byte, error) {
	if _, err := photo.Check(b); err != nil {
		return photoHash{}, nil, err
	}
	return photoHash{label.SHA256Hex(string(b))}, nil, nil
}
