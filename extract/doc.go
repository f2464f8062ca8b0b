// Package extract finds the quantities of a narration: which numbers were
// said, in which unit, and what each belongs to. In goes a
// [transcript.Transcript]; out comes a [Document]: its tokens, its mentions in
// the order said, and the parts, ports and product spoken of. [Find] is where to
// start; [ParseQuantities] reads a plain text without the context.
//
// Reading here is literal. A [Mention] is what the words say by the rules of
// English and of writing units, right or wrong; whether 325 amperes can have
// been said is not asked. What else the words could have been is the business
// of package normalize, which takes a mention, its tokens and its context and
// ranks readings; whether they fit together is asked by package validate. So
// this package keeps what is doubtful and says in what manner it was written
// ([Style], [Manner], [UnitFrom], [Joint]) rather than decide.
//
// # Passes
//
// [Lexicon.Scan] cuts the text into tokens in one pass over its bytes: words,
// numbers in digits, signs, breaks. Every word is looked up while it is hashed.
// No regular expression is used, here or later. Text may be lower case without
// punctuation and with numbers in words, or formatted with digits; line and cue
// breaks are tokens that the grammar steps over, since speech runs on.
//
// In text that has neither punctuation nor capitals, rows of words beside numbers and
// units are heard again as one row of sounds (rehear.go): a recogniser that writes whole
// sentences by ear cuts sounds into words where none were. Where so much comes out that
// the text was written so ([Document.ByEar]), tokens of what was said stand in the place
// of those shown, each with how far it is from them ([Token.Apart]), and their mentions
// are by sound.
//
// The grammar then reads mentions from left to right: number, range, unit,
// tolerance, hedge, and how each mention hangs on the one before. It looks only
// a few tokens ahead, so the cost is linear in the length of the text.
//
// A survey then lets the names of ports and protocols take the numbers that are
// theirs ("USB C one"). What is left is a chain of mentions, each with the
// features seen around it (observe.go). Package place infers from the whole
// chain what class of place each mention has, with probabilities: a level, the
// rating of a part, a measurement, another product, nothing. The plan (plan.go)
// makes regions of it, and a last pass over the tokens gives each mention its
// [Context]: section, mode, port, protocol, property. Which port a level has is
// an antecedent, chosen by learned weights (portchoice.go) among the ports named,
// by standard names or as the speaker calls them (ownport.go); which part a rating
// has is a grouping, inferred by package part (parts.go, partelement.go). Where the
// place is in doubt, [Mention.Places] has all that are likely.
//
// The tokens and mentions point into Transcript.Text by byte offsets, and the
// transcript leads back to the file. A Document is not changed once made and
// may be read by several goroutines; the [Lexicon] of [Words] is shared by all.
//
// In the examples below the words stand left of the equals sign and the
// reading on its right, with units in UCUM code, ".." in a range, "!" before
// the reason why a number is no quantity, and "~" where another word was shown
// for the number or unit. A test reads them all.
//
// # Numbers
//
// A number is digits, words or both:
//
//	10,000 mAh = 10000 mA.h
//	.95 watts = 0.95 W
//	three point two five amps = 3.25 A
//	nought point four seven microhenries = 0.47 uH
//	twenty seven thousand milliamp hours = 27000 mA.h
//	eight hundred and twenty microfarads = 820 uF
//	3 point 7 volts = 3.7 V
//	20 k milliamp hours = 20000 mA.h
//
// People also read numbers in pairs and digit by digit; the Style of the
// mention says:
//
//	one twenty volts = 120 V
//	fourteen fifty milliamp hours = 1450 mA.h
//	one oh five grams = 105 g
//	three three five zero milliamp hours = 3350 mA.h
//
// and use fractions, before and behind the unit:
//
//	three and a quarter amps = 3.25 A
//	half an amp = 0.5 A
//	3 1/2 inches = 3.5 [in_i]
//	an hour and a half = 1.5 h
//
// Writing has more: either decimal sign, powers of ten, letters that stand for
// the decimal sign of a resistor or capacitor:
//
//	3,25 A = 3.25 A
//	2.2e3 ohms = 2200 Ohm
//	3.2 × 10⁻⁷ A = 0.00000032 A
//	20 000 mAh = 20000 mA.h
//	4k7 = 4.7 kOhm
//	a 104 capacitor = 100 nF
//
// Values are exact decimals with the zeros said: 5.00 V stays 5.00 V. Numbers
// of more than 18 digits are kept too.
//
// # Units
//
// A unit is a phrase of the table, a printed symbol in its exact case, or words
// by the rule
//
//	unit = [prefix] base [hour] ["per" unit]
//
// which covers symbols and names, plural, glued, spelled letter by letter, and
// Unicode's two spellings each of Ω and µ:
//
//	5.2mΩ = 5.2 mOhm
//	65-watt charger = 65 W
//	10000 m a h = 10000 mA.h
//	12 milliohms per metre = 12 mOhm/m
//	0.85 watts per cubic centimetre = 0.85 W/cm3
//	480 megabits per second = 480 Mbit/s
//
// What schema's table of units does not have is no unit. Short forms that are
// words too (a, in, k, m) need support from the words around them. Where the
// trade and the standard differ the trade wins: a lone k is kilohm, a mil a
// millimetre. Words that captions are known to show instead of a unit are in
// the table with a count of how often, and give a unit of manner heard:
//
//	37 what hours = 37 W.h ~
//	2.05 faults = 2.05 V ~
//	nine volt to amp = 9 V; 2 A ~
//
// # Ranges, tolerances, hedges
//
//	3.3 to 21 volts = 3.3..21 V
//	between one hundred and two hundred forty volts = 100..240 V
//	50/60 Hz = 50..60 Hz
//	50 or 60 hertz = 50..60 Hz
//	10 kΩ ±1% = 10 kOhm ± 1 %
//	12 volts plus or minus half a volt = 12 V ± 0.5 V
//	up to 65 watts = at_most 65 W
//	no less than 80 percent = at_least 80 %
//	5 amps max = maximum 5 A
//
// A range rises, or it is two values:
//
//	20 to 5 volts = 20; 5 V
//
// # Lists, products, pairs
//
// A unit said last goes to the bare numbers of its list, and to all sides of a
// product; From keeps it from a unit of one's own:
//
//	5, 9, 12, 15 and 20 volts = 5 V; 9 V; 12 V; 15 V; 20 V
//	66.2 by 38.5 by 30.1 millimetres = 66.2 mm; 38.5 mm; 30.1 mm
//	20 volts at 3.25 amps = 20 V; 3.25 A
//	20V3A = 20 V; 3 A
//
// # Taking back
//
// What the speaker corrects stays in the list, marked as withdrawn. Only a
// value of the same kind takes one back:
//
//	20, sorry, 12 volts = 20 V withdrawn; 12 V
//	three no sorry 3.25 amps = 3 A withdrawn; 3.25 A
//	20 volts, sorry, 3 amps = 20 V; 3 A
//
// # What is no quantity
//
// Digits are everywhere in a review: in part numbers, versions, prices, years,
// scores. Such a mention is kept with its reason, [Not], since a reason may be
// wrong where captions cut a number up:
//
//	controller Kestrix KX 2207 = 2207 !code
//	USB 2.0 = 2.0 !code
//	$29.99 in March 2024 = 29.99 !price; 2024 !year
//	8 out of 10 = 8 !score; 10 !score
//	100 percent sure = 100 % !idiom
//
// A bare number that nothing gives a unit is a mention without one: "four
// cells", "20 volts at 3". Context may give it one later. A pronoun ("this
// one") is no mention.
//
// # What is left to the reading engine
//
// The grammar does not join what captions broke nor cut what they joined. Such
// shapes come out as the mentions that stand there, with the joint between
// them, and normalize weighs what they can have been:
//
//	1.3 5 volts = 1.3; 5 V
//	3. 25 amps = 3; 25 A
//	29:30 milliamp hour = 29; 30 mA.h
//	3.3 221 volts = 3.3; 221 V
//	20 volts at 325 amperes = 20 V; 325 A
//	for hundred volts = 100 V
//
// # Tables
//
// The words are data: words.tsv has the words of numbers and joints with their
// class, unitwords.tsv the forms of units, corrections.tsv what takes a number
// back, homophones.tsv words that sound like numbers; the other tables speak of
// context. The comment on top of each is its specification. To teach the
// grammar a spelling, add a row with its source; tests read every row back.
// testdata/phrases and testdata/negatives.tsv hold the phrases it is held to.
package extract
