# Die Hilfe von `fallaway calc`.
about_calc = Einzelne Rechnungen: Zahlen hinein, Zahlen heraus
examples_calc =
    Beispiele:
      fallaway calc saddle-move --scale 34 in --frets 24 --now 6/64 --want 5/64 --thread M3
      fallaway calc tension --note E1 --scale 34 in --gauge 0.105 in
      fallaway calc clearance -i "blue five" --force 1.5 N

    Längen wie an der Werkbank: 34 in, 5/64, 12 thou, 0.3 mm. Was fehlt, kommt aus den Angaben und letzten
    Messungen des Instruments: des mit -i genannten, sonst des einzigen auf diesem Gerät; die Antwort sagt
    es. Nichts wird gespeichert.

# Was mehreren Rechnungen gemeinsam ist.
arg_calc_scale = Mensur [sonst: die des Instruments]
arg_calc_frets = Zahl der Bünde [sonst: die des Instruments]
arg_calc_strings = Zahl der Saiten [sonst: die des Instruments]
arg_calc_string = Welche Saite; 1 ist die höchste [sonst: 1]
arg_calc_compensation = Wie weit der Reiter hinter der Mensur steht [sonst: 0 mm]
arg_calc_joint = Bund, ab dem der Hals sich nicht mehr biegt [sonst: der des Instruments, sonst zwei vor dem viertletzten]
arg_calc_joint_within = Um wie viele Bünde das falsch sein kann [sonst: wie beim Instrument, sonst 2; 0 mit --joint]
arg_calc_stopped = Bund, an dem die Saite gegriffen wird; 0 ist leer [sonst: 1]
arg_calc_over = Bund, über dem der Abstand gemessen wird [sonst: der letzte; leer: 12]
arg_calc_radius = Radius; bei zunehmendem Radius zwei, am Sattel und am letzten Bund; oder flat (flach)
arg_calc_radius_at = Bünde, an denen die beiden Radien gelten [sonst: 0, der Sattel, und der letzte]
arg_calc_nut_spread = Äußere Saiten am Sattel, Mitte zu Mitte [sonst: wie beim Instrument]
arg_calc_bridge_spread = Äußere Saiten am Steg, Mitte zu Mitte [sonst: wie beim Instrument]
arg_calc_thread = Gewinde: M3, #6-32, oder die Steigung wie 0.5 mm [sonst: das des Instruments]
arg_calc_clockwise = Was Drehen im Uhrzeigersinn bewirkt, wenn dieses Instrument es gezeigt hat: raises (hebt), lowers (senkt)
arg_calc_tool = Werkzeug der Messung: rule 1/64
arg_calc_want = Gewünschter Abstand
arg_calc_note = Ton oder Frequenz
arg_calc_gauge = Durchmesser über alles
arg_calc_plain = Sie ist aus blankem Stahldraht
arg_calc_wound = Sie ist umsponnen
arg_calc_core = Durchmesser des Kerns, mit --wraps
arg_calc_wraps = Durchmesser der Umspinnungsdrähte, von innen nach außen
arg_calc_unit_weight = Masse je Länge wie aufgedruckt: 2.215e-5 lb/in, 5.47 g/m
arg_calc_pack_tension = Zugkraft wie aufgedruckt: 155 N
arg_calc_pack_note = Ton, für den diese Zugkraft gilt
arg_calc_pack_scale = Mensur, für die diese Zugkraft gilt

about_calc_positions = Wo Bünde und Reiter liegen
arg_calc_positions_scale = Mensur; bei Fächerbünden eine je Saite, höchste zuerst
arg_calc_positions_compensation = Wie weit jeder Reiter hinter der Mensur steht: einmal, oder je Saite
examples_calc_positions =
    Beispiele:
      fallaway calc positions --scale 34 in --frets 24
      fallaway calc positions --scale 33 in 34 in 35 in --frets 24       Fächer, höchste Saite zuerst

about_calc_convert = Was eine andere Messweise zeigen würde: Halskrümmung, Abstände, Sattel
arg_calc_convert_relief = Gemessene Halskrümmung [sonst: die letzte des Instruments]
arg_calc_convert_relief_at = Bund, an dem die Halskrümmung gemessen wurde [sonst: wo sie am größten ist]
arg_calc_convert_action = Gemessene Saitenlage [sonst: die letzte des Instruments]
arg_calc_convert_nut = Abstand über dem 1. Bund, leer [sonst: der letzte des Instruments]
arg_calc_convert_nut_at_3 = Der Abstand am Sattel wurde am 3. Bund gegriffen gemessen
arg_calc_convert_tool = Werkzeug der Saitenlage, für deren Unsicherheit: rule 1/64
arg_calc_convert_relief_tool = Werkzeug für Halskrümmung und Sattel: feeler 1 thou
arg_calc_convert_to = Weitere Messweisen, gegriffen/über: 0/12, 5/20
examples_calc_convert =
    Beispiele:
      fallaway calc convert --scale 34 in --frets 24 --joint 20 --relief 0.25 mm --action 2 mm --nut 0.5 mm
      fallaway calc convert -i "blue five" --string 4 --to 5/20

    Saitenlage gilt am 1. Bund gegriffen über dem letzten Bund, wenn --stopped und --over nichts anderes sagen.

about_calc_saddle_move = Wie weit ein Reiter für eine gewünschte Saitenlage zu stellen ist
arg_calc_saddle_move_now = Abstand jetzt [sonst: die letzte Saitenlage dieser Saite]
examples_calc_saddle_move =
    Beispiel:
      fallaway calc saddle-move --scale 34 in --frets 24 --now 6/64 --want 5/64 --tool rule 1/64 --thread M3

about_calc_relief_change = Was eine Änderung der Halskrümmung an jedem Abstand bewirkt
arg_calc_relief_change_change = Änderung der Halskrümmung; mehr Krümmung ist über null
arg_calc_relief_change_relief_at = Bund, an dem die Halskrümmung gemessen wird [sonst: wo sie am größten ist]
arg_calc_relief_change_to = Weitere Messweisen, gegriffen/über: 5/20
examples_calc_relief_change =
    Beispiel:
      fallaway calc relief-change --scale 34 in --frets 24 --joint 24 --change 0.10 mm

about_calc_rocking = Kippelt ein Lineal, und auf welchem Bund
arg_calc_rocking_heights = Höhen der Bünde, 1. Bund zuerst
arg_calc_rocking_tolerance = Was als Kippeln zählt [sonst: 0.03 mm]
examples_calc_rocking =
    Beispiel:
      fallaway calc rocking --scale 650 mm --heights 0 0 0 0.1 0 0 0 mm

    Höhen der Bundoberkanten über irgendeiner Geraden längs des Griffbretts, vom 1. Bund an.

about_calc_crown_drop = Wie weit das Griffbrett zur Seite abfällt
arg_calc_crown_drop_radius = Radius dort [sonst: der des Instruments]
arg_calc_crown_drop_offset = Abstände von der Mitte
examples_calc_crown_drop =
    Beispiel:
      fallaway calc crown-drop --radius 9.5 in --offset 17.5 mm 21 mm

about_calc_hump = Der Buckel, den ein gewölbtes Griffbrett unter jeder Saite macht
examples_calc_hump =
    Beispiel:
      fallaway calc hump --scale 25.5 in --frets 22 --radius 9.5 in --nut-spread 35 mm \
          --bridge-spread 52.5 mm --strings 6

about_calc_saddle_heights = Reiterhöhen für gleiche oder gewünschte Abstände über einem gewölbten Griffbrett
arg_calc_saddle_heights_gap = Gewünschter Abstand: einer für alle, oder einer je Saite, höchste zuerst
examples_calc_saddle_heights =
    Beispiel:
      fallaway calc saddle-heights --scale 34 in --frets 20 --radius 9.5 in --nut-spread 28.5 mm \
          --bridge-spread 57 mm --strings 4 --gap 2 mm

about_calc_underside_radius = Der Radius durch die Unterseiten der Saiten
arg_calc_underside_radius_gaps = Gemessene Abstände, höchste Saite zuerst
arg_calc_underside_radius_over = Bund, über dem gemessen wurde [sonst: der letzte]
examples_calc_underside_radius =
    Beispiel:
      fallaway calc underside-radius --scale 25.5 in --frets 22 --radius 9.5 in --nut-spread 35 mm \
          --bridge-spread 52.5 mm --gaps 4/64 4/64 5/64 5/64 6/64 6/64 --over 12 --tool rule 1/64

about_calc_sideways = Was seitliches Versetzen eines Reiters an der Saitenlage ändert
arg_calc_sideways_shift = Wie weit; von der Mitte weg ist über null
examples_calc_sideways =
    Beispiel:
      fallaway calc sideways --scale 25.5 in --frets 22 --radius 9.5 in --nut-spread 35 mm \
          --bridge-spread 52.5 mm --strings 6 --string 6 --shift -1 mm

about_calc_bend = Wie nah eine Saite beim Ziehen den Bünden kommt
arg_calc_bend_bent_at = Bund, an dem gezogen wird
arg_calc_bend_push = Wie weit dort gezogen wird, zur Mitte hin
arg_calc_bend_gap = Saitenlage, nicht gezogen
examples_calc_bend =
    Beispiel:
      fallaway calc bend --scale 25.5 in --frets 22 --radius 254 mm --nut-spread 35 mm \
          --bridge-spread 52.5 mm --strings 6 --string 1 --bent-at 15 --push 20 mm --gap 1.6 mm

about_calc_saddle_radius = Der Radius des Griffbretts, bis zum Steg weitergeführt
examples_calc_saddle_radius =
    Beispiel:
      fallaway calc saddle-radius --scale 34 in --frets 24 --radius 9 in 20 in --radius-at 1 24

about_calc_spacing = Wo die Saiten über Sattel oder Steg liegen
arg_calc_spacing_width = Breite von Sattel oder Griffbrett dort
arg_calc_spacing_margins = Von der Kante des Griffbretts bis zur Kante der äußeren Saite: einmal, oder höchste und tiefste Saite
arg_calc_spacing_gauges = Stärken, höchste Saite zuerst [sonst: die des Instruments]
arg_calc_spacing_equal = Was gleich ist: gaps (zwischen den Kanten) oder centres (Mitten) [sonst: gaps]
arg_calc_spacing_between = Abstand der Mitten, um die Mitte gelegt
arg_calc_spacing_found = Mitten, wie sie jetzt liegen, von der Kante aus
examples_calc_spacing =
    Beispiele:
      fallaway calc spacing --width 42 mm --margins 3 mm --gauges 0.010 0.013 0.017 0.026 0.036 0.046 in
      fallaway calc spacing --width 70 mm --between 19 mm --gauges 0.045 0.065 0.085 0.105 in
      fallaway calc spacing --width 42 mm --margins 3 mm --gauges 1 1 1 mm --equal centres --found 4 20 38 mm

    Gemessen von der Kante des Griffbretts neben der höchsten Saite.

about_calc_screw = Drehung für eine Höhe, Höhe für eine Drehung, Gewinde
arg_calc_screw_rise = Gewünschte Anhebung; unter null senkt
arg_calc_screw_turns = Gemachte Umdrehungen, um die Höhe zu erfragen: 3/8, 0.5, 1 1/4
arg_calc_screw_list = Die Gewinde mit Namen auflisten
examples_calc_screw =
    Beispiele:
      fallaway calc screw --rise -0.25 mm --thread M3 --clockwise raises
      fallaway calc screw --turns 3/8 --thread #6-32
      fallaway calc screw --list

about_calc_bridge = Welche Stegschrauben für gewünschte Höhen zu drehen sind
arg_calc_bridge_own = Ein Reiter je Saite, auf so vielen Schrauben [sonst: der Steg des Instruments]
arg_calc_bridge_shared = Geteilte Reiter mit je einer Schraube: wie viele Saiten jeder trägt, wie 2 2
arg_calc_bridge_posts = Zwei Bolzen, nach ihrem Ort quer zum Steg
arg_calc_bridge_places = Orte der Saiten quer zum Steg, für --posts
arg_calc_bridge_wanted = Gewünschte Anhebung jeder Saite am Reiter, höchste zuerst
examples_calc_bridge =
    Beispiele:
      fallaway calc bridge --own 2 --wanted -0.2 -0.2 -0.1 0.1 mm --thread M3
      fallaway calc bridge --posts -37 37 mm --places -26 -15.6 -5.2 5.2 15.6 26 mm \
          --wanted 0.2 0.2 0.3 0.3 0.4 0.4 mm --thread M8

    Höhen am Reiter, höchste Saite zuerst; saddle-move rechnet sie aus Abständen aus.

about_calc_floating = Was eine Saite an einem schwebenden Steg bewirkt
arg_calc_floating_springs = Zahl der Federn
arg_calc_floating_spring_rate = Steifigkeit einer Feder, in N/mm
arg_calc_floating_spring_arm = Federn vom Drehpunkt aus
arg_calc_floating_string_rates = Steifigkeit jeder Saite, in N/mm
arg_calc_floating_string_arm = Saiten über dem Drehpunkt
arg_calc_floating_reach = Auflagepunkte hinter dem Drehpunkt
arg_calc_floating_add = Zugkraft, die die Mechaniken jeder Saite zufügen
arg_calc_floating_want = Gewünschte Änderung der Zugkraft jeder Saite: was müssen Mechaniken oder Federn tun?
examples_calc_floating =
    Beispiel:
      fallaway calc floating --springs 3 --spring-rate 1.0 --spring-arm 25 mm --string-rates 12 12 12 12 12 12 \
          --string-arm 12 mm --reach 12 mm --add 5 0 0 0 0 0 N

    Steifigkeit in N/mm (bei einer Saite: Elastizitätsmodul mal Kernquerschnitt durch Länge). Kräfte an
    jeder Saite, höchste zuerst. Alles Übrige gilt als proportional (kleine Änderungen).

about_calc_blank = Was von einer festen Stegeinlage abzunehmen ist
arg_calc_blank_change = Gewünschte Änderung des Abstands, höchste Saite zuerst; Saiten gleichmäßig verteilt
arg_calc_blank_spread = Äußere Saiten am Steg, Mitte zu Mitte [sonst: wie beim Instrument]
examples_calc_blank =
    Beispiel:
      fallaway calc blank --scale 25.5 in --frets 20 --stopped 0 --over 12 --change -0.25 -0.25 mm --spread 55 mm

    Nie nach einer vorhergesagten Zahl Material abnehmen: zuerst zwei übereinstimmende Messungen mit
    verschiedenen Werkzeugen.

about_calc_shim = Ein Keil in der Halstasche
arg_calc_shim_saddle_move = Die Reiterbewegung, die der Keil ersetzt; unter null senkt die Saitenlage
arg_calc_shim_thickness = Dicke eines Keils, um seine Wirkung zu erfragen
arg_calc_shim_toward_nut = Das dicke Ende dieses Keils zeigt zum Sattel
arg_calc_shim_pocket_edge = Vom Sattel bis zur sattelseitigen Kante der Tasche
arg_calc_shim_pocket_length = Länge der Tasche
examples_calc_shim =
    Beispiele:
      fallaway calc shim --scale 25.5 in --saddle-move -2.4 mm --pocket-edge 405 mm --pocket-length 76 mm
      fallaway calc shim --scale 25.5 in --thickness 0.5 mm --pocket-edge 405 mm --pocket-length 76 mm

    Nur bei geschraubtem Hals, und nur mit entspannten Saiten.

about_calc_pitch = Ton, Frequenz, Cent
arg_calc_pitch_pitch = Ton oder Frequenz
arg_calc_pitch_a4 = Kammerton [sonst: der des Instruments, sonst 440 Hz]
arg_calc_pitch_fret = Hier gegriffen [sonst: 0]
examples_calc_pitch =
    Beispiele:
      fallaway calc pitch E1
      fallaway calc pitch Bb0 --a4 442 Hz --fret 5
      fallaway calc pitch 41.5 Hz                        der nächste Ton, und Cent davon

about_calc_tension = Zugkraft einer Saite
arg_calc_tension_as_printed = Auch in Pound-force, wie ältere Saitentabellen sie drucken (mit 386.4 in/s2)
examples_calc_tension =
    Beispiele:
      fallaway calc tension --note E4 --scale 25.5 in --unit-weight 2.215e-5 lb/in
      fallaway calc tension --note E1 --scale 34 in --core 0.024 in --wraps 0.0125 0.028 in
      fallaway calc tension --note E1 --scale 34 in --gauge 0.105 in

about_calc_set = Zugkraft eines Satzes, und eines anderen daneben
arg_calc_set_scale = Mensur: eine, oder eine je Saite [sonst: die des Instruments]
arg_calc_set_notes = Töne [sonst: die des Instruments]
arg_calc_set_gauges = Stärken [sonst: die des Instruments]
arg_calc_set_plain = Welche Saiten blank sind: 1,2,3 oder 1-3, all oder none
arg_calc_set_to_notes = Andere Töne zum Vergleich
arg_calc_set_to_gauges = Andere Stärken zum Vergleich
examples_calc_set =
    Beispiele:
      fallaway calc set --scale 34 in --notes G2 D2 A1 E1 --gauges 0.045 0.065 0.085 0.105 in
      fallaway calc set -i "blue five" --to-gauges 0.040 0.060 0.080 0.100 0.125 in
      fallaway calc set -i "blue five" --to-notes F2 C2 G1 D1 A0

    Saiten mit der höchsten zuerst. Stärken allein gelten als Stahl, blank oder rund umsponnen, wie bei der
    Stärke üblich, und die Antwort sagt, welches; --plain nennt die blanken, oder none.

about_calc_retune = Was eine andere Stimmung an der Zugkraft einer Saite ändert
arg_calc_retune_from = Ton oder Frequenz jetzt
arg_calc_retune_to = Ton oder Frequenz danach
examples_calc_retune =
    Beispiel:
      fallaway calc retune --from E1 --to D1 --scale 34 in --gauge 0.105 in

about_calc_stress = Hält eine blanke Saite diesen Ton aus
arg_calc_stress_limit = Größte zugelassene Spannung, in GPa [sonst: 1.8]
examples_calc_stress =
    Beispiel:
      fallaway calc stress --note E4 --scale 648 mm

about_calc_stiffness = Wie steif eine Saite ist: Inharmonizität
arg_calc_stiffness_core = Durchmesser des Kerns oder der blanken Saite
arg_calc_stiffness_tension = Zugkraft
arg_calc_stiffness_partial = Ein gemessener Teilton
arg_calc_stiffness_cents = Um wie viele Cent er über seinem Vielfachen des Grundtons liegt
arg_calc_stiffness_fret = Bund, an dem die Saite gegriffen war [sonst: 0]
examples_calc_stiffness =
    Beispiele:
      fallaway calc stiffness --core 0.017 in --tension 189.9 N --scale 34 in
      fallaway calc stiffness --partial 10 --cents 100 --fret 12        aus dem, was ein Stimmgerät zeigt

about_calc_drift = Wie der Ton dem Reiter und der Temperatur folgt
arg_calc_drift_anchored = Von der Mechanik bis zum Saitenhalter [sonst: die Mensur]
examples_calc_drift =
    Beispiel:
      fallaway calc drift --note E4 --scale 648 mm --anchored 760 mm

    Für eine blanke Stahlsaite, die reibungsfrei über Sattel und Reiter gleitet, Mechanik unberührt.

about_calc_clearance = Schnarrt es: Luft über den Bünden, niedrigste saubere Saitenlage, beste Halskrümmung, Anschlag
arg_calc_clearance_relief = Halskrümmung, wo sie am größten ist [sonst: die letzte des Instruments]
arg_calc_clearance_action = Saitenlage jeder Saite, höchste zuerst [sonst: die letzte des Instruments]
arg_calc_clearance_notes = Töne, höchste Saite zuerst [sonst: die des Instruments]
arg_calc_clearance_tensions = Zugkraft jeder Saite, höchste zuerst [sonst: aus den Stärken des Instruments]
arg_calc_clearance_inharmonicity = Inharmonizität jeder leeren Saite, höchste zuerst [sonst: aus dem Ton angenommen]
arg_calc_clearance_force = Kraft des Fingers oder Plektrums zum Griffbrett hin [sonst: 1.5 N]
arg_calc_clearance_away = Die Saite wird vom Griffbrett weggezogen, nicht darauf zugedrückt
arg_calc_clearance_plucked_at = Wo sie angeschlagen wird, vom Reiter aus [sonst: 100 mm]
examples_calc_clearance =
    Beispiele:
      fallaway calc clearance --scale 34 in --frets 24 --relief 0.1 mm --action 1/16 5/64 \
          --notes A1 E1 --tensions 170 155 N --force 1.5 N
      fallaway calc clearance -i "blue five" --force 1.5 N
      fallaway calc clearance -i "blue five" --force 2 N --relief 0.2 mm        was wäre wenn

    Saiten mit der höchsten zuerst. Die Antwort stammt aus einem Modell mit angenommener Zugkraft, Steifigkeit
    und angenommenem Anschlag, nicht aus einer Messung: zum Vergleichen, nicht zum Entscheiden.

about_calc_intonation = Aus Cent werden Reiterbewegungen
arg_calc_intonation_cents = Messungen: Bund=Cent, zu hoch ist über null
arg_calc_intonation_nut_too = Auch den Sattel versetzen
arg_calc_intonation_travel = Wie weit der Reiter noch zum Sattel hin kann, und von ihm weg
arg_calc_intonation_thread = Gewinde der Schraube, die den Reiter bewegt
examples_calc_intonation =
    Beispiele:
      fallaway calc intonation --scale 34 in --cents 12=4 --thread M3
      fallaway calc intonation --scale 648 mm --cents 3=2 5=2 7=3 12=4 --nut-too

    Gegriffener Ton gegen die leere Saite, in derselben Minute gemessen.

about_calc_set_back = Versatz von Reiter und Sattel, bevor eine Saite aufgezogen ist
arg_calc_set_back_nut_height = Höhe der Saite über den Bundoberkanten am Sattel
arg_calc_set_back_saddle_rise = Wie viel höher der Reiter steht als der Sattel
arg_calc_set_back_stretch_ratio = Relative Zunahme der Zugkraft bei relativer Dehnung, EA/T
arg_calc_set_back_stiffness = Steifigkeitsverhältnis der leeren Saite, sqrt(EI/T)/L
arg_calc_set_back_core = Durchmesser eines Stahlkerns, um beides auszurechnen
arg_calc_set_back_tension = Zugkraft, mit --core
arg_calc_set_back_ends = Wie die Enden gehalten sind: pinned (gelenkig), clamped-pinned, clamped (eingespannt)
arg_calc_set_back_for_fret = Der Reiter allein bringt diesen Bund auf null [sonst: 12]
arg_calc_set_back_up_to = Reiter und Sattel, für die Bünde 1 bis zu diesem am nächsten an null
examples_calc_set_back =
    Beispiele:
      fallaway calc set-back --scale 650 mm --nut-height 1 mm --saddle-rise 4 mm --stretch-ratio 48.2 \
          --stiffness 0.0019 --up-to 12
      fallaway calc set-back --scale 34 in --nut-height 0.5 mm --saddle-rise 3 mm --core 0.017 in \
          --tension 189.9 N

    Ohne --ends gilt die Antwort für alle drei: welche Lagerung zutrifft, macht am meisten aus.

about_calc_pickup = Abstand zwischen Saite und Tonabnehmer
arg_calc_pickup_on = bass oder guitar [sonst: wie das Instrument]
arg_calc_pickup_side = Seite des Tonabnehmers: bass oder treble (Diskant)
arg_calc_pickup_gap = Gemessener Abstand
arg_calc_pickup_weak = Die Magnete sind als schwach oder abgedeckt bekannt
arg_calc_pickup_thread = Gewinde der Höhenschraube
examples_calc_pickup =
    Beispiel:
      fallaway calc pickup --on bass --side bass --gap 1.4 mm --want 2.5 mm --thread 0.5 mm

    Gemessen mit am letzten Bund gegriffener Saite.

about_calc_moisture = Wie feucht Holz in einem Klima wird
arg_calc_moisture_air = Temperatur und relative Luftfeuchte
examples_calc_moisture =
    Beispiel:
      fallaway calc moisture 21C 50%

# Was in einer Aufrufzeile für einen Wert steht.
name_cents = CENT
name_ends = ENDEN
name_fret_cents = BUND=CENT
name_gpa = GPA
name_mass = MASSE
name_n_mm = N/MM
name_screws = SCHRAUBEN
name_thread = GEWINDE
name_turns = UMDREHUNGEN
name_way = MESSWEISE
