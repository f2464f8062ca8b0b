package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// systems are those that the program is built for; what it is linked with
// differs a little between them.
var systems = []string{"darwin", "linux", "windows"}

// module is one that the program is linked with, or the Go distribution.
type module struct {
	path, version string
	dir           string
	packages      []string // folders of the packages that are linked
}

// goDistribution is the name of what is linked without being a module.
const goDistribution = "Go, its standard library and runtime"

// linked lists the modules that a package is linked with on any system, by
// their paths, behind the Go distribution.
func linked(pkg string) ([]module, error) {
	byPath := map[string]*module{}
	for _, system := range systems {
		cmd := exec.Command("go", "list", "-deps", "-f",
			"{{with .Module}}{{.Path}}\t{{.Version}}\t{{.Dir}}\t{{end}}{{.Dir}}", pkg)
		cmd.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
		cmd.Stderr = os.Stderr
		out, err := cmd.Output()
		if err != nil {
			return nil, fmt.Errorf("go list for %s: %w", system, err)
		}
		for line := range strings.Lines(string(out)) {
			f := strings.Split(strings.TrimSpace(line), "\t")
			if len(f) != 4 || f[1] == "" { // the standard library, and ours
				continue
			}
			m := byPath[f[0]]
			if m == nil {
				m = &module{path: f[0], version: f[1], dir: f[2]}
				byPath[f[0]] = m
			}
			if !slices.Contains(m.packages, f[3]) {
				m.packages = append(m.packages, f[3])
			}
		}
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("go env GOROOT: %w", err)
	}
	list := []module{{path: goDistribution, dir: strings.TrimSpace(string(root))}}
	for _, m := range byPath {
		list = append(list, *m)
	}
	slices.SortFunc(list[1:], func(a, b module) int { return strings.Compare(a.path, b.path) })
	return list, nil
}

// licenceFile fits the names under which modules keep their licences.
var licenceFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying|copyright|notice|patents)([-._].*)?$`)

// files lists the licence files of a module, relative to it: those in its own
// folder and in the folders of linked packages and above them.
func (m module) files() ([]string, error) {
	dirs := []string{"."}
	for _, p := range m.packages {
		rel, err := filepath.Rel(m.dir, p)
		if err != nil {
			return nil, err
		}
		for ; rel != "."; rel = filepath.Dir(rel) {
			dirs = append(dirs, rel)
		}
	}
	slices.Sort(dirs)
	var found []string
	for _, d := range slices.Compact(dirs) {
		entries, err := os.ReadDir(filepath.Join(m.dir, d))
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			if !e.IsDir() && licenceFile.MatchString(e.Name()) {
				found = append(found, filepath.ToSlash(filepath.Join(d, e.Name())))
			}
		}
	}
	return found, nil
}
