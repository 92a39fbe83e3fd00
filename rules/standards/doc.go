// Package standards holds the constants that published standards, handbooks
// and the trade's customs give, each with its source beside it. It is the one
// place where such a constant is written down: rules and solvers read it here.
//
// Every row of every table carries a [Source] that the registry knows
// ([Lookup], [All]). A source tells how well the figure is known: read in the
// standard, taken from secondary drawings, a custom, or memory only. A rule
// asks [Source.Firm] before it turns a missed limit into a failure.
//
// Lengths are millimetres, currents amperes, voltages volts, powers watts,
// temperatures degrees Celsius, torques newton metres, unless a name says
// otherwise. Tokens (form factors, connectors, threads, ...) are open
// vocabularies: [Known] tells whether a token is checked here, [Nearest]
// offers the closest spellings, and functions that need a table row return an
// [UnknownTokenError] where there is none.
//
// Functions that list a table return a copy, so that a caller can sort or
// change it. No function returns NaN or an infinity: bad input is an error.
package standards
