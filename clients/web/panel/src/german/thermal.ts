// German: the messages about air, heat and sound.

export const thermal: Record<string, string> = {
  "thermal.beat.alike":
    "Die {count} Lüfter {first} drehen mit einer Einstellung und laufen etwas auseinander: Ihr Ton schwillt langsam an und ab. Zusammen machen sie am Platz {level}.",
  "thermal.beat.covered":
    "Die {count} Lüfter {first} laufen in der Drehzahl etwas auseinander, aber bei {level} überdeckt sie das Grundgeräusch des Raumes von {floor}.",
  "thermal.beat.fail": "{first} und {second} schweben {hz}-mal in der Sekunde.",
  "thermal.beat.marginal":
    "{first} und {second} schweben {hz}-mal in der Sekunde, und man hört es {heard}; zusammen machen sie am Platz {level}.",
  "thermal.beat.pass":
    "{first} und {second} liegen im Ton nah beieinander, aber bei {level} überdeckt sie das Grundgeräusch des Raumes von {floor}.",
  "thermal.beat.remedy.apart":
    "Sie um {offset} weiter auseinander stellen oder beide an einer Leitung mit einer Drehzahl betreiben.",
  "thermal.beat.remedy.split": "Sie um {offset} gegeneinander verstellen, oder es lassen: Manche stört es nicht.",
  "thermal.beat.unknown":
    "Ob Lüfter schweben, lässt sich ohne {missing} nicht sagen; die Zahl der Flügel steht in Datenblättern.",
  "thermal.card-limit.caution.hot":
    "Eine Karte bleibt nach solcher Last minutenlang heiß. Ausschalten, Stecker ziehen, vor dem Anfassen abkühlen lassen.",
  "thermal.card-limit.fail":
    "{card} käme auf {measured}, {rise} über dem Raum, und darf höchstens {required} erreichen; sie drosselt.",
  "thermal.card-limit.marginal":
    "{card} kommt auf etwa {measured}, {rise} über dem Raum, und darf {required} erreichen; nach dem, was nicht genau bekannt ist, können es {most} sein. Die Luft an ihren Lüftern ist {intake} wärmer als der Raum.",
  "thermal.card-limit.pass":
    "{card} kommt auf {measured}, {rise} über dem Raum, und darf {required} erreichen; die Luft an ihren Lüftern ist {intake} wärmer als der Raum.",
  "thermal.card-limit.remedy.air":
    "Kühle Luft zu den Lüftern der Karte bringen oder sie schneller drehen lassen, um {less} zu gewinnen.",
  "thermal.card-limit.remedy.less": "Leistungsgrenze der Karte senken.",
  "thermal.card-limit.unknown":
    "Wie warm {card} wird, lässt sich ohne {missing} nicht sagen; Datenblatt und Messungen der Karte nennen es.",
  "thermal.case-air.fail":
    "{heat} erwärmen die durchströmende Luft ({flow}) um {measured}, zulässig sind nur {required}.",
  "thermal.case-air.marginal":
    "{heat} erwärmen die durchströmende Luft ({flow}) um {measured}, zulässig sind {required}; nach dem, was nicht genau bekannt ist, können es {most} sein.",
  "thermal.case-air.over-already":
    "Allein die bekannten {heat} erwärmen die durchströmende Luft ({flow}) um {measured}, mehr als die zulässigen {required}; nicht bekannt: {missing}.",
  "thermal.case-air.pass": "{heat} erwärmen die durchströmende Luft ({flow}) um {measured}, zulässig sind {required}.",
  "thermal.case-air.remedy.less": "Leistungsgrenzen senken.",
  "thermal.case-air.remedy.more-air":
    "{needed} Luft hindurchbringen: mehr oder schnellere Lüfter, oder Öffnungen mit weniger Widerstand.",
  "thermal.case-air.unknown":
    "Wie stark sich die Luft erwärmt, lässt sich ohne {missing} nicht sagen; Lüfter nennen ihren freien Volumenstrom, und eine Zusammenstellung kann den gemessenen angeben.",
  "thermal.cooler-rating.fail": "{processor} gibt {measured} ab, {cooler} ist nur für {required} angegeben.",
  "thermal.cooler-rating.marginal":
    "{processor} gibt {measured} ab, {cooler} ist für {required} angegeben, beides wie gedruckt; weichen die Angaben ab, fehlen {shortfall}.",
  "thermal.cooler-rating.no-cooler":
    "Die Zusammenstellung nennt keinen Kühler für {processor}; ergänzen Sie den, der verwendet werden soll, auch wenn er beilag.",
  "thermal.cooler-rating.no-processor": "Die Zusammenstellung nennt keinen Prozessor für {cooler}; ergänzen.",
  "thermal.cooler-rating.pass":
    "{processor} gibt {measured} ab, {cooler} ist für {required} angegeben: {margin} Spielraum.",
  "thermal.cooler-rating.remedy.less": "Leistungsgrenze des Prozessors um {shortfall} senken.",
  "thermal.cooler-rating.remedy.stronger": "Einen Kühler wählen, der mindestens {shortfall} mehr abführt.",
  "thermal.cooler-rating.unknown":
    "Ob {cooler} für {processor} genügt, lässt sich ohne {missing} nicht sagen; beides steht in Datenblättern.",
  "thermal.die-limit.caution.hot":
    "Kühler und Platine bleiben nach solcher Last minutenlang heiß. Ausschalten, Stecker ziehen, vor dem Anfassen abkühlen lassen.",
  "thermal.die-limit.fail":
    "{processor} käme auf {measured}, {rise} über dem Raum von {room}, und darf höchstens {required} erreichen; er drosselt.",
  "thermal.die-limit.marginal":
    "{processor} kommt auf etwa {measured}, {rise} über dem Raum von {room}, und darf {required} erreichen; nach dem, was nicht genau bekannt ist, können es {most} sein.",
  "thermal.die-limit.no-cooler":
    "Die Zusammenstellung nennt keinen Kühler für {processor}; ergänzen Sie den, der verwendet werden soll, auch wenn er beilag.",
  "thermal.die-limit.no-processor": "Die Zusammenstellung nennt keinen Prozessor für {cooler}; ergänzen.",
  "thermal.die-limit.pass":
    "{processor} kommt auf {measured}, {rise} über dem Raum von {room}, und darf {required} erreichen.",
  "thermal.die-limit.remedy.less": "Leistungsgrenze des Prozessors auf etwa {power} senken.",
  "thermal.die-limit.remedy.stronger":
    "Einen Kühler mit weniger Wärmewiderstand wählen oder mehr Luft hindurchbringen, um {less} zu gewinnen.",
  "thermal.die-limit.unknown":
    "Wie warm {processor} wird, lässt sich ohne {missing} nicht sagen; Datenblätter, Messungen des Kühlers und ein Thermometer sagen es.",
  "thermal.drive-limit.fail":
    "{part} käme auf {measured}, {rise} über dem Raum, und darf höchstens {required} erreichen.",
  "thermal.drive-limit.marginal":
    "{part} kommt auf etwa {measured}, {rise} über dem Raum, und darf {required} erreichen; nach dem, was nicht genau bekannt ist, können es {most} sein.",
  "thermal.drive-limit.pass": "{part} kommt auf {measured}, {rise} über dem Raum, und darf {required} erreichen.",
  "thermal.drive-limit.remedy.air":
    "Dem Laufwerk einen Kühlkörper oder Luft geben, um {less} zu gewinnen; Lasten von Minuten erreichen diese Temperatur kaum.",
  "thermal.drive-limit.unknown":
    "Wie warm {part} wird, lässt sich ohne {missing} nicht sagen; das Datenblatt nennt die höchste zulässige Temperatur.",
  "thermal.dust.fail": "Nur {share} der einströmenden Luft kommt durch einen Filter.",
  "thermal.dust.marginal":
    "Nur {share} der einströmenden Luft kommt durch einen Filter; innen herrschen {pressure} gegen den Raum, und Staub gelangt ungefiltert hinein.",
  "thermal.dust.pass":
    "{share} der einströmenden Luft kommt durch einen Filter; innen herrschen {pressure} gegen den Raum.",
  "thermal.dust.remedy.balance":
    "Lüfter hinter Filtern schneller oder ausblasende langsamer drehen lassen, damit innen Überdruck bleibt.",
  "thermal.dust.unknown": "Wo Staub eindringt, lässt sich ohne {missing} nicht sagen.",
  "thermal.dust.without":
    "Kein Lüfter bläst durch einen Filter hinein: {share} der einströmenden Luft kommt von selbst durch einen, und innen herrschen {pressure} gegen den Raum.",
  "thermal.fan-flow.back": "Durch {fan} wird Luft zurückgedrückt; er fördert {measured} bei {speed}.",
  "thermal.fan-flow.fail": "{fan} fördert {measured} bei {speed}.",
  "thermal.fan-flow.may":
    "{fan} fördert {measured} bei {speed}; nach dem, was nicht genau bekannt ist, kann die Strömung abreißen.",
  "thermal.fan-flow.pass":
    "Jeder Lüfter, der dreht, fördert Luft in seine Richtung; am wenigsten weit kommt {least}, auf {share} seines freien Volumenstroms.",
  "thermal.fan-flow.remedy.remove": "Ausbauen, wenn er nicht gebraucht wird.",
  "thermal.fan-flow.remedy.turn": "Umdrehen, schneller drehen lassen, oder die Lüfter bremsen, die gegen ihn arbeiten.",
  "thermal.fan-flow.stall":
    "Bei {fan} reißt die Strömung ab: Bei {speed} fördert er {measured} gegen die Luft der anderen.",
  "thermal.fan-flow.unknown":
    "Was {fan} fördert, lässt sich ohne {missing} nicht sagen; Datenblätter nennen größten Volumenstrom und Druck, Größe und Drehzahl tun es auch. Die Vorhersage rechnet ohne ihn.",
  "thermal.forecast.bare":
    "Wie Luft durch das Gehäuse strömt, lässt sich ohne {missing} nicht sagen; eine Zeichnung oder auf einem Bild gezählte Löcher genügen.",
  "thermal.forecast.fail": "Ein Beharrungszustand wurde nicht gefunden: {reason}.",
  "thermal.forecast.pass":
    "Luft und Wärme sind gerechnet: {flow} strömen hindurch und treten {rise} wärmer aus. Mangels Angaben geschätzt: {estimates}.",
  "thermal.forecast.unknown": "Ein Beharrungszustand wurde nicht gefunden: {reason}.",
  "thermal.forecast.wide":
    "Wie warm {part} wird, liegt irgendwo innerhalb von {measured}; einmal messen und die Vorhersage daran angleichen, oder angeben: {estimates}.",
  "thermal.listener.caution.loud":
    "Pegel über 80 dB(A) während eines Arbeitstages verlangen nach örtlichem Recht Gehörschutz. Ein kleiner Rechner, der so laut vorhergesagt wird, hat einen Fehler in seinem Dokument.",
  "thermal.listener.fail":
    "Ein Messgerät am Platz zeigte {measured}, zulässig sind nur {required}; der Rechner allein macht dort {machine}.",
  "thermal.listener.marginal":
    "Ein Messgerät am Platz zeigte {measured}, zulässig sind {required}; nach dem, was nicht genau bekannt ist, können es {most} sein. Der Rechner allein macht dort {machine}.",
  "thermal.listener.pass":
    "Ein Messgerät am Platz zeigte {measured}, zulässig sind {required}; der Rechner allein macht dort {machine}.",
  "thermal.listener.remedy.loudest":
    "{loudest} langsamer drehen lassen: Ein Fünftel weniger Drehzahl nimmt dort 5 dB. Allein macht er {alone}.",
  "thermal.listener.remedy.room": "Den Rechner wegrücken: Doppelter Abstand nimmt 6 dB.",
  "thermal.listener.unknown":
    "Wie laut es ist, lässt sich ohne {missing} nicht sagen; Hersteller nennen den Schall von Lüftern, und ein Messgerät zeigt den Raum bei ausgeschaltetem Rechner.",
  "thermal.memory-limit.fail":
    "{part} käme auf {measured}, {rise} über dem Raum, und darf höchstens {required} erreichen.",
  "thermal.memory-limit.marginal":
    "{part} kommt auf etwa {measured}, {rise} über dem Raum, und darf {required} erreichen; nach dem, was nicht genau bekannt ist, können es {most} sein.",
  "thermal.memory-limit.pass": "{part} kommt auf {measured}, {rise} über dem Raum, und darf {required} erreichen.",
  "thermal.memory-limit.remedy.air":
    "Mehr Luft über die Module führen oder ihre Spannung senken, um {less} zu gewinnen.",
  "thermal.memory-limit.unknown": "Wie warm {part} wird, lässt sich ohne {missing} nicht sagen.",
  "thermal.regulator-limit.fail":
    "Die Spannungsregler von {part} kämen auf {measured}, {rise} über dem Raum, und dürfen höchstens {required} erreichen.",
  "thermal.regulator-limit.marginal":
    "Die Spannungsregler von {part} kommen auf etwa {measured}, {rise} über dem Raum, und dürfen {required} erreichen; nach dem, was nicht genau bekannt ist, können es {most} sein.",
  "thermal.regulator-limit.pass":
    "Die Spannungsregler von {part} kommen auf {measured}, {rise} über dem Raum, und dürfen {required} erreichen.",
  "thermal.regulator-limit.remedy.air": "Luft über die Regler am Sockel führen, um {less} zu gewinnen.",
  "thermal.regulator-limit.unknown":
    "Wie warm die Spannungsregler von {part} werden, lässt sich ohne {missing} nicht sagen.",
  "thermal.touch.caution.hot":
    "Die Wand nicht berühren, solange der Rechner stark arbeitet, und Kinder fernhalten. Was zulässig ist, bestimmen örtliches Recht und die geltende Sicherheitsnorm.",
  "thermal.touch.fail":
    "Die wärmste Wand, {panel}, käme in einem Raum von 25 °C auf {measured} und darf bei Berührung von Sekunden höchstens {required} haben.",
  "thermal.touch.marginal":
    "Die wärmste Wand, {panel}, kommt in einem Raum von 25 °C auf etwa {measured} und darf bei Berührung von Sekunden {required} haben; es können {most} sein.",
  "thermal.touch.pass":
    "Die wärmste Wand, {panel}, kommt in einem Raum von 25 °C auf {measured}, {rise} darüber, und darf bei Berührung von Sekunden {required} haben.",
  "thermal.touch.remedy.air": "Heiße Luft von dieser Wand fernhalten oder nahe ihrer Entstehung hinauslassen.",
  "thermal.touch.unknown": "Wie warm die Wände werden, lässt sich ohne {missing} nicht sagen.",
};
