// Package alike says how near one name is to another, as it is spelt and as it
// sounds.
//
//   - [Distance] counts the letters in which two spellings differ.
//   - [Nearest] ranks the names that a mistyped one may have meant.
//   - [Key] is a short key of how a name sounds, and [Sounds] compares two.
//
// A key can be looked up: names of one key are found among a hundred thousand
// without a walk over them. The phones of package extract/sound cannot: they
// say how far apart two words sound, which takes a comparison with each, and a
// name of no language has no certain phones. They are for words that captions
// show instead of numbers and units, keys for names.
//
// It is the one package that imports the fuzzy matcher.
package alike
