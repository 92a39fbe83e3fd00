// German: the messages about load, plugs, contacts and mains.

const noSupply = "Die Zusammenstellung nennt kein Netzteil, also speist nichts die Teile; Netzteil ergänzen.";
const severalSupplies =
  "Die Zusammenstellung nennt {supplies} Netzteile und nicht, welches welches Teil speist; nur eines behalten oder jedes mit seinen Teilen für sich prüfen.";

export const power: Record<string, string> = {
  "power.bridging.caution.battery":
    "{code} Eine unterbrechungsfreie Stromversorgung führt auch mit gezogenem Stecker Spannung; ihr Akku kann Hunderte Ampere liefern und wird nach den Vorschriften seines Herstellers getauscht.",
  "power.bridging.fail": "Keine unterbrechungsfreie Stromversorgung kann {minutes} überbrücken.",
  "power.bridging.pass":
    "Um {minutes} bei {mains} vom Netz zu überbrücken, braucht es eine unterbrechungsfreie Stromversorgung von mindestens {va} und {watts}, mit einem Akku von {battery} im Neuzustand.",
  "power.bridging.unknown":
    "Welche unterbrechungsfreie Stromversorgung {minutes} überbrückt, lässt sich ohne {missing} nicht sagen; Datenblätter nennen, was Teile ziehen.",
  "power.capacity.beyond":
    "Die Teile verlangen ein Netzteil von mindestens {least} ({reason}), {supply} hat {measured}; keine übliche Größe reicht so weit.",
  "power.capacity.fail":
    "Die Teile verlangen ein Netzteil von mindestens {required} ({reason}), {supply} hat {measured}.",
  "power.capacity.marginal":
    "Die Teile verlangen ein Netzteil von mindestens {required} ({reason}), {supply} hat {measured}.",
  "power.capacity.no-supply":
    "Die Zusammenstellung nennt kein Netzteil. Die Teile verlangen eines von mindestens {least} ({reason}); im Handel ist {size}, nach einer Bauvorschrift, die kurze Spitzen regelt.",
  "power.capacity.pass":
    "Die Teile verlangen ein Netzteil von mindestens {required} ({reason}); {supply} hat {measured}, und die passende Größe im Handel wäre {size}.",
  "power.capacity.remedy.size": "Ein Netzteil von {size} wählen; das erfüllt alle Gründe zugleich.",
  "power.capacity.several-supplies": severalSupplies,
  "power.capacity.unknown":
    "Welche Leistung die Teile verlangen, lässt sich ohne {missing} nicht sagen; nach dem, was bekannt ist, sind es mindestens {least} ({reason}).",
  "power.card-budget.caution.hot-contacts":
    "Ein überlasteter oder nur halb gesteckter Stecker wird so heiß, dass er schmilzt. Bis zum Einrasten stecken, keinen Spalt lassen, das Kabel nicht dicht dahinter biegen.",
  "power.card-budget.fail": "{card} zieht {measured}, Steckplatz und Buchsen tragen nur {required}.",
  "power.card-budget.marginal":
    "{card} zieht nach Angabe {measured}, Steckplatz und Buchsen tragen {required}; zieht die Karte mehr als angegeben, sind es {shortfall} zu viel.",
  "power.card-budget.pass": "{card} zieht {measured}, Steckplatz und Buchsen tragen {required}: {margin} Spielraum.",
  "power.card-budget.remedy.limit": "Leistungsgrenze der Karte um {shortfall} senken.",
  "power.card-budget.remedy.other-card": "Eine Karte wählen, deren Buchsen für das genügen, was sie zieht.",
  "power.card-budget.remedy.sense": "Ein Kabel verwenden, dessen 12V-2x6-Stecker {level} meldet.",
  "power.card-budget.sense-any": "{card} zieht so wenig, dass jede Leistungsstufe eines 12V-2x6-Steckers genügt.",
  "power.card-budget.sense-fail":
    "Der Stecker für {card} meldet nur {sense}; Steckplatz und Buchsen bringen so {required}, verlangt werden {measured}.",
  "power.card-budget.sense-marginal":
    "Der Stecker für {card} meldet {sense}; Steckplatz und Buchsen bringen so {required}. Die Karte zieht nach Angabe {measured} und verlangt vielleicht {shortfall} mehr.",
  "power.card-budget.sense-pass":
    "Der Stecker für {card} meldet {sense}; Steckplatz und Buchsen bringen so {required} für {measured}.",
  "power.card-budget.sense-unknown":
    "Ob der Stecker für {card} genug meldet, lässt sich ohne {missing} nicht sagen; auf Stecker oder Kabel steht die Leistung.",
  "power.card-budget.unknown":
    "Ob Steckplatz und Buchsen {card} tragen, lässt sich ohne {missing} nicht sagen; Datenblatt oder Bild der Karte zeigen es.",
  "power.card-budget.unknown-socket":
    "Ob Steckplatz und Buchsen {card} tragen, lässt sich nicht sagen: Für eine Buchse {kind} ist keine Grenze bekannt.",
  "power.connectors.adapter": "Stecker {kind}: {need} nötig, {have} vorhanden, Adapter mitgerechnet.",
  "power.connectors.caution.no-force":
    "Nie einen Stecker mit Gewalt einführen: Prozessor- und Zusatzstecker sehen gleich aus und führen 12 V und Masse vertauscht. Nur Kabel bestellen, die für dieses Netzteil gemacht sind, und vor jedem Kabeltausch ausschalten und Netzstecker ziehen.",
  "power.connectors.extra":
    "Stecker {kind}: {need} nötig und vorhanden; leer bleibende Buchsen an {parts}: {open}, die Teile laufen ohne sie.",
  "power.connectors.fail": "Stecker {kind}: {need} nötig an {parts}, dorthin zu bringen sind nur {have}.",
  "power.connectors.idle": "Leer bleibende Buchsen {kind} an {parts}: {open}; die Teile laufen ohne sie.",
  "power.connectors.no-sockets":
    "Welche Stecker {parts} braucht, lässt sich ohne {missing} nicht sagen; Datenblatt oder Bild zeigen die Buchsen.",
  "power.connectors.no-supply": noSupply,
  "power.connectors.partial":
    "Stecker {kind}: {need} nötig und vorhanden, aber {partial} davon füllen die Buchse nur halb, die dann weniger Leistung trägt.",
  "power.connectors.pass": "Stecker {kind}: {need} nötig, {have} vorhanden, {spare} übrig.",
  "power.connectors.remedy.cables":
    "Kabel für die Belegung von {supply} mit so vielen weiteren Steckern {kind} ergänzen: {lacking}; oder ein Netzteil wählen, das sie mitbringt.",
  "power.connectors.remedy.whole": "Ein Kabel verwenden, dessen Stecker die Buchse {kind} ganz füllt.",
  "power.connectors.several-supplies": severalSupplies,
  "power.connectors.too-many":
    "Es gibt zu viele Möglichkeiten, unter den Kabeln zu wählen, um alle zu probieren; nur die nennen, die verwendet werden sollen.",
  "power.connectors.unknown":
    "Ob die Buchsen {kind} ihre Stecker bekommen, lässt sich ohne {missing} nicht sagen; das Datenblatt des Netzteils nennt Kabel und Buchsen.",
  "power.connectors.wished":
    "Stecker {kind}: keiner nötig, {have} vorhanden für Buchsen, ohne die die Teile laufen können.",
  "power.contacts.caution.burn":
    "Ein überlasteter Kontakt wird warm, lockert sich und wird heißer, bis Stecker und Buchse schmelzen. Riecht ein Stecker, ist er braun oder fühlt er sich heiß an: ausschalten, Netzstecker ziehen, abkühlen lassen, Stecker und Buchse nicht weiter verwenden.",
  "power.contacts.collapse":
    "Was die Kontakte tragen, lässt sich nicht sagen: Die Kabel können nicht bringen, was {parts} verlangt.",
  "power.contacts.fail":
    "Kontakte für {rail} im Stecker {plug} an {parts} tragen je {measured}, einer verträgt {required}.",
  "power.contacts.marginal":
    "Kontakte für {rail} im Stecker {plug} an {parts} tragen bei gleicher Verteilung je {measured} von {required}; bei ungleicher trägt einer vielleicht {top}.",
  "power.contacts.over-already":
    "Kontakte für {rail} im Stecker {plug} an {parts} tragen schon nach den bekannten Lasten je {measured}, einer verträgt {required}; nicht bekannt: {missing}.",
  "power.contacts.pass":
    "Kein Kontakt der Stromstecker ist überlastet; am meisten trägt {rail} im Stecker {plug} an {parts}: je {measured} bei gleicher Verteilung, {top} bei ungleicher, von {required}.",
  "power.contacts.remedy.less":
    "Leistungsgrenze von {parts} senken, bis der am meisten belastete Kontakt um {shortfall} entlastet ist.",
  "power.contacts.remedy.more-plugs":
    "{parts} über ein weiteres Kabel speisen oder über einen Stecker mit mehr Kontakten.",
  "power.contacts.remedy.seat":
    "Neue Stecker des Netzteilherstellers verwenden, jeden bis zum Einrasten stecken und die Kontakte nach den ersten Stunden unter Last ansehen.",
  "power.contacts.strange":
    "Ob die Kontakte des Steckers {plug} an {parts} halten, lässt sich nicht sagen: Seine Belastbarkeit ist nicht bekannt.",
  "power.contacts.unknown":
    "Ob die Kontakte der Stromstecker halten, lässt sich ohne {missing} nicht überall sagen; Datenblätter nennen, was Teile ziehen, und die Form des Steckers seine Art.",
  "power.contacts.untold":
    "Was die Kontakte tragen, lässt sich nicht sagen: Es sind zu viele Buchsen, um den Strom in jede zu verfolgen; die Zusammenstellung in kleineren Stücken prüfen.",
  "power.mains.branch-fail":
    "Der Stromkreis trüge mit diesem Rechner {measured}, stundenlang fließen dürfen nur {required}.",
  "power.mains.branch-marginal":
    "Der Stromkreis trägt mit diesem Rechner {measured}, nahe an den {required}, die stundenlang fließen dürfen; der Rechner nimmt {share} seiner Sicherung.",
  "power.mains.branch-pass":
    "Der Stromkreis trägt mit diesem Rechner {measured} von {required}, die stundenlang fließen dürfen; der Rechner nimmt {share} seiner Sicherung.",
  "power.mains.branch-short":
    "Der Stromkreis trägt mit diesem Rechner {measured}, mehr als die {required}, die drei Stunden lang fließen dürfen; er wird aber kürzer benutzt.",
  "power.mains.caution.mains": "{code} Arbeiten an der Hausinstallation sind Sache einer Elektrofachkraft.",
  "power.mains.fail": "Der Rechner zieht {measured} aus dem Netz, der Gerätestecker {inlet} trägt {required}.",
  "power.mains.marginal":
    "Der Rechner zieht {measured} aus dem Netz; der Gerätestecker {inlet} trägt bestenfalls {required}, also entscheidet der Aufdruck der Leitung.",
  "power.mains.no-supply": noSupply,
  "power.mains.over-already":
    "Allein die bekannten Teile ziehen {measured} aus dem Netz, mehr als die zulässigen {required}; nicht bekannt: {missing}.",
  "power.mains.pass":
    "Der Rechner zieht {measured} aus dem Netz, der Gerätestecker {inlet} trägt {required}: {margin} Spielraum.",
  "power.mains.remedy.circuit": "{shortfall} Last an einen anderen Stromkreis legen oder die Leistungsgrenzen senken.",
  "power.mains.remedy.cord":
    "Eine Netzleitung verwenden, auf der mindestens {high} stehen, oder ein Netzteil mit stärkerem Gerätestecker.",
  "power.mains.several-supplies": severalSupplies,
  "power.mains.unknown":
    "Der Netzstrom lässt sich ohne {missing} nicht sagen; das Datenblatt des Netzteils und der Stromkreis der Steckdose nennen es.",
  "power.pinout.caution.mixed-set":
    "Ein Kabel eines anderen Satzes kann stecken und zerstören, was es speist. Sätze nie mischen. Vor jedem Kabeltausch ausschalten und Netzstecker ziehen; Kabel unbekannter Herkunft vor der Verwendung von einer Fachkraft messen lassen.",
  "power.pinout.fail":
    "{cable} hat die Belegung {measured}, {supply} hat {required}: Es kann stecken und zerstören, was es speist.",
  "power.pinout.own-fail":
    "Ein Kabel, das bei {supply} genannt ist, hat die Belegung {measured}, das Netzteil hat {required}; eine der beiden Angaben ist falsch, oder das Kabel gehört zu einem anderen Satz.",
  "power.pinout.pass": "{cable} hat die Belegung von {supply}, {required}.",
  "power.pinout.remedy.own-set": "Nur Kabel von {supply} verwenden, oder solche für seine Belegung {required}.",
  "power.pinout.unknown":
    "Ob {cable} die Belegung von {supply} hat, lässt sich ohne {missing} nicht sagen; weglassen, bis der Hersteller nennt, für welche Netzteile es gemacht ist.",
  "power.plug-bend.caution.bend":
    "Ein zur Seite gezogener Stecker kann so heiß werden, dass er schmilzt. Bis zum Einrasten stecken, keinen Spalt lassen, nichts auf das Kabel drücken lassen.",
  "power.plug-bend.fail":
    "Der Stecker von {card} hat nur {measured} Platz, sein Kabel braucht {required} gerade, bevor es sich biegt.",
  "power.plug-bend.marginal":
    "Der Stecker von {card} hat {measured} Platz, sein Kabel braucht {required} gerade, bevor es sich biegt.",
  "power.plug-bend.pass": "Der Stecker von {card} hat {measured} Platz, sein Kabel braucht {required} gerade.",
  "power.plug-bend.remedy.angle":
    "Ein für dieses Netzteil gemachtes Kabel mit abgewinkeltem Stecker verwenden oder eine Anordnung, die {shortfall} mehr lässt.",
  "power.plug-bend.unknown":
    "Ob das Kabel von {card} hinter seinem Stecker Platz hat, lässt sich ohne {missing} nicht sagen.",
  "power.quiet-point.fail":
    "Der Lüfter von {supply} steht bis {quiet} still, die Teile ziehen {load}: Er dreht bei dieser Last.",
  "power.quiet-point.marginal":
    "Der Lüfter von {supply} steht bis {quiet} still, die Teile ziehen {load}: Er dreht bei dieser Last.",
  "power.quiet-point.pass":
    "Der Lüfter von {supply} steht bis {quiet} still, die Teile ziehen {load}: In kühler Luft bleibt er aus.",
  "power.quiet-point.remedy.larger": "Bei einem Netzteil derselben Art mit {needed} bliebe der Lüfter aus.",
  "power.quiet-point.remedy.less": "Leistungsgrenzen um {shortfall} senken.",
  "power.quiet-point.starts":
    "Der Lüfter von {supply} steht bis {quiet} still, die Teile ziehen {load}: Er dreht bei dieser Last.",
  "power.quiet-point.unknown": "Ob der Lüfter von {supply} still steht, lässt sich ohne {missing} nicht sagen.",
  "power.rails.fail": "Die Schiene {rail} müsste {measured} tragen, {supply} gibt darauf nur {required}.",
  "power.rails.marginal":
    "Die Schiene {rail} trägt nach Angabe {measured} von {required}; ziehen die Teile mehr als angegeben, sind es {shortfall} zu viel.",
  "power.rails.no-label":
    "Ob die Schienen von {supply} ihre Lasten tragen, lässt sich ohne {missing} nicht sagen; auf dem Typenschild steht der Strom jeder Schiene.",
  "power.rails.no-supply": noSupply,
  "power.rails.over-already":
    "Schon die bekannten Teile ziehen {measured} von der Schiene {rail}, mehr als die {required}, die {supply} gibt; nicht bekannt: {missing}.",
  "power.rails.pass": "Die Schiene {rail} trägt {measured} von {required}: {margin} Spielraum.",
  "power.rails.remedy.less":
    "Die Schiene {rail} um {shortfall} entlasten: weniger oder andere Laufwerke, niedrigere Leistungsgrenzen.",
  "power.rails.remedy.stronger": "Ein Netzteil wählen, das auf {rail} mindestens {needed} gibt.",
  "power.rails.several-supplies": severalSupplies,
  "power.rails.split":
    "{supply} gibt 12 V in Teilen an, den kleinsten mit {smallest}, und die Teile ziehen {measured} von insgesamt {required}: Welche Buchse an welchem Teil hängt, ist nicht bekannt.",
  "power.rails.unknown":
    "Ob die Schiene {rail} {measured} trägt, lässt sich ohne {missing} nicht sagen; auf dem Typenschild steht der Strom jeder Schiene.",
  "power.running-cost.fail": "Der Rechner braucht {measured} im Jahr, zulässig sind {required}.",
  "power.running-cost.marginal": "Der Rechner braucht {measured} im Jahr, nahe an den zulässigen {required}.",
  "power.running-cost.pass":
    "Bei {hours} am Tag zieht der Rechner {mains} aus dem Netz und braucht {year} im Jahr; {loss} davon werden im Netzteil zu Wärme, bei einem Wirkungsgrad von {efficiency}.",
  "power.running-cost.priced":
    "Bei {hours} am Tag zieht der Rechner {mains} aus dem Netz und braucht {year} im Jahr, das kostet {#price} {currency}; {loss} werden im Netzteil zu Wärme, bei einem Wirkungsgrad von {efficiency}.",
  "power.running-cost.remedy.less": "Lasten oder Stunden verringern, um {shortfall} im Jahr zu sparen.",
  "power.running-cost.unknown": "Wie viel Energie der Rechner braucht, lässt sich ohne {missing} nicht sagen.",
  "power.supply-excursion.fail":
    "Spitzen von {duration} erreichen {measured}; {supply} gibt so lange nur {required} und kann abschalten.",
  "power.supply-excursion.marginal":
    "Spitzen von {duration} erreichen nach Angabe {measured}, {supply} gibt so lange {required}; sind sie höher als angegeben, fehlen {shortfall}.",
  "power.supply-excursion.no-guide":
    "Spitzen von {duration} erreichen {measured}; {supply} nennt keine Bauvorschrift der Generation ATX 3, über {required} hinaus ist also nichts zugesagt, und es kann abschalten.",
  "power.supply-excursion.no-supply": noSupply,
  "power.supply-excursion.over-already":
    "Schon die bekannten Spitzen erreichen {measured} für {duration}, {supply} gibt so lange nur {required}; nicht bekannt: {missing}.",
  "power.supply-excursion.pass":
    "Spitzen von {duration} erreichen {measured}, {supply} gibt so lange {required}: {margin} Spielraum.",
  "power.supply-excursion.remedy.less":
    "Leistung von Karte oder Prozessor begrenzen, bis die Spitzen um {shortfall} niedriger sind.",
  "power.supply-excursion.remedy.new-guide":
    "Ein Netzteil nach ATX 3.0 oder 3.1 wählen, das kurze Spitzen tragen muss, oder eines mit mindestens {needed}.",
  "power.supply-excursion.remedy.stronger": "Ein Netzteil derselben Bauvorschrift mit mindestens {needed} wählen.",
  "power.supply-excursion.several-supplies": severalSupplies,
  "power.supply-excursion.unknown":
    "Ob {supply} die Spitzen trägt, lässt sich ohne {missing} nicht sagen; Messungen mit dem Oszilloskop nennen Spitzen nach ihrer Dauer.",
  "power.supply-load.fail": "Die Teile ziehen {measured}, {supply} ist für {rated} gebaut: überlastet.",
  "power.supply-load.incomplete":
    "Die bekannten Teile ziehen {known}; Platine oder Prozessor sind nicht genannt, das ist also nicht die ganze Summe; es fehlt: {missing}.",
  "power.supply-load.marginal":
    "Die Teile ziehen nach Angabe {measured}, und {supply} gibt das mit freier Reserve; ziehen sie mehr als angegeben, gehen {shortfall} von der Reserve ab.",
  "power.supply-load.no-supply": noSupply,
  "power.supply-load.over-already":
    "Schon die bekannten Teile ziehen {measured}, {supply} ist für {rated} gebaut: überlastet, was immer der Rest zieht; nicht bekannt: {missing}.",
  "power.supply-load.pass":
    "Die Teile ziehen {measured}, {supply} gibt mit freier Reserve {required}: {margin} Spielraum.",
  "power.supply-load.remedy.less": "Leistungsgrenzen senken, zusammen um {shortfall}.",
  "power.supply-load.remedy.stronger": "Ein Netzteil mit mindestens {needed} wählen.",
  "power.supply-load.reserve":
    "Die Teile ziehen {measured}, {supply} gibt das innerhalb seiner {rated}, aber {shortfall} gehen von der Reserve von {reserve} ab.",
  "power.supply-load.several-supplies": severalSupplies,
  "power.supply-load.unknown":
    "Die bekannten Teile ziehen {known}; die Summe lässt sich ohne {missing} nicht sagen; Datenblätter nennen es als Leistung oder Strom.",
  "power.usb-ports.fail":
    "{ports} USB-Anschlüsse vorn dürfen {measured} ziehen, die Schiene 5 V hat nur {required} dafür übrig.",
  "power.usb-ports.marginal":
    "{ports} USB-Anschlüsse vorn dürfen voll belastet {measured} ziehen, die Schiene 5 V hat nur {required} dafür übrig.",
  "power.usb-ports.pass":
    "{ports} USB-Anschlüsse vorn dürfen {measured} ziehen, die Schiene 5 V hat {required} dafür übrig.",
  "power.usb-ports.remedy.fewer": "Was viel zieht, nicht vorn anschließen oder aus einem eigenen Netzteil speisen.",
  "power.usb-ports.unknown":
    "Ob die Schiene 5 V {ports} USB-Anschlüsse vorn trägt, lässt sich ohne {missing} nicht sagen; auf dem Typenschild des Netzteils steht ihr Strom.",
  "power.voltage.collapse":
    "Die Kabel können nicht bringen, was {parts} verlangt: Die Spannung bricht vorher zusammen.",
  "power.voltage.fail": "{parts} bekommt auf {rail} nur {measured}, das Mindeste sind {required}.",
  "power.voltage.marginal":
    "{parts} bekommt auf {rail} {measured}, das Mindeste sind {required}; bei schwachem Netzteil und allem übrigen im schlechtesten Fall sind es {low}.",
  "power.voltage.may-collapse": "Im schlechtesten Fall bringen die Kabel vielleicht nicht, was {parts} verlangt.",
  "power.voltage.pass":
    "Jedes Teil bekommt seine Spannung; am knappsten ist {parts} mit {measured} auf {rail}, das Mindeste sind {required}.",
  "power.voltage.refused":
    "Welche Spannung die Teile bekommen, lässt sich nicht sagen: Die Lasten sind außer jedem Verhältnis; ihre Angaben prüfen.",
  "power.voltage.remedy.cable": "{parts} über Kabel mit dickeren Adern speisen oder über mehrere.",
  "power.voltage.remedy.shorter":
    "Adapter oder Verlängerung zu {parts} weglassen, oder ein kürzeres Kabel oder eines mit dickeren Adern verwenden; es fehlen {shortfall}.",
  "power.voltage.unknown":
    "Welche Spannung die Teile bekommen, lässt sich ohne {missing} nicht überall sagen; ein Maßband am Kabel und der Aufdruck der Adern nennen Länge und Querschnitt.",
  "power.wires.caution.hot-wire":
    "Heiße Isolierung wird weich, verkohlt und kann einen Brand auslösen. Fühlt sich ein Kabel heiß an oder riecht es: ausschalten und Netzstecker ziehen, bevor Sie es anfassen.",
  "power.wires.fail":
    "Die Adern für {rail} im Kabel {plug} zu {parts} kämen mit je {amps} auf {measured}, ihre Isolierung verträgt {required}.",
  "power.wires.marginal":
    "Die Adern für {rail} im Kabel {plug} zu {parts} kommen mit je {amps} auf {measured}, ihre Isolierung verträgt {required}; bei ungleicher Verteilung oder warmer Luft erreicht eine vielleicht {top}.",
  "power.wires.pass":
    "Jede Ader bleibt kühl; die wärmste, {rail} im Kabel {plug} zu {parts}, kommt mit je {amps} auf {measured}, ihre Isolierung verträgt {required}.",
  "power.wires.remedy.air": "Kühlere Luft an die Kabel bringen und sie nicht zu dicken Bündeln schnüren.",
  "power.wires.remedy.thicker":
    "Ein Kabel mit dickeren oder mehr Adern zu {parts} verwenden oder dessen Leistungsgrenze senken.",
  "power.wires.unknown":
    "Wie warm die Adern werden, lässt sich ohne {missing} nicht überall sagen; der Querschnitt ist auf die Ader gedruckt, und Datenblätter nennen, was Teile ziehen.",
};
