// German: the messages about what is fastened, in which order, and what it weighs.

export const mounting: Record<string, string> = {
  "mounting.accessories.fail": "Die Anordnung braucht {required} × {accessory}, in den Schachteln liegen {measured}.",
  "mounting.accessories.pass": "Die Anordnung braucht {required} × {accessory}, in den Schachteln liegen {measured}.",
  "mounting.accessories.remedy.buy": "{lacking} × {accessory} kaufen.",
  "mounting.accessories.unknown":
    "Ob alles Zubehör da ist, das die Anordnung braucht, lässt sich ohne {missing} nicht sagen; in der Schachtel des Gehäuses nachsehen.",
  "mounting.board-screws.fail":
    "{part} braucht {required} Schrauben mit dem Gewinde der Abstandsbolzen, in den Schachteln liegen {measured}.",
  "mounting.board-screws.pass":
    "{part} braucht {required} Schrauben mit dem Gewinde der Abstandsbolzen, und die liegen in den Schachteln.",
  "mounting.board-screws.remedy.buy": "{lacking} Schrauben mit dem Gewinde der Abstandsbolzen kaufen.",
  "mounting.board-screws.unknown":
    "Ob die richtigen Schrauben für {part} da sind, lässt sich ohne {missing} nicht sagen; das Gewinde der Abstandsbolzen mit einer bekannten Schraube prüfen, M3 oder 6-32.",
  "mounting.board-standoffs.fail": "{part} braucht {required} Abstandsbolzen, in den Schachteln liegen {measured}.",
  "mounting.board-standoffs.pass": "{part} braucht {required} Abstandsbolzen, und die liegen in den Schachteln.",
  "mounting.board-standoffs.remedy.buy":
    "{lacking} Abstandsbolzen für die Gewinde des Trägers kaufen, wenn er keine festen hat.",
  "mounting.board-standoffs.unknown":
    "Ob Abstandsbolzen für {part} da sind, lässt sich ohne {missing} nicht sagen; am Träger und in der Stückliste des Gehäuses nachsehen.",
  "mounting.build-order.declared": "Die Reihenfolgen, die die Zusammenstellung verlangt, widersprechen sich: {why}.",
  "mounting.build-order.fail": "Auf geraden Wegen lassen sich die Teile nicht einbauen: {why}.",
  "mounting.build-order.marginal": "Die Teile lassen sich einbauen, aber etwas muss wieder gelöst werden: {why}.",
  "mounting.build-order.pass": "Die Teile lassen sich in {steps} Schritten einbauen.",
  "mounting.build-order.remedy.later":
    "Das erneute Lösen einplanen oder für eines von beiden einen anderen Platz wählen.",
  "mounting.build-order.remedy.mend": "Eine dieser Reihenfolgen aus der Zusammenstellung nehmen.",
  "mounting.build-order.remedy.tilt":
    "Nachsehen, ob sich eines davon gekippt einführen lässt, oder einen anderen Platz dafür wählen.",
  "mounting.build-order.unknown":
    "Ob sich die Teile in der verlangten Reihenfolge einbauen lassen, lässt sich nicht sagen: {missing} nennt nichts, was eingebaut wird.",
  "mounting.card-moment.caution.carry":
    "Vor dem Versand die Karte ausbauen und den Rechner so tragen, dass sie steht: Ein Stoß reißt den Steckplatz von der Platine.",
  "mounting.card-moment.fail": "{part} zieht mit {measured} am Steckplatz; ohne Stütze trägt er {required}.",
  "mounting.card-moment.marginal":
    "{part} zieht mit {measured} am Steckplatz und hängt am Ende etwa {sag} durch; ohne Stütze trägt er {required}.",
  "mounting.card-moment.pass":
    "{part} zieht mit {measured} am Steckplatz und hängt am Ende etwa {sag} durch; ohne Stütze trägt er {required}.",
  "mounting.card-moment.remedy.support":
    "Die Karte am freien Ende stützen oder eine Anordnung wählen, in der sie steht.",
  "mounting.card-moment.unknown":
    "Wie stark {part} am Steckplatz zieht, lässt sich ohne {missing} nicht sagen; beides steht im Datenblatt.",
  "mounting.cooler-bracket.caution.loose":
    "Nie einen Prozessor unter einem nur aufgelegten Kühler betreiben: Er überhitzt in Sekunden, und ein schwerer Kühler, der fällt, zerschlägt die Karte.",
  "mounting.cooler-bracket.fail": "{cooler} hat keinen Halter für {socket}.",
  "mounting.cooler-bracket.lacking": "{cooler} braucht für {socket} {accessory}; das liegt in keiner Schachtel.",
  "mounting.cooler-bracket.marginal":
    "{cooler} nennt keinen Halter für {socket}, aber einen für {kin}, der nach allem, was bekannt ist, dieselben Löcher hat.",
  "mounting.cooler-bracket.no-board":
    "Die Zusammenstellung nennt keine Platine, daher ist offen, ob sich {cooler} befestigen lässt; Platine ergänzen.",
  "mounting.cooler-bracket.pass": "{cooler} hat einen Halter für {socket}.",
  "mounting.cooler-bracket.provided": "{cooler} braucht für {socket} {accessory}; das ist vorhanden.",
  "mounting.cooler-bracket.remedy.buy": "Den Halter besorgen; Hersteller schicken ihn oft auf Anfrage.",
  "mounting.cooler-bracket.remedy.check":
    "Beim Hersteller des Kühlers fragen, ob der Halter für {kin} auch für {socket} taugt: Höhe und Anpressdruck können trotz gleicher Löcher anders sein.",
  "mounting.cooler-bracket.unknown":
    "Ob sich {cooler} befestigen lässt, lässt sich ohne {missing} nicht sagen; die Sockel stehen in den Datenblättern von Kühler und Platine.",
  "mounting.cooler-moment.caution.ship":
    "Vor dem Versand den Kühler abnehmen, oder den Rechner so legen, dass die Platine flach liegt, und den Kühler polstern: Ein Stoß bricht ihn ab.",
  "mounting.cooler-moment.fail":
    "{part} zieht mit {measured} an der Platine, mehr als die {required}, die bei schweren Kühlern üblich sind.",
  "mounting.cooler-moment.marginal":
    "{part} zieht mit {measured} an der Platine, mehr als die {required}, die bei schweren Kühlern üblich sind.",
  "mounting.cooler-moment.pass":
    "{part} zieht mit {measured} an der Platine; bei schweren Kühlern sind {required} üblich.",
  "mounting.cooler-moment.remedy.flat":
    "Den Kühler stützen oder den Rechner so aufstellen, dass die Platine flach liegt.",
  "mounting.cooler-moment.unknown":
    "Wie stark {part} an der Platine zieht, lässt sich ohne {missing} nicht sagen; beides steht im Datenblatt.",
  "mounting.drive-screws.fail": "{part} braucht {required} Schrauben, in den Schachteln liegen {measured}.",
  "mounting.drive-screws.pass": "{part} braucht {required} Schrauben, und die liegen in den Schachteln.",
  "mounting.drive-screws.remedy.buy":
    "{lacking} Schrauben mit dem Gewinde des Laufwerks kaufen, etwa 5 mm lang, wenn der Schacht Laufwerke nicht ohne Schrauben hält.",
  "mounting.drive-screws.unknown":
    "Ob Schrauben für {part} da sind, lässt sich ohne {missing} nicht sagen; in der Schachtel des Gehäuses nachsehen.",
  "mounting.fan-hold.fail":
    "Bei {place} verdeckt das Gehäuse {covered} Löcher von {part}; {held} Schrauben halten ihn nicht.",
  "mounting.fan-hold.marginal":
    "Bei {place} verdeckt das Gehäuse {covered} Löcher von {part}; die übrigen {held} Schrauben halten ihn.",
  "mounting.fan-hold.pass": "{held} Schrauben halten {part} bei {place}.",
  "mounting.fan-hold.remedy.check": "Alle übrigen Schrauben setzen und prüfen, dass der Lüfter nicht klappert.",
  "mounting.fan-hold.remedy.other": "Den Lüfter an einen anderen Platz setzen oder einen leichteren wählen.",
  "mounting.fan-hold.unknown":
    "Ob {part} hält, wo das Gehäuse Löcher verdeckt, lässt sich ohne {missing} nicht sagen; den Lüfter wiegen oder im Datenblatt nachsehen.",
  "mounting.fan-screws.fail": "{part} braucht {required} Schrauben, in den Schachteln liegen {measured}.",
  "mounting.fan-screws.pass": "{part} braucht {required} Schrauben, und die liegen in den Schachteln.",
  "mounting.fan-screws.remedy.buy":
    "{lacking} selbstschneidende Lüfterschrauben kaufen oder Gummistifte für die Löcher des Lüfters.",
  "mounting.fan-screws.unknown":
    "Ob Schrauben für {part} da sind, lässt sich ohne {missing} nicht sagen; in der Schachtel des Lüfters nachsehen.",
  "mounting.hole-pattern.fail":
    "{part} hält bei {place} nicht: {held} von {needed} Löchern nehmen eine Schraube, {why}.",
  "mounting.hole-pattern.marginal": "{part} hält bei {place} an {held} von {needed} Löchern: {why}.",
  "mounting.hole-pattern.pass":
    "Alle {needed} Löcher von {part} bei {place} nehmen eine Schraube, und ein Schraubendreher kommt heran.",
  "mounting.hole-pattern.remedy.other":
    "Einen anderen Platz oder eine andere Anordnung verwenden, oder einen Halter mit den Löchern des Teils.",
  "mounting.hole-pattern.remedy.screws":
    "In jedes übrige Loch eine Schraube setzen und das Teil an der freien Ecke stützen, wenn Stecker hineingehen.",
  "mounting.hole-pattern.unknown":
    "Ob {part} bei {place} hält, lässt sich nicht sagen: {missing} fehlt, oder es nennt ein Loch doppelt oder neben dem Teil; nach der Maßzeichnung berichtigen.",
  "mounting.lifting.caution.lift":
    "Den Rechner nah am Körper und aus den Knien heben, mit gezogenem Stecker, und nie an der Karte, an Kabeln oder an einer Wand, die sich löst.",
  "mounting.lifting.fail": "Der Rechner wiegt {measured}, mehr als die {required}, die eine Person heben sollte.",
  "mounting.lifting.marginal": "Der Rechner wiegt {measured}, mehr als die {required}, die eine Person heben sollte.",
  "mounting.lifting.pass": "Der Rechner wiegt {measured}; eine Person hebt {required}.",
  "mounting.lifting.remedy.two": "Zu zweit heben oder die schweren Teile einzeln tragen.",
  "mounting.lifting.unknown":
    "Was der Rechner wiegt, lässt sich ohne {missing} nicht sagen; die Massen stehen in den Datenblättern, oder die Teile wiegen.",
  "mounting.m2-screw.fail": "{part} braucht {required} M.2-Schrauben, in den Schachteln liegen {measured}.",
  "mounting.m2-screw.marginal":
    "{part} braucht {required} M.2-Schrauben, in den Schachteln sind {measured} genannt; die Platine hält es vielleicht ohne Werkzeug.",
  "mounting.m2-screw.pass": "{part} braucht {required} M.2-Schrauben, und die liegen in den Schachteln.",
  "mounting.m2-screw.remedy.buy":
    "Nachsehen, ob die Platine Laufwerke ohne Werkzeug hält, sonst {lacking} Schrauben M2 kaufen, etwa 3 mm lang.",
  "mounting.m2-screw.unknown":
    "Ob eine Schraube für {part} da ist, lässt sich ohne {missing} nicht sagen; in der Schachtel der Platine nachsehen.",
  "mounting.mixed-threads.caution.force":
    "Jede Schraube erst von Hand eindrehen und nie mit Gewalt: Eine mit dem anderen Gewinde geht ein, zwei Umdrehungen hinein und reißt dann das Loch aus.",
  "mounting.mixed-threads.fail": "In den Schachteln liegen Schrauben M3 und 6-32, die nicht auseinandergehalten sind.",
  "mounting.mixed-threads.pass": "In den Schachteln liegen Schrauben M3 ({metric}) und 6-32 ({inch}); getrennt halten.",
  "mounting.mixed-threads.unknown":
    "Welche Gewinde die Schrauben in den Schachteln haben, ist ohne {missing} nicht bekannt.",
  "mounting.other-screws.caution.cooler":
    "Die Schrauben eines Kühlers über Kreuz in kleinen, gleichen Schritten bis zum Anschlag drehen: Ein einseitig angezogener Kühler zerbricht den Prozessor.",
  "mounting.other-screws.fail":
    "Die Verbindung {joint} von {part} braucht {required} Befestigungen, in den Schachteln liegen {measured}.",
  "mounting.other-screws.pass":
    "Die Verbindung {joint} von {part} braucht {required} Befestigungen, und die liegen in den Schachteln.",
  "mounting.other-screws.remedy.buy": "{lacking} Befestigungen mit Gewinde, Länge und Kopf dieser Verbindung kaufen.",
  "mounting.other-screws.unknown":
    "Ob Befestigungen für die Verbindung {joint} von {part} da sind, lässt sich ohne {missing} nicht sagen; in den Schachteln von Teil und Gehäuse nachsehen.",
  "mounting.radiator-screws.caution.pierce":
    "Eine zu lange Schraube durchbohrt die Rohre des Radiators, und Kühlmittel gelangt an spannungsführende Teile; jede Schraube vor dem Anziehen von Hand probieren.",
  "mounting.radiator-screws.fail":
    "Der Radiator von {part} braucht {required} Schrauben, die durch seine Lüfter reichen, in den Schachteln liegen {measured}.",
  "mounting.radiator-screws.pass":
    "Der Radiator von {part} braucht {required} Schrauben, die durch seine Lüfter reichen, und die liegen in den Schachteln.",
  "mounting.radiator-screws.remedy.buy":
    "{lacking} Schrauben mit dem Gewinde des Radiators kaufen, so lang, wie der Lüfter dick ist, und 3 bis 5 mm mehr.",
  "mounting.radiator-screws.unknown":
    "Ob lange Schrauben für den Radiator von {part} da sind, lässt sich ohne {missing} nicht sagen; in seiner Schachtel nachsehen.",
  "mounting.screw-depth.caution.pierce":
    "Diese Schrauben nicht bis zum Anschlag drehen: Sie können die Rohre durchbohren, und Kühlmittel an spannungsführenden Teilen bedeutet Stromschlag- und Brandgefahr.",
  "mounting.screw-depth.fail":
    "Radiatorschrauben von {length} aus der Schachtel von {box} reichen {measured} in den Radiator von {part}, und vor den Rohren sind nur {required} frei.",
  "mounting.screw-depth.marginal":
    "Radiatorschrauben von {length} aus der Schachtel von {box} reichen {measured} in den Radiator von {part}, frei sind {required}: weniger Spielraum, als die Angaben abweichen können.",
  "mounting.screw-depth.pass":
    "Radiatorschrauben von {length} aus der Schachtel von {box} reichen {measured} in den Radiator von {part}, frei sind {required}: {margin} Spielraum.",
  "mounting.screw-depth.remedy.shorter":
    "Schrauben verwenden, die mindestens {shortfall} kürzer sind, oder Scheiben von dieser Dicke unterlegen.",
  "mounting.screw-depth.unknown":
    "Ob Radiatorschrauben aus der Schachtel von {box} den Radiator von {part} durchbohren, lässt sich ohne {missing} nicht sagen; die Tiefe eines Loches mit einem Streichholz messen.",
  "mounting.supply-screws.caution.long":
    "Nie eine Schraube in ein Netzteil drehen, die nicht dafür gemacht ist: Eine lange erreicht Teile unter Netzspannung.",
  "mounting.supply-screws.fail": "{part} braucht {required} Schrauben, in den Schachteln liegen {measured}.",
  "mounting.supply-screws.pass": "{part} braucht {required} Schrauben, und die liegen in den Schachteln.",
  "mounting.supply-screws.remedy.buy": "{lacking} Schrauben 6-32 kaufen, etwa 6 mm lang.",
  "mounting.supply-screws.unknown":
    "Ob Schrauben für {part} da sind, lässt sich ohne {missing} nicht sagen; in den Schachteln von Netzteil und Gehäuse nachsehen.",
  "mounting.tipping.caution.fall":
    "Ein Rechner, der umfällt, kann ein Kind verletzen und bricht die Karte aus dem Steckplatz; Kabel so legen, dass niemand darüber stolpert.",
  "mounting.tipping.fail": "Der Rechner fällt schon bei {measured} Neigung um; verlangt sind {required}.",
  "mounting.tipping.marginal": "Der Rechner fällt vielleicht bei {measured} Neigung um; verlangt sind {required}.",
  "mounting.tipping.pass": "Der Rechner fällt erst bei {measured} Neigung um; verlangt sind {required}.",
  "mounting.tipping.remedy.stand": "Auf die breite Seite stellen, in eine Ecke, oder auf Füße, die weiter ausladen.",
  "mounting.tipping.unknown":
    "Wie leicht der Rechner umfällt, lässt sich ohne {missing} nicht sagen; das Gehäuse außen messen.",
};
