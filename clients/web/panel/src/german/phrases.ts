// German: what rules put into their messages as a word, where it is neither a name
// nor a figure. In braces, "a" to "c" stand for anything, "f" to "h" for an id, and
// "n" and "m" for a number. Of several that match the first counts.

const table: Record<string, string> = {
  // where, why and how near things are
  "from rear to front": "von hinten nach vorn",
  "from side to side": "quer",
  "from bottom to top": "von unten nach oben",
  "so that nothing rattles": "damit nichts klappert",
  "so that nothing touches": "damit sich nichts berührt",
  "for plug and cable": "für Stecker und Kabel",
  "for a hand": "für eine Hand",
  "as they are": "so, wie sie sind",
  "another way round": "anders herum",
  "where it is": "dort, wo er ist",
  "the end of its chamber": "Ende seiner Kammer",
  "the radiator of {a}": "Radiator von {a}",
  "the block of {a}": "Kühlblock von {a}",
  "the fittings of {a}": "Anschlüsse von {a}",
  "a plug of {a}": "Stecker von {a}",
  "the panel {f}": "Wand {f}",
  "{a} ({n} l by its outside)": "{a} ({n} l nach Außenmaßen)",
  "{a} ({n} of {m})": "{a} ({n} von {m})",
  "{n} mm to the rear": "{n} mm weiter hinten",
  "{n} mm to the front": "{n} mm weiter vorn",
  "{n} mm to the right": "{n} mm weiter rechts",
  "{n} mm to the left": "{n} mm weiter links",
  "{n} mm up": "{n} mm höher",
  "{n} mm down": "{n} mm tiefer",
  "{n} mm higher": "{n} mm höher",
  "{n} mm lower": "{n} mm tiefer",

  // what would let everything fit
  "Everything fits with {a}": "Alles passt mit: {a}",
  "Choose the layout {a}, where everything goes together, {n} mm to spare in the tightest place":
    "Die Anordnung {a} wählen, in der alles zusammengeht, mit {n} mm Spielraum an der engsten Stelle",
  "Choose the layout {a}, where everything goes together": "Die Anordnung {a} wählen, in der alles zusammengeht",
  "Give up the fixed places: everything goes together with {a}, {n} mm to spare in the tightest place":
    "Die Festlegungen aufgeben: Alles geht zusammen mit {a}, mit {n} mm Spielraum an der engsten Stelle",
  "Give up the fixed places: everything goes together with {a}":
    "Die Festlegungen aufgeben: Alles geht zusammen mit {a}",
  "{a}, with {b} to buy": "{a}; dazu zu kaufen: {b}",
  "{a} thinner by {n} mm, such as a fan of {m} mm or {b}": "{a} um {n} mm dünner, etwa ein Lüfter von {m} mm, oder {b}",
  "{a} thinner by {n} mm or {b}": "{a} um {n} mm dünner oder {b}",
  "{a} shorter by {n} mm or {b}": "{a} um {n} mm kürzer oder {b}",
  "{a} lower by {n} mm or {b}": "{a} um {n} mm niedriger oder {b}",
  "{a} narrower by {n} mm or {b}": "{a} um {n} mm schmaler oder {b}",
  "{a} less deep by {n} mm or {b}": "{a} um {n} mm weniger tief oder {b}",
  "{a} smaller by {n} mm, to stay within the space of {f}": "{a} um {n} mm kleiner, um im Raum von {f} zu bleiben",
  "{a} thinner by {n} mm, such as a fan of {m} mm": "{a} um {n} mm dünner, etwa ein Lüfter von {m} mm",
  "{a} or {b} elsewhere, since their places exclude each other":
    "{a} oder {b} an anderer Stelle, weil sich ihre Plätze ausschließen",
  "{n} mm more between {a} and {b}": "{n} mm mehr zwischen {a} und {b}",
  "another riser than {a} for {b}": "ein anderer Riser als {a} für {b}",
  "{a} or its plug shorter by {n} mm": "{a} oder dessen Stecker um {n} mm kürzer",
  "{a} thinner by {n} mm": "{a} um {n} mm dünner",
  "{a} shorter by {n} mm": "{a} um {n} mm kürzer",
  "{a} lower by {n} mm": "{a} um {n} mm niedriger",
  "{a} narrower by {n} mm": "{a} um {n} mm schmaler",
  "{a} less deep by {n} mm": "{a} um {n} mm weniger tief",
  "{a} clear of {b}": "{a} frei von {b}",
  "{a} within the space of {f}": "{a} im Raum von {f}",
  "enough of {f}": "genug {f}",
  "{a} on {f} at {n} mm": "{a} auf {f} bei {n} mm",
  "{a} on {f} in pose {n}": "{a} auf {f} in Lage {n}",
  "{a} on {f}": "{a} auf {f}",

  // plugs, loads and mains
  "a SATA socket": "einem SATA-Anschluss",
  "24-pin main": "24-polig Haupt",
  "20+4-pin main": "20+4-polig Haupt",
  "20+4-pin main plug": "20+4-polig Haupt",
  "8-pin processor": "8-polig Prozessor",
  "4-pin processor": "4-polig Prozessor",
  "4+4-pin processor": "4+4-polig Prozessor",
  "4+4-pin processor plug": "4+4-polig Prozessor",
  "2x3 auxiliary": "2x3 Zusatz",
  "2x4 auxiliary": "2x4 Zusatz",
  "6+2-pin auxiliary": "6+2-polig Zusatz",
  "6+2-pin auxiliary plug": "6+2-polig Zusatz",
  "SATA power": "SATA-Strom",
  "4-pin peripheral": "4-polig Laufwerk",
  "4-pin floppy": "4-polig Diskette",
  "the sustained load and its reserve": "wegen der Dauerlast und ihrer Reserve",
  "short peaks": "wegen kurzer Spitzen",
  "the root mean square of peaks and load": "wegen des Effektivwerts aus Spitzen und Last",
  "The local electrical code and a licensed electrician override every figure given here.":
    "Örtliche Vorschriften und die Elektrofachkraft gehen jeder hier genannten Zahl vor.",
  ", all sockets filled": ", alle Steckplätze belegt",

  // air, sound and what had to be estimated
  "nothing that a data sheet states": "nichts, was ein Datenblatt nennt",
  "where the openings of the enclosure are": "wo die Öffnungen des Gehäuses liegen",
  "how the parts divide the inside": "wie die Teile den Innenraum teilen",
  "curve of {f}": "Kennlinie von {f}",
  "speed of {f}": "Drehzahl von {f}",
  "direction of {f}": "Richtung von {f}",
  "flow of the pump": "Fördermenge der Pumpe",
  "open share of grilles": "offener Anteil der Gitter",
  "core of the radiator": "Kern des Radiators",
  "height of the feet": "Höhe der Füße",
  "resistance from die to lid": "Widerstand vom Chip zum Deckel",
  "resistance of the cooler": "Widerstand des Kühlers",
  "the supply's own air": "Eigenluft des Netzteils",
  steady: "gleichmäßig",
  swelling: "als An- und Abschwellen",
  fluctuating: "als Schwanken",
  rough: "als Rauigkeit",
  "two tones": "als zwei Töne",

  // screws and orders
  "the others are free": "die übrigen sind frei",
  "{n} over no hole of the mount": "{n} über keinem Loch des Platzes",
  "{n} covered": "{n} verdeckt",
  "{n} out of a driver's reach": "{n} außer Reichweite eines Schraubendrehers",
  "{a} would better come before {b}, because {c}": "{a} käme besser vor {b}, denn {c}",
  "{a} goes in before {b}, because {c}": "{a} kommt vor {b} hinein, denn {c}",
  "everything is done before the panels go on": "alles ist getan, bevor die Wände aufgesetzt werden",
  "{a} lies over it": "{a} liegt darüber",
  "its cables are fixed to it and have to be laid first": "seine Kabel sind fest und müssen zuerst verlegt werden",
  "its socket is on the board's back": "sein Steckplatz liegt auf der Rückseite der Platine",

  // how a source stands
  published: "veröffentlicht",
  "secondary drawing or table": "Zeichnung oder Tabelle aus zweiter Hand",
  "common practice, no source": "Brauch, ohne Quelle",
  "from memory": "aus dem Gedächtnis",
  derived: "abgeleitet",

  // choices, as of form factors
  "{f}, {g} or {h}": "{f}, {g} oder {h}",
  "{f} or {g}": "{f} oder {g}",

  // lists of any of these
  "{a}; {b}": "{a}; {b}",
  "{a}, {b}": "{a}, {b}",
};

export const phrases = Object.fromEntries(Object.entries(table).map(([words, text]) => [`phrase.${words}`, text]));
