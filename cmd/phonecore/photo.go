package main

import "coldbatch/internal/label"

// photoCalls work on the bytes of photos.
var photoCalls = callTable{
	"photo.hash": onBytes(hashPhoto),
}

// photoHash is the SHA-256 of a photo in hex, by which facts name it. The core computes it
// because browsers offer SHA-256 only to pages loaded by https.
type photoHash struct {
	SHA256 string `json:"sha256"`
}

func hashPhoto(_ struct{}, photo []byte) (photoHash, []byte, error) {
	return photoHash{label.SHA256Hex(string(photo))}, nil, nil
}
