package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"github.com/gofrs/flock"
	"golang.org/x/sync/errgroup"
)

// staging is a folder in the making. It stands beside its final place under a
// name of its own and is moved there whole, so that a results folder is either
// complete or not there, whenever the run may die.
type staging struct {
	path  string // where files are written; "" once it was committed
	final string
	lock  *flock.Flock
	spare func(name string) bool // files that a test does without; nil for none
}

// errTaken is returned for a results folder that is there already.
var errTaken = errors.New("is already there; name another folder, or move this one away")

// stage prepares the folder final. The folder in the making is locked as long
// as its run lives; what an earlier run that died has left beside it is cleared.
func stage(final string) (*staging, error) {
	final = filepath.Clean(final)
	parent, prefix := filepath.Dir(final), "."+filepath.Base(final)+".unfinished-"
	if info, err := os.Stat(parent); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no folder %s to write %s in; make it first", parent, filepath.Base(final))
	} else if err != nil {
		return nil, fmt.Errorf("the folder to write in: %w", err)
	} else if !info.IsDir() {
		return nil, fmt.Errorf("the folder to write in: %s is a file", parent)
	}
	if _, err := os.Lstat(final); err == nil {
		return nil, fmt.Errorf("%s %w, such as by: mv %[1]s %[1]s-before", final, errTaken)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	if err := clearDead(parent, prefix); err != nil {
		return nil, fmt.Errorf("clear what an earlier run left: %w", err)
	}
	path, lock, err := makeLocked(parent, prefix)
	if err != nil {
		return nil, fmt.Errorf("the folder to write in: %w", err)
	}
	s := &staging{path: path, final: final, lock: lock}
	// Made for one user alone; as a place for results it is for all.
	if err := os.Chmod(path, 0o755); err != nil {
		return nil, errors.Join(err, s.discard())
	}
	return s, nil
}

// stageAside prepares a folder that is never moved anywhere, among the
// system's temporary ones and for this user alone. It is removed by discard or,
// where its run dies, by the next one.
func stageAside() (*staging, error) {
	parent, prefix := os.TempDir(), fmt.Sprintf(".ashtally-%d.unfinished-", os.Getuid())
	// What cannot be cleared there may be another's, and is not in the way.
	_ = clearDead(parent, prefix)
	path, lock, err := makeLocked(parent, prefix)
	if err != nil {
		return nil, fmt.Errorf("the folder for temporary files: %w", err)
	}
	return &staging{path: path, lock: lock}, nil
}

// clearDead removes the folders of runs that no longer live.
func clearDead(parent, prefix string) error {
	entries, err := os.ReadDir(parent)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), prefix) || !e.IsDir() && !isLock(e.Name()) {
			continue
		}
		path := filepath.Join(parent, strings.TrimSuffix(e.Name(), lockSuffix))
		lock := lockOf(path)
		if ours, err := lock.TryLock(); err != nil || !ours {
			continue // its run lives, or it is gone
		}
		if err := errors.Join(os.RemoveAll(path), release(lock)); err != nil {
			return err
		}
	}
	return nil
}

// isLock reports whether a name is that of a file that locks a folder.
func isLock(name string) bool { return lockSuffix != "" && strings.HasSuffix(name, lockSuffix) }

// makeLocked makes a folder and locks it. Another run may take it for dead in
// between and remove it; then there is another try.
func makeLocked(parent, prefix string) (string, *flock.Flock, error) {
	const tries = 10
	for range tries {
		path, err := os.MkdirTemp(parent, prefix)
		if err != nil {
			return "", nil, err
		}
		lock := lockOf(path)
		ours, err := lock.TryLock()
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			// Not every file system has locks; without one a run could not be told from a dead one.
			return "", nil, errors.Join(fmt.Errorf("%s cannot be locked: %w", path, err), os.Remove(path))
		}
		if !ours || err != nil {
			continue
		}
		if _, err := os.Lstat(path); err == nil {
			return path, lock, nil
		}
		release(lock)
	}
	return "", nil, fmt.Errorf("cannot hold a folder in %s", parent)
}

// apart refuses a results folder within a folder that is read: it would be part
// of the next survey, and of its backup.
func (o Options) apart() error {
	return outside(o.Out, append([]string{o.Survey}, o.Earlier...), "--out", "-results")
}

// outside refuses a folder to make that would lie within one that is read, and
// names the flag and the name to choose another by.
func outside(out string, read []string, flag, suffix string) error {
	parent, err := wholePath(filepath.Dir(filepath.Clean(out)))
	if err != nil {
		return nil // staging says what is wrong with it
	}
	for _, dir := range read {
		whole, err := wholePath(dir)
		if err != nil {
			continue // reading says what is wrong with it
		}
		if way, err := filepath.Rel(whole, parent); err == nil && filepath.IsLocal(way) {
			return fmt.Errorf("%s would lie within %s, which is read; name a folder outside of it: %s %s", out, dir, flag, whole+suffix)
		}
	}
	return nil
}

// wholePath is the path of a folder from the root, with all links followed.
func wholePath(dir string) (string, error) {
	whole, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	return filepath.EvalSymlinks(whole)
}

// plainly returns the error that ends a run in fewer words where the disk is
// at fault: of many files that had no room, the first tells it all.
func plainly(err error) error {
	var at *fs.PathError
	for _, full := range []error{syscall.ENOSPC, syscall.EDQUOT, syscall.EFBIG} {
		if errors.Is(err, full) && errors.As(err, &at) {
			return fmt.Errorf("no room for %s: %w; nothing was left behind", filepath.Base(at.Path), full)
		}
	}
	return err
}

// folder makes a folder below the staged one; name is a slash path inside it.
func (s *staging) folder(name string) error { return os.MkdirAll(s.file(name), 0o755) }

// file returns the path of a file of the folder; name is a slash path inside it.
func (s *staging) file(name string) string { return filepath.Join(s.path, filepath.FromSlash(name)) }

// create opens a new file of the folder.
func (s *staging) create(name string) (*os.File, error) {
	return os.OpenFile(s.file(name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
}

// write makes a file of the folder by fill.
func (s *staging) write(name string, fill func(io.Writer) error) error {
	if s.spare != nil && s.spare(name) {
		return nil
	}
	f, err := s.create(name)
	if err != nil {
		return err
	}
	if err := errors.Join(fill(f), f.Close()); err != nil {
		return fmt.Errorf("write %s: %w", name, err)
	}
	return nil
}

// commit moves the folder to its place, unless ctx has ended. Afterwards
// discard does nothing.
func (s *staging) commit(ctx context.Context) error {
	if err := errors.Join(syncTree(s.path), ctx.Err()); err != nil {
		return err
	}
	if err := os.Rename(s.path, s.final); err != nil {
		if _, there := os.Lstat(s.final); there == nil {
			return fmt.Errorf("%s %w", s.final, errTaken)
		}
		return err
	}
	s.path = ""
	return errors.Join(release(s.lock), syncFolder(filepath.Dir(s.final)))
}

// discard removes the folder unless it was committed.
func (s *staging) discard() error {
	if s.path == "" {
		return nil
	}
	return errors.Join(os.RemoveAll(s.path), release(s.lock))
}

// syncTree sees the files below root to the disk, many at once, which the disk takes
// together, and then the entries of every folder.
func syncTree(root string) error {
	const together = 16
	var files errgroup.Group
	files.SetLimit(together)
	var folders []string
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir():
			folders = append(folders, path)
		default:
			files.Go(func() error { return syncFile(path) })
		}
		return nil
	})
	err = errors.Join(err, files.Wait())
	for _, folder := range folders {
		err = errors.Join(err, syncFolder(folder))
	}
	return err
}
