package extract

import "testing"

// TestProductKind: the kind is that of what is reviewed, not of what is spoken of in
// passing; where the words do not say, there is none.
func TestProductKind(t *testing.T) {
	for _, c := range []struct{ said, want string }{
		{"This power bank holds 10,000 milliamp hours.", "power bank"},
		{"This magnetic power bank holds 5,000 milliamp hours.", "magnetic power bank"},
		{"Two voices talk about the weather, and nobody says a thing of volts. It goes on and on, as talk does, and on, " +
			"and some more of it, until there are words enough that one named in passing says nothing of what this is, " +
			"which a person would not know either. My aunt had a power bank once. She liked it, and then one day it was " +
			"gone, and nobody knew where, and we all looked for it, in the garden, in the house, in the shed, and under the " +
			"old boat, and it was not there, and so she went to the shop and came back with bread and butter and a small " +
			"green plant, and that was that, and it stands there now, and it grows, a leaf a week or so.", ""},
	} {
		if got := find(t, c.said).Product.Kind; got != c.want {
			t.Errorf("%.40q is of a %q, want %q", c.said, got, c.want)
		}
	}
}
