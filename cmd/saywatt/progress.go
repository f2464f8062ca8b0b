package main

import (
	"fmt"

	"saywatt/internal/export/word"
)

// progress shows on standard error, where that is a terminal, how far long work
// is and what is waited for.
type progress struct {
	env   *env
	what  string // reading, indexing
	total int
	done  int
	up    bool // something is shown
}

func (p *progress) shown() bool { return p.env.errTerminal && p.total > 1 }

// show prints the file waited for, over what it showed before.
func (p *progress) show(name string) {
	p.done++
	if p.shown() {
		p.up = true
		fmt.Fprintf(p.env.stderr, "\r\x1b[K%s %d of %d: %.50s", p.what, p.done, p.total, word.Printable(name))
	}
}

// clear makes room for other output.
func (p *progress) clear() {
	if p.up {
		p.up = false
		fmt.Fprint(p.env.stderr, "\r\x1b[K")
	}
}
