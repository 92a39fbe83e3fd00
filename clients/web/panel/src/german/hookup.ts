// German: the messages about what is plugged into what, and how fast it runs.

const noBoard =
  "Die Zusammenstellung nennt nicht genau eine Platine, daher ist offen, wo {part} angeschlossen wird; nur eine Platine behalten.";

export const hookup: Record<string, string> = {
  "interface.antennas.fail": "Antennenbuchsen von {board}: {required}; Antennen in den Schachteln: {measured}.",
  "interface.antennas.marginal":
    "Antennenbuchsen von {board}: {required}; Antennen in den Schachteln: {measured}, der Funk reicht so kaum irgendwohin.",
  "interface.antennas.pass": "Antennenbuchsen von {board}: {required}; Antennen in den Schachteln: {measured}.",
  "interface.antennas.remedy.buy":
    "{shortfall} Antennen kaufen oder die Buchsen leer lassen, wenn der Rechner am Kabel hängt.",
  "interface.antennas.unknown":
    "Ob Antennen für {board} da sind, lässt sich ohne {missing} nicht sagen; das Handbuch nennt, was in der Schachtel liegt.",
  "interface.card-link.fail":
    "{part} könnte {own} nutzen, aber {slot} gibt {link}: {measured} statt {required}, weniger als der Anteil, den die Vorgaben verlangen.",
  "interface.card-link.marginal": "{part} könnte {own} nutzen, aber {slot} gibt {link}: {measured} statt {required}.",
  "interface.card-link.no-riser":
    "{part} steht auf einem Riser, den die Zusammenstellung nicht nennt; die Verbindung lässt sich so nicht sagen. Riser ergänzen.",
  "interface.card-link.pass": "{part} läuft in {slot} mit voller Verbindung {link}, das sind {measured}.",
  "interface.card-link.processor":
    "{part} könnte {own} nutzen, aber die Lanes von {processor} halten {slot} auf {link}: {measured} statt {required}.",
  "interface.card-link.remedy.free": "{sharer} frei lassen.",
  "interface.card-link.remedy.live":
    "Karten nutzen selten ihre ganze Verbindung; für die volle Rate eine Platine mit schnellerem Steckplatz wählen.",
  "interface.card-link.remedy.set-riser":
    "Einen Riser der Generation {generation} wählen oder den Steckplatz in der Firmware auf die des Risers stellen: Sich selbst überlassen, handelt die Verbindung vielleicht mehr aus, als der Riser trägt, und bricht ab.",
  "interface.card-link.riser":
    "{part} könnte {own} nutzen, aber der Riser {riser} hält die Verbindung auf {link}: {measured} statt {required}.",
  "interface.card-link.shared":
    "{part} könnte {own} nutzen, aber {slot} teilt seine Lanes mit {sharer} und gibt {link}: {measured} statt {required}.",
  "interface.card-link.unknown":
    "Welche Verbindung {part} in {slot} hat, lässt sich ohne {missing} nicht sagen; Generation und Lanes stehen in den Datenblättern von Karte, Riser und Platine.",
  "interface.card-slot.fail": "{board} hat keinen Steckplatz für {part}.",
  "interface.card-slot.fail-taken":
    "{board} hat Steckplätze für {seated} von {count} Karten {part}; die übrigen sind belegt, verdeckt oder neben anderen benutzten abgeschaltet.",
  "interface.card-slot.fail-width":
    "Die Steckleiste von {part} braucht einen Steckplatz mit {own} Lanes, der längste von {board} hat weniger.",
  "interface.card-slot.no-board": noBoard,
  "interface.card-slot.pass": "{part} kommt in {slot}.",
  "interface.card-slot.remedy.fewer":
    "Eine Karte weglassen, eine dünnere wählen oder eine Platine mit mehr Steckplätzen.",
  "interface.card-slot.remedy.other":
    "Eine Karte mit kürzerer Steckleiste wählen oder eine Platine mit längerem Steckplatz.",
  "interface.card-slot.riser": "{part} kommt auf den Riser {riser}, und der in {slot}.",
  "interface.card-slot.unknown":
    "Ob {part} in einen Steckplatz von {board} geht, lässt sich ohne {missing} nicht sagen; auf Bildern von beiden die Lanes zählen.",
  "interface.displays.fail": "Von {measured} Bildausgängen, die etwas ansteuert, werden {required} gebraucht.",
  "interface.displays.marginal":
    "Die gewünschten {required} Bildschirme brauchen die Ausgänge der Platine neben denen der Karte; ob beide zugleich arbeiten, hängt von der Firmware ab.",
  "interface.displays.no-graphics":
    "Nichts steuert einen Bildschirm an, gewünscht sind {required}: {processor} hat keine eigene Grafik, und keine Karte hat Bildausgänge.",
  "interface.displays.pass": "Von {measured} Bildausgängen, die etwas ansteuert, werden {required} gebraucht.",
  "interface.displays.remedy.card":
    "Eine Grafikkarte mit {required} Bildausgängen wählen oder mehrere Bildschirme über einen Verteiler an einem Ausgang betreiben, wo die Norm des Anschlusses es zulässt.",
  "interface.displays.remedy.enable":
    "Die Grafik des Prozessors neben der Karte in der Firmware einschalten oder eine Karte mit {required} Ausgängen wählen.",
  "interface.displays.unknown":
    "Ob sich die gewünschten Bildschirme ({required}) ansteuern lassen, lässt sich ohne {missing} nicht sagen; siehe die Rückseite von Platine und Karte und das Datenblatt des Prozessors.",
  "interface.drive-figure.fail": "{part} kann nicht {measured} lesen: {link} überträgt {required} und nicht mehr.",
  "interface.drive-figure.pass":
    "Die {measured}, mit denen {part} verkauft wird, sind glaubhaft: {link} überträgt {required}.",
  "interface.drive-figure.remedy.correct":
    "Rate, Generation und Lanes im Datenblatt des Laufwerks nachsehen und den Eintrag berichtigen.",
  "interface.drive-figure.unknown":
    "Ob die Rate, mit der {part} verkauft wird, glaubhaft ist, lässt sich ohne {missing} nicht sagen; das Datenblatt nennt die Schnittstelle.",
  "interface.drive-rate.fail":
    "{part} könnte {required} lesen, aber in {slot} ist die Verbindung {link} und überträgt {measured}, weniger als der Anteil, den die Vorgaben verlangen.",
  "interface.drive-rate.marginal":
    "{part} könnte {required} lesen, aber in {slot} ist die Verbindung {link} und überträgt {measured}.",
  "interface.drive-rate.pass":
    "{part} liest bis zu {required}, und die Verbindung in {slot}, {link}, überträgt {measured}.",
  "interface.drive-rate.remedy.free":
    "{sharer} frei lassen oder das Laufwerk dorthin setzen, wo keine Lanes geteilt werden.",
  "interface.drive-rate.remedy.slower":
    "Ein Laufwerk mit {measured} leistet hier dasselbe; für mehr eine Platine mit einem Steckplatz neuerer Generation wählen.",
  "interface.drive-rate.shared":
    "{part} könnte {required} lesen, aber {slot} teilt seine Lanes mit {sharer}; die Verbindung ist {link} und überträgt {measured}.",
  "interface.drive-rate.unknown":
    "Wie schnell {part} in {slot} liest, lässt sich ohne {missing} nicht sagen; Generation und Lanes stehen in den Datenblättern von Laufwerk und Platine.",
  "interface.fan-headers.fail":
    "Lüfter und Pumpen bräuchten {measured} Plätze, {board} hat mit den vorhandenen Verteilern {required}.",
  "interface.fan-headers.kinds":
    "Lüfter und Pumpen brauchen {measured} Plätze, und die Anschlüsse von {board} sind nicht von der Art, die ihre Stecker brauchen.",
  "interface.fan-headers.no-board": noBoard,
  "interface.fan-headers.odd":
    "Von den {required} Plätzen für Lüfter und Pumpen auf {board} sind {measured} belegt, aber nicht alle von der vorgesehenen Art: Eine Pumpe am Lüfteranschluss muss auf volle Drehzahl gestellt werden, ein vieradriger Lüfter an drei Stiften wird nicht geregelt.",
  "interface.fan-headers.pass":
    "Von den {required} Plätzen für Lüfter und Pumpen auf {board}, Verteiler mitgerechnet, sind {measured} belegt.",
  "interface.fan-headers.remedy.kind": "Lüfter mit Steckern für die Anschlüsse von {board} wählen.",
  "interface.fan-headers.remedy.set": "Den Anschluss der Pumpe in der Firmware auf volle Drehzahl stellen.",
  "interface.fan-headers.remedy.splitter":
    "Verteiler für {lacking} weitere Stecker kaufen, für Lüfter, die mit einer Drehzahl laufen dürfen, und beachten, was der Anschluss trägt.",
  "interface.fan-headers.undecided":
    "So viele Lüfter und Anschlüsse wurden nicht zu Ende durchprobiert; von Hand prüfen, welcher Lüfter an welchen Anschluss von {board} kommt.",
  "interface.fan-headers.unknown":
    "Ob alle Lüfter und Pumpen einen Anschluss finden, lässt sich ohne {missing} nicht sagen; der Stecker steht im Datenblatt des Lüfters, die Anschlüsse im Handbuch der Platine.",
  "interface.firmware.any": "{board} nennt die Familie {family} von {processor} für jede Firmware.",
  "interface.firmware.caution.writing":
    "Während Firmware geschrieben wird, nicht den Strom abschalten; eine halb beschriebene Platine startet vielleicht nie wieder.",
  "interface.firmware.fail":
    "{processor} startet erst mit Firmware {needed} oder neuer, {board} wird mit {firmware} geliefert.",
  "interface.firmware.incomparable":
    "{board} wird mit Firmware {firmware} geliefert und braucht {needed}; das lässt sich nicht vergleichen. Beim Hersteller fragen, welche die ältere ist.",
  "interface.firmware.pass":
    "{board} startet {processor} mit der gelieferten Firmware {firmware}; {needed} ist die älteste, die das kann.",
  "interface.firmware.remedy.update":
    "Nach einer Platine mit Firmware {needed} oder neuer fragen oder sie vorher aktualisieren: mit einem älteren Prozessor, oder ohne, wenn die Platine das kann.",
  "interface.firmware.unknown":
    "Ob die Firmware von {board} {processor} startet, lässt sich ohne {missing} nicht sagen; der Hersteller der Platine veröffentlicht eine Liste der Prozessoren.",
  "interface.firmware.unlisted":
    "{board} nennt die Familie {family} von {processor} nicht; vor dem Kauf in der neuesten Liste des Herstellers nachsehen.",
  "interface.front-panel.caution.force":
    "Nie einen Stecker mit Gewalt auf einen Anschluss anderer Art drücken: Die Kodierung ist da, weil die Stifte anders belegt sind, und 5 V am falschen Stift zerstören Platine oder Gerät.",
  "interface.front-panel.fail":
    "Leitungen {kind} von {enclosure}: {measured}; Anschlüsse dafür auf {board}: {required}.",
  "interface.front-panel.marginal":
    "Leitungen {kind} von {enclosure}: {measured}; Anschlüsse dafür auf {board}: {required}; was nicht angeschlossen wird, ist entbehrlich.",
  "interface.front-panel.no-board": noBoard,
  "interface.front-panel.pass": "Jede Leitung von {enclosure} ({leads}) findet ihren Anschluss auf {board}.",
  "interface.front-panel.remedy.adapter":
    "Eine Platine mit dem Anschluss {kind} wählen oder einen Adapter von einem freien Anschluss.",
  "interface.front-panel.remedy.leave":
    "Die Leitung {kind} nicht anschließen und so festbinden, dass kein Lüfter sie erreicht, oder einen Adapter von einem freien Anschluss kaufen.",
  "interface.front-panel.unknown":
    "Ob die Leitungen der Front ihre Anschlüsse finden, lässt sich ohne {missing} nicht sagen; das Handbuch der Platine hat eine Tabelle der Anschlüsse.",
  "interface.header-current.assumed":
    "Der Anschluss {header} von {board} trägt {measured}; die Platine nennt keine Grenze, üblich sind {required}.",
  "interface.header-current.caution.trace":
    "Ein überlasteter Anschluss kann die Platine verbrennen; nicht ausprobieren.",
  "interface.header-current.fail":
    "Der Anschluss {header} von {board} verträgt {required} und müsste {measured} tragen.",
  "interface.header-current.marginal":
    "Der Anschluss {header} von {board} verträgt {required} und trägt bei voller Drehzahl {measured}, beim Anlaufen der Lüfter aber {start}.",
  "interface.header-current.pass":
    "Kein Lüfteranschluss von {board} ist überlastet; am vollsten ist {header} mit {measured} von {required}.",
  "interface.header-current.remedy.board": "Die Grenze des Anschlusses im Handbuch der Platine nachsehen.",
  "interface.header-current.remedy.hub":
    "Einige dieser Lüfter über einen Verteiler speisen, der seinen Strom vom Netzteil nimmt, oder an einen anderen Anschluss legen.",
  "interface.header-current.undecided":
    "So viele Lüfter und Anschlüsse wurden nicht zu Ende durchprobiert; von Hand zusammenzählen, was jeder Anschluss von {board} trägt.",
  "interface.header-current.unknown":
    "Was der Anschluss {header} von {board} trägt, lässt sich ohne {missing} nicht sagen; Ströme stehen auf den Lüftern.",
  "interface.light-headers.caution.rgb":
    "Ein solches Licht nicht auf den vierpoligen Anschluss mit 12 V stecken: Es ist für 5 V gemacht und verbrennt.",
  "interface.light-headers.fail":
    "Lüfter mit adressierbarem Licht bräuchten {measured} Plätze, {board} hat {required}.",
  "interface.light-headers.marginal":
    "Lüfter mit adressierbarem Licht bräuchten {measured} Plätze, {board} hat {required}; einige bleiben dunkel, wenn sich ihre Stecker nicht verketten lassen.",
  "interface.light-headers.no-board": noBoard,
  "interface.light-headers.pass":
    "Von den {required} Plätzen für adressierbares Licht auf {board} sind {measured} belegt.",
  "interface.light-headers.remedy.splitter":
    "Lichter verketten, wo ihre Stecker es erlauben, oder einen Verteiler für {shortfall} weitere kaufen.",
  "interface.light-headers.unknown":
    "Ob die Lichter ihren Anschluss finden, lässt sich ohne {missing} nicht sagen; das Handbuch der Platine hat eine Tabelle der Anschlüsse.",
  "interface.m2-socket.back":
    "{part} kommt in {slot} auf der Rückseite der Platine; einsetzen, bevor die Platine eingebaut wird.",
  "interface.m2-socket.fail": "{board} hat keinen M.2-Steckplatz für {part}.",
  "interface.m2-socket.fail-bus": "{part} spricht SATA, und kein M.2-Steckplatz von {board} führt es.",
  "interface.m2-socket.fail-height": "{part} ist {high} hoch, {slot} lässt {room}.",
  "interface.m2-socket.fail-key":
    "{part} ist für die Kodierung {key} gekerbt, und kein M.2-Steckplatz von {board} hat sie.",
  "interface.m2-socket.fail-size":
    "{part} hat die Größe {size}, und kein M.2-Steckplatz von {board} mit seiner Kodierung nimmt sie: {slot} nimmt {sizes}.",
  "interface.m2-socket.fail-taken":
    "{board} hat Steckplätze für {seated} von {count} Laufwerken {part}; die übrigen sind belegt oder neben anderen benutzten abgeschaltet.",
  "interface.m2-socket.marginal":
    "{part} kommt in {slot}, ist aber {high} hoch unter {room}; ein Stück der hohen Sorte stößt an.",
  "interface.m2-socket.no-board": noBoard,
  "interface.m2-socket.other-form":
    "{part} spricht PCI Express und ist kein M.2-Laufwerk; worin es steckt, ist für {board} nicht beschrieben.",
  "interface.m2-socket.pass": "{part} kommt in {slot}.",
  "interface.m2-socket.remedy.bare":
    "Ein Laufwerk ohne Kühlkörper nehmen oder den der Platine abnehmen: Es fehlen {lacking}.",
  "interface.m2-socket.remedy.card": "Ein Laufwerk weglassen oder eine Platine mit mehr Steckplätzen wählen.",
  "interface.m2-socket.remedy.other":
    "Ein Laufwerk mit Kodierung, Größe und Bus eines freien Steckplatzes wählen oder eine Platine mit einem solchen.",
  "interface.m2-socket.unknown":
    "Ob {part} einen M.2-Steckplatz findet, lässt sich ohne {missing} nicht sagen; das Handbuch der Platine hat eine Tabelle der Steckplätze.",
  "interface.memory-count.fail": "Von den {required} Speichersteckplätzen von {board} bräuchten die Module {measured}.",
  "interface.memory-count.none":
    "Die Zusammenstellung nennt keinen Speicher für {board}, und ohne startet die Platine nicht; Module ergänzen.",
  "interface.memory-count.pass": "Von den {required} Speichersteckplätzen von {board} belegen die Module {measured}.",
  "interface.memory-count.remedy.fewer": "{shortfall} der Module weglassen; weniger und größere laufen auch schneller.",
  "interface.memory-count.unknown":
    "Ob {board} für jedes Modul ({modules}) einen Steckplatz hat, lässt sich ohne {missing} nicht sagen; auf einem Bild der Platine zählen.",
  "interface.memory-kind.fail": "{part} ist {own}, {board} hat Steckplätze für {taken}.",
  "interface.memory-kind.no-board": noBoard,
  "interface.memory-kind.pass": "{part} ist {kind} {module}, und das nimmt {board}.",
  "interface.memory-kind.processor": "{part} ist {own}, {processor} nimmt nur {taken}.",
  "interface.memory-kind.remedy.change": "Speicher wählen, der {taken} ist, oder eine andere Platine.",
  "interface.memory-kind.remedy.other": "Speicher wählen, der {taken} ist, und eine Platine dafür.",
  "interface.memory-kind.unknown":
    "Ob {part} in {board} geht, lässt sich ohne {missing} nicht sagen; Art und Bauform stehen auf dem Speicher und im Datenblatt der Platine.",
  "interface.memory-module.fail": "Jedes Modul von {part} hat {measured}, {board} nimmt höchstens {required} in einem.",
  "interface.memory-module.pass": "Jedes Modul von {part} hat {measured}, {board} nimmt bis zu {required} in einem.",
  "interface.memory-module.remedy.smaller":
    "Module von höchstens {required} wählen oder nachsehen, ob eine neuere Firmware von {board} größere nimmt.",
  "interface.memory-module.unknown":
    "Ob {board} so große Module wie die von {part} nimmt, lässt sich ohne {missing} nicht sagen; das Datenblatt der Platine nennt das größte.",
  "interface.memory-rate.beyond":
    "{part} erreicht auf {board} {required}, aber {processor} nennt {sure} für {modules} Module; darauf zählen, mehr ist Glück.",
  "interface.memory-rate.fail":
    "{part} wird mit {required} verkauft und läuft hier mit {measured}, weniger als der Anteil, den die Vorgaben verlangen.",
  "interface.memory-rate.marginal":
    "{part} wird mit {required} verkauft und läuft hier mit {measured}: {board} nennt für diese Zahl von Modulen nicht mehr ({modules}{filling}).",
  "interface.memory-rate.no-processor":
    "Welchen Takt {part} erreicht, lässt sich ohne Prozessor nicht sagen; Prozessor ergänzen.",
  "interface.memory-rate.pass":
    "{part} läuft mit seinen {required}: Platine und Prozessor nennen das für diese Zahl von Modulen ({modules}).",
  "interface.memory-rate.remedy.fewer":
    "Zwei große Module statt {modules} kleiner laufen schneller; sonst leistet Speicher mit {measured} hier dasselbe.",
  "interface.memory-rate.remedy.set":
    "Den Speicher in der Firmware auf {sure} stellen, wenn der Rechner nicht stabil läuft; Speicher mit dieser Rate leistet dasselbe.",
  "interface.memory-rate.remedy.slower": "Speicher mit {measured} leistet hier dasselbe.",
  "interface.memory-rate.slowest-kit":
    "{part} wird mit {required} verkauft und läuft hier mit {measured}, der Rate des langsamsten Satzes.",
  "interface.memory-rate.unknown":
    "Welchen Takt {part} erreicht, lässt sich ohne {missing} nicht sagen; siehe die Speichertabellen in den Datenblättern von Platine und Prozessor.",
  "interface.memory-total.fail":
    "Der Speicher hat zusammen {measured}, Platine und Prozessor nehmen höchstens {required}.",
  "interface.memory-total.pass":
    "Der Speicher hat zusammen {measured}, Platine und Prozessor nehmen bis zu {required}.",
  "interface.memory-total.remedy.less": "{shortfall} weniger nehmen.",
  "interface.memory-total.unknown":
    "Ob Platine und Prozessor den ganzen Speicher annehmen, lässt sich ohne {missing} nicht sagen; ihre Datenblätter nennen den größten Ausbau.",
  "interface.sata-ports.fail": "Von den {required} SATA-Anschlüssen von {board} bräuchten Laufwerke {measured}.",
  "interface.sata-ports.no-board": noBoard,
  "interface.sata-ports.pass": "Von den {required} SATA-Anschlüssen von {board} belegen Laufwerke {measured}.",
  "interface.sata-ports.remedy.fewer":
    "{shortfall} der Laufwerke weglassen, M.2-Laufwerke dafür nehmen oder eine Karte mit SATA-Anschlüssen ergänzen.",
  "interface.sata-ports.unknown":
    "Ob {board} für jedes Laufwerk einen SATA-Anschluss hat, lässt sich ohne {missing} nicht sagen; die Datenblätter von Platine und Laufwerken nennen es.",
  "interface.socket.caution.force": "Nie einen Prozessor in einen Sockel drücken, in den er nicht von selbst fällt.",
  "interface.socket.fail": "{processor} ist für {own} gemacht, {board} hat {socket}.",
  "interface.socket.neither":
    "Die Zusammenstellung nennt weder genau eine Platine noch genau einen Prozessor; was worin steckt, lässt sich kaum sagen. Beide ergänzen.",
  "interface.socket.no-board":
    "Die Zusammenstellung nennt nicht genau eine Platine; ob {processor} seinen Sockel findet, lässt sich so nicht sagen. Nur eine Platine behalten.",
  "interface.socket.no-processor":
    "Die Zusammenstellung nennt nicht genau einen Prozessor für {board}; nur einen behalten.",
  "interface.socket.pass": "{processor} und {board} haben beide den Sockel {socket}.",
  "interface.socket.remedy.change": "Eine Platine mit dem Sockel {own} wählen oder einen Prozessor für {socket}.",
  "interface.socket.unknown":
    "Ob {processor} in {board} geht, lässt sich ohne {missing} nicht sagen; der Sockel steht in der ersten Zeile beider Datenblätter.",
};
