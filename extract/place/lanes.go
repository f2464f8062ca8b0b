package place

import "math"

// Four classes share a word: their weights are added by one instruction. Each has
// sixteen bits, in two's complement, and takes one from the class above it where it
// is below zero, which separate puts back.
const (
	perWord  = 4
	laneBits = 16
	laneRows = 5 // of three words: with them a packedRow is two lines of a processor's cache
	perRow   = 3

	mostClasses = perWord * perRow * laneRows
)

// lanes holds a number for each class, class c in word c/perWord.
type lanes [laneRows][perRow]uint64

// packedRow has the weights of a feature as lanes.
type packedRow struct {
	lanes lanes
	most  int32 // the largest of them, without its sign
}

// put adds the weight of a class, in hundredths.
func (p *packedRow) put(class Class, value int16) {
	word := class / perWord
	p.lanes[word/perRow][word%perRow] += uint64(int64(value)) << (laneBits * (class & (perWord - 1)))
	p.most = max(p.most, int32(value), -int32(value))
}

// add adds the numbers of another.
func (l *lanes) add(o *lanes) {
	for i := range l {
		a, b := &l[i], &o[i]
		a[0] += b[0]
		a[1] += b[1]
		a[2] += b[2]
	}
}

// separate adds the numbers to sums, by class.
func (l *lanes) separate(sums *[maxClasses]int32) {
	for i := range perRow * laneRows {
		word := int64(l[i/perRow][i%perRow])
		for c := range perWord {
			v := int16(word)
			sums[i*perWord+c] += int32(v)
			word = (word - int64(v)) >> laneBits
		}
	}
}

// fewWeights is how many weights a feature has whose row is not made: they are added
// one by one, from the table, which takes a tenth of the memory. Most features have so few.
const fewWeights = 12

// sum adds up the weights of features into row, by class.
func (t *table) sum(features []int32, row []float64) {
	var sums [maxClasses]int32
	var added lanes
	most := int32(0) // that a number of added can be
	for _, f := range features {
		from, end := t.starts[f], t.starts[f+1]
		if end-from <= fewWeights {
			for i := from; i < end; i++ {
				sums[Class(t.class[i]).at()] += int32(t.weight(i))
			}
			continue
		}
		p := t.packed[f].Load()
		if p == nil {
			p = t.row(f)
			t.packed[f].Store(p)
		}
		if most += p.most; most > math.MaxInt16 {
			added.separate(&sums)
			added, most = lanes{}, p.most
		}
		added.add(&p.lanes)
	}
	added.separate(&sums)
	for c := range row {
		row[c] = float64(sums[c]) / inOne
	}
}
