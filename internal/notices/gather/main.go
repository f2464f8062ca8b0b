// Gather writes the licences of all that cmd/saywatt is linked with, on every
// system that it is built for, to the file named:
//
//	go run ./internal/notices/gather internal/notices/notices.txt
//
// They are taken from the files of the modules themselves. How a licence is
// known by its text is tables/kinds.tsv; what else must be said of a module,
// such as under which of two licences it is used, is tables/remarks.tsv.
package main

import (
	"fmt"
	"log"
	"os"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("gather: ")
	if len(os.Args) != 2 {
		log.Fatal("usage: gather FILE")
	}
	modules, err := linked("saywatt/cmd/saywatt")
	if err != nil {
		log.Fatal(err)
	}
	text, err := notices(modules)
	if err != nil {
		log.Fatal(err)
	}
	if err := os.WriteFile(os.Args[1], []byte(text), 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%d modules\n", len(modules))
}
