// German: the messages about room, way and length.

const unseen =
  " Wie die Teile zueinander liegen, ist aus Höchstmaßen nicht zu sehen: Karte gegen Radiator und Lüfter, Netzteil gegen Karte, Kabel gegen Wände.";

export const clearance: Record<string, string> = {
  "clearance.arrangement.fail": `{enclosure} hat nach den angegebenen Höchstmaßen nicht Platz für alle Teile; verfehlte Anforderungen: {failures}.${unseen}`,
  "clearance.arrangement.fail-best": `{enclosure} hat in keiner seiner {open} Anordnungen Platz für alle Teile; am nächsten kommt {layout}; verfehlte Anforderungen: {failures}.${unseen}`,
  "clearance.arrangement.fail-best-in-space":
    "{enclosure} hat in keiner seiner {open} Anordnungen Platz für alle Teile; am nächsten kommt {layout}; verfehlte Anforderungen: {failures}.",
  "clearance.arrangement.fail-in-space":
    "{enclosure} hat nach den angegebenen Höchstmaßen nicht Platz für alle Teile; verfehlte Anforderungen: {failures}.",
  "clearance.arrangement.fail-one": `{enclosure} hat in der einzigen offenen Anordnung {layout} nicht Platz für alle Teile; verfehlte Anforderungen: {failures}.${unseen}`,
  "clearance.arrangement.fail-one-in-space":
    "{enclosure} hat in der einzigen offenen Anordnung {layout} nicht Platz für alle Teile; verfehlte Anforderungen: {failures}.",
  "clearance.arrangement.pass": `{enclosure} hat nach den angegebenen Höchstmaßen Platz für jedes Teil, das sich beurteilen ließ.${unseen}`,
  "clearance.arrangement.pass-also": `{enclosure} wird in der Anordnung {layout} beurteilt, der besten von {open}: Jedes Teil, das sich beurteilen ließ, hat Platz. Ebenfalls ohne Mangel: {others}.${unseen}`,
  "clearance.arrangement.pass-also-in-space":
    "{enclosure} wird in der Anordnung {layout} beurteilt, der besten von {open}: Jedes Teil, das sich beurteilen ließ, hat Platz. Ebenfalls ohne Mangel: {others}.",
  "clearance.arrangement.pass-best": `{enclosure} wird in der Anordnung {layout} beurteilt, der besten von {open}: Jedes Teil, das sich beurteilen ließ, hat Platz, und nur in dieser.${unseen}`,
  "clearance.arrangement.pass-best-in-space":
    "{enclosure} wird in der Anordnung {layout} beurteilt, der besten von {open}: Jedes Teil, das sich beurteilen ließ, hat Platz, und nur in dieser.",
  "clearance.arrangement.pass-in-space":
    "{enclosure} hat nach den angegebenen Höchstmaßen Platz für jedes Teil, das sich beurteilen ließ.",
  "clearance.arrangement.pass-one": `{enclosure} hat in der einzigen offenen Anordnung {layout} Platz für jedes Teil, das sich beurteilen ließ.${unseen}`,
  "clearance.arrangement.pass-one-in-space":
    "{enclosure} hat in der einzigen offenen Anordnung {layout} Platz für jedes Teil, das sich beurteilen ließ.",
  "clearance.arrangement.remedy.parts":
    "Beheben Sie die Mängel oben, oder wählen Sie ein Gehäuse, das diese Teile aufnimmt.",
  "clearance.arrangement.unknown":
    "Die Zusammenstellung nennt kein Gehäuse; ohne Gehäuse lässt sich über den Platz nichts sagen. Gehäuse ergänzen.",
  "clearance.board-form.caution.stray":
    "Abstandsbolzen entfernen, über denen die Platine kein Loch hat: Sie schließen ihre Leiterbahnen kurz.",
  "clearance.board-form.fail": "{board} ist {measured}; das Gehäuse nimmt nur {required}.",
  "clearance.board-form.no-board":
    "Die Zusammenstellung nennt keine Platine; ergänzen Sie sie, um zu wissen, ob sie in das Gehäuse passt.",
  "clearance.board-form.no-holes":
    "{board} ist {form} und damit kleiner als {tray}, aber ihre Löcher sind nicht bekannt; mit den Abstandsbolzen des Gehäuses vergleichen.",
  "clearance.board-form.pass": "{board} ist {measured}, und das nimmt das Gehäuse.",
  "clearance.board-form.remedy.other":
    "Eine Platine in einem der genannten Formate wählen oder ein Gehäuse für {measured}.",
  "clearance.board-form.remedy.standoffs":
    "Nachsehen, ob das Gehäuse Gewinde für die Löcher {holes} hat, und dort Abstandsbolzen setzen.",
  "clearance.board-form.smaller":
    "{board} ist {measured}; das Gehäuse nennt {required}, und ein Träger für {tray} nimmt diese kleinere Platine auf ihren eigenen Löchern.",
  "clearance.board-form.standoffs":
    "{board} ist {form}; ein Träger für {tray} nimmt sie der Größe nach, hat aber nach der Norm keine Abstandsbolzen für ihre Löcher {holes}.",
  "clearance.board-form.unknown":
    "Ob {board} in das Gehäuse passt, lässt sich ohne {missing} nicht sagen; das Format steht in beiden Datenblättern.",
  "clearance.breath.fail": "{breather} hat nur {measured} Luft vor {obstacle}; üblich sind {required}.",
  "clearance.breath.marginal": "{breather} hat nur {measured} Luft vor {obstacle}; üblich sind {required}.",
  "clearance.breath.pass": "{breather} hat {measured} Luft vor {obstacle}.",
  "clearance.breath.remedy.room":
    "{shortfall} mehr Abstand geben: anderer Versatz der Platine, dünneres Teil oder anderer Platz des Lüfters.",
  "clearance.breath.unknown": "Wie viel Luft {breather} vor sich hat, lässt sich ohne {missing} nicht sagen.",
  "clearance.cable-length.absent":
    "Ein Kabel von {supply} zum Anschluss {connector} von {part} ist nicht genannt; der Weg braucht mit Zugabe {needed}: eines von {order} bestellen.",
  "clearance.cable-length.blocked":
    "Ein Kabel {connector} von {thickness} Dicke findet keinen Weg von {supply} zu {part}: {obstacles} im Weg.",
  "clearance.cable-length.caution.family":
    "Nur Kabel verwenden, die der Hersteller des Netzteils dafür nennt: Stecker anderer Baureihen passen hinein und sind anders belegt; das zerstört Teile und kann einen Brand auslösen. Vor jedem Kabeltausch Netzstecker ziehen und warten.",
  "clearance.cable-length.fail":
    "Das Kabel {connector} von {supply} zu {part} ist {measured} lang, der Weg braucht mit Zugabe mindestens {required}.",
  "clearance.cable-length.marginal":
    "Das Kabel {connector} von {supply} zu {part} ist {measured} lang, der Weg braucht mit Zugabe {required}: Es reicht, aber um weniger, als die Angaben abweichen können.",
  "clearance.cable-length.narrow":
    "Ein Kabel {connector} von {thickness} Dicke findet keinen Weg von {supply} zu {part}: Es ist dort zu eng.",
  "clearance.cable-length.pass":
    "Das Kabel {connector} von {supply} zu {part} ist {measured} lang, der Weg braucht mit Zugabe höchstens {required}.",
  "clearance.cable-length.remedy.clear":
    "Dem Kabel Platz schaffen, oder Netzteil oder Platine so drehen, dass die Stecker zur freien Seite zeigen.",
  "clearance.cable-length.remedy.longer": "Ein Kabel von {order} aus der Baureihe des Netzteils verwenden.",
  "clearance.cable-length.remedy.measure":
    "Vor dem Bestellen eine Schnur entlang des Weges legen und messen; {order} nähmen jeden Zweifel.",
  "clearance.cable-length.unknown":
    "Ob das Kabel {connector} von {supply} bis {part} reicht, lässt sich ohne {missing} nicht sagen; das Kabel von Stecker zu Stecker messen, oder die Lage des Anschlusses.",
  "clearance.cable-length.untold":
    "Der Weg des Kabels {connector} von {supply} zu {part} ließ sich nicht bestimmen ({reason}); die Lage von Abgang und Anschluss berichtigen.",
  "clearance.card-height.fail": "{card} ist {measured} hoch, frei sind nur {required}.",
  "clearance.card-height.marginal":
    "{card} ist {measured} hoch, frei sind {required}: {margin} Spielraum, weniger als die Angaben abweichen können.",
  "clearance.card-height.pass": "{card} ist {measured} hoch, frei sind {required}: {margin} Spielraum.",
  "clearance.card-height.remedy.measure":
    "Karte und Gehäuse vor dem Kauf nachmessen: {shortfall} mehr Platz nähmen jeden Zweifel.",
  "clearance.card-height.remedy.smaller": "Eine Karte wählen, die mindestens {shortfall} niedriger ist.",
  "clearance.card-height.unknown":
    "Ob {card} nicht zu hoch ist, lässt sich ohne {missing} nicht sagen; siehe die Datenblätter von Karte und Gehäuse.",
  "clearance.card-length.fail": "{card} ist {measured} lang, frei sind nur {required}.",
  "clearance.card-length.marginal":
    "{card} ist {measured} lang, frei sind {required}: {margin} Spielraum, weniger als die Angaben abweichen können.",
  "clearance.card-length.pass": "{card} ist {measured} lang, frei sind {required}: {margin} Spielraum.",
  "clearance.card-length.remedy.measure":
    "Karte und Gehäuse vor dem Kauf nachmessen: {shortfall} mehr Platz nähmen jeden Zweifel.",
  "clearance.card-length.remedy.smaller": "Eine Karte wählen, die mindestens {shortfall} kürzer ist.",
  "clearance.card-length.unknown":
    "Ob {card} nicht zu lang ist, lässt sich ohne {missing} nicht sagen; siehe die Datenblätter von Karte und Gehäuse.",
  "clearance.card-slots.fail": "Die Karten brauchen {measured} Slotblenden, das Gehäuse hat nur {required}.",
  "clearance.card-slots.pass": "Die Karten brauchen {measured} von {required} Slotblenden.",
  "clearance.card-slots.remedy.fewer": "Karten mit weniger Slotblenden wählen oder eine weglassen.",
  "clearance.card-slots.unknown":
    "Ob die Slotblenden für die Karten reichen, lässt sich ohne {missing} nicht sagen; an der Rückseite des Gehäuses zählen.",
  "clearance.card-thickness.fail": "{card} ist {measured} dick, frei sind nur {required}.",
  "clearance.card-thickness.marginal":
    "{card} ist {measured} dick, frei sind {required}: {margin} Spielraum, weniger als die Angaben abweichen können.",
  "clearance.card-thickness.over-slots":
    "{card} ist {measured} dick, mehr als die {required}, die die Slotblenden ergeben; ob daneben mehr frei ist, ist nicht angegeben.",
  "clearance.card-thickness.pass": "{card} ist {measured} dick, frei sind {required}: {margin} Spielraum.",
  "clearance.card-thickness.remedy.measure":
    "Karte und Gehäuse vor dem Kauf nachmessen: {shortfall} mehr Platz nähmen jeden Zweifel.",
  "clearance.card-thickness.remedy.smaller": "Eine Karte wählen, die mindestens {shortfall} dünner ist.",
  "clearance.card-thickness.unknown":
    "Ob {card} nicht zu dick ist, lässt sich ohne {missing} nicht sagen; siehe die Datenblätter von Karte und Gehäuse.",
  "clearance.cooler-height.fail": "{cooler} ist {measured} hoch, frei sind nur {required}.",
  "clearance.cooler-height.marginal":
    "{cooler} ist {measured} hoch, frei sind {required}: {margin} Spielraum, weniger als die Angaben abweichen können.",
  "clearance.cooler-height.no-cooler":
    "Die Zusammenstellung hat einen Prozessor, aber keinen Kühler dafür; ergänzen Sie ihn, um zu wissen, ob er unter die Wand passt.",
  "clearance.cooler-height.pass": "{cooler} ist {measured} hoch, frei sind {required}: {margin} Spielraum.",
  "clearance.cooler-height.remedy.lower": "Einen Kühler wählen, der mindestens {shortfall} niedriger ist.",
  "clearance.cooler-height.remedy.measure":
    "Kühler und Gehäuse vor dem Kauf nachmessen: {shortfall} mehr Platz nähmen jeden Zweifel.",
  "clearance.cooler-height.unknown":
    "Ob {cooler} unter die Wand passt, lässt sich ohne {missing} nicht sagen; die Höhen stehen in den Datenblättern.",
  "clearance.drive-bays.fail": "{lacking} von {wanted} Laufwerken der Größe {size} finden keinen Schacht ({drive}).",
  "clearance.drive-bays.high": "{drive} ist im Schacht {places} {height} hoch, frei sind dort nur {free}.",
  "clearance.drive-bays.high-bay":
    "{drive} ist im Schacht {places} {height} hoch, frei sind {free}: weniger Spielraum, als die Angaben abweichen können.",
  "clearance.drive-bays.pass": "{wanted} × {drive} ({size}) kommen nach {places}.",
  "clearance.drive-bays.remedy.fewer": "Ein Laufwerk weglassen oder eines für die M.2-Steckplätze der Platine wählen.",
  "clearance.drive-bays.remedy.lower": "Ein niedrigeres Laufwerk wählen.",
  "clearance.drive-bays.unknown":
    "Ob {drive} einen Schacht findet, lässt sich ohne {missing} nicht sagen; siehe die Datenblätter von Laufwerk und Gehäuse.",
  "clearance.fan-place.fail": "{lacking} von {wanted} Lüftern der Größe {size} finden keinen Platz ({fan}).",
  "clearance.fan-place.pass": "{wanted} × {fan} ({size}) kommen nach {places}.",
  "clearance.fan-place.remedy.fewer":
    "Lüfter weglassen, eine Größe wählen, die die freien Plätze nennen, oder eine andere Anordnung.",
  "clearance.fan-place.remedy.holes": "Nachsehen, ob der Platz Löcher für Lüfter von {size} hat.",
  "clearance.fan-place.stretched":
    "{wanted} × {fan} ({size}) kommen nach {places}, gerechnet nach der Länge der Reihe; die angegebene Zahl gilt für größere Lüfter.",
  "clearance.fan-place.unknown":
    "Ob {fan} einen Platz findet, lässt sich ohne {missing} nicht sagen; siehe die Datenblätter von Lüfter und Gehäuse.",
  "clearance.fan-thickness.fail": "{fan} ist {measured} dick, bei {place} sind nur {required} frei.",
  "clearance.fan-thickness.marginal":
    "{fan} ist {measured} dick, bei {place} sind {required} frei: {margin} Spielraum, weniger als die Angaben abweichen können.",
  "clearance.fan-thickness.pass": "{fan} ist {measured} dick, bei {place} sind {required} frei: {margin} Spielraum.",
  "clearance.fan-thickness.remedy.measure":
    "Lüfter und Platz vor dem Kauf nachmessen: {shortfall} mehr Platz nähmen jeden Zweifel.",
  "clearance.fan-thickness.remedy.slimmer":
    "Einen Lüfter wählen, der mindestens {shortfall} flacher ist, oder einen anderen Platz.",
  "clearance.fan-thickness.unknown":
    "Ob {fan} für {place} nicht zu dick ist, lässt sich ohne {missing} nicht sagen; siehe die Datenblätter von Lüfter und Gehäuse, oder nachmessen.",
  "clearance.gap.caution.bend":
    "Stecker nicht mit Gewalt einführen und Kabel nicht scharf am Stecker biegen: Lose Kontakte werden heiß.",
  "clearance.gap.fail":
    "Zwischen {first} und {second} liegen {measured} ({way}), nötig sind {required} {why}: {shortfall} zu wenig.",
  "clearance.gap.fail-overlap": "{first} und {second} sind sich um {overlap} im Weg ({way}).",
  "clearance.gap.fail-overlap-plugs":
    "{first} und {second} sind sich um {overlap} im Weg ({way}), Stecker und Kabelbogen mitgerechnet.",
  "clearance.gap.marginal":
    "Zwischen {first} und {second} liegen {measured} ({way}): weniger Spielraum, als die Angaben abweichen können.",
  "clearance.gap.pass":
    "Zwischen {first} und {second} liegen {measured} ({way}), {margin} mehr, als sie einhalten müssen.",
  "clearance.gap.pass-touch": "Zwischen {first} und {second} liegen {measured} ({way}).",
  "clearance.gap.remedy.measure": "Beide vor dem Kauf nachmessen: {shortfall} mehr Platz nähmen jeden Zweifel.",
  "clearance.gap.remedy.place": "{moved} {to} setzen: Dann bleiben an der engsten Stelle {spare} Spielraum.",
  "clearance.gap.remedy.room": "{shortfall} mehr Abstand schaffen: anderer Platz, anderer Versatz oder kleineres Teil.",
  "clearance.gap.unknown": "Ob {first} und {second} Abstand halten, lässt sich ohne {missing} nicht sagen.",
  "clearance.lead-length.absent":
    "Ein Kabel {connector} von {from} zu {part} ist nicht genannt; der Weg braucht mit Zugabe {needed}: eines von {order} bestellen.",
  "clearance.lead-length.blocked":
    "Die Leitung {connector} von {from} findet keinen Weg zu {part}: {obstacles} im Weg.",
  "clearance.lead-length.fail":
    "Die Leitung {connector} von {from} ist {measured} lang, der Weg zu {part} braucht mit Zugabe mindestens {required}.",
  "clearance.lead-length.marginal":
    "Die Leitung {connector} von {from} ist {measured} lang, der Weg zu {part} braucht mit Zugabe {required}: Sie reicht, aber um weniger, als die Angaben abweichen können.",
  "clearance.lead-length.narrow": "Die Leitung {connector} von {from} findet keinen Weg zu {part}: Es ist dort zu eng.",
  "clearance.lead-length.pass":
    "Die Leitung {connector} von {from} ist {measured} lang, der Weg zu {part} braucht mit Zugabe höchstens {required}.",
  "clearance.lead-length.remedy.clear":
    "Der Leitung Platz schaffen oder einen anderen Platz für das wählen, wovon sie kommt.",
  "clearance.lead-length.remedy.longer": "Eine Verlängerung oder eine Leitung von {order} verwenden.",
  "clearance.lead-length.remedy.measure":
    "Vor dem Bestellen eine Schnur entlang des Weges legen und messen; {order} nähmen jeden Zweifel.",
  "clearance.lead-length.spared":
    "Die Leitung {connector} von {from} ist {measured} lang und reicht nicht bis {part}, der Weg braucht mit Zugabe {required}; der Rechner kommt ohne sie aus.",
  "clearance.lead-length.unknown":
    "Ob die Leitung {connector} von {from} bis {part} reicht, lässt sich ohne {missing} nicht sagen.",
  "clearance.lead-length.untold":
    "Der Weg der Leitung {connector} von {from} zu {part} ließ sich nicht bestimmen ({reason}); die Lage ihrer Enden berichtigen.",
  "clearance.memory-height.fail": "{memory} ist {measured} hoch, frei sind nur {required}.",
  "clearance.memory-height.marginal":
    "{memory} ist {measured} hoch, frei sind {required}: {margin} Spielraum, weniger als die Angaben abweichen können.",
  "clearance.memory-height.pass": "{memory} ist {measured} hoch, frei sind {required}: {margin} Spielraum.",
  "clearance.memory-height.remedy.lower": "Module wählen, die mindestens {shortfall} niedriger sind.",
  "clearance.memory-height.remedy.measure":
    "Vor dem Kauf ein Modul mit Kühlblech nachmessen: {shortfall} mehr Platz nähmen jeden Zweifel.",
  "clearance.memory-height.unknown":
    "Ob {memory} für das Gehäuse nicht zu hoch ist, lässt sich ohne {missing} nicht sagen; siehe das Datenblatt des Moduls.",
  "clearance.memory-under-cooler.beside": "{cooler} ragt nicht über den Speicher.",
  "clearance.memory-under-cooler.fail": "{memory} ist {measured} hoch, {cooler} lässt nur {required}.",
  "clearance.memory-under-cooler.marginal":
    "{memory} ist {measured} hoch, {cooler} lässt darunter {required}: {margin} Spielraum, weniger als die Angaben abweichen können.",
  "clearance.memory-under-cooler.pass":
    "{memory} ist {measured} hoch, {cooler} lässt darunter {required}: {margin} Spielraum.",
  "clearance.memory-under-cooler.raised":
    "{memory} ist {measured} hoch, {cooler} lässt {required}. Mit um {lift} höher gesetztem Lüfter wird er {raised} hoch, frei sind {limit}: Es geht, wenn die Klammern des Lüfters es zulassen.",
  "clearance.memory-under-cooler.remedy.lower": "Module wählen, die mindestens {shortfall} niedriger sind.",
  "clearance.memory-under-cooler.remedy.measure":
    "Vor dem Kauf ein Modul mit Kühlblech nachmessen: {shortfall} mehr Platz nähmen jeden Zweifel.",
  "clearance.memory-under-cooler.remedy.raise":
    "Den Lüfter um {lift} höher setzen oder Module wählen, die mindestens {shortfall} niedriger sind.",
  "clearance.memory-under-cooler.too-tall":
    "{memory} ist {measured} hoch, {cooler} lässt {required}. Mit um {lift} höher gesetztem Lüfter würde er {raised} hoch, und frei sind nur {limit}.",
  "clearance.memory-under-cooler.unknown":
    "Ob {memory} unter {cooler} passt, lässt sich ohne {missing} nicht sagen; siehe beide Datenblätter, mit Kühlblech.",
  "clearance.radiator-length.fail":
    "Der Radiator von {radiator} ist {measured} lang, bei {place} sind nur {required} frei.",
  "clearance.radiator-length.marginal":
    "Der Radiator von {radiator} ist {measured} lang, bei {place} sind {required} frei: {margin} Spielraum, weniger als die Angaben abweichen können.",
  "clearance.radiator-length.pass":
    "Der Radiator von {radiator} ist {measured} lang, bei {place} sind {required} frei: {margin} Spielraum.",
  "clearance.radiator-length.remedy.measure":
    "Radiator und Platz vor dem Kauf nachmessen: {shortfall} mehr Platz nähmen jeden Zweifel.",
  "clearance.radiator-length.remedy.shorter":
    "Einen Radiator wählen, der mindestens {shortfall} kürzer ist, oder einen anderen Platz.",
  "clearance.radiator-length.unknown":
    "Ob der Radiator von {radiator} für {place} nicht zu lang ist, lässt sich ohne {missing} nicht sagen; die Länge mit Wasserkästen steht in seiner Maßzeichnung.",
  "clearance.radiator-place.fail":
    "Diese Anordnung nennt keinen Platz für den Radiator der Größe {size} von {radiator}.",
  "clearance.radiator-place.pass": "Der Radiator der Größe {size} von {radiator} kommt nach {places}.",
  "clearance.radiator-place.remedy.fewer":
    "Einen Radiator weglassen, einen Platz frei machen oder eine andere Größe oder Anordnung wählen.",
  "clearance.radiator-place.remedy.other": "Einen Radiator in einer genannten Größe wählen oder eine andere Anordnung.",
  "clearance.radiator-place.taken":
    "{lacking} von {wanted} Radiatoren der Größe {size} finden keinen Platz: Die Plätze dafür sind belegt, durch andere ausgeschlossen oder durch getroffene Festlegungen gesperrt ({radiator}).",
  "clearance.radiator-place.unknown":
    "Ob der Radiator von {radiator} einen Platz findet, lässt sich ohne {missing} nicht sagen; siehe die Datenblätter von Radiator und Gehäuse.",
  "clearance.radiator-thickness.bare":
    "Der Radiator von {radiator} ist allein schon {measured} tief, bei {place} sind nur {required} frei, und seine Lüfter kommen dazu.",
  "clearance.radiator-thickness.fail":
    "Der Radiator von {radiator} ist mit Lüftern {measured} tief, bei {place} sind nur {required} frei.",
  "clearance.radiator-thickness.marginal":
    "Der Radiator von {radiator} ist mit Lüftern {measured} tief, bei {place} sind {required} frei: {margin} Spielraum, weniger als die Angaben abweichen können.",
  "clearance.radiator-thickness.no-fans":
    "Der Radiator von {radiator} hat in dieser Zusammenstellung keine Lüfter; seine Tiefe bei {place} lässt sich so nicht sagen. Lüfter ergänzen.",
  "clearance.radiator-thickness.pass":
    "Der Radiator von {radiator} ist mit Lüftern {measured} tief, bei {place} sind {required} frei: {margin} Spielraum.",
  "clearance.radiator-thickness.remedy.measure":
    "Radiator, Lüfter und Platz vor dem Kauf nachmessen: {shortfall} mehr Platz nähmen jeden Zweifel.",
  "clearance.radiator-thickness.remedy.slimmer":
    "Radiator oder Lüfter wählen, die zusammen mindestens {shortfall} flacher sind, oder einen anderen Platz.",
  "clearance.radiator-thickness.unknown":
    "Ob der Radiator von {radiator} mit seinen Lüftern für {place} nicht zu tief ist, lässt sich ohne {missing} nicht sagen; siehe die Datenblätter aller drei.",
  "clearance.riser-length.blocked":
    "Das Band von {riser} findet keinen Weg vom Steckplatz der Platine zu {part}: {obstacles} im Weg.",
  "clearance.riser-length.fail":
    "{riser} ist {measured} lang, der Weg vom Steckplatz der Platine zu {part} braucht mit Zugabe mindestens {required}.",
  "clearance.riser-length.marginal":
    "{riser} ist {measured} lang, der Weg vom Steckplatz der Platine zu {part} braucht mit Zugabe {required}: Es reicht, aber um weniger, als die Angaben abweichen können.",
  "clearance.riser-length.narrow":
    "Das Band von {riser} findet keinen Weg vom Steckplatz der Platine zu {part}: Es ist dort zu eng.",
  "clearance.riser-length.pass":
    "{riser} ist {measured} lang, der Weg vom Steckplatz der Platine zu {part} braucht mit Zugabe höchstens {required}.",
  "clearance.riser-length.remedy.clear":
    "Dem Band Platz schaffen oder eine Anordnung wählen, in der die Karte im Steckplatz der Platine sitzt.",
  "clearance.riser-length.remedy.longer": "Einen Riser von {order} verwenden.",
  "clearance.riser-length.remedy.measure":
    "Vor dem Bestellen einen Papierstreifen entlang des Weges legen und messen; ein Riser von {order} nähme jeden Zweifel.",
  "clearance.riser-length.unknown":
    "Ob {riser} bis {part} reicht, lässt sich ohne {missing} nicht sagen; das Band von Stecker zu Stecker messen.",
  "clearance.riser-length.untold":
    "Der Weg des Bandes von {riser} vom Steckplatz der Platine zu {part} ließ sich nicht bestimmen ({reason}); die Lage von Platine und Karte berichtigen.",
  "clearance.riser-shape.fail":
    "Der Steckplatz von {riser} liegt {measured} neben der Stelle, an der {part} steht; er müsste {way} liegen.",
  "clearance.riser-shape.marginal":
    "Der Steckplatz von {riser} liegt {measured} neben der Stelle, an der {part} steht: ungefähr so viel, wie er darf.",
  "clearance.riser-shape.pass": "Der Steckplatz von {riser} liegt {measured} neben der Stelle, an der {part} steht.",
  "clearance.riser-shape.remedy.other":
    "Den Riser verwenden, den der Hersteller des Gehäuses für diesen Platz nennt, oder einen biegsamen.",
  "clearance.riser-shape.turned":
    "Der Steckplatz von {riser} würde {part} anders herum drehen, als der Platz die Karte hält.",
  "clearance.riser-shape.unknown":
    "Ob {riser} eine Karte an ihren Platz bringt, lässt sich ohne {missing} nicht sagen.",
  "clearance.supply-form.bracket": "{supply} ist {measured}; der Platz {mount} nimmt es mit {accessory}.",
  "clearance.supply-form.caution.mains":
    "Nie ein Netzteil öffnen oder befeilen, damit es passt: Es führt Netzspannung und gespeicherte Ladung.",
  "clearance.supply-form.fail": "{supply} ist {measured}; das Gehäuse nimmt nur {required}.",
  "clearance.supply-form.mount": "{supply} ist {measured}, und das nimmt der Platz {mount}.",
  "clearance.supply-form.no-supply":
    "Die Zusammenstellung nennt kein Netzteil; ergänzen Sie es, um zu wissen, ob es in das Gehäuse passt.",
  "clearance.supply-form.pass": "{supply} ist {measured}, und das nimmt das Gehäuse.",
  "clearance.supply-form.remedy.other":
    "Ein Netzteil in einem genannten Format wählen oder beim Hersteller des Gehäuses nach einem Halter für {measured} fragen.",
  "clearance.supply-form.unknown":
    "Ob {supply} in das Gehäuse passt, lässt sich ohne {missing} nicht sagen; das Format steht in beiden Datenblättern.",
  "clearance.supply-length.caution.bend":
    "Stecker nicht mit Gewalt einführen und Kabel nicht scharf am Stecker biegen: Lose Kontakte werden heiß.",
  "clearance.supply-length.fail": "{supply} ist {length} lang, frei sind nur {required}.",
  "clearance.supply-length.marginal":
    "{supply} braucht mit seinen Steckern {measured} von {required}: {margin} Spielraum, weniger als die Angaben abweichen können.",
  "clearance.supply-length.pass": "{supply} braucht mit seinen Steckern {measured} von {required}: {margin} Spielraum.",
  "clearance.supply-length.plugs":
    "{supply} selbst geht hinein, aber mit {room} für Stecker und Kabelbogen braucht es {measured} von {required}.",
  "clearance.supply-length.remedy.plugs":
    "Ein um {shortfall} kürzeres Netzteil wählen oder nachmessen, ob Ihre Stecker und Kabel mit weniger auskommen.",
  "clearance.supply-length.remedy.shorter": "Ein Netzteil wählen, das mindestens {shortfall} kürzer ist.",
  "clearance.supply-length.unknown":
    "Ob {supply} nicht zu lang ist, lässt sich ohne {missing} nicht sagen; siehe die Datenblätter von Netzteil und Gehäuse.",
  "clearance.together.fail": "In {layout} gehen nicht alle Teile zugleich. Zusammen nicht zu haben: {conflict}.",
  "clearance.together.fail-alone": "Wie man die Teile in {layout} auch legt, eines ist nicht zu haben: {conflict}.",
  "clearance.together.marginal": "Alle Teile mit bekannten Maßen gehen in {layout} zusammen: {places}.",
  "clearance.together.pass": "Alle Teile mit bekannten Maßen gehen in {layout} zusammen: {places}.",
  "clearance.together.pass-cut":
    "Eine Anordnung in {layout} wurde gefunden: {places}. Es gibt zu viele Möglichkeiten, um alle anzusehen; eine bessere kann es geben.",
  "clearance.together.pass-without":
    "Alle Teile mit bekannten Maßen gehen in {layout} zusammen: {places}. Nicht berücksichtigt: {without}.",
  "clearance.together.remedy.elsewhere": "{elsewhere}.",
  "clearance.together.remedy.first": "{first}.",
  "clearance.together.remedy.second": "{second}.",
  "clearance.together.remedy.third": "{third}.",
  "clearance.together.unknown":
    "Ob in {layout} alle Teile zusammengehen, war in der zulässigen Zahl von Suchschritten nicht herauszufinden; einige der Möglichkeiten festlegen.",
  "clearance.together.unknown-geometry":
    "Die Maße des Gehäuses sind nicht zu gebrauchen: {flaw}. Beurteilt wurde nur nach den angegebenen Höchstmaßen; {missing} berichtigen.",
};
