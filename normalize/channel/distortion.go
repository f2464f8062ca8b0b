package channel

// Distortion is one thing that captions do to a spoken quantity: a row of
// distortions.tsv.
type Distortion uint8

// The distortions, in the order of the table, which says what each is.
const (
	Intact Distortion = iota // nothing: what was said is shown
	PointLost
	PointWordLost
	PointShownWrong
	PointMisheard
	ZeroLost
	SplitNumber
	AndJoin
	TeenTy
	Homophone
	ToAs2
	ToLost
	RangeMerged
	MergedNumbers
	DigitDropped
	TensLost
	SignStuck
	UnitDropped
	UnitMisheard
	UnitSwapped
	HourLost
	PrefixLost
	LetterCase
	PrefixWrong
	Code
	Stray

	End // how many there are
)

var names = [End]string{"intact", "point_lost", "point_word_lost", "point_shown_wrong", "point_misheard",
	"zero_lost", "split_number", "and_join", "teen_ty", "homophone", "to_as_2", "to_lost", "range_merged",
	"merged_numbers", "digit_dropped", "tens_lost", "sign_stuck", "unit_dropped", "unit_misheard", "unit_swapped",
	"hour_lost", "prefix_lost", "letter_case", "prefix_wrong", "code", "stray"}

// String returns the name of a distortion in the tables.
func (d Distortion) String() string { return names[d] }

// Names returns the names of all distortions, in their order.
func Names() []string { return append([]string(nil), names[:]...) }

// parse finds a distortion by its name.
func parse(name string) (Distortion, bool) {
	for d := range End {
		if names[d] == name {
			return d, true
		}
	}
	return 0, false
}
