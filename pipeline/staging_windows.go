package pipeline

import (
	"errors"
	"os"

	"github.com/gofrs/flock"
)

// lockSuffix ends the names of files that lock a folder.
const lockSuffix = ".lock"

// lockOf returns the lock of a folder. It is on a file beside it, as Windows locks no
// folder, and moves none in which a file is open.
func lockOf(path string) *flock.Flock { return flock.New(path + lockSuffix) }

// release gives a lock up, and removes its file.
func release(lock *flock.Flock) error {
	if !lock.Locked() {
		return nil
	}
	return errors.Join(lock.Unlock(), os.Remove(lock.Path()))
}

// syncFile sees a file to the disk, for which it has to be open to be written.
func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// syncFolder does nothing: Windows writes the entries of folders by itself, and has no
// call that a user may wait with.
func syncFolder(string) error { return nil }
