package main

import (
	"fmt"
	"path/filepath"

	"coldbatch/internal/fault"
	"coldbatch/internal/store"
)

// photosFolder is the folder of photos in a data folder. A backup's photos are in a folder
// named after the backup, a dot and photosFolder.
const photosFolder = "photos"

// photosIn returns the photos of the folder data.
func photosIn(data string) store.Photos { return store.NewPhotos(filepath.Join(data, photosFolder)) }

// copyPhotos copies the photos of the folder data next to the backup out. It reports
// damaged ones and does not copy them.
func (c command) copyPhotos(data, out string) error {
	to := out + "." + photosFolder
	n, problems, err := photosIn(data).CopyTo(to)
	if err != nil {
		return err
	}
	for _, p := range problems {
		fmt.Fprintln(c.err, p)
	}
	if n > 0 {
		fmt.Fprintf(c.out, "and %s to the folder %s\n", plural(n, "photo"), to)
	}
	if len(problems) > 0 {
		return fault.New(fault.Damaged, "the journal was copied, but %s could not be", plural(len(problems), "photo")).
			WithHint("delete the damaged file; a phone that has the photo then sends it again")
	}
	return nil
}

// checkPhotos checks every photo of the folder data.
func (c command) checkPhotos(data string) error {
	good, problems, err := photosIn(data).Check()
	if err != nil {
		return err
	}
	for _, p := range problems {
		fmt.Fprintln(c.err, p)
	}
	if n := len(problems); n > 0 {
		return fault.New(fault.Damaged, "of %s, %d are damaged", plural(good+n, "photo"), n).
			WithHint("delete those files; a phone that has the photo then sends it again")
	}
	if good > 0 {
		fmt.Fprintf(c.out, "%s: %s, all good\n", filepath.Join(data, photosFolder), plural(good, "photo"))
	}
	return nil
}
