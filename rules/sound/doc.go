// Package sound knows levels: how sources add, what a room's own noise hides,
// how levels change with distance, fan speed and grilles, when neighbouring
// fans beat, and what a declared value promises.
//
// Levels are decibels; whether they are sound power (LW, re 1 pW) or sound
// pressure (Lp, re 20 uPa), and A-weighted or not, is part of every name or
// comment. Frequencies are hertz, lengths metres. No function returns a NaN or
// an infinity; a value out of range gives an error that says so.
//
// Noise can harm: levels above 80 dB(A) over a working day call for hearing
// protection by local law. A small computer that is forecast that loud has an
// error in its document.
package sound
