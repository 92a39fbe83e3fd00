// Package assembly finds the order in which things are put together.
//
// What must come before what is given as relations, or derived from boxes: a thing
// that bars the straight way in of another has to come after it. The order that is
// found breaks no firm relation, breaks as little custom as can be, and is the
// same for the same plan. Where there is none, the shortest circle of relations
// that bars it is told. The package also tells what has to come out again to
// reach a thing later.
//
// It knows nothing of computers, rules or verdicts. Lengths are millimetres.
package assembly
