package pipeline

import (
	"saywatt/extract"
	"saywatt/extract/name"
	"saywatt/extract/part"
	"saywatt/extract/place"
	"saywatt/normalize"
)

// Prepare has the largest tables read beside each other, before Run asks for one
// after the other. It returns at once. A table is read once, whoever asks first.
func Prepare() {
	for _, read := range [...]func(){
		func() { extract.Words() },
		func() { place.Default() },
		func() { name.Default() },
		func() { part.Default() },
		normalize.ReadTraits,
	} {
		go read()
	}
}
