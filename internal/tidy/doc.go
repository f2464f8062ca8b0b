// Package tidy holds no code: its tests hold the shape of the whole tree: how
// long functions, structs and lines are, what packages export, and how files are
// named.
package tidy
