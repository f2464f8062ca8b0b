// Package demo carries a narration of our own, so that the program has
// something to show where there is no file: a reviewer takes a charger with a
// battery apart, and automatic captions garble part of it. Maker, products and
// people are invented.
package demo

import _ "embed"

// Name is the file name of the captions.
const Name = "demo.vtt"

//go:embed narrations/demo.vtt
var captions string

// Captions returns the caption file, WebVTT.
func Captions() string { return captions }
