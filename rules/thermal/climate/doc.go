// Package climate turns a build and its arrangement into one network of air and
// heat, solves it, and tells how warm and how loud the machine gets.
//
// A [Plan] is the build as a network whose coefficients are known only between
// two ends: what grilles cost, how tightly the parts close a chamber, how far a
// published fan curve holds. [Places] says where in those ranges each coefficient
// lies, so that the same plan gives the likely state, the unfavourable one, and the
// state that a measured run calls for.
//
// Where the arrangement has boxes, the parts cut the chambers into zones: a card
// cuts at its middle plane, a tower cooler at its own, and what stays free beside
// them in those planes is the passage. Without boxes, each chamber is two zones,
// one that fans blow into and one that they draw from, and the parts stand between
// them; so a cooler that moves more air than passes through warms its own intake.
//
// Units are SI and part of every name, as in packages air and heat; documents are
// in the units of their field names.
package climate
