// Make makes marked narrations from others (narration.Maker):
// go run ./internal/narration/make [-n 100] [-seed 1] DIR FILE.mark ...
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
	count := flag.Int("n", 100, "how many `narrations` to make")
	seed := flag.Uint64("seed", 1, "what they are drawn by")
	flag.Parse()
	if flag.NArg() < 2 {
		log.Fatal("usage: make [-n 100] [-seed 1] DIR FILE.mark ...")
	}
	if err := write(flag.Arg(0), flag.Args()[1:], *count, *seed); err != nil {
		log.Fatal(err)
	}
}

func write(dir string, files []string, count int, seed uint64) error {
	from, err := narration.Read(files)
	if err != nil {
		return err
	}
	m, err := narration.NewMaker(seed, from)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	for range count {
		n, err := m.Next()
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, n.Name+".mark"), []byte(n.Mark()), 0o666); err != nil {
			return err
		}
	}
	return nil
}
