// Package heat knows how heat leaves a small enclosure: sources, sinks whose
// resistance falls with the flow of air, liquid loops, panels that give heat
// to the room by convection and radiation, and the air that carries the rest.
//
// A Model stands on a flow network of package air; a Solver finds flows and
// temperatures together, because warm air is lighter, and follows the way from
// a cold start to the steady state.
//
// Units are SI and part of every name. Temperatures are degrees Celsius,
// resistances kelvins per watt (KW), flows m3/s. No function returns a NaN or
// an infinity; a value out of range gives an error that says so.
package heat
