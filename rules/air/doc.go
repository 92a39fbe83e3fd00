// Package air knows air and how it moves through a small enclosure: the
// properties of dry air, fans and their curves, what grilles and filters cost
// in pressure, and the flow that settles in a network of all of them.
//
// Everything is in SI units, and every name says its unit: PressurePa,
// FlowM3S (cubic metres per second), DensityKgM3. Temperatures that a caller
// passes or reads are degrees Celsius (TemperatureC); differences are kelvins.
// Gauge pressures are relative to the room at the same height.
//
// No function returns a NaN or an infinity. A value outside the range where a
// formula holds gives a *RangeError whose sentence names the quantity, the
// range and the next step.
package air
