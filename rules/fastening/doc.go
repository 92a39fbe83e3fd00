// Package fastening works out how parts are screwed together: which holes of a
// part find a hole of its mount, which of them a driver reaches, whether the ones
// that are left hold the part, how long a screw may be and how hard it is turned,
// and which fasteners of the boxes at hand go to which joint.
//
// The package knows threads, lengths and boxes of matter. It knows nothing of
// computers, rules or verdicts. Lengths are millimetres, masses grams, torques
// newton metres.
package fastening
