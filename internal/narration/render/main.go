// Render writes marked narrations as caption files with their truth beside
// them, for scorers: go run ./internal/narration/render [-said] DIR FILE.mark ...
// With -said the captions have no garbles: they say what was said.
package main

import (
	"flag"
	"log"
	"os"
	"path/filepath"

	"saywatt/internal/narration"
)

func main() {
	log.SetFlags(0)
	said := flag.Bool("said", false, "write what was said instead of what was shown")
	flag.Parse()
	if flag.NArg() < 2 {
		log.Fatal("usage: render [-said] DIR FILE.mark ...")
	}
	all, err := narration.Read(flag.Args()[1:])
	if err != nil {
		log.Fatal(err)
	}
	for _, n := range all {
		if *said {
			n = n.Said()
		}
		if err := render(flag.Arg(0), n); err != nil {
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
