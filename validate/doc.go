// Package validate holds what standards and physics say about a record: the
// rules that distinguish a plausible record from an impossible one.
//
// The design: a [Rule] is a value. Its Find walks a record and yields a [Case]
// for every set of values that the rule relates, by structure alone: which
// values belong together, never whether their numbers are good. Its Test
// looks at the numbers, which come apart from the record, so that the same
// rule serves two masters with one definition:
//
//   - [Check] judges a finished record once, with its own numbers, and
//     reports findings for people: a sentence with the numbers of both sides,
//     the places, the times, the source and how far that was verified.
//   - The reading engine finds the cases of a provisional record once and then
//     judges them thousands of times with other readings swapped in. The
//     answer it uses is Judgement.LogRatio, the evidence in nats for "these
//     values belong together" against "at least one was misheard". Judging
//     neither allocates nor formats; sentences are made by Explain, later, and
//     only for what is shown.
//
// The evidence follows one model for every rule, in table weights.tsv: slip is
// the probability that values heard rightly still break the rule (a misprint,
// a product outside the standard, the speaker meaning something else), chance
// the probability that unrelated values keep it. Keeping a rule is then worth
// ln((1−slip)/chance), breaking it ln(slip/(1−chance)), graded further by how
// far the bound is missed.
//
// A finding is no surer than what it rests on: where a value in it is open, or
// the part that the value was put on, or where it is less than nine in ten that
// all values belong where they were put, it is a note that says which, whatever
// the rule; and what only follows from another finding is not reported again.
// Check decides these for all rules in one place (doubt.go). What else a
// finding of a rule rests on is the rule's to say (Rule.Loose, loose.go).
//
// Standing says how far a rule may go: what was verified in a published text
// or follows by arithmetic may raise errors; what is quoted from memory says
// so; trade practice only warns.
//
// The suite is [Rules], one visible ordered list. To add a rule: a file (or a
// place in the file of its noun) with the rule's value, a row in weights.tsv,
// a line in rules.go, and testdata/rules/NAME.txtar with a case that fires and
// a near miss that does not. A test refuses a rule that lacks any of these.
// Numbers that a standard or the trade sets are rows of tables/*.tsv, those that
// the calculators need too of standard/tables/*.tsv.
//
// Rules are switched off singly or by family (Off, off.go), and a record that
// contradicts itself is not checked at all (sense.go).
//
// The room has four more packages. form says whether a document is a record at
// all, before any rule looks at it; place finds values in a record and reads names
// of modes, ports and protocols; standard holds the numbers that rules and
// calculators share; calc has the calculators.
//
// A finding is a hint for a person. No finding means that nothing was found,
// not that a product is safe or complies with anything.
package validate
