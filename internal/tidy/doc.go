// Package tidy holds no code: its tests hold the shape of the whole tree, how
// long functions, structs and lines are, and how files are named.
package tidy
