package main

import "fmt"

func dbg(n string, heard string, want string, names []string) { fmt.Printf("NOANS %s | %s | want %s | %v\n", n, heard, want, names) }
