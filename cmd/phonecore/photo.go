package main

import "coldbatch/internal/label"

// photoCalls work on the bytes of pictures.
var photoCalls = table{"photo.hash": onBytes(hashPhoto)}

// photoHash is the SHA-256 of a photo in hex, by which facts name it. The page asks the
// core: the browser's own is missing on a phone that reaches the hub without https.
type photoHash struct {
	SHA256 string `json:"sha256"`
}

func hashPhoto(_ struct{}, photo []byte) (photoHash, []byte, error) {
	return photoHash{label.SHA256Hex(string(photo))}, nil, nil
}
