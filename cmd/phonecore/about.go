package main

import "coldbatch/internal/batch"

// aboutCalls say which core this is.
var aboutCalls = callTable{
	"about": jsonCall(func(struct{}) (coreInfo, error) { return coreInfo{batch.CacheVersion}, nil }),
}

// coreInfo is what a page must know of the core.
type coreInfo struct {
	CacheVersion int `json:"cacheVersion"` // a state cached under another version is built again
}
