package main

import "io"

func fitWeights(out io.Writer, files []string) error { return nil }
