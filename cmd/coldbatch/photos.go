package main

import (
	"path/filepath"

	"coldbatch/internal/rights"
	"coldbatch/internal/store"
)

// photosFolder holds the photos of a data folder, and added to the name of a
// backup those of the backup.
const photosFolder = "photos"

// photosOf gives the photos beside the journal in the folder data.
func photosOf(data string) store.Photos { return store.PhotosIn(filepath.Join(data, photosFolder)) }

// album is the photos as the web asks for them: whoever sees an entry that names
// a photo sees it.
type album struct {
	store.Photos
	sees func(who rights.Asker, hash string) (bool, error)
}

func (a album) Sees(who rights.Asker, hash string) (bool, error) { return a.sees(who, hash) }
