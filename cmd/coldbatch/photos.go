package main

import (
	"fmt"
	"path/filepath"

	"coldbatch/internal/fault"
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

// copyPhotos copies the photos of the folder data beside the backup out, and
// prints it where there are any. One that is damaged is told and not copied.
func (c command) copyPhotos(data, out string) error {
	to := out + "." + photosFolder
	n, problems, err := photosOf(data).CopyTo(to)
	if err != nil {
		return err
	}
	for _, p := range problems {
		fmt.Fprintln(c.err, p)
	}
	if n > 0 {
		fmt.Fprintf(c.out, "and %s to the folder %s\n", count(n, "photo"), to)
	}
	if len(problems) > 0 {
		return fault.New(fault.Damaged, "the journal was copied, but %s could not be", count(len(problems), "photo")).
			WithHint("a phone that has the photo brings it again once the damaged file is taken away")
	}
	return nil
}

// checkPhotos reads every photo of the folder data.
func (c command) checkPhotos(data string) error {
	good, problems, err := photosOf(data).Check()
	if err != nil {
		return err
	}
	for _, p := range problems {
		fmt.Fprintln(c.err, p)
	}
	if n := len(problems); n > 0 {
		return fault.New(fault.Damaged, "of %s %d are damaged", count(good+n, "photo"), n).
			WithHint("take those files away; a phone that has the photo brings it again")
	}
	if good > 0 {
		fmt.Fprintf(c.out, "%s: %s, all good\n", filepath.Join(data, photosFolder), count(good, "photo"))
	}
	return nil
}
