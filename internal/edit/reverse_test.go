package edit

// reverse takes changes back: reverse(Apply(source, c), c) is source. Errors
// are *placeError, their offsets those of the corrected file.
func reverse(corrected []byte, changes []Change) ([]byte, error) {
	edits, err := sorted(changes)
	if err != nil {
		return nil, err
	}
	out := make([]byte, 0, len(corrected))
	at, shift := 0, 0
	for _, e := range edits {
		from := e.Span.Start + shift
		to := from + len(e.After)
		if from < at || to > len(corrected) || string(corrected[from:to]) != string(e.After) {
			return nil, &placeError{e.words, from, errStale}
		}
		out = append(append(out, corrected[at:from]...), e.Before...)
		at = to
		shift += len(e.After) - e.Span.Len()
	}
	return append(out, corrected[at:]...), nil
}
