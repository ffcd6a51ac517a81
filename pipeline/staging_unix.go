//go:build !windows

package pipeline

import (
	"errors"
	"os"

	"github.com/gofrs/flock"
)

// lockSuffix ends the names of files that lock a folder: there are none.
const lockSuffix = ""

// lockOf returns the lock of a folder. It is on the folder itself, so that it
// moves with it and leaves no file behind.
func lockOf(path string) *flock.Flock { return flock.New(path, flock.SetFlag(os.O_RDONLY)) }

// release gives a lock up.
func release(lock *flock.Flock) error { return lock.Unlock() }

// syncFile sees a file to the disk.
func syncFile(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// syncFolder sees the entries of a folder to the disk.
func syncFolder(path string) error { return syncFile(path) }
