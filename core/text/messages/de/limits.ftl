# Names of the quantities in the table of limits, by the name in the table.
limit = { $limit ->
    [scale_length] Mensur
    [speaking_length] schwingende Länge
    [anchored_length] Länge zwischen den Befestigungen
    [distance_from_the_nut] Abstand vom Sattel
    [compensation] Kompensation
    [move_along_the_string] Verschiebung in Saitenrichtung
    [travel_of_the_saddle] Verstellweg des Reiters
    [place_of_the_pluck] Anschlagstelle
    [share_of_the_string_s_length] Anteil der Saitenlänge
    [saddle_height] Höhe des Reiters
    [nut_slot_height] Höhe der Sattelkerbe
    [rise_of_the_saddle_over_the_nut] Höhe des Reiters über dem Sattel
    [gap] Abstand
    [gap_that_was_read] gemessener Abstand
    [relief] Halskrümmung
    [fall_of_the_board] Griffbrettabfall
    [change_of_relief] Änderung der Halskrümmung
    [change_of_height] Höhenänderung
    [crown_off_the_smooth_line] Abweichung der Bundkrone
    [height_over_the_reference_line] Höhe über der Bezugslinie
    [fret_height] Bundhöhe
    [pickup_gap] Tonabnehmerabstand
    [height_of_the_bridge_plate_over_the_body] Höhe des Stegs über der Decke
    [standard_uncertainty_of_a_length] Standardunsicherheit einer Länge
    [offset_between_readers] Unterschied zwischen Ablesenden
    [tolerance_of_the_straight_edge] Toleranz am Lineal
    [spare_gap] Reserve im Abstand
    [shim_thickness] Dicke der Unterlage
    [pocket_length] Länge der Halstasche
    [board_radius] Griffbrettradius
    [offset_from_the_middle] Abstand von der Mitte
    [place_across_the_bridge] Stelle quer zum Steg
    [spread_of_the_outer_strings] Abstand der äußeren Saiten
    [width] Breite
    [margin_to_the_edge] Abstand zur Kante
    [string_centre] Saitenmitte
    [distance_between_string_centres] Abstand der Saitenmitten
    [sideways_move] seitliche Verschiebung
    [bend] Ziehen der Saite
    [place_across_the_strings_as_a_share] Stelle quer zu den Saiten, als Anteil
    [neck_curvature] Krümmung des Halses
    [tilt_of_the_neck] Neigung des Halses
    [usual_change_of_tilt] übliche Änderung der Neigung
    [joint_fret] Bund am Halsansatz
    [uncertainty_of_the_joint] Unsicherheit des Halsansatzes
    [number_of_frets] Anzahl der Bünde
    [fret] Bund
    [number_of_strings] Anzahl der Saiten
    [number_of_springs] Anzahl der Federn
    [number_of_saddles] Anzahl der Reiter
    [screws_of_a_saddle] Schrauben eines Reiters
    [number_of_pickups] Anzahl der Tonabnehmer
    [thread_pitch] Gewindesteigung
    [turn_of_a_screw] Drehung einer Schraube
    [turn_of_the_rod] Drehung des Halsspannstabs
    [string_gauge] Saitenstärke
    [core_diameter] Kerndurchmesser
    [winding_wire_diameter] Durchmesser des Umspinnungsdrahts
    [mass_per_length] Masse je Länge
    [density] Dichte
    [modulus] Elastizitätsmodul
    [stress_limit] Spannungsgrenze
    [thermal_expansion] Wärmeausdehnung
    [gravity] Erdbeschleunigung
    [tension] Saitenzug
    [sum_of_string_tensions] Summe der Saitenzüge
    [change_of_tension] Änderung des Saitenzugs
    [tuning_accuracy] Stimmgenauigkeit
    [inharmonicity] Inharmonizität
    [stiffness_ratio] Steifigkeitsverhältnis
    [tension_per_stretch] Zugzunahme je Dehnung
    [spring_stiffness] Federsteifigkeit
    [string_stiffness] Steifigkeit der Saite
    [arm_to_the_pivot] Hebelarm zum Drehpunkt
    [distance_of_saddle_and_pivot] Abstand von Reiter und Drehpunkt
    [saddle_factor] Reiterfaktor
    [A4] A4
    [frequency] Frequenz
    [shift_of_pitch] Verschiebung der Tonhöhe
    [pitch_reading] Ablesung der Tonhöhe
    [intonation_reading] Ablesung der Oktavreinheit
    [uncertainty_of_an_intonation_reading] Unsicherheit einer Ablesung der Oktavreinheit
    [partial] Teilton
    [partial_above_the_first] Teilton über dem ersten
    [height_of_the_partial] Erhöhung des Teiltons
    [vertical_force] senkrechte Kraft
    [factor_k] Faktor k
    [width_of_the_finger] Breite des Fingers
    [decay_time] Abklingzeit
    [periods] Perioden
    [modes] Eigenformen
    [instants_per_period] Zeitpunkte je Periode
    [grid_cells] Gitterzellen
    [temperature] Temperatur
    [relative_humidity] relative Luftfeuchte
    [moisture_content] Holzfeuchte
    [number_of_shared_offsets] Anzahl gemeinsamer Abweichungen
    [coefficients] Koeffizienten
    [data_points] Datenpunkte
    [value_of_a_data_point] Wert eines Datenpunkts
    [uncertainty_of_a_data_point] Unsicherheit eines Datenpunkts
    [uncertainty_of_a_prediction] Unsicherheit einer Vorhersage
    [coverage] Überdeckung
    [degrees_of_freedom] Freiheitsgrade
   *[other] { $name }
}
