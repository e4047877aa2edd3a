# The help of `fallaway calc`.
about_calc = One-off calculations: numbers in, numbers out
examples_calc =
    Examples:
      fallaway calc saddle-move --scale 34 in --frets 24 --now 6/64 --want 5/64 --thread M3
      fallaway calc tension --note E1 --scale 34 in --gauge 0.105 in
      fallaway calc clearance -i "blue five" --force 1.5 N

    Lengths are given as at the bench: 34 in, 5/64, 12 thou, 0.3 mm. What is not given comes from the
    facts and latest readings of the instrument: the one named with -i, else the only one on this
    device; the answer says so. Nothing is stored.

# What several calculations share.
arg_calc_scale = Scale length [default: the instrument's]
arg_calc_frets = Number of frets [default: the instrument's]
arg_calc_strings = Number of strings [default: the instrument's]
arg_calc_string = Which string; 1 is the highest [default: 1]
arg_calc_compensation = How far the saddle stands beyond the scale length [default: 0 mm]
arg_calc_joint = Fret where the neck stops bending [default: the instrument's, else the two before the fourth from the last]
arg_calc_joint_within = By how many frets that may be wrong [default: the instrument's, else 2; 0 with --joint]
arg_calc_stopped = Fret at which the string is held down; 0 is open [default: 1]
arg_calc_over = Fret over which the gap is measured [default: the last; open: 12]
arg_calc_radius = Radius; for a compound board two, at the nut and at the last fret; or flat
arg_calc_radius_at = Frets at which the two radii are given [default: 0, the nut, and the last]
arg_calc_nut_spread = Outer strings at the nut, centre to centre [default: the instrument's]
arg_calc_bridge_spread = Outer strings at the bridge, centre to centre [default: the instrument's]
arg_calc_thread = Thread: M3, #6-32, or its pitch such as 0.5 mm [default: the instrument's]
arg_calc_clockwise = What a clockwise turn does, if this instrument has shown it: raises, lowers
arg_calc_tool = Tool of the reading: rule 1/64
arg_calc_want = Wanted gap
arg_calc_note = Note or frequency
arg_calc_gauge = Diameter over everything
arg_calc_plain = It is a plain steel wire
arg_calc_wound = It is wound
arg_calc_core = Diameter of the core, with --wraps
arg_calc_wraps = Diameters of the winding wires, from the inside out
arg_calc_unit_weight = Mass per length as printed: 2.215e-5 lb/in, 5.47 g/m
arg_calc_pack_tension = Tension as printed: 155 N
arg_calc_pack_note = Note for which that tension is printed
arg_calc_pack_scale = Scale length for which that tension is printed

about_calc_positions = Where frets and saddle lie
arg_calc_positions_scale = Scale length; for fanned frets one for each string, highest first
arg_calc_positions_compensation = How far each saddle stands beyond the scale length: one, or one for each string
examples_calc_positions =
    Examples:
      fallaway calc positions --scale 34 in --frets 24
      fallaway calc positions --scale 33 in 34 in 35 in --frets 24       fanned, highest string first

about_calc_convert = What another way of measuring would show: relief, gaps, nut
arg_calc_convert_relief = Relief measured [default: the instrument's latest]
arg_calc_convert_relief_at = Fret at which the relief was measured [default: where it is largest]
arg_calc_convert_action = Action measured [default: the instrument's latest]
arg_calc_convert_nut = Gap over fret 1, open [default: the instrument's latest]
arg_calc_convert_nut_at_3 = The nut gap was measured fretted at 3
arg_calc_convert_tool = Tool of the action reading, for its uncertainty: rule 1/64
arg_calc_convert_relief_tool = Tool of the relief and nut readings: feeler 1 thou
arg_calc_convert_to = Further ways to show, fretted/over: 0/12, 5/20
examples_calc_convert =
    Examples:
      fallaway calc convert --scale 34 in --frets 24 --joint 20 --relief 0.25 mm --action 2 mm --nut 0.5 mm
      fallaway calc convert -i "blue five" --string 4 --to 5/20

    Action is fretted at 1 over the last fret unless --stopped and --over say otherwise.

about_calc_saddle_move = How far to move a saddle for a wanted action
arg_calc_saddle_move_now = Gap now [default: the instrument's latest action of the string]
examples_calc_saddle_move =
    Example:
      fallaway calc saddle-move --scale 34 in --frets 24 --now 6/64 --want 5/64 --tool rule 1/64 --thread M3

about_calc_relief_change = What a change of relief does to every gap
arg_calc_relief_change_change = Change of relief; more relief is above zero
arg_calc_relief_change_relief_at = Fret at which relief is measured [default: where it is largest]
arg_calc_relief_change_to = Further ways to show, fretted/over: 5/20
examples_calc_relief_change =
    Example:
      fallaway calc relief-change --scale 34 in --frets 24 --joint 24 --change 0.10 mm

about_calc_rocking = Does a fret rocker rock, and on which fret
arg_calc_rocking_heights = Heights of the frets, fret 1 first
arg_calc_rocking_tolerance = What counts as rocking [default: 0.03 mm]
examples_calc_rocking =
    Example:
      fallaway calc rocking --scale 650 mm --heights 0 0 0 0.1 0 0 0 mm

    Heights of the fret tops over any straight line along the board, from fret 1 on.

about_calc_crown_drop = How far the board falls away from its middle
arg_calc_crown_drop_radius = Radius there [default: the instrument's]
arg_calc_crown_drop_offset = Distances from the middle
examples_calc_crown_drop =
    Example:
      fallaway calc crown-drop --radius 9.5 in --offset 17.5 mm 21 mm

about_calc_hump = The hump that a radiused board makes under each string
examples_calc_hump =
    Example:
      fallaway calc hump --scale 25.5 in --frets 22 --radius 9.5 in --nut-spread 35 mm \
          --bridge-spread 52.5 mm --strings 6

about_calc_saddle_heights = Saddle heights for equal or wanted gaps over a radiused board
arg_calc_saddle_heights_gap = Wanted gap: one for all, or one for each string, highest first
examples_calc_saddle_heights =
    Example:
      fallaway calc saddle-heights --scale 34 in --frets 20 --radius 9.5 in --nut-spread 28.5 mm \
          --bridge-spread 57 mm --strings 4 --gap 2 mm

about_calc_underside_radius = The radius through the undersides of the strings
arg_calc_underside_radius_gaps = Gaps measured, highest string first
arg_calc_underside_radius_over = Fret over which they were measured [default: the last]
examples_calc_underside_radius =
    Example:
      fallaway calc underside-radius --scale 25.5 in --frets 22 --radius 9.5 in --nut-spread 35 mm \
          --bridge-spread 52.5 mm --gaps 4/64 4/64 5/64 5/64 6/64 6/64 --over 12 --tool rule 1/64

about_calc_sideways = What moving a saddle sideways does to the action
arg_calc_sideways_shift = How far; away from the middle is above zero
examples_calc_sideways =
    Example:
      fallaway calc sideways --scale 25.5 in --frets 22 --radius 9.5 in --nut-spread 35 mm \
          --bridge-spread 52.5 mm --strings 6 --string 6 --shift -1 mm

about_calc_bend = How near the frets a string comes in a bend
arg_calc_bend_bent_at = Fret at which the bend is played
arg_calc_bend_push = How far it is pushed there, toward the middle
arg_calc_bend_gap = Action of the string, not bent
examples_calc_bend =
    Example:
      fallaway calc bend --scale 25.5 in --frets 22 --radius 254 mm --nut-spread 35 mm \
          --bridge-spread 52.5 mm --strings 6 --string 1 --bent-at 15 --push 20 mm --gap 1.6 mm

about_calc_saddle_radius = The board's radius carried on to the saddle
examples_calc_saddle_radius =
    Example:
      fallaway calc saddle-radius --scale 34 in --frets 24 --radius 9 in 20 in --radius-at 1 24

about_calc_spacing = Where strings lie across nut or bridge
arg_calc_spacing_width = Width of the nut or board there
arg_calc_spacing_margins = From the edge of the board to the edge of the outer string: one, or highest and lowest string
arg_calc_spacing_gauges = Gauges, highest string first [default: the instrument's]
arg_calc_spacing_equal = What is equal: gaps (between edges) or centres [default: gaps]
arg_calc_spacing_between = Distance between centres, laid around the middle
arg_calc_spacing_found = Centres as they are now, from the edge
examples_calc_spacing =
    Examples:
      fallaway calc spacing --width 42 mm --margins 3 mm --gauges 0.010 0.013 0.017 0.026 0.036 0.046 in
      fallaway calc spacing --width 70 mm --between 19 mm --gauges 0.045 0.065 0.085 0.105 in
      fallaway calc spacing --width 42 mm --margins 3 mm --gauges 1 1 1 mm --equal centres --found 4 20 38 mm

    Measured from the edge of the board next to the highest string.

about_calc_screw = Turns for a height, height for turns, threads
arg_calc_screw_rise = Wanted rise; below zero lowers
arg_calc_screw_turns = Turns made, to ask for the height: 3/8, 0.5, 1 1/4
arg_calc_screw_list = List the threads by name
examples_calc_screw =
    Examples:
      fallaway calc screw --rise -0.25 mm --thread M3 --clockwise raises
      fallaway calc screw --turns 3/8 --thread #6-32
      fallaway calc screw --list

about_calc_bridge = Which screws of a bridge to turn for wanted heights
arg_calc_bridge_own = A saddle for each string, on so many screws [default: the instrument's bridge]
arg_calc_bridge_shared = Shared saddles with one screw each: how many strings each carries, such as 2 2
arg_calc_bridge_posts = Two posts, by their places across the bridge
arg_calc_bridge_places = Places of the strings across the bridge, for --posts
arg_calc_bridge_wanted = Wanted rise of each string at its saddle, highest first
examples_calc_bridge =
    Examples:
      fallaway calc bridge --own 2 --wanted -0.2 -0.2 -0.1 0.1 mm --thread M3
      fallaway calc bridge --posts -37 37 mm --places -26 -15.6 -5.2 5.2 15.6 26 mm \
          --wanted 0.2 0.2 0.3 0.3 0.4 0.4 mm --thread M8

    Heights at the saddle, highest string first; saddle-move works them out from gaps.

about_calc_floating = What one string does to a floating bridge
arg_calc_floating_springs = Number of springs
arg_calc_floating_spring_rate = Stiffness of one spring, in N/mm
arg_calc_floating_spring_arm = Springs from the pivot
arg_calc_floating_string_rates = Stiffness of each string, in N/mm
arg_calc_floating_string_arm = Strings over the pivot
arg_calc_floating_reach = Witness points behind the pivot
arg_calc_floating_add = Tension that the tuners add to each string
arg_calc_floating_want = Wanted change of each string's tension: what must the tuners, or the springs, do?
examples_calc_floating =
    Example:
      fallaway calc floating --springs 3 --spring-rate 1.0 --spring-arm 25 mm --string-rates 12 12 12 12 12 12 \
          --string-arm 12 mm --reach 12 mm --add 5 0 0 0 0 0 N

    Stiffness in N/mm (for a string: modulus times area of the core, divided by its length). Forces on
    each string, highest first. Everything else is taken as proportional (small changes).

about_calc_blank = What to take off a fixed saddle
arg_calc_blank_change = Wanted change of the gap, highest string first; strings evenly spread
arg_calc_blank_spread = Outer strings at the bridge, centre to centre [default: the instrument's]
examples_calc_blank =
    Example:
      fallaway calc blank --scale 25.5 in --frets 20 --stopped 0 --over 12 --change -0.25 -0.25 mm --spread 55 mm

    Never take material off on a predicted number: first have two readings that agree, by different tools.

about_calc_shim = A wedge in the neck pocket
arg_calc_shim_saddle_move = The saddle move that the wedge replaces; below zero lowers the action
arg_calc_shim_thickness = Thickness of a wedge, to ask what it does
arg_calc_shim_toward_nut = The thick end of that wedge points to the nut
arg_calc_shim_pocket_edge = From the nut to the edge of the pocket nearest the nut
arg_calc_shim_pocket_length = Length of the pocket
examples_calc_shim =
    Examples:
      fallaway calc shim --scale 25.5 in --saddle-move -2.4 mm --pocket-edge 405 mm --pocket-length 76 mm
      fallaway calc shim --scale 25.5 in --thickness 0.5 mm --pocket-edge 405 mm --pocket-length 76 mm

    Only for a bolt-on neck, and only with slack strings.

about_calc_pitch = Note, frequency, cents
arg_calc_pitch_pitch = Note or frequency
arg_calc_pitch_a4 = Reference pitch [default: the instrument's, else 440 Hz]
arg_calc_pitch_fret = Fretted here [default: 0]
examples_calc_pitch =
    Examples:
      fallaway calc pitch E1
      fallaway calc pitch Bb0 --a4 442 Hz --fret 5
      fallaway calc pitch 41.5 Hz                        the nearest note, and cents from it

about_calc_tension = Tension of a string
arg_calc_tension_as_printed = Also in pounds-force as older string charts print them (with 386.4 in/s2)
examples_calc_tension =
    Examples:
      fallaway calc tension --note E4 --scale 25.5 in --unit-weight 2.215e-5 lb/in
      fallaway calc tension --note E1 --scale 34 in --core 0.024 in --wraps 0.0125 0.028 in
      fallaway calc tension --note E1 --scale 34 in --gauge 0.105 in

about_calc_set = Tension of a set, and of another beside it
arg_calc_set_scale = Scale length: one, or one for each string [default: the instrument's]
arg_calc_set_notes = Notes [default: the instrument's]
arg_calc_set_gauges = Gauges [default: the instrument's]
arg_calc_set_plain = Which strings are plain: 1,2,3 or 1-3, all or none
arg_calc_set_to_notes = Other notes, to compare with
arg_calc_set_to_gauges = Other gauges, to compare with
examples_calc_set =
    Examples:
      fallaway calc set --scale 34 in --notes G2 D2 A1 E1 --gauges 0.045 0.065 0.085 0.105 in
      fallaway calc set -i "blue five" --to-gauges 0.040 0.060 0.080 0.100 0.125 in
      fallaway calc set -i "blue five" --to-notes F2 C2 G1 D1 A0

    Strings are given highest first. Gauges alone are steel, plain or round-wound as usual for the gauge, and the
    answer says which; --plain names those that are plain, or none.

about_calc_retune = What another tuning does to a string's tension
arg_calc_retune_from = Note or frequency now
arg_calc_retune_to = Note or frequency then
examples_calc_retune =
    Example:
      fallaway calc retune --from E1 --to D1 --scale 34 in --gauge 0.105 in

about_calc_stress = Can a plain string take the pitch
arg_calc_stress_limit = Largest stress that is accepted, in GPa [default: 1.8]
examples_calc_stress =
    Example:
      fallaway calc stress --note E4 --scale 648 mm

about_calc_stiffness = How stiff a string is: inharmonicity
arg_calc_stiffness_core = Diameter of the core, or of a plain string
arg_calc_stiffness_tension = Tension
arg_calc_stiffness_partial = A partial that was measured
arg_calc_stiffness_cents = How many cents it is sharp of its multiple of the fundamental
arg_calc_stiffness_fret = Fret at which the string was held down [default: 0]
examples_calc_stiffness =
    Examples:
      fallaway calc stiffness --core 0.017 in --tension 189.9 N --scale 34 in
      fallaway calc stiffness --partial 10 --cents 100 --fret 12        from what a tuner shows

about_calc_drift = How pitch follows the saddle and the temperature
arg_calc_drift_anchored = From tuner post to tailpiece [default: the scale length]
examples_calc_drift =
    Example:
      fallaway calc drift --note E4 --scale 648 mm --anchored 760 mm

    For a plain steel string that slides over nut and saddle without friction, tuner untouched.

about_calc_clearance = Will it buzz: margins, lowest clean action, best relief, touch
arg_calc_clearance_relief = Relief, where it is largest [default: the instrument's latest]
arg_calc_clearance_action = Action of each string, highest first [default: the instrument's latest]
arg_calc_clearance_notes = Notes, highest string first [default: the instrument's]
arg_calc_clearance_tensions = Tension of each string, highest first [default: from the instrument's gauges]
arg_calc_clearance_inharmonicity = Inharmonicity of each open string, highest first [default: assumed from the note]
arg_calc_clearance_force = Force of the finger or pick toward the board [default: 1.5 N]
arg_calc_clearance_away = The string is pulled away from the board, not pushed toward it
arg_calc_clearance_plucked_at = Where it is plucked, from the saddle [default: 100 mm]
examples_calc_clearance =
    Examples:
      fallaway calc clearance --scale 34 in --frets 24 --relief 0.1 mm --action 1/16 5/64 \
          --notes A1 E1 --tensions 170 155 N --force 1.5 N
      fallaway calc clearance -i "blue five" --force 1.5 N
      fallaway calc clearance -i "blue five" --force 2 N --relief 0.2 mm        what if

    Strings are given highest first. The answer comes from a model with assumed tension, stiffness and
    touch, not from a measurement: use it to compare, not to decide.

about_calc_intonation = Cents into saddle moves
arg_calc_intonation_cents = Readings: fret=cents, sharp above zero
arg_calc_intonation_nut_too = Move the nut too
arg_calc_intonation_travel = How far the saddle can still go toward the nut, and away from it
arg_calc_intonation_thread = Thread of the screw that moves the saddle
examples_calc_intonation =
    Examples:
      fallaway calc intonation --scale 34 in --cents 12=4 --thread M3
      fallaway calc intonation --scale 648 mm --cents 3=2 5=2 7=3 12=4 --nut-too

    Fretted note against the open string, measured within the same minute.

about_calc_set_back = Set-back of saddle and nut before a string is on
arg_calc_set_back_nut_height = Height of the string over the fret tops at the nut
arg_calc_set_back_saddle_rise = How much higher the saddle stands than the nut
arg_calc_set_back_stretch_ratio = Relative rise of tension for a relative stretch, EA/T
arg_calc_set_back_stiffness = Stiffness ratio of the open string, sqrt(EI/T)/L
arg_calc_set_back_core = Diameter of a steel core, to work both out
arg_calc_set_back_tension = Tension, with --core
arg_calc_set_back_ends = How the ends are held: pinned, clamped-pinned, clamped
arg_calc_set_back_for_fret = The saddle alone brings this fret to zero [default: 12]
arg_calc_set_back_up_to = Saddle and nut, nearest to zero for frets 1 to this one
examples_calc_set_back =
    Examples:
      fallaway calc set-back --scale 650 mm --nut-height 1 mm --saddle-rise 4 mm --stretch-ratio 48.2 \
          --stiffness 0.0019 --up-to 12
      fallaway calc set-back --scale 34 in --nut-height 0.5 mm --saddle-rise 3 mm --core 0.017 in \
          --tension 189.9 N

    Without --ends the answer is given for all three: which one a string follows matters most.

about_calc_pickup = Gap between string and pickup
arg_calc_pickup_on = bass or guitar [default: the instrument's]
arg_calc_pickup_side = Side of the pickup: bass or treble
arg_calc_pickup_gap = Gap measured
arg_calc_pickup_weak = The magnets are known to be weak or covered
arg_calc_pickup_thread = Thread of the height screw
examples_calc_pickup =
    Example:
      fallaway calc pickup --on bass --side bass --gap 1.4 mm --want 2.5 mm --thread 0.5 mm

    Measured with the string fretted at the last fret.

about_calc_moisture = How moist wood becomes in a given climate
arg_calc_moisture_air = Temperature and relative humidity
examples_calc_moisture =
    Example:
      fallaway calc moisture 21C 50%

# What stands for a value in a usage line.
name_cents = CENTS
name_ends = ENDS
name_fret_cents = FRET=CENTS
name_gpa = GPA
name_mass = MASS
name_n_mm = N/MM
name_screws = SCREWS
name_thread = THREAD
name_turns = TURNS
name_way = WAY
