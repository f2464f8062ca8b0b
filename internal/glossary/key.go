package glossary

import "saywatt/extract"

// key is the key by sound of a name of the kind.
func key(k Kind, name string) string {
	if k == KindMaker {
		return extract.SoundKey(name)
	}
	return extract.CodeKey(name)
}
