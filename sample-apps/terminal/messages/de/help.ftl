# Die Hilfe zu jedem Befehl und jedem Argument, nach seinem Pfad. Befehle und Schlüsselwörter bleiben englisch.

about =
    Die Werte eines Bundinstruments, und was als Nächstes zu drehen ist.

    Eine gemeinsame Akte für alle rund um ein Instrument: Messungen, wie sie
    vom Werkzeug kamen, was gedreht wurde, und die Werte, die richtig waren. Alles
    geht ohne Netz; Geräte tauschen Bündeldateien aus und haben danach dasselbe.
# Die acht des Alltags; die anderen stehen eine Ebene tiefer.
day =
    Jeden Tag
      visit        einen Termin beginnen oder beenden
      tool         das Werkzeug in der Hand nennen, damit „5 5 5 6“ eine Messung ist
      tuned        eintragen, dass gestimmt wurde
      read         Messungen eintragen: Halskrümmung, Saitenlage, Sattel, ...
      plan         was zu drehen ist, wie weit, in welcher Reihenfolge und warum
      done         den Vorschlag des Plans als ausgeführt eintragen; did: anderes
      as-left      alles, was noch gilt, als Endwerte eintragen
      card         die Werte

    Alles davon in kurzen Wörtern: fallaway bench
    Was ein Befehl annimmt, mit Beispielen: fallaway read --help
    Alle Befehle, ihre gemeinsamen Optionen und die ersten Schritte: fallaway commands
# Die Befehle in der Reihenfolge der Arbeit.
commands =
    Anfangen
      templates    Arten von Instrumenten, mit denen man beginnen kann
      add          ein Instrument anlegen
      copy         ein Instrument wie ein anderes anlegen
      list         die Instrumente auf diesem Gerät
      search       ein Wort in allem auf diesem Gerät suchen
      show         die Angaben zum Instrument
      set          eine Angabe setzen: Mensur, Stärken, Radius, Gewinde

    An der Werkbank
      visit        einen Termin beginnen oder beenden
      tool         das Werkzeug in der Hand nennen, damit „5 5 5 6“ eine Messung ist
      read         Messungen eintragen: Halskrümmung, Saitenlage, Sattel, ...
      did          eintragen, was verstellt wurde
      done         eintragen, dass der Vorschlag des Plans ausgeführt ist
      cannot       eintragen, dass er nicht auszuführen war, und warum
      bench        Eingabe: kurze Wörter, nach jeder Zeile der nächste Schritt
      as-left      alles, was noch gilt, als Endwerte eintragen
      tuned        eintragen, dass gestimmt wurde
      strings      einen Saitenwechsel eintragen
      climate      Temperatur und Luftfeuchte eintragen
      buzz         eintragen, wo es schnarrt
      fret         eine hohe Krone, einen abgespielten oder losen Bund eintragen
      remark       etwas anderes festhalten
      photo        ein Foto hinzufügen, Fotos zeigen, eines in eine Datei schreiben
      import       ein Notizbuch als Tabelle einlesen
      undo         das zuletzt Geschriebene zurücknehmen
      redo         Zurückgenommenes wiederherstellen
      cross-out    einen älteren Eintrag streichen, mit Begründung

    Fragen
      plan         was zu drehen ist, wie weit, in welcher Reihenfolge und warum
      next         der nächste Schritt, in einer Zeile
      card         die Werte
      changed      was sich bewegt hat: Hals, Halsansatz, Reiter, Sattel
      draw         Bilder: Drehung, Hals, Änderungen, Verlauf
      sheet        eine Seite zum Mitgeben: vorgefunden, Soll, übergeben
      learned      was das Instrument gelehrt hat: Stab, Jahreszeiten, Anschlag
      forecast     was in einem anderen Klima zu erwarten ist
      history      was gemessen und getan wurde
      setup        die Sollwerte: übernehmen, ändern, umbenennen, löschen, zeigen
      targets      Sollwerte eines anderen Instruments, der Werkstatt oder übliche
      clearance    schnarrt es mit diesen Werten, und was wäre wenn
      why-buzz     warum ein Ton schnarrt, und welche Messung entscheidet
      before-strings  was andere Saiten oder eine andere Stimmung bewirken
      calc         einzelne Rechnungen: Abstände, Drehungen, Saitenzug, ...

    Die Werkstatt (alles nur auf diesem Gerät)
      desk         was da ist, offene Arbeit, was wieder fällig ist
      owner        wem ein Instrument gehört, und wie die Person zu erreichen ist
      job          Arbeit an einem Instrument: worauf sie wartet, Zeit, Preis
      care         wann ein Instrument wieder fällig ist
      spec         Vorgaben der Werkstatt, für Instrumente einer Art
      pack         Saitensätze der Werkstatt, mit Masse je Länge

    Gemeinsam
      people       wer das Instrument teilt, auf welchem Gerät
      role         einem Beteiligten ein anderes Recht geben
      remove       ein Gerät entfernen, oder alle einer Person
      leave        die Akte verlassen
      held         was zurückgehalten wird, und von wem
      accept-held  aufnehmen, was von einem Gerät zurückgehalten wird
      write-anyway  schreiben, obwohl ein Gerät eine neuere Version verlangt
      compared     festhalten, dass ein Fingerabdruck verglichen wurde
      invite       ein Gerät einladen: zwölf Wörter oder ein Code
      withdraw     eine Einladung zurückziehen, oder die offenen zeigen
      accept       eine Einladung annehmen: ihre Wörter, und die Datei dazu
      recovery-words  was das Instrument zurückbringt, wenn alle Geräte verloren sind
      recover      mit den Wörtern zur Wiederherstellung alles verwalten
      bundle       Neues in eine Datei schreiben oder aus einer einlesen
      relay        das Relais, das die Akte trägt, wenn Geräte sich nie begegnen
      sync         mit dem Relais austauschen
      meet         mit einem Gerät im selben Netz austauschen
      two-values   Angaben und Sollwerte mit zwei widersprüchlichen Werten
      settle       zwischen ihnen wählen

    Dieses Gerät
      me           der Name, unter dem andere dieses Gerät sehen
      order        welche Saite beim Messen zuerst kommt
      usual        wie sonst gemessen wird: Lage, Kapodaster oder Finger, A4
      language     die Sprache dieser App
      units        in welchen Einheiten berechnete Längen gezeigt werden
      archive      ein Instrument weglegen oder zurückholen
      rename       ein Instrument umbenennen
      forget       ein Instrument von diesem Gerät löschen
      export       eine Akte als JSON, oder ihre Messungen als Tabelle
      backup       alles auf diesem Gerät, in einer Datei
      restore      eine ausgegebene Akte, oder eine Sicherung
      commands     alle Befehle, ihre gemeinsamen Optionen, die ersten Schritte
      completions  Ergänzungen für die Shell
      demo         zwei Geräte, ein Instrument, ein Winter: zusehen, wie es geht
first_steps =
    Vom Anfang bis zum Plan:
      fallaway add bass-5 "blauer Fünfsaiter"
      fallaway tool rule 1/64                     dann heißt 5: 5/64 in
      fallaway tuned                              vor jeder Messung gestimmt
      fallaway read relief 0.35 mm
      fallaway read action 5 5 5 6 6              höchste Saite zuerst
      fallaway setup target mine relief 0.25 mm   was gewünscht ist
      fallaway setup target mine action all 5/64
      fallaway plan

    Jeder Befehl erklärt sich selbst: fallaway read --help
    Rückgabewerte: 0 erledigt, 1 abgelehnt oder gescheitert, 2 nicht verstanden, 3 nicht beantwortet.
heading_usage = Aufruf:
heading_arguments = Argumente
heading_options = Optionen
heading_commands = Befehle
heading_everywhere = Optionen jedes Befehls
arg_help = Diese Hilfe zeigen
arg_version = Die Version zeigen

arg_data = Ordner mit den Daten [sonst: der des Systems oder $FALLAWAY_DATA]
arg_instrument = Welches Instrument: sein Name oder dessen Anfang; nötig, wenn es mehrere gibt [oder $FALLAWAY_INSTRUMENT]
arg_json = Daten als JSON ausgeben, für Programme
arg_by = Wer gemessen oder verstellt hat, wenn es nicht dieses Gerät war: "tech", "player"
arg_at = Wann es war, oder auf welche Zeit sich die Antwort bezieht, wenn nicht auf jetzt: "2026-01-15 18:30", "18:30"
arg_sure = Auf Rückfragen mit Ja antworten
arg_speak = Sprache dieses Aufrufs: en, de [sonst: wie eingestellt, sonst die des Systems oder $FALLAWAY_LANGUAGE]

about_templates = Arten von Instrumenten zeigen, mit denen man beginnen kann
about_add = Ein Instrument anlegen
arg_add_template = Art des Instruments, aus `fallaway templates`
arg_add_name = Wie es heißen soll
arg_add_courses = Zahl der Chöre, wenn es nicht die der Vorlage ist: je eine Saite oder ein Paar
arg_add_frets = Zahl der Bünde, wenn es nicht die der Vorlage ist
examples_add =
    Beispiele:
      fallaway add bass-5 "blauer Fünfsaiter"
      fallaway add guitar-6 "die Schwarze"
      fallaway add guitar-8 "Neunsaiter" --courses 9 --frets 27

    Die Vorlage bringt übliche Mensur, Saiten und Bünde mit; was abweicht, mit `set` berichtigen.
about_list = Die Instrumente auf diesem Gerät zeigen
about_show = Die Angaben zum Instrument zeigen
about_set = Eine Angabe zum Instrument setzen oder berichtigen
arg_set_field = Welche Angabe; `--list` zeigt alle
arg_set_value = Der Wert mit seiner Einheit
arg_set_list = Alle Angaben zeigen, die man setzen kann
arg_set_unset = Die Angabe zurücknehmen: nicht mehr bekannt
examples_set =
    Beispiele:
      fallaway set scale 34 in
      fallaway set radius 12 in
      fallaway set gauges 0.045 0.065 0.085 0.105 0.130 in
      fallaway set radius --unset         nicht mehr bekannt
      fallaway set --list                 alle Angaben, mit Beispiel

about_visit = Einen Termin beginnen oder beenden; allein: den offenen zeigen
about_visit_begin = Einen Termin beginnen
arg_visit_begin_purpose = Worum es geht: die Beschwerde, die Spielweise
about_visit_end = Den Termin beenden
examples_visit =
    Beispiele:
      fallaway visit begin "schnarrt auf der tiefen Saite seit der Tour"
      fallaway visit end

    Ein Termin hält zusammen, was vorgefunden, getan und hinterlassen wurde. Der erste Eintrag beginnt von selbst einen.
about_tool = Das Werkzeug in der Hand nennen; allein: die Werkzeuge zeigen
arg_tool_tool = Das Werkzeug: Art und Teilung
arg_tool_readings = Für welche Messungen
arg_tool_none = Das Werkzeug weglegen
arg_tool_only = Nur für dieses Instrument; gilt vor den sonst genannten
examples_tool =
    Beispiele:
      fallaway tool rule 1/64
      fallaway tool rule 0.5 mm
      fallaway tool feeler 0.01 mm
      fallaway tool feeler 1 thou --for nut
      fallaway tool tuner 0.1 cent
      fallaway tool caliper 0.02 mm --only
      fallaway tool --none --for action

    Arten: rule (Stahllineal), feeler (Fühlerlehre), caliper (Messschieber), dial (Messuhr), tuner
    (Stimmgerät); dann der Schritt zwischen zwei Strichen, Blättern oder Ziffern. Eine Fühlerlehre gilt
    für Halskrümmung und Sattel, ein Stimmgerät für Stimmung und Oktavreinheit, die anderen für die
    übrigen Längen, wenn --for nichts anderes sagt.
about_read = Messungen eintragen
arg_read_what = Was gemessen wurde: relief, fall-away, action, nut, gap, pitch, intonation, spacing, nut-spacing, pickup, bridge, bridge-tail
arg_read_values = Die Werte, siehe unten
arg_read_tool = Womit, wenn nicht mit dem Werkzeug in der Hand: "rule 1/64", "feeler 0.01 mm"
arg_read_strings = Welche Saiten, in der Reihenfolge der Werte: 4, 1,3, 5-2
arg_read_low_first = Der erste Wert ist die tiefste Saite
arg_read_high_first = Der erste Wert ist die höchste Saite
arg_read_as_found = Gemessen, bevor etwas getan wurde
arg_read_as_left = Endwerte
arg_read_posture = Wie das Instrument lag: playing (Spielhaltung), back (Rücken), rest (Hals aufgelegt), side (Seite), hanging (hängend)
arg_read_capo = Mit Kapodaster gegriffen
arg_read_finger = Mit dem Finger gegriffen
arg_read_tuned = Minuten seit dem Stimmen
arg_stopped = Bund, an dem die Saite niedergedrückt ist; 0 ist leer
arg_over = Bund, über dem der Abstand gemessen wird
arg_open = Leer gemessen: über 12 bei der Saitenlage, über 1 am Sattel
arg_fret = Bund des Tons, für die Oktavreinheit [sonst: 12]
arg_between = Enden der geraden Linie, für die Halskrümmung [sonst: 1 und der letzte Bund] und den Griffbrettabfall
arg_at_fret = Bund, an dem die Halskrümmung gemessen wird [sonst: wo der Abstand am größten ist] oder der Griffbrettabfall [sonst: der letzte]
arg_pickup = Welcher Tonabnehmer; 1 liegt am Steg [sonst: 1]
arg_side = Auf welcher Seite, für Halskrümmung, Griffbrettabfall und Tonabnehmer: bass, treble
examples_read =
    Werte, einer je Saite, die höchste zuerst (oder siehe --low-first):
      5 5 5 6            in Teilstrichen des Werkzeugs: 64stel mit `tool rule 1/64`
      5/64 3/32          Brüche eines Zolls     auch 2.5/32, 1 1/16
      1.98 mm  .078 in  12 thou  1,98             eine Einheit am Ende gilt für alle
      =  wie zuvor      -  nicht gemessen      <=0  die Saite berührt
      "0,25 geht, 0,30 nicht"   zwischen zwei Blättern der Fühlerlehre, in Anführungszeichen

    Beispiele:
      fallaway read action 5 5 5 6 6
      fallaway read relief 0.35 mm
      fallaway read action 1.9 1.9 2.1 2.2 mm --stopped 0 --over 12
      fallaway read nut 6 6 7 7 8 --tool "feeler 1 thou"
      fallaway read intonation 2 -1 0 3 1 --fret 12
      fallaway read action 6 --strings 5 --as-left

    Was gemessen wird:
      relief       Halskrümmung: Abstand unter einer geraden Linie; Rückbiegung liegt unter null
      fall-away    Griffbrettabfall: Abstand unter einem Lineal am letzten Bund; Anstieg liegt unter null
      action       Saitenlage: am 1. Bund gegriffen über dem letzten, oder --open über dem 12.
      nut          Abstand über dem 1. Bund, am 3. gegriffen, oder --open
      gap          jeder Abstand zwischen Saite und Bund: --stopped und --over
      pitch        leere Saiten gegen ihre Töne, in Cent
      intonation   Oktavreinheit: gegriffener gegen leeren Ton, in Cent, am 12. oder --fret
      spacing      Saite zu Saite am Steg, Mitte zu Mitte; nut-spacing: am Sattel
      pickup       Saite zum Tonabnehmer, am letzten Bund gegriffen; zwei Werte sind die zwei Seiten
      bridge       Stegplatte über der Decke an den Bolzen, Diskant, dann Bass; bridge-tail: an der Hinterkante
about_did = Eintragen, was verstellt wurde
arg_did_words = Was, in Worten
arg_did_note = Was dabei auffiel
examples_did =
    Was, welche Saite, wohin, wie weit; cw (im Uhrzeigersinn) und ccw (dagegen) vom Werkzeug aus gesehen.
      fallaway did rod 1/8 cw
      fallaway did saddle 4 down 1/4 ccw
      fallaway did saddles 1-3 up an eighth cw
      fallaway did saddle 3 back 0.5 mm          für die Oktavreinheit; back ist vom Sattel weg
      fallaway did saddle 2 toward bass 0.5 mm
      fallaway did nut 5 filed
      fallaway did post bass down 1/2 ccw
      fallaway did pickup 1 treble up 1/4 cw
      fallaway did pole 3 pickup 1 1/4 up
      fallaway did neck 0.5 mm --note "Unterlage, dickes Ende zum Steg"
      fallaway did frets --note "15 bis 24 abgerichtet"

    Ist cw oder ccw eingetragen, lernt die Akte, wie jede Schraube an diesem Instrument wirkt.
about_done = Eintragen, dass der Vorschlag des Plans ausgeführt ist
arg_done_values = Wie herum bei einem Versuch gedreht wurde (cw, ccw), oder was gemessen wurde, wo der Schritt es verlangt
arg_done_string = Nur der Schritt dieser Saite
examples_done =
    Beispiele:
      fallaway done                        was `fallaway next` vorschlägt, mit Schrauben und Drehungen
      fallaway done ccw                    ein Versuch ohne Richtung ging gegen den Uhrzeigersinn
      fallaway done 5 5 5 6                was gemessen wurde, wo der Schritt es verlangt
      fallaway done --string 4             der Reiter von Saite 4, die anderen noch nicht
    Wenn etwas anderes getan wurde: fallaway did rod 1/8 ccw
about_cannot = Eintragen, dass der Vorschlag des Plans nicht auszuführen war, und warum
arg_cannot_reason = Warum, in eigenen Worten
arg_cannot_string = Der Schritt dieser Saite
examples_cannot =
    Der Plan von heute geht ohne ihn weiter, der nächste Termin erfährt davon. Noch einmal versuchen:
    fallaway undo

    Beispiele:
      fallaway cannot "die Mutter des Halsspannstabs dreht durch"
      fallaway cannot --string 4 "die Reiterschraube sitzt fest"
about_as_left = Alles, was noch gilt, als Endwerte eintragen, mit einem Wort
about_bench = Eingabe für die Hände: kurze Wörter, nach jeder Zeile der nächste Schritt
arg_bench_enter = Enter allein heißt: wie vorgeschlagen ausgeführt
examples_bench =
    Die Zeilen dürfen auch aus einer Datei oder Pipe kommen. `?` zeigt die kurzen Wörter.

    Beispiele:
      fallaway bench
      fallaway bench --enter               Enter allein heißt: wie vorgeschlagen ausgeführt
about_tuned = Eintragen, dass die Saiten gestimmt wurden
arg_tuned_changed = Saiten mit neuem Ton: 5=A0
arg_tuned_note = Eine Bemerkung
examples_tuned =
    Beispiele:
      fallaway tuned
      fallaway tuned 5=A0                  Saite 5 ist ab jetzt auf einen anderen Ton gestimmt
about_strings = Einen Saitenwechsel eintragen
arg_strings_set = Der Satz, in eigenen Worten
arg_strings_only = Nur diese Saiten: 4, 1,3
arg_strings_gauges = Ihre Stärken in der eigenen Reihenfolge der Saiten; mit p dahinter blank, mit w umsponnen: .026w
arg_strings_note = Eine Bemerkung
examples_strings =
    Beispiele:
      fallaway strings "45-130, Nickel"
      fallaway strings --only 5 --note "tot"
      fallaway strings --gauges 0.045 0.065 0.085 0.105 0.130 in

    Vorsicht: die Spannung langsam nachlassen, Augen schützen, auf die Drahtenden achten.
about_climate = Temperatur und relative Luftfeuchte eintragen
arg_climate_air = Temperatur und relative Luftfeuchte: 21C 45%
arg_climate_place = Wo: Werkbank, Koffer, Bühne
arg_climate_hours = Stunden, die das Instrument dort ist
examples_climate =
    Beispiele:
      fallaway climate 21C 45%
      fallaway climate 38% --place Koffer --hours 48
about_buzz = Eintragen, wo es schnarrt
arg_buzz_string = Welche Saite, mit ihrer Nummer
arg_buzz_frets = An welchen Bünden: 3, 3-6, open (leer)
arg_buzz_note = Wie gespielt wird, was zu hören ist
examples_buzz =
    Beispiele:
      fallaway buzz 4 3-6 "hart gespielt, nah am Hals"
      fallaway buzz 5 open
about_fret = Eintragen, was an einem Bund ist: hohe Krone, abgespielt, loses Ende; allein: zeigen, was bekannt ist
arg_fret_fret = Welcher: 7, oder 3-5, oder 2,9
arg_fret_found = Wie: high (ein kurzes Lineal kippelt), level (eben), worn (abgespielt), lifting (steht lose ab); und um wie viel
arg_fret_strings = Nur unter diesen Saiten: 3-4
arg_fret_note = Eine Bemerkung
arg_fret_heights = Oder die Höhe jeder Krone unter einem Lineal, 1. Bund zuerst: jede, die neben ihren Nachbarn steht, wird eingetragen
examples_fret =
    Beispiele:
      fallaway fret 7 high
      fallaway fret 7 high 0.08 mm
      fallaway fret 2-3 worn 0.1 mm --strings 3-4
      fallaway fret 14 lifting --note "am Diskantende"
      fallaway fret 7 level                 nachdem er eingeschlagen wurde
      fallaway fret --heights 0 0 0 0.08 0 0 mm

    `clearance` und `why-buzz` berücksichtigen das, bis an den Bünden gearbeitet wird:
    fallaway did frets.
about_remark = Etwas anderes festhalten
arg_remark_text = Der Text
arg_remark_replaces = Kurzname der Bemerkung, die diese berichtigt
about_photo = Fotos des Instruments: hinzufügen, zeigen, in eine Datei schreiben; allein: zeigen
about_photo_add = Ein Foto hinzufügen: eine JPEG- oder PNG-Datei bis 16 MiB
arg_photo_add_file = Die Datei; was sie über Ort, Zeit und Kamera sagt, wird herausgenommen
arg_photo_add_caption = Was es zeigt
arg_photo_add_to = Kurzname des Eintrags, zu dem es gehört, aus `fallaway history`
about_photo_list = Die Fotos, und welche hier sind
about_photo_out = Ein Foto in eine Datei schreiben; eines, das nicht hier ist, wird vom Relais geholt
arg_photo_out_entry = Kurzname des Fotos
arg_photo_out_out = Die Datei
arg_photo_out_side = Klein: ein JPEG mit so vielen Pixeln an der längeren Seite, 16 bis 2048
examples_photo =
    Beispiele:
      fallaway photo add nut.jpg --caption "Sattelkerbe 3, vorher"
      fallaway photo list
      fallaway photo out k4 --out nut-slot.jpg
      fallaway photo out k4 --out small.jpg --side 400

    Ein Foto wird auf diesem Gerät verschlüsselt und geht mit dem nächsten Austausch zum Relais. Die anderen
    sehen seine Zeile im Verlauf und holen das Foto, wenn sie es ansehen möchten. Wird die Zeile gestrichen,
    verlässt das Foto das Relais; wer es geholt hat, behält es.
about_import = Ein Notizbuch einlesen: eine Tabelle von Messwerten als CSV oder JSON, ganz oder gar nicht
arg_import_file = Die Tabelle
arg_import_dry_run = Nur prüfen: jede Zelle, die nicht geht, und was geschrieben würde
arg_import_ignore = Überschrift einer Spalte, die übergangen wird
examples_import =
    Beispiele:
      fallaway import notizbuch.csv --dry-run
      fallaway import notizbuch.csv --ignore Wetter
    Spalten: Datum, Termin, von, Messgröße, Saite, Wert, Einheit, Werkzeug, Zustand, Notiz, Temperatur, Luftfeuchte,
    Stunden; oder eine je Saite, oder eine je Messgröße: Halskrümmung (feeler 1 thou)
about_undo = Das zuletzt Geschriebene zurücknehmen
examples_undo = Was noch niemand gesehen hat, wird gelöscht. Nach dem Ende seines Termins oder wenn ein Bündel hinausgegangen ist, wird ein Eintrag gestrichen, und eine Angabe oder ein Sollwert bekommt den früheren Wert zurück.
about_redo = Zurückgenommenes wiederherstellen
about_cross_out = Einen Eintrag streichen, mit Begründung; er bleibt lesbar
arg_cross_out_entry = Kurzname des Eintrags
arg_cross_out_reason = Warum er nicht zählt
examples_cross_out =
    Beispiel:
      fallaway cross-out k3 "am falschen Bund gemessen"

    Der Kurzname eines Eintrags steht am Anfang seiner Zeile in `fallaway history`.

about_plan = Was zu drehen ist, wie weit, in welcher Reihenfolge und warum
about_next = Der nächste Schritt, in einer Zeile
arg_next_full = Der Schritt mit seinen Zahlen und dem, was danach zu messen ist
about_card = Die Werte des Instruments
arg_plan_all = Jeden Schritt ausführlich zeigen
arg_setup = Verglichen mit welchem Setup [sonst: dem einzigen]
arg_card_large = In großer Schrift, von der Bühne aus lesbar
about_changed = Was sich bewegt hat: Hals, Halsansatz, jeder Reiter, jede Sattelkerbe
arg_changed_since = Ab dem Termin dieses Eintrags, nicht ab dem Setup
arg_changed_found = Ab dem, was jener Termin vorfand, nicht ab dem, was er hinterließ
arg_changed_setup = Ab welchem Setup [sonst: dem einzigen; ohne Setup ab dem Termin davor]
examples_changed =
    Beispiele:
      fallaway changed                   seit dem Setup oder dem Termin davor
      fallaway changed --since tech-1    ab dem, was jener Termin hinterließ (sein erster Eintrag)
      fallaway changed --since tech-1 --found   ab dem, was er vorfand
about_sheet = Eine Seite zum Mitgeben: vorgefunden, Soll, übergeben, was gemacht wurde, worauf zu achten ist
arg_sheet_bench = Stattdessen für den Kofferdeckel: große Werte
arg_sheet_visit = Von welchem Termin, mit dem Kurznamen eines seiner Einträge [sonst: der letzte]
arg_sheet_setup = Verglichen mit welchem Setup [sonst: dem einzigen]
arg_sheet_out = In diese Datei: PDF, wenn sie auf .pdf endet, HTML bei .html, sonst Text [ohne Datei: Text, angezeigt]
arg_sheet_paper = Für welches Papier: a4, letter
arg_sheet_invite = Eine Einladung daraufdrucken, als Code und in Wörtern: viewer (lesen) oder contributor (lesen und schreiben). Wer die Seite sieht, kann sie benutzen [sonst: keine]
arg_sheet_days = Tage, die die Einladung gilt [sonst: 14]
examples_sheet =
    Beispiele:
      fallaway sheet
      fallaway sheet --out einstellung.pdf
      fallaway sheet --invite viewer --days 7 --out einstellung.pdf
      fallaway sheet --bench --paper letter --out deckel.html
about_draw = Bilder: die nächste Drehung, der Hals, die Luft über den Bünden, die Reiter, was sich geändert hat, Halskrümmung oder Saitenlage über die Zeit
arg_draw_kind = turn, neck, clearance, saddles, intonation, spacing, changed, relief oder action
arg_draw_string = Unter welcher Saite, mit ihrer Nummer [sonst: die außerhalb des Solls, oder die letzte]
arg_draw_out = In diese SVG-Datei [sonst: in Worten sagen, was das Bild zeigt]
arg_draw_words = Nur in Worten, ohne das aus Zeichen gesetzte Bild
arg_draw_theme = Wofür: light (hell), dark (dunkel), stage (Bühne), print (Druck)
arg_draw_since = Ab dem Termin dieses Eintrags, nicht ab dem Setup (changed)
arg_draw_found = Ab dem, was jener Termin vorfand, nicht ab dem, was er hinterließ
arg_draw_setup = Verglichen mit welchem Setup [sonst: dem einzigen]
examples_draw =
    Beispiele:
      fallaway draw neck --out hals.svg
      fallaway draw turn
      fallaway draw relief --theme dark --out winter.svg
      fallaway draw changed --since tech-1   ab dem, was jener Termin hinterließ (sein erster Eintrag)
about_learned = Was über das Instrument und alle, die es messen und spielen, gelernt ist
about_forecast = Was in einem anderen Klima zu erwarten ist, soweit die Jahreszeiten gelernt sind
arg_forecast_air = Relative Luftfeuchte, und Temperatur, wenn nicht Zimmertemperatur: 20C 25%
examples_forecast =
    Beispiel:
      fallaway forecast 20C 25%
about_history = Was gemessen und getan wurde, das Neueste zuletzt
arg_history_last = Nur die neuesten Einträge, so viele
arg_history_only = Nur eine Art von Einträgen
arg_history_visit = Nur der Termin dieses Eintrags [sonst: der offene oder der letzte]
arg_history_clean = Ohne das Gestrichene
examples_history =
    Beispiele:
      fallaway history
      fallaway history --last 20 --only readings
      fallaway history --visit
      fallaway history --visit k3
about_setup = Die Sollwerte: übernehmen, ändern, umbenennen, löschen, zeigen
about_setup_take = Die heutigen Messungen als Sollwerte übernehmen
arg_setup_take_name = Wie das Setup heißen soll: "Bühne", "Drop D"
about_setup_show = Ein Setup zeigen, oder alle
arg_setup_show_name = Welches
arg_setup_show_deleted = Die gelöschten
about_setup_rename = Ein Setup umbenennen
arg_setup_rename_name = Welches Setup
arg_setup_rename_new_name = Wie es von jetzt an heißt
about_setup_delete = Ein Setup mit seinen Sollwerten löschen, für alle
arg_setup_delete_name = Welches Setup
about_setup_back = Ein gelöschtes Setup zurückholen
arg_setup_back_name = Welches
about_setup_target = Einen Sollwert setzen
arg_setup_target_name = Welches Setup
arg_setup_target_what = Was gemessen wird: relief, fall-away, action, nut, gap, pitch, intonation, spacing, nut-spacing, pickup, bridge, bridge-tail
arg_setup_target_value = Welche Saiten (4, 1,3, 2-5, all), dann der Wert
arg_setup_target_within = Welche Abweichung noch im Soll ist
examples_setup_target =
    Der Wert steht zuletzt und hat seine Einheit. Bei mehreren Saiten sagen, welche.
      fallaway setup target Bühne action 4 2.1 mm
      fallaway setup target Bühne action all 5/64
      fallaway setup target Bühne relief 0.25 mm
about_setup_drop = Einen Sollwert entfernen
arg_setup_drop_name = Welches Setup
arg_setup_drop_what = Was gemessen wird: relief, fall-away, action, nut, gap, pitch, intonation, spacing, nut-spacing, pickup, bridge, bridge-tail
arg_setup_drop_strings = Welche Saiten (4, 1,3, 2-5, all)
examples_setup =
    Beispiele:
      fallaway setup take Bühne                   die heutigen Messungen sind die Sollwerte
      fallaway setup target Bühne action 4 2.1 mm
      fallaway setup target Bühne relief 0.25 mm --within 0.05 mm
      fallaway setup show Bühne
      fallaway setup drop Bühne action 4          dort kein Sollwert mehr
about_clearance = Schnarrt es mit diesen Werten, und was wäre wenn: Halskrümmung, Reiter, Saiten, Stimmung, Anschlag
arg_clearance_relief = Was wäre wenn: diese Halskrümmung, Reiter unverändert
arg_clearance_saddle = Was wäre wenn: Reiter höher (+) oder tiefer (-): 4=+0.3mm, all=-0.1mm
arg_clearance_action = Was wäre wenn: diese Saitenlagen, höchste Saite zuerst, oder eine für alle
arg_clearance_gauges = Was wäre wenn: andere Stärken in der eigenen Reihenfolge der Saiten; oder eine: 5=0.135 in
arg_clearance_notes = Was wäre wenn: andere Töne, höchste Saite zuerst; oder einer: 4=D1
arg_clearance_away = Die Saite wird vom Griffbrett weggezogen, nicht zu ihm hin gedrückt
arg_clearance_plucked_at = Wo angeschlagen wird, vom Reiter aus [sonst: 100 mm]
arg_player = Wessen Anschlag, wie aus sauberen Tönen und Schnarren gelernt [sonst: der einzige gelernte, sonst 1,5 N]
arg_force = Kraft des Fingers oder Plektrums zum Griffbrett hin, statt einer gelernten
examples_clearance =
    Beispiele:
      fallaway clearance                              wie gemessen
      fallaway clearance --relief 0.20 mm             Stab gedreht, Reiter unverändert
      fallaway clearance --saddle 4=+0.3mm all=-0.1mm   Reiter höher oder tiefer
      fallaway clearance --action 5/64 5/64 6/64 6/64   andere Saitenlagen, höchste Saite zuerst
      fallaway clearance --gauges 0.040 0.060 0.080 0.100 in
      fallaway clearance --notes 4=D1 --player player

    Grundlage sind die letzte Halskrümmung und Saitenlage. Was-wäre-wenn lässt sich verbinden: erst
    Halskrümmung, dann Reiter, dann Saitenlagen. Die Antwort kommt aus einem Modell, nicht aus einer
    Messung: zum Vergleichen, nicht zum Entscheiden.
about_why_buzz = Warum ein Ton schnarrt, und welche Messung entscheidet
arg_why_buzz_string = Welche Saite, mit ihrer Nummer
arg_why_buzz_frets = An welchen Bünden: 3, 3-6, open (leer)
arg_why_buzz_rocks = Bünde, über denen ein kurzes Lineal kippelt, mit diesem in der Mitte von dreien
arg_why_buzz_level = Bünde, über denen es nicht kippelt
arg_why_buzz_capo = Was ein Kapodaster am 1. Bund am Schnarren der Leersaite ändert: clean (weg), buzzes (bleibt)
examples_why_buzz =
    Beispiele:
      fallaway why-buzz 4 3-6
      fallaway why-buzz 1 open --force 2 N
      fallaway why-buzz 4 3-6 --rocks 7

    Grundlage sind die letzte Halskrümmung und Saitenlage. Die Reihenfolge kommt aus einem Modell mit
    gelerntem oder angenommenem Anschlag: die bei jeder Ursache genannte Messung entscheidet.
about_before_strings = Was andere Saiten oder eine andere Stimmung bewirken
arg_before_strings_gauges = Andere Stärken in der eigenen Reihenfolge der Saiten; oder eine: 5=0.135 in; mit p dahinter blank, mit w umsponnen: .026w
arg_before_strings_notes = Andere Töne, höchste Saite zuerst; oder einer: 4=D1
arg_before_strings_pack = Ein Saitensatz der Werkstatt: fallaway pack
examples_before_strings =
    Beispiele:
      fallaway before-strings --gauges 0.040 0.060 0.080 0.100 in
      fallaway before-strings --notes 4=D1
      fallaway before-strings --gauges 3=0.026w in
      fallaway before-strings --pack light

    Gespeichert wird nichts: `fallaway strings` trägt einen Wechsel ein, wenn er gemacht ist.

about_people = Wer das Instrument teilt, auf welchem Gerät
arg_people_history = Wer kam, wer ging, und wer welches Recht bekam: wann, und von wem
arg_people_known = Was jedes Gerät bekanntlich hat, und wann zuletzt etwas von ihm kam
about_role = Einem Beteiligten ein anderes Recht geben
arg_role_fingerprint = Der Fingerabdruck, wie ihn `fallaway people` zeigt: vorher mündlich vergleichen
arg_role_role = owner (Beteiligte und alles andere), contributor (lesen und schreiben), viewer (lesen)
examples_role =
    Beispiel:
      fallaway role 3QCX-P6Z5-BT6Q-CH5B owner

    Einem Gerät, das alles verwaltet und schon vorher dabei war, lässt sich das Recht nicht nehmen. Danach
    ein Bündel schicken, damit die anderen es erfahren.
about_remove = Ein Gerät entfernen, oder alle einer Person
arg_remove_fingerprint = Der Fingerabdruck des Geräts, wie ihn `fallaway people` zeigt
arg_remove_all_devices = Auch die anderen Geräte derselben Person
arg_remove_reason = Warum: die anderen sehen es
examples_remove =
    Beispiele:
      fallaway remove 3QCX-P6Z5-BT6Q-CH5B --reason "Telefon verloren"
      fallaway remove 3QCX-P6Z5-BT6Q-CH5B --all-devices

    Was es geschrieben hat und hier ist, bleibt. Es behält, was es hat, und bekommt nichts Neues. Danach
    bitte ein Bündel schicken.
about_leave = Die Akte verlassen
examples_leave =
    Was hier ist, bleibt bis `fallaway forget`. Das einzige Gerät, das alles verwaltet, kann nicht gehen.
about_held = Was zurückgehalten wird, und von wem
examples_held =
    Zurückgehalten wird, was ein entferntes Gerät schrieb, bevor es davon wusste, was ein kopiertes Gerät
    doppelt schrieb, und was jemand schrieb, der nur lesen darf.
about_accept_held = Aufnehmen, was von einem Gerät zurückgehalten wird
arg_accept_held_fingerprint = Name oder Fingerabdruck des Geräts, wie `fallaway held` sie zeigt
examples_accept_held =
    Beispiel:
      fallaway accept-held 3QCX-P6Z5-BT6Q-CH5B
about_withdraw = Eine Einladung zurückziehen, oder die offenen zeigen
arg_withdraw_invitation = Welche, wie `fallaway withdraw` sie zeigt; ohne Angabe: zeigen
examples_withdraw =
    Beispiel:
      fallaway withdraw 1f83ab20
about_write_anyway = Schreiben, obwohl ein Gerät eine neuere Version verlangt
examples_write_anyway =
    Nur für Geräte, die alles verwalten: wenn die genannte Person keine neuere Version hat oder niemand auf
    eine warten kann.
    Was eine neuere Version schrieb, bleibt; diese Version übergeht es.
about_compared = Festhalten, dass ein Fingerabdruck verglichen wurde
arg_compared_fingerprint = Der Fingerabdruck des Geräts, wie ihn `fallaway people` hier und dort zeigt
examples_compared =
    Beispiel:
      fallaway compared 3QCX-P6Z5-BT6Q-CH5B
about_invite = Ein Gerät einladen: zwölf Wörter oder ein Code
arg_invite_role = Was das eingeladene Gerät darf: contributor (lesen und schreiben), viewer (lesen). Zum owner wird es erst gemacht, wenn es dabei ist
arg_invite_out = Die Wörter in diese Datei schreiben, statt sie auszugeben
arg_invite_welcome = Was die Wörter öffnen, und nichts weiter, in diese Datei schreiben
arg_invite_qr = Die Wörter und den Willkommensbrief als QR-Codes für die Kamera eines Telefons zeigen
arg_invite_own_device = Ein weiteres eigenes Gerät: es wird mit diesem geführt und mit ihm entfernt
arg_invite_days = Tage, die sie gilt [sonst: 14]
examples_invite =
    Beispiele:
      fallaway invite contributor
      fallaway invite viewer --days 3 --out einladung.txt
      fallaway bundle out von-tech.fallaway

    Wer die Wörter und die Datei hat, kann einmal beitreten und den ganzen Verlauf lesen: auf zwei Wegen übergeben.
about_accept = Eine Einladung annehmen: ihre Wörter, und die Datei dazu
arg_accept_file = Die Bündeldatei, die zu den Wörtern gehört
arg_accept_words = Die zwölf Wörter oder der Text des Codes; ohne Angabe werden sie eingetippt oder hineingeleitet
arg_accept_words_file = Die Datei mit den Wörtern
arg_accept_look = Nur zeigen, was darin steht
examples_accept =
    Beispiele:
      fallaway accept von-tech.fallaway legal winner thank year wave sausage worth useful legal winner thank yellow
      fallaway accept von-tech.fallaway --words einladung.txt --look
about_recovery_words = Was das Instrument zurückbringt, wenn alle Geräte verloren sind
arg_recovery_words_written_down = Sie stehen auf Papier: von diesem Gerät löschen
examples_recovery_words =
    Beispiel:
      fallaway recovery-words
      fallaway recovery-words --written-down
about_recover = Mit den Wörtern zur Wiederherstellung alles verwalten
arg_recover_file = Eine Bündeldatei mit der ganzen Akte, je neuer, desto besser
arg_recover_words = Die zwölf Wörter; ohne Angabe werden sie eingetippt oder hineingeleitet
arg_recover_words_file = Die Datei mit den Wörtern
arg_recover_lost = Ein verlorenes Gerät, das zu entfernen ist, nach seinem Fingerabdruck; auch mehrmals
examples_recover =
    Beispiel:
      fallaway recover sicherung.fallaway legal winner thank year wave sausage worth useful legal winner thank yellow

    Danach gelten diese Wörter nicht mehr; neue werden einmal gezeigt.
about_bundle = Neues in eine Datei schreiben oder aus einer einlesen
about_bundle_out = Die Akte, oder was darin neu ist, in eine Datei schreiben
arg_bundle_out_file = Die Datei
arg_bundle_out_new = Nur, was jemand vielleicht noch nicht hat, wer es auch geschrieben hat
about_bundle_in = Bündeldateien einlesen
arg_bundle_in_files = Die Dateien
examples_bundle =
    Beispiele:
      fallaway bundle out fuer-player.fallaway        alles
      fallaway bundle out fuer-player.fallaway --new  was jemand vielleicht noch nicht hat
      fallaway bundle in von-player.fallaway

    Die Datei lässt sich auf jedem Weg schicken. Sie ist verschlüsselt: nur wer das Instrument teilt, kann
    sie lesen. Dateien dürfen spät, doppelt oder in beliebiger Reihenfolge ankommen.
about_relay = Das Relais, das die Akte zwischen Geräten trägt, die nie zugleich online sind; allein: zeigen
about_relay_set = Die Akte von einem Relais tragen lassen
arg_relay_set_address = Seine Adresse, die mit https:// beginnt
about_relay_drop = Die Akte von keinem Relais mehr tragen lassen
examples_relay =
    Beispiele:
      fallaway relay set https://relay.example
      fallaway relay

    Das Relais kann nicht lesen, was es trägt. Wer die Akte teilt, erfährt davon mit dem nächsten Bündel.
about_sync = Mit dem Relais austauschen: senden, was hier neu ist, und holen, was dort neu ist
arg_sync_keep = Auf Neues warten und es holen, bis es beendet wird
arg_sync_root = Dem Zertifikat in dieser Datei vertrauen, oder denen, die es signiert hat, und keinen anderen: für ein eigenes Relais
arg_sync_admission = Dem Relais den Zulassungscode in dieser Datei zeigen, den du vom Betreiber hast: Manche nehmen ohne ihn keine neue Akte auf
examples_sync =
    Beispiel:
      fallaway sync

    Es darf jederzeit beendet werden: was gekommen ist, bleibt, und der nächste Austausch setzt dort fort.
about_meet = Mit einem anderen Gerät im selben Netz austauschen, ohne Relais und ohne Datei
arg_meet_address = Wo das andere Gerät wartet, so wie es das zeigt
arg_meet_listen = Hier auf das andere Gerät warten; ohne Adresse an jeder Adresse dieses Geräts
arg_meet_code = Die sechs Ziffern, die das andere Gerät zeigt
arg_meet_words = Mit einer Einladung beitreten: eine Datei mit ihren zwölf Wörtern, oder - zum Eintippen
examples_meet =
    Beispiel:
      fallaway meet --listen                                  auf dem einen Gerät
      fallaway meet 192.168.1.20:40123 --code 471108          auf dem anderen
      fallaway meet 192.168.1.20:40123 --code 471108 --words -   ebenso, und mit zwölf Wörtern beitreten

    Jedes Instrument, das beide teilen, wird ausgetauscht, oder das mit -i genannte. Alles ist verschlüsselt
    und geht nur an ein Gerät der Beteiligten. Es darf jederzeit beendet werden.
about_two_values = Angaben und Sollwerte mit zwei widersprüchlichen Werten, mit Verfasser und Zeit
about_settle = Zwischen zwei Werten wählen
arg_settle_place = Die Nummer der Stelle in `fallaway two-values`
arg_settle_keep = Die Nummer des Werts, der bleibt
examples_settle =
    Beispiel:
      fallaway two-values
      fallaway settle 1 2        an der ersten Stelle den zweiten Wert behalten
about_me = Der Name, unter dem andere dieses Gerät sehen; allein: ihn zeigen
arg_me_name = Der Name: "tech", "player"
examples_me =
    Beispiel:
      fallaway me tech

    Die anderen sehen ihn, sobald das nächste Bündel da ist.
about_order = Welche Saite beim Messen zuerst kommt; allein: es zeigen
arg_order_order = Die höchste Saite zuerst oder die tiefste: high-first, low-first
examples_order =
    Was Saite für Saite angegeben oder gezeigt wird, kommt in dieser Reihenfolge: Messwerte, Töne, Stärken,
    Sollwerte, Tabellen, Berechnungen. Wo die Hilfe „höchste zuerst“ sagt, ist die zuerst gemessene Saite
    gemeint.
about_usual = Wie sonst gemessen wird, wo ein Eintrag nichts sagt; allein: es zeigen
arg_usual_posture = Wie das Instrument liegt: playing (Spielhaltung), back (Rücken), rest (Hals aufgelegt), side (Seite), hanging (hängend)
arg_usual_capo = Mit Kapodaster gegriffen
arg_usual_finger = Mit dem Finger gegriffen
arg_usual_a4 = A4 neuer Instrumente: 442 Hz
arg_usual_none = Vergessen: nichts wird angenommen
examples_usual =
    Beispiel:
      fallaway usual --posture playing --capo --a4 "442 Hz"
about_language = Die Sprache dieser App; allein: sie zeigen
arg_language_language = Ihr Kürzel: en, de; "auto" folgt dem System
about_units = In welchen Einheiten berechnete Längen gezeigt werden; allein: sie zeigen
arg_units_only = Nur für dieses Instrument
arg_units_units = as-read (wie das Werkzeug), mm, thou, in oder fractions (Brüche); dann Ausnahmen
examples_units =
    Beispiele:
      fallaway units mm
      fallaway units "thou" --only
      fallaway units "as-read, relief thou, temperature F"
      fallaway units "mm, readings too"    Messungen, Sollwerte und Angaben werden auch umgerechnet
about_archive = Ein Instrument weglegen: es verlässt die Liste dieses Geräts und behält alles
arg_archive_name = Sein Name
arg_archive_back = Es in die Liste zurückholen
about_rename = Ein Instrument umbenennen, für alle, die es teilen
arg_rename_name = Sein Name
arg_rename_new_name = Wie es von jetzt an heißt
arg_list_archived = Die weggelegten
about_forget = Ein Instrument von diesem Gerät löschen; die anderen behalten ihres
arg_forget_name = Sein voller Name
about_commands = Alle Befehle in der Reihenfolge der Arbeit, ihre gemeinsamen Optionen und die ersten Schritte
about_completions = Ergänzungen für eine Shell ausgeben
arg_completions_shell = Welche Shell
examples_completions =
    Beispiel:
      fallaway completions bash > ~/.local/share/bash-completion/completions/fallaway
about_demo = Zwei Geräte, ein Instrument, ein Winter: zusehen, wie es geht
arg_demo_into = Ordner für die Daten der zwei Geräte; wird ersetzt, wenn eine frühere Demo ihn angelegt hat [sonst: fallaway-demo]

about_copy = Ein Instrument wie ein anderes anlegen: mit dessen Angaben und Sollwerten, ohne dessen Verlauf
arg_copy_name = Welches Instrument
arg_copy_new_name = Wie das neue heißt
examples_copy =
    Beispiel:
      fallaway copy "blue five" "noch einer"
arg_list_search = Die mit einem Text im Namen
arg_list_names = Nur die Namen, jeder in einer Zeile
about_search = Ein Wort in allem auf diesem Gerät suchen: Namen, Besitzer, Aufträge, Verläufe, Setups
arg_search_text = Wonach
examples_search =
    Beispiel:
      fallaway search "Sattelrohling"
about_targets = Sollwerte von anderswo übernehmen; in einem Schritt, so dass undo alle zurücknimmt
about_targets_from = Von einem anderen Instrument, oder aus einer Vorgabe der Werkstatt (`fallaway spec`)
arg_targets_from_name = Dessen Name
arg_targets_from_setup = Welches Setup des anderen [sonst: das erste]
arg_targets_into = In welches Setup [sonst: das benutzte, oder main]
about_targets_usual = Übliche Werte, als solche gekennzeichnet (übliche Praxis, ohne Quelle)
examples_targets =
    Beispiele:
      fallaway targets from "blue five"       das Setup, das dort benutzt wird
      fallaway targets usual --into Anfang

    Eine Saite bekommt den Wert der Saite mit ihrem Ton, sonst der, die liegt wie sie.
about_spec = Die Vorgaben der Werkstatt; allein: alle zeigen
about_spec_keep = Die Sollwerte eines Setups für andere Instrumente behalten, auf diesem Gerät
arg_spec_keep_name = Wie sie heißen: "Roundwound, mittlerer Anschlag"
arg_spec_keep_setup = Welches Setup [sonst: das erste]
about_spec_drop = Sie vergessen
arg_spec_drop_name = Ihr voller Name
examples_spec =
    Beispiele:
      fallaway spec keep "Roundwound, mittlerer Anschlag"
      fallaway spec
about_pack = Die Saitensätze der Werkstatt; allein: alle zeigen
about_pack_keep = Einen Satz behalten, auf diesem Gerät
arg_pack_keep_name = Wie er heißt
arg_pack_keep_gauges = Seine Stärken in der eigenen Reihenfolge der Saiten; mit p dahinter blank, mit w umsponnen: .026w
arg_pack_keep_made = Wie seine Saiten gemacht sind, höchste zuerst: plain, round-wound, half-wound, flat-wound
arg_pack_keep_weights = Masse je Länge wie auf der Packung, höchste zuerst, mit der Einheit am Ende: lb/in oder g/m
about_pack_drop = Einen Satz vergessen
arg_pack_drop_name = Sein voller Name
examples_pack =
    Beispiele:
      fallaway pack keep "Flats, mittel" --gauges .045 .065 .085 .105 --made flat-wound
      fallaway pack

    Einen aufziehen: fallaway strings --pack NAME
arg_strings_pack = Ein Satz der Werkstatt, nach seinem Namen: fallaway pack
about_owner = Wem das Instrument gehört und wie die Person zu erreichen ist, nur auf diesem Gerät; allein: zeigen
arg_owner_name = Ein Name, oder eine Rolle
arg_owner_contact = Telefon, Adresse, Zeiten
arg_owner_none = Es vergessen
examples_owner =
    Beispiele:
      fallaway owner "Spielerin" --contact "ruft nach sechs an"
      fallaway owner
about_job = Arbeit am Instrument, nur auf diesem Gerät; allein: zeigen
about_job_add = Arbeit annehmen
arg_job_add_what = Was zu tun ist
about_job_note = Zeit, Teile, einen Preis notieren, oder worauf sie wartet
arg_job_number = Die Nummer: fallaway job
about_job_done = Sie ist erledigt
about_job_drop = Sie vergessen
arg_job_due = Bis wann: 2026-12-05
arg_job_waits_for = Worauf sie wartet
arg_job_arrived = Sie wartet nicht mehr
arg_job_time = Minuten Arbeit, zu den früheren dazu
arg_job_part = Ein Teil, mit Preis, wenn es einen hat: "Sattelrohling = 12 EUR"
arg_job_price = Was die Arbeit kostet, ohne Teile
examples_job =
    Beispiele:
      fallaway job add "neuer Sattel" --waits-for "Sattelrohling" --due 2030-12-05
      fallaway job add "Bünde abrichten" --time 45 --part "Bunddraht = 14,50 EUR" --price "80 EUR"
      fallaway job

    Was an allen Instrumenten offen ist: fallaway desk
about_desk = Was in der Werkstatt ist, offene Arbeit nach Fälligkeit, und welche Instrumente wieder fällig sind
about_care = Wann das Instrument wieder fällig ist, nur auf diesem Gerät; allein: zeigen
arg_care_months = So viele Monate nach dem letzten Eintrag
arg_care_within = Wenn diese Monate beginnen, jedes Jahr: 3,9 oder März,September
arg_care_none = Nie
examples_care =
    Beispiele:
      fallaway care --months 6
      fallaway care --in 3,9
about_export = Die ganze Akte als JSON schreiben, oder die Messungen als Tabelle; unverschlüsselt
arg_export_file = Wohin
arg_export_table = Nur die Messungen, als kommagetrennte Werte, die `fallaway import` liest
examples_export =
    Beispiele:
      fallaway export aufzeichnung.json
      fallaway export messungen.csv --table
about_backup = Alles auf diesem Gerät in eine Datei schreiben; unverschlüsselt, und ohne die Schlüssel
arg_backup_file = Wohin
examples_backup =
    Beispiel:
      fallaway backup werkstatt.sicherung
about_restore = Aus einer ausgegebenen Akte ein Instrument machen, oder aus einer Sicherung alles, in einem leeren Datenordner
arg_restore_file = Welche Datei
arg_restore_name = Wie das Instrument heißt, wenn nicht wie in der Akte

# What stands for a value in a usage line.
name_digits = ZIFFERN
name_day = TAG
name_part = TEIL
name_price = PREIS
name_month = MONAT
name_weight = GEWICHT
name_address = ADRESSE
name_amount = BETRAG
name_climate = KLIMA
name_command = BEFEHL
name_count = ANZAHL
name_entry = EINTRAG
name_field = ANGABE
name_file = DATEI
name_files = DATEIEN
name_fingerprint = FINGERABDRUCK
name_folder = ORDNER
name_force = KRAFT
name_fret = BUND
name_heading = ÜBERSCHRIFT
name_frets = BÜNDE
name_from = VON
name_gauge = STÄRKE
name_hours = STUNDEN
name_keep = WERT
name_kind = ART
name_invitation = EINLADUNG
name_length = LÄNGE
name_minutes = MINUTEN
name_name = NAME
name_new_name = NEUER-NAME
name_note = TON
name_number = NUMMER
name_order = REIHENFOLGE
name_points = PIXEL
name_place = ORT
name_purpose = ANLASS
name_reason = GRUND
name_role = ROLLE
name_set = SATZ
name_paper = PAPIER
name_theme = ANSICHT
name_setup = SETUP
name_shell = SHELL
name_string = SAITE
name_string_length = SAITE=LÄNGE
name_strings = SAITEN
name_template = VORLAGE
name_text = TEXT
name_time = ZEIT
name_to = BIS
name_tool = WERKZEUG
name_value = WERT
name_what = WAS
name_who = WER
name_word = WORT
name_words = WÖRTER
name_language = SPRACHE
name_units = EINHEITEN
name_changed = SAITE=TON
name_days = TAGE
name_posture = LAGE
name_frequency = FREQUENZ
name_side = SEITE
