// Notice writes the licences of all that is linked into ashtally, with their
// modules, versions, copyright lines and texts:
//
//	go run ./cmd/notice > NOTICE
//
// It reads the modules where Go keeps them, and needs no network once they are
// there. What is linked differs by platform: it lists what any of the platforms
// below needs.
package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// linked is the command whose licences are listed.
const linked = "./cmd/ashtally"

var platforms = []string{"linux/amd64", "darwin/arm64", "windows/amd64"}

func main() {
	if err := run(os.Stdout); err != nil {
		fmt.Fprintf(os.Stderr, "notice: %v\n", err)
		os.Exit(1)
	}
}

func run(w io.Writer) error {
	modules, err := linkedModules()
	if err != nil {
		return err
	}
	for i := range modules {
		if err := modules[i].read(); err != nil {
			return err
		}
	}
	own, err := os.ReadFile("LICENSE")
	if err != nil {
		return err
	}
	_, err = w.Write(notice(modules, string(own)))
	return err
}

// module is one that is linked in, or the language itself.
type module struct {
	path, version string
	dir           string
	folders       []string // of its packages that are linked in
	texts         []text
}

// text is a licence or notice of a module.
type text struct {
	file string // within the module
	body string
}

// linkedModules lists them by path, Go first.
func linkedModules() ([]module, error) {
	root, err := goTool(nil, "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	list := []module{{path: "Go, the language and its library", dir: strings.TrimSpace(root)}}
	at := map[string]int{}
	// A module that is replaced by a folder is ours, and the folder has no version.
	const form = "{{with .Module}}{{if not (or .Main (and .Replace (not .Replace.Version)))}}{{.Path}}\t{{.Version}}\t{{.Dir}}\t{{$.Dir}}{{end}}{{end}}"
	for _, platform := range platforms {
		system, processor, _ := strings.Cut(platform, "/")
		out, err := goTool([]string{"GOOS=" + system, "GOARCH=" + processor, "CGO_ENABLED=0"}, "list", "-deps", "-f", form, linked)
		if err != nil {
			return nil, err
		}
		for line := range strings.Lines(out) {
			parts := strings.Split(strings.TrimSpace(line), "\t")
			if len(parts) != 4 {
				continue // a package of ours, or of the language
			}
			if _, ok := at[parts[0]]; !ok {
				at[parts[0]] = len(list)
				list = append(list, module{path: parts[0], version: parts[1], dir: parts[2]})
			}
			m := &list[at[parts[0]]]
			if !slices.Contains(m.folders, parts[3]) {
				m.folders = append(m.folders, parts[3])
			}
		}
	}
	slices.SortFunc(list[1:], func(a, b module) int { return strings.Compare(a.path, b.path) })
	return list, nil
}

func goTool(env []string, args ...string) (string, error) {
	cmd := exec.Command("go", args...)
	cmd.Env = append(os.Environ(), env...)
	var told bytes.Buffer
	cmd.Stderr = &told
	out, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("go %s: %w\n%s", strings.Join(args, " "), err, told.String())
	}
	return string(out), nil
}

// read reads the licences of a module: of its packages that are linked in, and
// of the folders above them.
func (m *module) read() error {
	folders := map[string]bool{m.dir: true}
	for _, folder := range m.folders {
		for ; len(folder) > len(m.dir); folder = filepath.Dir(folder) {
			folders[folder] = true
		}
	}
	var files []string
	for folder := range folders {
		entries, err := os.ReadDir(folder)
		if err != nil {
			return err
		}
		for _, e := range entries {
			way, err := filepath.Rel(m.dir, filepath.Join(folder, e.Name()))
			if err != nil {
				return err
			}
			if way = filepath.ToSlash(way); !e.IsDir() && isLicence(e.Name()) {
				files = append(files, way)
			}
		}
	}
	files = append(files, more[m.path]...)
	slices.Sort(files)
	for _, file := range files {
		body, err := os.ReadFile(filepath.Join(m.dir, filepath.FromSlash(file)))
		if err != nil {
			return err
		}
		m.texts = append(m.texts, text{file, licencePart(file, string(body))})
	}
	if len(m.texts) == 0 {
		return fmt.Errorf("%s has no licence that is found; look for one, and name its file in the program", m.path)
	}
	return nil
}
