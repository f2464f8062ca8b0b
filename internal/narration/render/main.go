// Render writes marked narrations as caption files with their truth beside
// them, for scorers: go run ./internal/narration/render DIR FILE.mark ...
package main

import (
	"log"
	"os"
	"path/filepath"
	"strings"

	"saywatt/internal/narration"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) < 3 {
		log.Fatal("usage: render DIR FILE.mark ...")
	}
	for _, f := range os.Args[2:] {
		if err := render(os.Args[1], f); err != nil {
			log.Fatal(err)
		}
	}
}

func render(dir, file string) error {
	source, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	base := strings.TrimSuffix(filepath.Base(file), ".mark")
	n, err := narration.Parse(base, string(source))
	if err != nil {
		return err
	}
	form := n.Form()
	name := base + narration.Ending(form)
	gold, err := n.Gold(name, form)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, name), n.Captions(form), 0o644); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, base+".gold.json"), append(gold, '\n'), 0o644)
}
