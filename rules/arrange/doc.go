// Package arrange searches exactly for the ways in which parts can be arranged: each variable takes one of its options,
// an option places boxes, keeps or breaks limits, uses and gives resources, and the boxes of the chosen options have to
// keep their required gaps.
//
// The search prunes and never misses a feasible arrangement. Its memory depends on the number of options, not on the
// number of arrangements, and its answer on nothing but the problem: not on the order of declaration, not on time. A
// budget of nodes bounds its effort; an answer tells whether the budget was enough.
//
// Margins are compared in whole micrometres, finer than anything that is measured in an enclosure, so that the rounding
// of binary fractions decides nothing.
package arrange
