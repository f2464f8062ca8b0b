// Package picture draws what a record says. In goes a record, or one quantity
// of it; out comes a [Picture], as SVG for pages and as PNG for anything else.
//
// There are three: [Levels], the operating-level chart with voltage across and
// current up; [Powers], what each port gives in each mode; [Evidence], the
// readings of one doubtful quantity with what speaks for and against each.
//
// Pictures are for print and for everybody: black on white, distinguished by the
// shape of marks and the dashes of lines; colour only repeats what these say,
// and is taken from a palette that colour-blind people can distinguish (Okabe
// and Ito, "Color Universal Design", 2008; values from memory). Whatever a
// picture leaves out, it says below.
//
// The same record gives the same bytes. Text is set in Liberation Sans, which
// comes with the drawing library; an SVG names it with stand-ins of the same
// widths.
package picture
