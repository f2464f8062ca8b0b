// Render writes marked narrations as caption files with their truth beside
// them, for scorers: go run ./internal/narration/render DIR FILE.mark ...
package main

import (
	"log"
	"os"
	"path/filepath"

	"saywatt/internal/narration"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) < 3 {
		log.Fatal("usage: render DIR FILE.mark ...")
	}
	all, err := narration.Read(os.Args[2:])
	if err != nil {
		log.Fatal(err)
	}
	for _, n := range all {
		if err := render(os.Args[1], n); err != nil {
			log.Fatal(err)
		}
	}
}

func render(dir string, n *narration.Narration) error {
	form := n.Form()
	name := n.Name + narration.Ending(form)
	gold, err := n.Gold(name, form)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, name), n.Captions(form), 0o644); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, n.Name+".gold.json"), append(gold, '\n'), 0o644)
}
