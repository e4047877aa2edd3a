### Was die Berechnungen ablehnen.

word = { $key ->
    [action] Saitenlage
    [action_of_a_string] Saitenlage einer Saite
    [all_readings_are_at_one_fret_read_at_a_low_fret_and_at_the_twelfth] alle Messwerte liegen an einem Bund; an einem tiefen Bund und am zwölften messen
    [anchored_length] verankerte Länge
    [are_zero_a_pair_without_a_turn_shows_nothing] sind null; ein Paar ohne Drehung zeigt nichts
    [both_readings_are_of_the_nut_read_the_action_over_a_higher_fret] beide Messwerte gelten dem Sattel; die Saitenlage über einem höheren Bund messen
    [change_of_strings] Wechsel der Saiten
    [clearance] Abstand der schwingenden Saite
    [coefficients] Koeffizienten
    [compensation] Kompensation
    [compound_board] Compound-Griffbrett
    [crown_heights] Höhen der Bundkronen
    [fret] Bund
    [fret_beyond_the_stopped_one_fret] Bund über dem gegriffenen, Bund
    [fret_positions] Lagen der Bünde
    [fret_to_bend_at] Bund, bis zu dem sich der Hals biegt
    [frets] Bünde
    [frets_of_the_envelope] Bünde der Hüllkurve
    [gauge_or_unit_weight_of_the_string] Stärke oder Masse je Länge der Saite
    [interval] Intervall
    [interval_end] Ende des Intervalls
    [intonation_readings] Messwerte der Oktavreinheit
    [is_below_the_speaking_length_give_the_length_between_tuner_and_tailpiece] ist kürzer als die schwingende Länge; die Länge zwischen Mechanik und Saitenhalter angeben
    [is_negative_give_zero_or_more] ist negativ; null oder mehr angeben
    [it_lies_on_a_fret_without_being_played_check_relief_crowns_and_saddle] sie liegt ungespielt auf einem Bund; Halskrümmung, Bundkronen und Reiter prüfen
    [it_lies_on_two_frets_and_is_read_at_a_third_beyond_them] es liegt auf zwei Bünden und wird an einem dritten dahinter gemessen
    [its_lower_end_lies_above_its_upper_end] das untere Ende liegt über dem oberen
    [layers_of_winding] Lagen der Umspinnung
    [lies_beyond_the_radius_of_the_board] liegt jenseits des Griffbrettradius
    [lies_beyond_the_stopped_length] liegt jenseits der gegriffenen Länge
    [limits_of_the_relief] Grenzen der Halskrümmung
    [must_end_at_least_10_mm_before_the_saddle] müssen mindestens 10 mm vor dem Reiter enden
    [must_rise_from_fret_to_fret] müssen von Bund zu Bund steigen
    [neck_curvature] Krümmung des Halses
    [neck_pocket] Halstasche
    [neighbouring_strings_would_touch_or_cross_give_them_more_width_or_smaller_margins] Nachbarsaiten würden sich berühren oder kreuzen; mehr Breite oder kleinere Ränder angeben
    [no_move_within_50_mm_reaches_the_aim_check_heights_and_stiffness] keine Verschiebung bis 50 mm erreicht das Ziel; Höhen und Steifigkeit prüfen
    [not_settled_after_100_rounds_block_the_bridge_while_tuning_or_use_stiffer_springs] nach 100 Runden nicht zur Ruhe gekommen; den Steg beim Stimmen festsetzen oder stärkere Federn nehmen
    [note_number] Nummer des Tons
    [note_of_the_string] Ton der Saite
    [note_with_a_fret_beyond_it_fret] Ton mit einem Bund darüber, Bund
    [notes] Töne
    [nothing_would_change_name_gauges_or_notes] es würde sich nichts ändern; Stärken oder Töne angeben
    [number_of_frets] Zahl der Bünde
    [number_of_shared_offsets] Zahl der gemeinsamen Abweichungen
    [nut_offset] Versatz am Sattel
    [offset_from_the_middle] Abstand von der Mitte
    [over_the_board_stop_the_string_at_a_fret_and_read_over_a_later_one] über dem Griffbrett die Saite an einem Bund greifen und über einem höheren messen
    [parts] Teile
    [saddles] Reiter
    [place_of_a_gap] Stelle der Messung
    [place_of_the_pluck] Stelle des Anschlags
    [played_fret_with_a_fret_beyond_it_fret] gespielter Bund mit einem Bund darüber, Bund
    [posts] Bolzen
    [radius_through_the_undersides] Radius durch die Unterseiten
    [regression] Ausgleichsrechnung
    [relief] Halskrümmung
    [rod_turns_of_a_pair] Drehungen des Halsspannstabs in einem Paar
    [rounds_of_tuning] Runden des Stimmens
    [saddle_and_nut_height] Höhe von Reiter und Sattel
    [scale_length] Mensur
    [screw] Schraube
    [screw_turns] Drehungen der Schraube
    [set-back] Versatz des Reiters
    [some_are_given_and_some_are_zero_give_all_or_none] einige sind angegeben und einige null; alle oder keine angeben
    [stand_less_than_5_mm_apart_give_their_places_across_the_bridge] stehen weniger als 5 mm auseinander; ihre Stellen quer zum Steg angeben
    [standard_uncertainty] Standardunsicherheit
    [state_of_the_instrument] Zustand des Instruments
    [straight_edge] Lineal
    [string] Saite
    [string_at_rest] Saite in Ruhe
    [string_centres] Mitten der Saiten
    [string_spacing] Saitenabstand
    [string_with_an_action] Saite mit Saitenlage
    [strings] Saiten
    [strings_of_the_new_set] Saiten des neuen Satzes
    [strings_with_an_action] Saiten mit Saitenlage
    [the_board_has_no_frets_the_string_is_meant_to_lie_on_it] das Griffbrett hat keine Bünde; die Saite soll darauf liegen
    [the_bridge_s_levers_have_no_solution] die Hebel des Stegs ergeben keine Lösung
    [the_fret_it_is_read_at_must_lie_between_the_two_on_which_the_line_rests] der Bund, an dem gemessen wird, muss zwischen den beiden liegen, auf denen die Linie ruht
    [the_gap_must_lie_over_a_fret_beyond_the_one_at_which_the_string_is_stopped] gemessen wird über einem Bund hinter dem, an dem gegriffen wird
    [the_line_lies_on_the_straight_part_of_the_neck_read_relief_over_the_part_that_bends] die Linie liegt auf dem geraden Teil des Halses; die Halskrümmung über dem Teil messen, der sich biegt
    [the_line_must_rest_on_two_frets_with_at_least_one_between_them] die Linie muss auf zwei Bünden ruhen, mit mindestens einem dazwischen
    [the_lower_one_lies_above_the_upper_one] die untere liegt über der oberen
    [the_new_neck_must_have_the_scale_length_of_the_old_one] der neue Hals muss die Mensur des alten haben
    [the_points_do_not_spread_enough_or_lie_on_no_arc_read_more_strings] die Punkte liegen zu eng oder auf keinem Bogen; mehr Saiten messen
    [the_readings_weights_differ_too_much_check_their_uncertainties] die Gewichte der Messwerte unterscheiden sich zu sehr; ihre Unsicherheiten prüfen
    [the_saddle_would_stand_over_the_last_fret] der Reiter stünde über dem letzten Bund
    [the_string_does_not_come_down_anywhere] die Saite kommt nirgends herunter
    [the_string_does_not_come_down_at_that_place] die Saite kommt an dieser Stelle nicht herunter
    [the_two_radii_must_be_given_at_places_at_least_10_mm_apart] die beiden Radien müssen an Stellen angegeben sein, die mindestens 10 mm auseinander liegen
    [the_values_are_too_unlike_in_size_give_them_in_units_that_make_them_comparable] die Werte sind zu verschieden groß; in vergleichbaren Einheiten angeben
    [thread] Gewinde
    [thread_pitch] Gewindesteigung
    [to_forecast_its_tension] um ihren Zug vorherzusagen
    [to_tell_clearance] um zu sagen, ob es schnarrt
    [to_turn_a_height_into_turns] um eine Höhe in Drehungen umzurechnen
    [to_work_out_a_string_s_tension] um den Zug einer Saite zu berechnen
    [touch] Anschlag
    [uncertainties_of_the_readings] Unsicherheiten der Messwerte
    [undersides] Unterseiten
    [value] Wert
    [values_of_a_prediction] Werte einer Vorhersage
    [values_of_an_observation] Werte einer Beobachtung
    [visits] Termine
    [wanted_heights] gewünschte Höhen
    [with_the_string_held_down_the_gap_must_lie_over_a_fret_between_nut_and_held_fret] bei niedergedrückter Saite wird über einem Bund zwischen Sattel und gegriffenem Bund gemessen
   *[other] { $name }
}
missing = noch nicht bekannt, aber nötig, { $needed_for }
not_known_yet = { $quantity } ist noch nicht bekannt
count_needed = { $given } angegeben, mindestens { $needed } nötig
count_expected = { $given } angegeben, { $expected } erwartet
no_such_place = { $number } gibt es hier nicht
not_known = ist nicht bekannt
undetermined = lässt sich aus den Angaben nicht sagen: { $reason }
not_finite = keine endliche Zahl
finite = eine endliche Zahl
outside = { $value } liegt außerhalb der Grenzen
at_least = mindestens { $least }
exactly = { $count }
measured = { $unit ->
    [cents] { $number } Cent
    [turns] { $number } Umdrehungen
    [frets] { $number } Bünde
   *[other] { $number } { $symbol }
}
range = { $least } bis { $most }
