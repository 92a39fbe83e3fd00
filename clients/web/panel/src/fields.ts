// Written by fields.mjs from the contract. A name that is several things stands with
// what holds it. Names with a unit are numbers, others structures, unless they stand here.

// prettier-ignore
export const kinds: Record<"number" | "truth" | "word" | "structure", string> = {
  number: "antenna_sockets blades cores count covered_holes displays efficiency gauge_awg generation hours_per_day lanes lanes_shared limits.card_slots loss_coefficient memory.sockets modules position power_factor power_wires ranks sata_ports share slots width_lanes",
  truth: "addressable_light back blower cable_channel can_stop captive dispensable flow_through graphics over_memory removable rigid sata supply_length_includes_plugs tower",
  word: "brackets.needs bus cable.from cables.from chipset connector covering efficiency_mark family firmware first form_factor guide header id inlet item key kind m2_key m2_size maker material module mount name pinout purpose rail socket then thread title version why",
  structure: "radiators.nominal_mm sizes_mm",
};
