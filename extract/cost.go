package extract

// What reading a text takes in memory, at the most that was measured: for each
// word or sign of it, and for each number, said in digits or in words. A test of
// package pipeline holds them to texts of many shapes.
const (
	costOfToken  = 512
	costOfNumber = 24 << 10
)

// Cost estimates the memory that reading a text takes, in bytes.
func Cost(text []byte) int64 {
	x := Words()
	tokens, numbers := int64(0), int64(0)
	for _, t := range x.Scan(nil, text) {
		tokens++
		switch {
		case t.Kind == TokenNumber:
			numbers++
		case t.Kind == TokenWord:
			switch x.entries[t.Word].class {
			case classDigitWord, classTeen, classTens, classHundred, classScale, classFraction:
				numbers++
			}
		}
	}
	return tokens*costOfToken + min(numbers, MaxNumbers)*costOfNumber
}
