package fit

import (
	"bufio"
	"fmt"
	"io"
	"os"
)

// Head is what stands above a table of weights.
type Head struct {
	What    string // what the weights are of, and in what
	By      string // the command that writes them: "./internal/kindfit"
	From    int    // narrations that they are fitted on
	More    string // what else they are fitted on, "" nothing
	Columns string // a comment line for each column
}

// Save makes a table of weights: a file with its head and what write writes.
func Save(name string, h Head, write func(io.Writer) error) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(f)
	fmt.Fprintf(w, "# %s, written by go run %s\n"+
		"# from %d narrations of testdata%s. Do not edit: mark more narrations and fit again.\n%s",
		h.What, h.By, h.From, h.More, h.Columns)
	if err := write(w); err != nil {
		return err
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return f.Close()
}
