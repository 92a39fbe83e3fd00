// German: how margins come about.

const inSpace = (way: string) => ` Ist das Gehäuse räumlich beschrieben, ist es der Weg ${way}.`;
const network =
  " Luft und Wärme werden gemeinsam in einem Netz des Gehäuses gerechnet: Zonen, die die Teile abteilen, Öffnungen, Lüfter und Kühler nach ihren Kennlinien. Spannen entstehen, indem am ungünstigen und am günstigen Ende dessen gerechnet wird, was nicht bekannt ist. Da vieles davon geschätzt ist, gilt eine Zusammenstellung nur dann als nicht in Ordnung, wenn auch das günstige Ende die Anforderung verfehlt.";
const surface =
  " Was zwischen dem Teil und der Luft darum liegt, wird aus seiner Oberfläche geschätzt; diese Regel warnt daher und verwirft nie.";

const table: Record<string, string> = {
  "clearance.board-form":
    "Das Format der Platine muss eines sein, das die Anordnung nennt, oder kleiner als eines davon und mit dessen Löchern: Jedes Loch von Mini-ITX ist eines von microATX und von ATX.",
  "clearance.card-length": `Spielraum ist die längste Karte, die die Anordnung aufnimmt, weniger die Länge der Karte; beides ab der Innenseite des Slotblechs.${inSpace("vom Slotblech zum ersten Hindernis vor der Karte oder zum Ende des Raums, den ihr Platz hat")}`,
  "clearance.card-height": `Spielraum ist die höchste Karte, die die Anordnung aufnimmt, weniger die Höhe der Karte; beides ab der Kante des Steckplatzes, Kontakte mitgerechnet.${inSpace("vom Steckplatz zum ersten Hindernis über der Karte oder zum Ende des Raums, den ihr Platz hat")}`,
  "clearance.card-thickness": `Spielraum ist die dickste Karte, die die Anordnung aufnimmt, weniger die Dicke der Karte mit Kühler. Wo keine solche Grenze angegeben ist, stehen die Slotblenden mal ihrem Abstand von 20,32 mm dafür; eine dickere Karte ist zweifelhaft, nicht unmöglich.${inSpace("von der Rückseite der Karte zum ersten Hindernis des Gehäuses oder zum Ende des Raums, den ihr Platz hat")}`,
  "clearance.card-slots":
    "Spielraum ist die Zahl der Slotblenden weniger die, die die Karten brauchen. Eine Karte braucht die ihres Slotblechs, und eine je 20,32 mm Dicke, wo deren Zahl nicht angegeben ist.",
  "clearance.cooler-height": `Spielraum ist der höchste Kühler, den die Anordnung aufnimmt, weniger die Höhe des Kühlers oder des Kühlblocks über dem Deckel des Prozessors.${inSpace("vom Deckel zum ersten Hindernis über dem Kühler")}`,
  "clearance.memory-under-cooler":
    "Spielraum ist die Höhe, die der Kühler für Speicher frei lässt, weniger die Höhe eines Moduls mit Kühlblech. Ein Turmlüfter, der um das Fehlende höher gesetzt wird, macht den Kühler um ebenso viel höher, und der muss noch unter die Wand passen.",
  "clearance.memory-height":
    "Spielraum ist das höchste Modul, das die Anordnung aufnimmt, weniger die Höhe eines Moduls mit Kühlblech. Ein Gehäuse, das keine solche Grenze angibt, setzt keine.",
  "clearance.supply-form":
    "Das Format des Netzteils muss eines sein, das die Anordnung nennt, oder eines, das ein Platz der Anordnung mit Zubehör nimmt; ob das Zubehör da ist, sagen die Regeln zur Montage.",
  "clearance.supply-length":
    "Spielraum ist das längste Netzteil, das die Anordnung aufnimmt, weniger die Länge des Netzteils, weniger der Platz für Stecker und Kabelbogen, wenn die Grenze ihn nicht schon lässt. Fehlt es nur an den Steckern, ist es zweifelhaft, da dieser Platz auf Erfahrung beruht.",
  "clearance.radiator-place":
    "Radiatoren werden so auf Plätze verteilt, dass die meisten einen finden und Festlegungen gelten; unter diesen Verteilungen zählt die mit dem meisten Raum und den wenigsten Plätzen, die Lüftern fehlen. Spielraum ist die Zahl der Radiatoren mit Platz weniger ihre Zahl.",
  "clearance.radiator-thickness":
    "Spielraum ist der tiefste Stapel, den der Platz aufnimmt, weniger die Dicke des Radiators, weniger die seiner Lüfter: einmal, oder zweimal, wo es mehr Lüfter sind, als eine Reihe dieser Größe fasst.",
  "clearance.radiator-length":
    "Spielraum ist der längste Radiator, den der Platz aufnimmt, weniger seine Länge mit Wasserkästen. Ein Platz, der Nenngrößen und keine Länge nennt, setzt keine Grenze.",
  "clearance.fan-place":
    "Lüfter werden so auf Plätze und auf Radiatoren ohne Lüfter verteilt, dass die meisten einen finden und Festlegungen gelten. Spielraum ist die Zahl der Lüfter mit Platz weniger ihre Zahl. Kleinere Lüfter, als ein Platz zählt, dürfen auf eine Reihe, die lang genug ist; ob sie Löcher dafür hat, ist nicht angegeben.",
  "clearance.fan-thickness": "Spielraum ist der dickste Lüfter, den der Platz aufnimmt, weniger die Dicke des Lüfters.",
  "clearance.drive-bays":
    "Laufwerke werden so auf Schächte ihrer Bauform verteilt, dass die meisten einen finden und Festlegungen gelten. Spielraum ist die Zahl der Laufwerke mit Schacht weniger ihre Zahl; ein Schacht, der eine Höhe nennt, muss so hoch wie das Laufwerk sein.",
  "clearance.gap":
    "Jedes Teil wird zu Quadern, aus seinen eigenen Maßen, der Norm seines Formats oder mitgebrachten Quadern. Der Abstand zweier Dinge ist der größte freie Abstand ihrer Quader entlang einer Achse, negativ, wo sie sich überschneiden; seine Spanne nimmt jede Fläche im schlechtesten Fall. Spielraum ist der Abstand weniger das, was beide einhalten müssen: nichts bei bloßer Berührung, etwas gegen Klappern bei Bewegtem, ein freier Weg für Stecker. Genannt werden alle Konflikte, sonst die engsten Abstände. Was Kühler und Karte zum Gehäuse lassen, beurteilen eigene Regeln.",
  "clearance.breath":
    "Der freie Weg wird vom Rahmen des Lüfters, von der Lüfterseite der Karte oder des Netzteils zum ersten festen Hindernis davor gemessen. Eine Wand, die über mindestens der Hälfte des Lüfters offen ist, ist keine. Zu wenig ist zweifelhaft, nicht unmöglich. Genannt wird, was zu nah ist, sonst das Nächste.",
  "clearance.together":
    "Alle Möglichkeiten, die Anordnung zu bestücken, werden durchsucht: Versatz der Platine, Lagen des Netzteils, Steckplätze und Plätze von Karten, Plätze, Seiten und Stellen von Lüftern, Radiatoren mit Lüftern auf jeder Seite, Schächte von Laufwerken, soweit sie offen sind. Genommen wird die mit dem größten kleinsten Spielraum, dann die mit dem wenigsten Zubehör zu kaufen, dann die mit den größten weiteren Spielräumen. Übergangen wird nur, was zu keiner besseren führen kann. Nach 300.000 Schritten endet die Suche und sagt es.",
  "clearance.arrangement":
    "Jede offene Anordnung wird von allen Regeln dieses Pakets beurteilt. Genommen wird die mit den wenigsten Mängeln, dann den wenigsten offenen Fragen, dann den wenigsten knappen Stellen, dann dem meisten Raum an der engsten Stelle, dann die erste.",
  "clearance.cable-length":
    "Genommen wird der kürzeste Weg um alles Feste in der Anordnung vom Abgang des Netzteils zum Anschluss, gerade, so weit die Stecker vorstehen, nicht enger als der kleinste Biegeradius des Kabels, hinter dem Träger, wo das Gehäuse Kabel dort führt. Spielraum ist die Länge des Kabels weniger dieser Weg und die Zugabe.",
  "clearance.riser-length":
    "Genommen wird der kürzeste Weg um alles Feste in der Anordnung vom Steckplatz der Platine zu den Kontakten der Karte, nicht enger als der kleinste Biegeradius des Risers. Spielraum ist die Länge des Risers weniger dieser Weg und die Zugabe.",
  "clearance.riser-shape":
    "Der Riser steht im freien Steckplatz der Platine, der dem Prozessor am nächsten ist, wie eine Karte. Ort und Richtung, die er der Karte gibt, werden mit denen ihres Platzes verglichen; der Abstand ist der größte entlang einer Achse.",
  "clearance.lead-length":
    "Genommen wird der kürzeste Weg um alles Feste in der Anordnung von der Wand des Gehäuses, der Ecke des Lüfterrahmens oder dem Datenanschluss der Platine zum Anschluss oder Laufwerk, hinter dem Träger, wo das Gehäuse Kabel dort führt. Anschlüsse und Kabel werden so verteilt, dass alle Wege zusammen am kürzesten sind und möglichst wenig übrig bleibt. Spielraum ist die Länge der Leitung weniger dieser Weg und die Zugabe. Von gleichen Leitungen wird die knappste genannt. Eine entbehrliche Leitung ist schlimmstenfalls zweifelhaft.",
  "interface.socket":
    "Der Sockel des Prozessors muss der der Platine sein. Verglichen wird nach dem Namen, ohne Rücksicht auf Großbuchstaben.",
  "interface.firmware":
    "Die Platine muss die Familie des Prozessors nennen, und ihre gelieferte Firmware darf nicht älter sein als die älteste genannte. Versionen werden Stück für Stück verglichen, Ziffern als ganze Zahlen und Buchstaben nach dem Alphabet. Eine nicht genannte Familie ist kein sicherer Mangel: Listen wachsen mit jeder Firmware.",
  "interface.memory-kind":
    "Art und Bauform jedes Satzes müssen die der Steckplätze der Platine sein, und die Art eine, die der Prozessor nimmt. Verglichen wird als Text.",
  "interface.memory-count":
    "Spielraum ist die Zahl der Speichersteckplätze der Platine weniger die Module aller Sätze.",
  "interface.memory-module": "Spielraum ist das größte Modul, das die Platine nimmt, weniger das des Satzes.",
  "interface.memory-total":
    "Spielraum ist der kleinere der größten Ausbauten von Platine und Prozessor, weniger alle Module zusammen.",
  "interface.memory-rate":
    "Alle Module laufen mit der Rate des langsamsten Satzes, höchstens mit der, die die Platine für diese Zahl von Modulen und Ranks nennt. Was der Prozessor nennt, ist sicher; darüber läuft Speicher mit Glück. Eine nicht genannte Bestückung zählt wie die nächstvollere genannte. Spielraum ist diese Rate weniger die des Satzes.",
  "interface.m2-socket":
    "Die Laufwerke werden so auf die Steckplätze verteilt, dass möglichst viele einen finden, dessen Kodierung zu ihren Kerben passt, der ihre Größe nennt, ihren Bus führt und hoch genug ist; dann so, dass sie am schnellsten lesen. Ein Laufwerk gilt nur dann als nicht in Ordnung, wenn ihm keine Verteilung einen Steckplatz lässt.",
  "interface.sata-ports":
    "Spielraum ist die Zahl der SATA-Anschlüsse der Platine weniger die Laufwerke, die SATA sprechen und keine M.2-Laufwerke sind.",
  "interface.drive-rate":
    "Die Verbindung ist die kleinere Generation und die kleinere Zahl von Lanes von Steckplatz und Laufwerk, mit der Rate der Norm nach Leitungskodierung. Spielraum ist diese Rate weniger die, mit der das Laufwerk verkauft wird, oder weniger die seiner eigenen Schnittstelle, wo jene nicht angegeben oder diese kleiner ist.",
  "interface.drive-figure":
    "Spielraum ist, was die Schnittstelle des Laufwerks nach Leitungskodierung und vor dem Aufwand des Protokolls überträgt, weniger die Rate, mit der es verkauft wird.",
  "interface.card-slot":
    "Die Karten werden so auf die Steckplätze verteilt, dass möglichst viele einen finden, der mindestens so lang wie ihre Steckleiste und nicht von einer Karte mit mehreren Slotblenden verdeckt ist; eine Karte auf einem Riser verdeckt keinen. Eine Karte gilt nur dann als nicht in Ordnung, wenn ihr keine Verteilung einen Steckplatz lässt.",
  "interface.card-link":
    "Die Verbindung ist die kleinste Generation und die kleinste Zahl von Lanes von Steckplatz, Riser und Karte, mit den Lanes, die bleiben, wo andere sie teilen, und im ersten Steckplatz nicht neuer als die Lanes des Prozessors. Spielraum ist ihre Rate nach Leitungskodierung, weniger die der Verbindung, die die Karte selbst könnte.",
  "interface.displays":
    "Spielraum ist die Zahl der Bildausgänge der Karten weniger die Bildschirme. Reichen sie nicht, zählen auch die der Platine, wo der Prozessor Grafik hat; ob beide neben einer Karte arbeiten, hängt von der Firmware ab. Eine Zusammenstellung, die keine Zahl nennt, braucht einen Bildschirm zum Einrichten.",
  "interface.front-panel":
    "Spielraum ist die Zahl der Anschlüsse einer Art auf der Platine, mit denen, die Adapter aus anderen machen, weniger die Leitungen dieser Art. Eine Leitung, die das Gehäuse entbehrlich nennt, fehlt, ist aber kein Mangel.",
  "interface.fan-headers":
    "Spielraum ist die Zahl der Anschlüsse für Lüfter und Pumpen, mit dem, was Verteiler ergänzen, weniger die Lüfter und Pumpen: einzelne, die des Kühlers und die eines Kreislaufs mit Pumpe, für den ein Anschluss gerechnet wird. Drei- und vieradrige Stecker gehen auf beide Arten.",
  "interface.header-current":
    "Spielraum ist, was der Anschluss trägt, weniger die Ströme dessen, was daran hängt, bei voller Drehzahl; das obere Ende ist der Strom, während alle anlaufen. Die Lüfter werden so verteilt, dass kein Anschluss überlastet ist, wo das geht. Eine Platine ohne angegebene Grenze trägt nach Brauch 1 A, und der verwirft nicht.",
  "interface.light-headers":
    "Spielraum ist die Zahl der Anschlüsse argb-3, mit dem, was Verteiler ergänzen, weniger die Lüfter mit solchem Licht. Licht ist entbehrlich, ein Mangel verwirft daher nicht.",
  "interface.antennas":
    "Spielraum ist die Zahl der Antennen in den Schachteln und beim Zubehör weniger die Antennenbuchsen der Platine. Der Rechner läuft ohne Funk, ein Mangel verwirft daher nicht.",
  "mounting.cooler-bracket":
    "Ein Halter des Kühlers muss den Sockel der Platine nennen, und was er braucht, muss in einer Schachtel liegen oder in der Zusammenstellung stehen. Ein Halter für einen Sockel mit denselben Löchern kann genügen; diese Löcher sind nur aus dem Gedächtnis bekannt, daher bleibt es zweifelhaft.",
  "mounting.hole-pattern":
    "Die Löcher von Platine, Netzteil, Lüfter, Radiator, Laufwerk und Kühler, nach eigener Liste, Norm des Formats oder Sockel, werden dort über die des Platzes gelegt, wohin die Anordnung sie setzt; ein Platz ohne Lochliste ist für das gemacht, was er aufnimmt. Keine Schraube nehmen Löcher, die über keinem liegen, die am Schraubenkopf verdeckt sind oder an die kein Schraubendreher kommt. Alle übrigen ergeben ein Ganzes; drei, die eine Fläche aufspannen, halten es; zwei halten ein leichtes Teil, und keines, das schwer ist und auf einer Seite davon liegt. Nennt der Platz, wie viele genügen, gilt das. Löcher von Sockeln sind aus dem Gedächtnis bekannt und nur zweifelhaft.",
  "mounting.board-standoffs":
    "Spielraum ist die Zahl der Abstandsbolzen in den Schachteln weniger die Löcher, die das Format verschraubt: vier bei Mini-ITX, acht bei microATX, neun bei ATX.",
  "mounting.board-screws":
    "Spielraum ist die Zahl der Platinenschrauben in den Schachteln mit dem Gewinde der Abstandsbolzen, weniger die Löcher. Das Gewinde folgt aus dem Bolzen und wird nie angenommen; nennen die Löcher des Platzes ihre Tiefe, muss eine Schraube durch die Platine darin halten und darf den Grund nicht berühren.",
  "mounting.supply-screws":
    "Spielraum ist die Zahl der Schrauben 6-32 in den Schachteln, die dem Netzteil dienen können, weniger vier je Netzteil der Familien ATX und SFX.",
  "mounting.fan-screws":
    "Spielraum ist die Zahl der Lüfterschrauben oder gleichwertiger Befestigungen in den Schachteln, weniger eine für jedes offene Loch jedes Lüfters: vier je Lüfter, weniger die, die das Gehäuse oder etwas in der Anordnung verdeckt. Lüfter auf einem Radiator halten dessen Schrauben.",
  "mounting.fan-hold":
    "Drei der vier Schrauben halten einen Lüfter, ein verdecktes Loch ist also nie ein Mangel. Zwei halten einen leichten, eine hält keinen. Nennt der Platz, wie viele genügen, gilt das.",
  "mounting.radiator-screws":
    "Spielraum ist die Zahl der Schrauben in den Schachteln mit dem Gewinde des Radiators, die durch den Lüfter und einen Durchmesser weit in den Radiator reichen und über seiner Schraubtiefe bleiben, weniger vier je Lüfter der Reihe.",
  "mounting.screw-depth":
    "Spielraum ist die Schraubtiefe des Radiators, weniger das, was die Schraube über das Gehaltene hinausragt: bei einer, die länger als der Lüfter ist, der Lüfter und was dazwischen liegt, bei einer kürzeren das Blech der Wand; das ist schlimmstenfalls zweifelhaft, da das Blech angenommen ist.",
  "mounting.drive-screws":
    "Spielraum ist die Zahl der Schrauben in den Schachteln mit dem Gewinde des Laufwerks und einer Länge, die hält, weniger vier je Laufwerk. Nennt das Laufwerk die Tiefe seiner Löcher, muss eine Schraube durch das Blech des Schachts darin halten und nicht tiefer gehen; nennt der Platz Längen, gelten die.",
  "mounting.m2-screw":
    "Spielraum ist die Zahl der Laufwerkschrauben M2 oder M3 in den Schachteln, weniger eine je M.2-Laufwerk. Platinen, die Laufwerke ohne Werkzeug halten, brauchen keine; eine fehlende Schraube ist schlimmstenfalls zweifelhaft.",
  "mounting.other-screws":
    "Spielraum ist die Zahl der Befestigungen in den Schachteln mit dem Gewinde der Verbindung, einer Länge in ihrer Spanne und einem Kopf, den sie nimmt, weniger wie viele sie braucht. Nennt das Teil, wie viele genügen, sind weniger als alle zweifelhaft.",
  "mounting.accessories":
    "Spielraum ist, wie viel von jedem Zubehör in den Schachteln liegt oder in der Zusammenstellung steht, weniger wie viel die Anordnung und ihre benutzten Plätze brauchen.",
  "mounting.mixed-threads":
    "Gesagt wird es, sobald Schrauben beider Gewinde in den Schachteln liegen; daran ist nichts falsch, solange sie getrennt bleiben. Die Steigungen sind 0,5 mm und 0,794 mm, die Durchmesser 3,0 mm und 3,5 mm.",
  "mounting.card-moment":
    "Das Moment ist das Gewicht der Karte mal dem Abstand ihres Schwerpunkts vom Slotblech, der halben Länge, wenn das Dokument nichts anderes sagt. Eine Karte, die längs der Schwerkraft steht oder hängt, hat keines. Die Durchbiegung ist die eines Kragträgers aus Leiterplatte, 1,6 mm dick, durch den Kühler zehnmal steifer (Modell aus dem Gedächtnis), und kann dreimal größer oder kleiner sein.",
  "mounting.cooler-moment":
    "Das Moment ist das Gewicht des Kühlers mal dem Abstand seines Schwerpunkts von der Platine, der halben Höhe über dem Deckel, wenn das Dokument nichts anderes sagt. Eine flach liegende Platine hat keines.",
  "mounting.tipping":
    "Der Winkel, bei dem der Schwerpunkt über den Füßen einer Seite steht: sein Abstand von ihnen geteilt durch seine Höhe über dem Boden. Wo die Anordnung Quader hat, wird er daraus bestimmt, sonst in der Mitte angenommen, auf 12 % genau.",
  "mounting.lifting":
    "Spielraum ist die Masse, die eine Person hebt, weniger die Massen aller Teile. Kleinteile ohne Angabe zählen mit dem, was solche Teile wiegen, als Spanne; schlimmstenfalls zweifelhaft.",
  "mounting.build-order":
    "Jedes Teil wird gerade durch jede Seite des Gehäuses herausgezogen, die sich öffnet; was es durchdränge, muss später hinein. Zusammen mit dem, was worauf liegt, und dem, was die Zusammenstellung verlangt, wird eine Reihenfolge gesucht. Drehen und Kippen werden nicht gesehen: Ein Teil ganz ohne geraden Weg gilt als einbaubar.",
  "power.supply-load":
    "Die Nennleistung, bei der Raumtemperatur, wo das Netzteil dann weniger gibt, weniger die Reserve, weniger die Summe aller Dauerlasten: Platine, Prozessor, Speicher je Modul, Karten, Laufwerke, Pumpe, und Lüfter mit ihrem Strom bei größter Drehzahl mal 12 V. Über der Nennleistung ist ein Mangel, in der Reserve ist knapp.",
  "power.supply-excursion":
    "Für jede Dauer einer Spitze: die Summe der Spitzen, die mindestens so lang sind, und dessen, was alles Übrige zieht, gegen die Nennleistung mal dem Anteil, den die Bauvorschrift des Netzteils für diese Dauer und diesen Zeitanteil verlangt; die knappste Dauer zählt. Ohne Bauvorschrift der Generation ATX 3 ist über der Nennleistung nichts zugesagt. Karten, die allein der Steckplatz speist, zählen mit ihrer Dauerleistung.",
  "power.capacity":
    "Die Nennleistung weniger das Größte aus: der Dauersumme durch eins weniger die Reserve; für jede Dauer den Spitzen durch den Anteil der Nennleistung, den die Bauvorschrift so lange zulässt; und dem Effektivwert aus Spitzen und Last dazwischen. Alles mit den oberen Enden und gegen das, was warme Luft von der Nennleistung lässt.",
  "power.rails":
    "Der Nennstrom der Schiene weniger die Summe der Dauerlasten, die auf sie fallen, durch ihre Nennspannung. Eine Last ohne Angabe der Aufteilung kommt aus 12 V. Wo 12 V in Teilen angegeben sind, trägt jeder Teil höchstens das Seine, alle zusammen höchstens ihre Summe, und was woran hängt, ist nicht bekannt.",
  "power.usb-ports":
    "Der Nennstrom der Schiene 5 V weniger das, was die Teile daraus ziehen, weniger der größte Strom jedes Anschlusses vorn: 0,5 A an USB 2.0, 0,9 A an USB 3, 3 A an Typ C, zwei Anschlüsse je Steckverbinder der älteren Arten und einer je Steckverbinder Typ C.",
  "power.connectors":
    "Für jede Art von Buchse an Platine, Karten und Laufwerken: Stecker, die die beste Wahl der Kabel dorthin bringt, weniger Buchsen. Kabel aus der Schachtel des Netzteils, passende Kabel der Zusammenstellung und Adapter daran werden gemeinsam so zugeteilt, dass möglichst viele Buchsen besetzt sind; jedes modulare Kabel nimmt einen Abgang; ein Adapter hinter einem Adapter zählt nicht.",
  "power.contacts":
    "Die Belastbarkeit des Kontakts weniger sein Strom: der Strom der Schiene durch die Steckverbindung, aus dem gelösten Netz der Kabel, durch die Zahl der Kontakte, die ihn tragen. Das obere Ende nimmt Lasten so hoch und die Schiene so niedrig, wie sie sein können, und den am meisten belasteten Kontakt mit seinem ungleichen Anteil. Ein Netzteil, das seine Bauvorschrift nennt, hat die besseren Kontakte, die seit 2005 verlangt werden; ohne Angabe und in Adaptern zählen die einfachen.",
  "power.wires":
    "85 °C, die die Bauvorschrift von der Isolierung verlangt, weniger die Temperatur des Kupfers: der Strom einer Ader aus dem gelösten Netz, erhöht um die Wärme der Adern daneben, in stehender Luft, die wärmer als der Raum ist. Das obere Ende nimmt hohe Lasten, niedrige Spannung, den ungleichen Anteil des Kontakts am Ende der Ader und einen kleinen Querschnitt, wo keiner angegeben ist.",
  "power.voltage":
    "Die Spannung an der Last, aus dem gelösten Netz von Kabeln und Kontakten bei den kurzen Spitzen der Teile, weniger die Grenze: 11,04 V an einer Steckkarte, sonst die untere Grenze der Bauvorschrift für die Schiene. Am unteren Ende nutzt das Netzteil einen Teil der Abweichung, die seine Bauvorschrift am Ende der eigenen Kabel zulässt, weniger das, was andere Kabel darüber hinaus verlieren: Adapter und Verlängerungen alles, ein gekauftes Kabel, was es mehr verliert als das ersetzte.",
  "power.card-budget":
    "Leistung des Steckplatzes, 75 W für eine Karte x16 und 25 W für eine kürzere, plus die Dauerleistung des Steckers jeder Buchse, höchstens 600 W, weniger die Dauerleistung der Karte. Bei einer Buchse 12V-2x6 dasselbe mit der Leistung, die der beste vorhandene Stecker meldet.",
  "power.plug-bend":
    "Der Abstand neben dem Stecker der Karte in der beurteilten Anordnung, weniger die gerade Länge, die Steckerhersteller verlangen. Die Zahl ist nur aus dem Gedächtnis bekannt; sie zu verfehlen verwirft nie.",
  "power.pinout":
    "Die Belegung jedes modularen Kabels muss die des Netzteils sein, Buchstabe für Buchstabe; wo eine nicht bekannt ist, ist nichts bekannt.",
  "power.mains":
    "Die Summe aller Dauerlasten plus der Verlust des Netzteils, durch Netzspannung mal Leistungsfaktor, gegen die Belastbarkeit des Gerätesteckers; dasselbe plus was sonst am Stromkreis hängt, gegen den Daueranteil seiner Sicherung. Unter 160 V hängt die Belastbarkeit von der Zulassung ab: unten der internationale Wert, als Nennwert der nordamerikanische.",
  "power.bridging":
    "Voltampere: das Größere aus Netzleistung durch Leistungsfaktor des Ausgangs und Netzleistung durch Leistungsfaktor des Rechners, durch eins weniger die Reserve. Akku: Netzleistung mal den Minuten, durch das, was Wechselrichter und gealterter Akku weitergeben.",
  "power.quiet-point":
    "Der Anteil der Nennleistung, bis zu dem der Lüfter des Netzteils still steht, mal der Nennleistung, weniger die Summe aller Dauerlasten. Warme Luft am Netzteil lässt den Lüfter früher anlaufen.",
  "power.running-cost":
    "Dauerlasten plus der Verlust des Netzteils bei dieser Last, mal den Stunden am Tag, mal 365,2425 Tagen; mal dem Preis einer kWh. Was das Netzteil bei ausgeschaltetem Rechner nimmt, zählt nicht.",
  "thermal.cooler-rating":
    "Die Wärme, für die der Hersteller den Kühler angibt, weniger die Leistung des Prozessors: die Last der Zusammenstellung, sonst seine Dauerleistung, sonst die Leistung, für die sein Hersteller einen Kühler bemisst.",
  "thermal.case-air":
    "Die Grenze weniger die Erwärmung, das ist Leistung durch Dichte, spezifische Wärme und Volumenstrom der Luft, bei Temperatur und Höhe des Raums. Alle Dauerlasten zählen; der Verlust des Netzteils geht durch dessen eigenen Lüfter und zählt nicht. Ein nicht angegebener Volumenstrom ist der aus dem Netz des Gehäuses, dessen Wände einen Teil der Wärme nehmen; ohne Öffnungen für ein Netz ist es der freie Volumenstrom der Lüfter, die stärkere der beiden Richtungen und die Hälfte derer ohne Angabe, bei ihrer Drehzahl, mal dem geförderten Anteil; nach einer solchen Schätzung ist es nur dann ein Mangel, wenn auch das günstige Ende die Grenze verfehlt.",
  "thermal.die-limit":
    "Die Grenze weniger die Temperatur des Chips: Raum, plus der Anteil der Erwärmung im Gehäuse, der den Kühler erreicht, plus Leistung mal den Wärmewiderständen vom Deckel zur Luft und vom Chip zum Deckel; lässt sich das Gehäuse als Netz von Luft und Wärme lösen, ist es die Temperatur aus dem Netz. Vom Deckel zur Luft gilt der angegebene Wärmewiderstand, sonst Nennerwärmung durch Nennwärme; in dünner Luft und bei niedrigerer Drehzahl wächst er mit der 0,5. bis 0,8. Potenz des Massenstroms. Wo eine Zahl angenommen oder der Volumenstrom geschätzt ist, ist es nur dann ein Mangel, wenn auch das günstige Ende verfehlt.",
  "thermal.card-limit": `Die Grenze weniger die Temperatur des Chips.${network}`,
  "thermal.memory-limit": `Die Grenze, 85 °C, wo der Hersteller der Module keine nennt, weniger die Temperatur der Module in der Luft ihrer Zone.${surface}${network}`,
  "thermal.drive-limit": `Die Grenze weniger die Temperatur des Laufwerks in der Luft seiner Zone, während es mit Dauerleistung schreibt oder liest.${surface}${network}`,
  "thermal.regulator-limit": `Die Grenze, die der Hersteller der Platine nennt, weniger die Temperatur der Spannungsregler in der Luft ihrer Zone, bei einem Zehntel der Leistung des Prozessors.${surface}${network}`,
  "thermal.fan-flow": `Der Volumenstrom durch jeden drehenden Lüfter in seiner Richtung, gegen das Wenigste, das als Arbeit zählt: ein Fünfzigstel seines freien Volumenstroms bei seiner Drehzahl.${network}`,
  "thermal.touch": `Die Grenze der Norm für eine Fläche, die eine bis zehn Sekunden berührt wird, weniger die Temperatur der wärmsten Wand. Die Grenze gilt für einen Raum von 25 °C: Die Erwärmung der Wand wird in diesen Raum übertragen, die Grenze nicht.${network}`,
  "thermal.listener":
    "Die Grenze weniger der Pegel am Platz: jede Quelle mit ihrem angegebenen Schall, umgerechnet auf Drehzahl und Abstand, lauter, wo etwas nah vor den Flügeln steht, als Pegel addiert und auf das Grundgeräusch des Raums gesetzt. Die Spannen enthalten, was Messräume der Hersteller und das Gehäuse ändern.",
  "thermal.beat":
    "Für jedes Paar von Quellen der Unterschied ihrer Flügeltöne: Unter 15 Hz schweben sie, wenn nicht das Geräusch des Raums die Töne überdeckt, die etwa 6 dB unter dem ganzen Schall der Lüfter liegen. Gleiche Lüfter drehen mit einer Einstellung und laufen um etwa ein Prozent auseinander.",
  "thermal.dust": `Die durch gefilterte Öffnungen einströmende Luft durch alle einströmende Luft; weniger als die Hälfte ist zu wenig, wo Lüfter durch Filter hineinblasen.${network}`,
  "thermal.forecast": `Die Breite der Spanne des Chips, der am ungenauesten bekannt ist, gegen die zulässige Breite, wo eine Grenze darin liegt.${network}`,
};

export const formulas = Object.fromEntries(Object.entries(table).map(([rule, text]) => [`${rule}.formula`, text]));
