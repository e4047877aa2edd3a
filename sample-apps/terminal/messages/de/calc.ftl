# Was der Rechner antwortet.
missing = --{ $option } ist nötig, wie --{ $option } { $example }; oder ein Instrument nennen, das es hat: -i NAME
bound_alone = ein Wert oder ein Bereich ist nötig, nicht nur eine Grenze
not_number = „{ $text }“ ist keine Zahl
divides_by_zero = „{ $text }“ teilt durch 0
turns_needed = Umdrehungen sind nötig, wie 3/8
pitch_length = eine Steigung ist eine Länge
not_thread = „{ $text }“: { $unknown }; oder die Steigung, 0.5 mm
not_among = „{ $text }“ gehört nicht dazu; möglich: { $accepted }
not_way = „{ $text }“ ist keine Messweise; möglich: gegriffen/über, der zweite Bund über dem ersten, wie 0/12
not_mass = „{ $text }“ ist keine Masse je Länge; möglich: eine Zahl mit lb/in, g/m oder kg/m, wie 5.47 g/m
outside = { $value } liegt außerhalb { $low } bis { $high }
sound = { $note } ({ $frequency })
both = { $length } ({ $inch } Zoll)
give_or_take = { $value } ± { $twice }
open_over = leer, über dem { $over }. Bund
fretted_over = am { $stopped }. Bund gegriffen, über dem { $over }. Bund
basis_spread = ±: doppelte Standardunsicherheit, etwa 95 % (JCGM 100:2008, 6.3.3), in erster Ordnung aus den Messungen

# Was vom Instrument kommt.
no_string = es gibt keine Saite { $string }; möglich: 1 bis { $count }
fact_scale = Mensur { $scale }, eine Angabe zum Instrument
fact_scales = Mensuren, Angaben zum Instrument
fact_frets = { $count } Bünde, eine Angabe zum Instrument
fact_radius = Radius des Griffbretts, eine Angabe zum Instrument
fact_gauges = Stärken, Angaben zum Instrument
fact_tuning = Stimmung, eine Angabe zum Instrument
fact_strings = Saiten, Angaben zum Instrument
fact_bridge = Steg, eine Angabe zum Instrument
fact_joint = der Hals biegt sich bis zum { $fret }. Bund ± { $by } (eine Angabe zum Instrument)
assumed_joint = der Hals biegt sich bis zum { $fret }. Bund ± { $by } (übliche Praxis, ohne Quelle)
assumed_level = Reiter auf der Mensur (Kompensation 0 mm), Bünde eben
assumed_spread = Saiten gleichmäßig verteilt, Mitte zu Mitte, um die Mitte des Griffbretts
wrong_gap = ein Abstand über dem { $over }. Bund bei einer am { $stopped }. Bund gegriffenen Saite: der Bund muss dahinter liegen, bis { $last }
latest = { $what }: { $reading }, gemessen { $at }
stale = { $what }: seither wurde etwas getan, das es verändert; neu messen
radii = { $count } angegeben; möglich: einer, zwei bei zunehmendem Radius, oder flat

# Hals, Abstände, Keil, Tonabnehmer, Feuchte.
basis_line = Modell: die Saite ist gerade vom gegriffenen Bund bis zum Reiter; der Hals biegt sich gleichmäßig bis zum Bund am Halsansatz und ist dahinter gerade
head_positions = Bund | vom Sattel | vom Bund davor | bis zum Reiter
saddle_from_nut = Der Reiter steht { $length } vom Sattel.
fret = Bund
saddle = Reiter
string_mm = Saite { $string }, mm
basis_frets = Modell: jeder Bund verkürzt die Saite um die zwölfte Wurzel aus zwei, längs der Saite
assumed_nut = Abstand über dem 1. Bund, leer: 0,5 mm ± 0,3 mm (übliche Praxis, ohne Quelle); zählt nur für leer Gemessenes
head_convert = so gemessen | wären es
nut_way = Sattel: { $way }
relief_largest = Die Halskrümmung zwischen dem 1. und dem { $last }. Bund ist am { $fret }. Bund am größten: { $gap }.
saddle_height = Der Reiter steht { $height } über dem geraden Teil des Halses.
basis_convert = Halskrümmung { $relief }; Saitenlage { $action }, { $way }; Sattel { $nut }
convert_hint = Ein aus einer anderen Messweise umgerechneter Wert dient dem Vergleich; er ersetzt keine Messung.
thread_hint = In Umdrehungen, sobald das Gewinde bekannt ist: --thread M3.
turn = Drehung: { $turn }. Das bringt { $gives }; { $left } bleiben übrig.
turn_left = Drehung: { $turn }; { $left } bleiben übrig.
basis_thread = Gewinde: { $pitch } je Umdrehung
lower_saddle = Den Reiter um { $by } senken.
raise_saddle = Den Reiter um { $by } heben.
saddle_ratio = Der Reiter bewegt sich { $ratio } mm je Millimeter Abstand ({ $way }).
within_error = Die gewünschte Änderung von { $change } liegt innerhalb der Messunsicherheit ({ $error }).
tune_measure = Stimmen, dann neu messen.
basis_gap = Abstand { $gap }, { $way }
basis_triangles = Modell: ähnliche Dreiecke vom gegriffenen Bund bis zum Reiter
saddle_binds = Wenn eine Reiterschraube klemmt, zuerst die Saite entspannen.
relief_changes = Eine Änderung der Halskrümmung um { $change }, Reiter und Sattel unberührt, ändert die Abstände:
head_changes = Abstand | ändert sich um
relief_hint = Eine Saitenlage, die mit der Halskrümmung so weit gestiegen ist, kommt mit dem Halsspannstab zurück, nicht mit den Reitern.
basis_joint = ±: doppelte Standardunsicherheit, aus der Stelle, ab der der Hals sich nicht mehr biegt
rocks_nowhere = Ein kurzes Lineal über drei benachbarten Bünden kippelt nirgends um mehr als { $by }.
rocks = Über den Bünden { $first } bis { $last } kippelt es auf Bund { $fret }, der { $by } über der Linie durch seine Nachbarn steht.
fret_high = Bund { $fret } ist { $by } zu hoch.
fret_low = Bund { $fret } ist { $by } zu niedrig.
basis_rocking = die Höhen wie angegeben, jeder Bund gegen die Gerade durch seine beiden Nachbarn
rocking_ends = Der 1. und der letzte Bund haben nur einen Nachbarn und werden nicht beurteilt.
rocking_caution = Zuerst nach einem losen Bund sehen. Abrichten lässt sich nicht rückgängig machen und gehört in eine Fachwerkstatt.
thick_end = { $end ->
    [bridge] zum Steg hin
   *[nut] zum Sattel hin
  }
shim_does = Ein Keil von { $thickness }, das dicke Ende { $end }, bewirkt dasselbe wie alle Reiter um { $saddle } zu bewegen.
shim_needed = Ein Keil von { $thickness } am dicken Ende, { $end } ({ $angle }°), { $tips ->
    [back] kippt den Hals nach hinten und senkt die Saitenlage
   *[forward] kippt den Hals nach vorn und hebt die Saitenlage
  }, wie eine Reiterbewegung von { $saddle }.
basis_shim = Modell: ein starrer Hals dreht sich um die Kante der Tasche am dünnen Ende des Keils
shim_slack = Zuerst die Saiten entspannen: Halsschrauben nur anrühren, wenn keine Saite zieht.
shim_after = Danach gelten Halskrümmung, Sattel, Saitenlage, Oktavreinheit und Stimmung nicht mehr: stimmen, dann neu messen.
pickup_gap = { $gap } ist { $verdict ->
    [usual] im üblichen Bereich
    [close] näher als üblich
   *[far] weiter als üblich
  } ({ $low } bis { $high }).
pickup_pull = Weniger als { $limit } unter einer tiefen Saite kann ein starker Magnet den Ton verziehen: oben am Hals auf Schwebungen hören (übliche Praxis, ohne Quelle).
pickup_turns = Bis { $want }: { $turns } an der Höhenschraube, den Tonabnehmer { $way ->
    [lower] tiefer
   *[raise] höher
  }.
basis_pickup = der Abstand wie angegeben, Saite am letzten Bund gegriffen; die üblichen Abstände sind übliche Praxis, ohne Quelle
pickup_balance = Saiten und Tonabnehmer nach Gehör abgleichen.
moisture_missing = Temperatur und relative Luftfeuchte sind beide nötig, wie 21C 50%
moisture = Holz nimmt bei { $temperature } und { $humidity } eine Feuchte von { $moisture } an.
basis_moisture = Modell: W. T. Simpson, USDA FPL-RN-0268; Tabelle 4-2 des Wood Handbook stimmt auf 0,1 % überein
moisture_lag = Holz folgt dem Klima um Tage bis Wochen verzögert, ein lackierter Hals noch mehr; wie dieses Instrument folgt, lernt seine Akte.

# Griffbrett und Saitenabstand.
basis_board = Modell: Bünde auf Bögen des angegebenen Radius, Saiten gerade vom Sattel zum Reiter, Hals gerade
crown_drop = { $offset } von der Mitte liegt das Griffbrett { $drop } ({ $inch } Zoll) tiefer als in der Mitte.
basis_crown = Modell: ein Bogen von { $radius }: der Radius weniger der Wurzel aus seinem Quadrat weniger dem des Abstands
head_hump = Saite | Buckel | am Bund
hump_hint = Ein Buckel wirkt wie eine so große Rückbiegung unter seiner Saite: ein gerader Hals braucht dort so viel Halskrümmung, um eben zu sein.
head_saddle_heights = Saite | gewünschter Abstand | Reiter über der Mittellinie | über dem niedrigsten
saddles_arc = Der Bogen durch die Reiter hat einen Radius von { $radius }.
saddles_flat = Die Reihe der Reiter ist flach oder hohl.
undersides_arc = Der Bogen durch die Unterseiten über dem { $fret }. Bund hat einen Radius von { $radius }.
undersides_flat = Die Reihe der Unterseiten über dem { $fret }. Bund ist flach oder hohl.
board_carried = Der Radius des Griffbretts, bis zum Steg weitergeführt: { $radius }.
gaps_way = Abstände: { $way }.
gaps_count = { $given } angegeben, { $strings } Saiten
radius_between = Soweit die Messungen es erkennen lassen, liegt er zwischen { $low } und { $high }.
radius_from = Soweit die Messungen es erkennen lassen, beträgt er { $low } oder mehr, bis flach.
radius_flat = Die Messungen können ihn nicht von flach unterscheiden.
board_there = Der Radius des Griffbretts ist dort { $radius }: die Saiten { $follow ->
    [yes] folgen ihm, soweit die Messungen es erkennen lassen
   *[no] folgen ihm nicht
  }.
basis_gaps = die Abstände wie angegeben, Standardunsicherheit je { $each }
basis_circle = ein Kreis durch die Unterseiten, kleinste Quadrate; Bereich: doppelte Standardunsicherheit
sideways = Den Reiter der Saite { $string } bei gleicher Höhe um { $by } { $way ->
    [toward] zur Mitte hin
   *[away] von der Mitte weg
  } zu versetzen, ändert ihren Abstand ({ $gap }) um { $change }.
sideways_hint = Den Saitenabstand vor der Saitenlage einstellen, oder die Saitenlage neu messen.
bend_stopped = der Sattel gehört nicht zu diesem Modell; möglich: 1 und mehr
bend = Saite { $string }, am { $fret }. Bund gegriffen und um { $push } gezogen, kommt dem { $over }. Bund bis auf { $gap } nahe ({ $before } vor dem Ziehen).
head_bend = Abstand | davor | dabei
bend_next = über dem nächsten Bund
bend_smallest = kleinster
bend_last = über dem letzten Bund
bend_chokes = Sie läge auf dem Bund auf: der Ton stirbt ab.
basis_bend = Abstände in Ruhe: das Schwingen der Saite ist nicht enthalten
saddle_radius = Der Radius des Griffbretts, bis zum Steg weitergeführt, ist { $radius }.
saddle_radius_flat = Das Griffbrett ist flach und bleibt es bis zum Steg.
saddle_radius_hint = Reiter auf genau diesem Bogen lassen die äußeren Saiten tief; saddle-heights gibt die Höhen für gleiche Abstände.
basis_radius = Modell: der Radius wächst gleichmäßig längs des Griffbretts
head_spacing = Saite | Mitte von der Kante | von der Mitte | frei bis zur nächsten | versetzen um
spacing_missing = --margins, --between oder --found angeben
spacing_margins = Von den Kanten: { $first } neben der höchsten Saite, { $last } neben der tiefsten.
basis_spacing = Breite und Stärken wie angegeben; Mitten und Kanten durch Addieren, ohne Modell

# Schrauben und Stege.
exact_turns = Genau: { $turns } Umdrehungen.
turns_advance = { $turns } Umdrehungen bewegen es um { $advance }.
direction_unknown = Welche Richtung hebt, ist bekannt, sobald dieses Instrument es gezeigt hat.
basis_threads = Gewindesteigungen nach Namen: ISO 261 Regelgewinde, ASME B1.1
head_threads = Gewinde | Umdrehung | Viertel | Achtel
saddle_name = Reiter { $saddle }
saddle_screw = Reiter { $saddle }, Schraube { $screw }
post_treble = Bolzen der Diskantseite
post_bass = Bolzen der Bassseite
bridge_alike = Jeder Reiter steht auf { $count } Schrauben: alle gleich weit drehen.
bridge_unknown = was die Schrauben dieses Stegs bewirken, ist nicht bekannt; --own, --shared oder --posts angeben
thread_unknown = Gewinde nicht bekannt: --thread M3
head_screws = Schraube | gewünschte Anhebung | Drehung
head_bridge = Saite | gewünscht | Drehungen bringen | übrig
basis_bridge = Modell: jede Schraube bewegt jede Saite um einen festen Teil ihres Vorschubs; kleinste Quadrate, kleinste Drehungen
screws_bind = Wenn Schrauben klemmen, zuerst die Saiten entspannen.
floating_anchor = Oder den Steg lassen, wo er ist: die Federkralle um { $by } versetzen (straffer ist über null).
floating_tilt = Der Steg neigt sich um { $angle }° { $way ->
    [nut] zum Sattel
   *[tail] nach hinten
  }.
head_floating = Saite | Mechanik fügt zu | Zugkraft ändert sich | Höhe ändert sich
basis_floating = Modell: Federn und Saiten im Gleichgewicht um einen Drehpunkt, kleine Änderungen, Steifigkeit wie angegeben
floating_hint = Alle Saiten immer wieder stimmen, bis sie stehen; dann messen.
floating_caution = Eine gespannte Feder kann wegspringen: Schutzbrille tragen, und vor Arbeiten an Federn die Saiten entspannen.
blank = An der Unterseite der Stegeinlage: { $first } an der höchsten Saite, { $last } an der tiefsten.
take_off = { $by } abnehmen
leave_on = { $by } mehr
blank_left = Eine gerade Unterseite lässt Saite für Saite übrig: { $left }.
basis_blank = gewünschte Änderungen { $way }; { $ratio } mm am Reiter je Millimeter dort
blank_caution = Was ab ist, bleibt ab: zuerst zwei übereinstimmende Messungen mit verschiedenen Werkzeugen, gestimmt, Halskrümmung und Sattel endgültig. 0,1 mm zu hoch aufhören (übliche Praxis, ohne Quelle). Zuerst die Saiten entspannen; die Unterseite rechtwinklig halten.

# Saiten.
fretted = { $sound }, am { $fret }. Bund gegriffen
pitch = { $what }: { $frequency }, Ton { $note }.
pitch_off = { $what }: { $frequency }, Ton { $note }, { $cents } davon.
basis_pitch = gleichstufige Stimmung, A4 = { $a4 } (ISO 16:1975 nennt 440 Hz)
mass_pack = Masse je Länge von der Packung, ± 2 % (übliche Praxis, ohne Quelle)
mass_wire = Masse je Länge aus den Drahtdurchmessern, Stahl mit 7850 kg/m³ (Draht nach ASTM A228), Windungen dicht an dicht
mass_guessed = Masse je Länge geschätzt aus dem Außendurchmesser einer rund umsponnenen Stahlsaite, ± 6 % (Mittel und Streuung einer veröffentlichten Herstellertabelle): besser von der Packung oder aus Kern und Umspinnungsdrähten
force = { $force } ({ $pounds } lbf) ± { $twice }
tension = { $sound } auf { $scale }: { $force }.
as_printed = Wie ältere Tabellen es drucken, mit 386,4 in/s²: { $pounds } lbf.
mass = Masse je Länge: { $mass } g/m.
basis_tension = Modell: Zugkraft ist Masse je Länge mal dem Quadrat der doppelten Länge mal der Frequenz
too_high = Diese blanke Saite nicht auf { $sound } stimmen: { $stress } GPa liegt über { $limit } GPa, 70 % der Mindestfestigkeit von Federstahldraht ihrer Stärke (ASTM A228).
go_together = { $notes } Töne und { $strings } Saiten passen nicht zusammen
plain_accepted = möglich: Saiten wie 1,2,3 oder 1-3, all oder none
plain_or_wound = { $gauge } gibt es blank und umsponnen: mit --plain sagen, welche es ist (eine Saite: oder --wound; keine des Satzes: --plain none)
assumed_plain = blanker Stahl, nach der Stärke: { $gauges } (übliche Praxis, ohne Quelle); sonst --wound angeben, beim Satz mit --plain die blanken
assumed_wound = rund umsponnen, nach der Stärke: { $gauges } (übliche Praxis, ohne Quelle); sonst --plain angeben
gauge_unknown = die Stärke der Saite { $string } ist nicht bekannt; --gauges angeben oder eintragen: fallaway set gauges ...
head_set = Saite | Ton | Zugkraft | danach | Änderung
then = { $sound }: { $force }
set_total = Zusammen ziehen sie mit { $force }.
set_then = Danach { $force }: { $change } Zug am Hals.
set_rise = Die Summe steigt um mehr als 10 %: der Hals biegt sich weiter, Stab und Steg tragen mehr; die Spannung in Schritten erhöhen und auf Bewegung achten (übliche Praxis, ohne Quelle).
measure_again = Danach neu messen: Halskrümmung, Sattel, Saitenlage, Abstand zum Tonabnehmer, Oktavreinheit und Stimmung.
strings_caution = Saiten abnehmen oder aufziehen: langsam entspannen, Schutzbrille tragen, auf scharfe Enden achten.
retune = Von { $from } nach { $to }: { $change } ({ $percent }), von { $before } auf { $after }.
retune_hint = Eine schlaffere Saite schwingt weiter aus und braucht eine höhere Saitenlage.
basis_retune = Modell: die Zugkraft geht mit dem Quadrat der Frequenz; der Prozentsatz hängt nicht von der Masse ab
stress = Eine blanke Stahlsaite auf { $sound } bei { $scale } steht unter { $stress } GPa, { $verdict ->
    [above] über
   *[within] innerhalb
  } der Grenze von { $limit } GPa.
stress_limit = Die Grenze erlaubt auf dieser Länge bis zu { $frequency }, bei jeder Stärke.
basis_stress = Modell: die Spannung ist das Vierfache von Dichte, Länge zum Quadrat, Frequenz zum Quadrat; Stahl mit 7850 kg/m³
assumed_limit = Grenze 1,8 GPa für jede Stärke: 64 bis 78 % der Mindestfestigkeit von Federstahldraht von 0,18 bis 0,66 mm (ASTM A228)
stress_caution = Nicht so hoch stimmen: die Saite kann reißen und peitschen. Einen tieferen Ton oder eine kürzere Mensur wählen.
stress_near = Beim Stimmen nahe einer Grenze: Gesicht abwenden, Schutzbrille tragen, langsam.

# Steifigkeit, Drift, Oktavreinheit.
basis_partial = Teilton { $partial } um { $cents } Cent über seinem Vielfachen gemessen, am { $fret }. Bund gegriffen
basis_partial_model = Modell: Teilton q liegt beim q-fachen der Wurzel aus (1 + B q²); B wächst am Bund n um 2^(n/6)
basis_core = Kern { $core }, Zugkraft { $tension }, Mensur { $scale }; Stahl mit { $modulus } GPa
basis_core_model = Modell: B = π³ E d⁴ / (64 T L²) des Kerns (Fletcher und Rossing 2.18); Wicklungen tragen wenig bei und bleiben weg
inharmonicity = Inharmonizität B der leeren Saite: { $value }.
head_partials = Teilton | zu hoch um
drift = { $sound }: { $cents } je Millimeter, den der Reiter vom Sattel wegrückt.
drift_kelvin = { $alone } je Kelvin, wenn nur die Saite wärmer wird, { $together }, wenn Holz und Saite gleich wärmer werden.
assumed_anchored = an Sattel und Reiter festgehalten: kein Saitenstück dahinter gibt nach
drift_hint = Darum die Saite entspannen, bevor ein Reiter verstellt wird, und vor der nächsten Messung neu stimmen.
basis_drift = Modell: eine blanke Stahlsaite, die frei über Sattel und Reiter gleitet, Hookesches Gesetz, erste Ordnung
basis_expansion = Ausdehnung: Stahl 12e-6 je Kelvin (ASTM A228 laut Liste), Holz längs der Faser 4e-6 (aus dem Gedächtnis)
wrong_cents = „{ $text }“: { $why }; möglich: Bund=Cent, wie 12=4 oder 12=-1.5
no_equals = „=“ fehlt
not_fret = „{ $text }“ ist kein Bund
cents_bound = ein Wert ist nötig, keine Grenze
travel = { $count } angegeben; möglich: zwei, zum Sattel hin und von ihm weg
move_saddle = Den Reiter { $way ->
    [away] vom Sattel weg
   *[toward] zum Sattel hin
  } rücken, um { $by }.
move_nut = Die Vorderkante des Sattels { $way ->
    [toward] zum Reiter hin
   *[away] vom Reiter weg
  } versetzen, um { $by }.
nut_caution = Arbeit am Sattel lässt sich nicht rückgängig machen: zuerst zwei übereinstimmende Messungen mit verschiedenen Werkzeugen, alles andere endgültig.
travel_ends = Dort endet der Weg des Reiters.
head_intonation = Bund | gemessen | danach
cent_of_saddle = Am 12. Bund ist ein Cent { $length } am Reiter. Entspannen, verstellen, stimmen, neu messen.
basis_intonation = die Messungen wie angegeben; Modell: der gegriffene Teil und die ganze Saite werden gleich länger, erste Ordnung, kleinste Quadrate
basis_steel = Kern { $core } aus Stahl, { $modulus } GPa, bei { $tension }
head_set_back = Enden gehalten | Reiter zurück | Sattel | übrig, rms
set_back_hint = Vom Sattel weg ist für den Reiter über null; ein Sattel unter null rückt zum Reiter hin. Wie die Enden gehalten sind, macht am meisten aus: damit anfangen, dann die Messungen entscheiden lassen.
basis_set_back = Modell: M. B. Anderson und R. G. Beausoleil, Classical guitar intonation and compensation, JASA 156(1):683 (2024), doch folgt die Steifigkeit der Länge und der Spannung; in ihren Tabellen folgt sie nur der Länge, das versetzt die Stegeinlage um bis zu 0,05 mm

# Spielraum.
beside_instrument = geht nicht zusammen mit einem Instrument, dessen Angaben und Messungen gelten; daneben möglich: --relief, --action, --notes, --tensions, --force, --away, --plucked-at
count_of_actions = { $given } angegeben, { $strings } Saiten haben eine Saitenlage
assumed_inharmonicity = Inharmonizität jeder leeren Saite aus ihrem Ton: 2e-5 bei 98 Hz bis 3,1e-4 bei 31 Hz
