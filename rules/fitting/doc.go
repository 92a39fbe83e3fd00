// Package fitting finds the few coefficients of a forecast that measured runs can
// settle.
//
// [Least] is a general bounded least-squares method with priors; [Calibrate] uses it
// on a build's network of air and heat. A prior keeps what the data say nothing
// about where it was, so that more coefficients than readings are no trouble: the
// report tells which of them the runs moved, how far each may still be off, and
// which pairs the runs cannot tell apart.
package fitting
