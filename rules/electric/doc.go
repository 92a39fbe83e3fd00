// Package electric works out currents, voltages and warmth between the mains
// outlet and the chips of a small desktop computer.
//
// It has two halves that know nothing of each other:
//
//   - the wiring inside: a [Network] of rails, conductors, contacts, adapters
//     and loads, with its return wires modelled like its supply wires. It
//     compiles to a [Circuit]; a [Workspace] solves the circuit for every node
//     voltage and every branch, wire and contact current, at one corner of the
//     ranges or as proven-by-search bounds over all of them;
//   - the supply as a box: rating, derating, excursions, efficiency, what it
//     draws from the mains, and what the mains side has to carry.
//
// Every input that can be a range is a [Range]. Standards' constants
// (resistivity, pin ratings, excursion tables, breaker shares) come in as
// arguments. No function returns a NaN or an infinity: bad input is an error
// whose sentence names the element and what to do about it.
//
// Nothing here replaces the local electrical code or a licensed electrician:
// the mains figures are planning figures. A supply is never opened to act on
// them; its capacitors hold charge after the cord is out.
package electric
