package glossary

import (
	"saywatt/extract"
	"saywatt/internal/alike"
)

// key is the key by sound of a name of the kind.
func key(k Kind, name string) string {
	if k == KindMaker {
		return alike.Key(name)
	}
	return extract.CodeKey(name)
}
