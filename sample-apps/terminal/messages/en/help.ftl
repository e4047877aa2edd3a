# The help of every command and argument, by its path.

about =
    The numbers of a fretted instrument, and what to turn next.

    One history for everybody around an instrument: readings as they came off the
    tool, what was turned, and the numbers that were right. It works without any
    network; devices exchange bundle files and end up with the same record.
# The eight of every day; the others stand a level below.
day =
    Every day
      visit        begin a visit, or end it
      tool         name the tool in your hand, so that "5 5 5 6" is a reading
      tuned        enter that the strings were tuned
      read         enter readings: relief, action, nut, intonation, ...
      plan         what to turn, how much, in which order, and why
      done         enter that the plan's next step is done; did: what else was done
      as-left      mark what still holds as left
      card         the numbers

    All of it in short words: fallaway bench
    What each takes, with examples: fallaway read --help
    Every command, what all of them take, and the first steps: fallaway commands
# The commands in the order of the work.
commands =
    Begin
      templates    kinds of instrument to start from
      add          add an instrument
      copy         add an instrument like another
      list         the instruments on this device
      search       look for a word in everything on this device
      show         the facts about an instrument
      set          set or correct a fact: scale, gauges, radius, screw threads

    At the bench
      visit        begin a visit, or end it
      tool         name the tool in your hand, so that "5 5 5 6" is a reading
      read         enter readings: relief, action, nut, intonation, ...
      did          enter what was adjusted
      done         enter that the plan's next step is done
      cannot       enter that it could not be done, and why
      bench        a prompt: short words, the next step after each line
      as-left      mark what still holds as left
      tuned        enter that the strings were tuned
      strings      enter a change of strings
      climate      enter temperature and humidity
      buzz         note where it buzzes
      fret         note a high crown, wear, a loose fret
      remark       note anything else
      photo        add a photo, list photos, write one to a file
      import       import a notebook, as a table
      undo         take back what was written last
      redo         redo what was taken back
      cross-out    cross out an older entry, with a reason

    Ask
      plan         what to turn, how much, in which order, and why
      next         the next step, in one line
      card         the numbers
      changed      what moved: neck, joint, saddles, nut
      draw         pictures: a turn, the neck, what changed, a history
      sheet        a page to hand over: as found, wanted, as left
      learned      what the instrument has taught: rod, seasons, readers, touch
      forecast     what to expect in another climate
      history      what was measured and done
      setup        your targets: take, change, rename, delete, show
      targets      targets from another instrument, from the shop, or usual ones
      clearance    will it buzz with these numbers, and what if
      why-buzz     why a note buzzes, and which reading decides
      before-strings  what other strings or another tuning will do
      calc         one-off calculations: gaps, turns, tension, spacing, ...

    The shop (all of it on this device only)
      desk         what is in the shop, open work, what is due for a check
      owner        whose an instrument is, and how to reach them
      job          work on an instrument: parts it waits for, time, price
      care         when an instrument is due for a check
      spec         the shop's own targets, for instruments of a kind
      pack         the shop's string sets, with unit weights

    Together
      people       who shares the instrument, on which device
      role         give a member another role
      remove       remove a member: a device, or all of a person's
      leave        leave the record
      held         what is held back, and whose it is
      accept-held  accept what is held back of a device
      write-anyway  write although somebody's device asks for a newer version
      compared     say that a fingerprint was compared by voice
      invite       invite a device: twelve words, or a code
      withdraw     withdraw an invitation, or show those that are open
      accept       accept an invitation: its words, and the file beside them
      recovery-words  what brings the instrument back when all devices are lost
      recover      become an owner by the recovery words
      bundle       export what is new to a file, or import such a file
      relay        the relay that carries the record when devices never meet
      sync         exchange with the relay
      meet         exchange with a device in the same network
      two-values   facts and targets with two conflicting values
      settle       choose between them

    This device
      me           the name under which others see this device
      order        which string you read first
      usual        how you usually read: posture, capo or finger, A4
      language     the language of this app
      units        the units in which computed lengths are shown
      archive      put an instrument away, or bring it back
      rename       call an instrument something else
      forget       delete an instrument from this device
      export       a record as JSON, or its readings as a table
      backup       everything on this device, in one file
      restore      an exported record, or a backup
      commands     every command, what all of them take, the first steps
      completions  shell completions
      demo         two devices, one instrument, a winter: watch it work
first_steps =
    From nothing to a plan:
      fallaway add bass-5 "blue five"
      fallaway tool rule 1/64                     then 5 means 5/64 in
      fallaway tuned                              in tune before every reading
      fallaway read relief 0.35 mm
      fallaway read action 5 5 5 6 6              highest string first
      fallaway setup target mine relief 0.25 mm   what you want
      fallaway setup target mine action all 5/64
      fallaway plan

    Each command explains itself: fallaway read --help
    Exit codes: 0 done, 1 refused or failed, 2 not understood, 3 not answered.
heading_usage = Usage:
heading_arguments = Arguments
heading_options = Options
heading_commands = Commands
heading_everywhere = Options of every command
arg_help = Show this help
arg_version = Show the version

arg_data = Folder that holds the data [default: the platform's, or $FALLAWAY_DATA]
arg_instrument = Which instrument: its name, or how the name begins; needed when there are several [or $FALLAWAY_INSTRUMENT]
arg_json = Print data as JSON, for programs
arg_by = Who measured or adjusted, if not the owner of this device: "tech", "player"
arg_at = When it was, or as of when to answer, if not now: "2026-01-15 18:30", "18:30"
arg_sure = Answer "sure?" with yes
arg_speak = Language of this run: en, de [default: as set, else the system's, or $FALLAWAY_LANGUAGE]

about_templates = List the kinds of instrument to start from
about_add = Add an instrument
arg_add_template = Kind of instrument, from `fallaway templates`
arg_add_name = What you call it
arg_add_courses = Number of courses, if not that of the template: a string or a pair each
arg_add_frets = Number of frets, if not that of the template
examples_add =
    Examples:
      fallaway add bass-5 "blue five"
      fallaway add guitar-6 "the black one"
      fallaway add guitar-8 "nine strings" --courses 9 --frets 27

    The template brings the usual scale, strings and frets; correct what differs with `set`.
about_list = List the instruments on this device
about_show = Show the facts about an instrument
about_set = Set or correct a fact about the instrument
arg_set_field = Which fact; `--list` shows all
arg_set_value = The value, with its unit
arg_set_list = List every fact that can be set
arg_set_unset = Take the fact back: it is not known any more
examples_set =
    Examples:
      fallaway set scale 34 in
      fallaway set radius 12 in
      fallaway set gauges 0.045 0.065 0.085 0.105 0.130 in
      fallaway set radius --unset         not known any more
      fallaway set --list                 every fact that can be set, with an example

about_visit = Begin a visit or end it; alone, show the open one
about_visit_begin = Begin a visit
arg_visit_begin_purpose = What it is for: the complaint, the playing style
about_visit_end = End the visit
examples_visit =
    Examples:
      fallaway visit begin "buzzes on the low string since the tour"
      fallaway visit end

    A visit keeps together what was found, done and left. The first entry begins one by itself.
about_tool = Name the tool in your hand; alone, show the tools
arg_tool_tool = The tool: kind and step
arg_tool_readings = For which readings
arg_tool_none = Put the tool down
arg_tool_only = For this instrument only; it comes before the usual tools
examples_tool =
    Examples:
      fallaway tool rule 1/64
      fallaway tool rule 0.5 mm
      fallaway tool feeler 0.01 mm
      fallaway tool feeler 1 thou --for nut
      fallaway tool tuner 0.1 cent
      fallaway tool caliper 0.02 mm --only
      fallaway tool --none --for action

    Kinds: rule, feeler, caliper, dial, tuner; then the step between two marks, leaves or digits.
    A feeler serves relief and nut, a tuner pitch and intonation, the others the remaining lengths,
    unless --for says otherwise.
about_read = Enter readings
arg_read_what = What was measured: relief, fall-away, action, nut, gap, pitch, intonation, spacing, nut-spacing, pickup, bridge, bridge-tail
arg_read_values = The values, see below
arg_read_tool = With which tool, if not the one in your hand: "rule 1/64", "feeler 0.01 mm"
arg_read_strings = Which strings, in the order of the values: 4, 1,3, 5-2
arg_read_low_first = The first value is the lowest string
arg_read_high_first = The first value is the highest string
arg_read_as_found = Measured before anything was done
arg_read_as_left = Final numbers
arg_read_posture = How the instrument lay: playing, back, rest (neck on a rest), side, hanging
arg_read_capo = Fretted by a capo
arg_read_finger = Fretted by a finger
arg_read_tuned = Minutes since it was tuned
arg_stopped = Fret at which the string is held down; 0 is open
arg_over = Fret over which the gap is measured
arg_open = Measured open: over 12 for action, over 1 at the nut
arg_fret = Fret of the note, for intonation [default: 12]
arg_between = Ends of the straight line, for relief [default: 1 and the last fret] and for fall-away
arg_at_fret = Fret at which relief is measured [default: where the gap is largest], or fall-away [default: the last]
arg_pickup = Which pickup; 1 is nearest the bridge [default: 1]
arg_side = On which side, for relief, fall-away and pickups: bass, treble
examples_read =
    Values, one for each string, the highest string first (or see --low-first):
      5 5 5 6            counted in marks of the tool: 64ths with `tool rule 1/64`
      5/64 3/32          fractions of an inch     2.5/32, 1 1/16 too
      1.98 mm  .078 in  12 thou  1,98             one unit at the end serves all
      =  the same as before      -  not measured      <=0  the string touches
      ".010 goes, .012 not"     between two feeler leaves, in quotes

    Examples:
      fallaway read action 5 5 5 6 6
      fallaway read relief 0.35 mm
      fallaway read action 1.9 1.9 2.1 2.2 mm --stopped 0 --over 12
      fallaway read nut 6 6 7 7 8 --tool "feeler 1 thou"
      fallaway read intonation 2 -1 0 3 1 --fret 12
      fallaway read action 6 --strings 5 --as-left

    What is measured:
      relief       bow of the neck: gap under a straight line; a back-bow is below zero
      fall-away    gap under a straight edge beyond the body's first frets, at the last; a rise is below zero
      action       height of the strings: fretted at 1 over the last fret, or --open over 12
      nut          gap over fret 1, fretted at 3, or --open
      gap          any gap between string and fret: --stopped and --over
      pitch        open strings against their notes, in cents
      intonation   fretted note against the open one, in cents, at 12 or --fret
      spacing      string to string at the bridge, centre to centre; nut-spacing: at the nut
      pickup       string to pickup, fretted at the last fret; two values are the two sides
      bridge       bridge plate over the body at its posts, treble then bass; bridge-tail: at its rear edge
about_did = Enter what was adjusted
arg_did_words = What, in words
arg_did_note = What was noticed
examples_did =
    Say what, which string, which way, how far; cw and ccw as seen from the tool.
      fallaway did rod 1/8 cw
      fallaway did saddle 4 down 1/4 ccw
      fallaway did saddles 1-3 up an eighth cw
      fallaway did saddle 3 back 0.5 mm          for intonation; back is away from the nut
      fallaway did saddle 2 toward bass 0.5 mm
      fallaway did nut 5 filed
      fallaway did post bass down 1/2 ccw
      fallaway did pickup 1 treble up 1/4 cw
      fallaway did pole 3 pickup 1 1/4 up
      fallaway did neck 0.5 mm --note "shim, thick end toward the bridge"
      fallaway did frets --note "levelled 15 to 24"

    With cw or ccw noted, the record learns which way each screw works on this instrument.
about_done = Enter that the plan's next step is done
arg_done_values = Which way a test was turned (cw, ccw), or what you measured where the step asks for it
arg_done_string = Only the step of this string
examples_done =
    Examples:
      fallaway done                        what `fallaway next` proposes, with its screws and turns
      fallaway done ccw                    a test that may go either way was turned anticlockwise
      fallaway done 5 5 5 6                what you measured, where the step asks for it
      fallaway done --string 4             the saddle of string 4, not yet the others
    If something else was done: fallaway did rod 1/8 ccw
about_cannot = Enter that the plan's next step could not be done, and why
arg_cannot_reason = Why, in your words
arg_cannot_string = The step of this string
examples_cannot =
    The plan of today goes on without it, and the next visit is told. To try again: fallaway undo

    Examples:
      fallaway cannot "the rod's nut turns round"
      fallaway cannot --string 4 "the saddle screw is seized"
about_as_left = Mark everything that still holds as left, in one word
about_bench = A prompt for the hands: short words, the next step after each line
arg_bench_enter = Enter alone means: done as proposed
examples_bench =
    Lines may come from a file or a pipe, too. `?` lists the short words.

    Examples:
      fallaway bench
      fallaway bench --enter               Enter alone means: done as proposed
about_tuned = Enter that the strings were tuned to pitch
arg_tuned_changed = Strings whose note changed: 5=A0
arg_tuned_note = A remark
examples_tuned =
    Examples:
      fallaway tuned
      fallaway tuned 5=A0                  string 5 is tuned to another note from now on
about_strings = Enter a change of strings
arg_strings_set = The set, in your words
arg_strings_only = Only these strings: 4, 1,3
arg_strings_gauges = Their gauges, in your order of strings; p behind one is plain, w wound: .026w
arg_strings_note = A remark
examples_strings =
    Examples:
      fallaway strings "45-130, nickel"
      fallaway strings --only 5 --note "died"
      fallaway strings --gauges 0.045 0.065 0.085 0.105 0.130 in

    Caution: release the tension slowly, wear eye protection, mind the cut ends.
about_climate = Enter temperature and relative humidity
arg_climate_air = Temperature and relative humidity: 21C 45%
arg_climate_place = Where: bench, case, stage
arg_climate_hours = Hours that the instrument has been there
examples_climate =
    Examples:
      fallaway climate 21C 45%
      fallaway climate 38% --place case --hours 48
about_buzz = Note where it buzzes
arg_buzz_string = Which string, by its number
arg_buzz_frets = At which frets: 3, 3-6, open
arg_buzz_note = How it is played, what is heard
examples_buzz =
    Examples:
      fallaway buzz 4 3-6 "played hard, near the neck"
      fallaway buzz 5 open
about_fret = Note what was found at a fret: a high crown, wear, a loose end; alone, show what is known
arg_fret_fret = Which: 7, or 3-5, or 2,9
arg_fret_found = How: high (a short straightedge rocks), level, worn, lifting; and by how much
arg_fret_strings = Under these strings only: 3-4
arg_fret_note = A remark
arg_fret_heights = Or the height of every crown under a straight edge, fret 1 first: each that stands off its neighbours is noted
examples_fret =
    Examples:
      fallaway fret 7 high
      fallaway fret 7 high 0.08 mm
      fallaway fret 2-3 worn 0.1 mm --strings 3-4
      fallaway fret 14 lifting --note "at the treble end"
      fallaway fret 7 level                 after it was tapped down
      fallaway fret --heights 0 0 0 0.08 0 0 mm

    `clearance` and `why-buzz` take it into account until the frets are worked on:
    fallaway did frets.
about_remark = Note anything else
arg_remark_text = The text
arg_remark_replaces = Short name of the remark that this one corrects
about_photo = Photos of the instrument: add, list, write to a file; alone, list them
about_photo_add = Add a photo: a JPEG or PNG file of up to 16 MiB
arg_photo_add_file = The file; what it says of place, time and camera is taken out
arg_photo_add_caption = What it shows
arg_photo_add_to = Short name of the entry that it belongs to, from `fallaway history`
about_photo_list = The photos, and which are here
about_photo_out = Write a photo to a file; one that is not here is fetched from the relay
arg_photo_out_entry = Short name of the photo
arg_photo_out_out = The file
arg_photo_out_side = Small: a JPEG with this many pixels on its longer side, 16 to 2048
examples_photo =
    Examples:
      fallaway photo add nut.jpg --caption "nut slot 3, before"
      fallaway photo list
      fallaway photo out k4 --out nut-slot.jpg
      fallaway photo out k4 --out small.jpg --side 400

    A photo is sealed on this device and goes to the relay with the next exchange. The others see its
    line in the history, and fetch the photo when they want to look at it. Cross the line out, and the
    photo leaves the relay; whoever has fetched it keeps it.
about_import = Import a notebook: a table of readings as CSV or JSON, all of it or nothing
arg_import_file = The table
arg_import_dry_run = Only check it: every cell that cannot be taken, and what would be written
arg_import_ignore = Heading of a column to pass over
examples_import =
    Examples:
      fallaway import notebook.csv --dry-run
      fallaway import notebook.csv --ignore weather
    Columns: date, visit, by, quantity, place, value, unit, tool, phase, note, temperature, humidity, hours;
    or one for each string, or one for each quantity: relief (feeler 1 thou)
about_undo = Take back what was written last
examples_undo = What nobody has seen yet is erased. After its visit ended or a bundle left, an entry is crossed out, and a fact or target gets its former value back.
about_redo = Redo what was taken back
about_cross_out = Cross out an entry, with a reason; it stays readable
arg_cross_out_entry = Short name of the entry
arg_cross_out_reason = Why it does not count
examples_cross_out =
    Example:
      fallaway cross-out k3 "measured at the wrong fret"

    The short name of an entry stands first in its line of `fallaway history`.

about_plan = What to turn, by how much, in which order, and why
about_next = The next step, in one line
arg_next_full = The step with its numbers, and what to measure after it
about_card = The numbers of the instrument
arg_plan_all = Show every step in full
arg_setup = Compared with which setup [default: the only one]
arg_card_large = In large type, to be read from across the stage
about_changed = What moved: neck, joint, each saddle, each nut slot
arg_changed_since = From the visit of this entry, not from the setup
arg_changed_found = From what that visit found, not from what it left
arg_changed_setup = From which setup [default: the only one; without any, from the visit before]
examples_changed =
    Examples:
      fallaway changed                   from the setup, or the visit before, to today
      fallaway changed --since tech-1    from what that visit left (its first entry)
      fallaway changed --since tech-1 --found   from what it found
about_sheet = A page to hand over: as found, wanted, as left, what was done, what to watch
arg_sheet_bench = For the lid of the case instead: large numbers
arg_sheet_visit = Of which visit, by the short name of one of its entries [default: the last]
arg_sheet_setup = Compared with which setup [default: the only one]
arg_sheet_out = Into this file: PDF if it ends in .pdf, HTML if in .html, else plain text [default: plain text, shown]
arg_sheet_paper = For which paper: a4, letter
arg_sheet_invite = Print an invitation on it, as a code and in words: viewer (read) or contributor (read and write). Whoever sees the page can use it [default: none]
arg_sheet_days = Days for which the invitation is valid [default: 14]
examples_sheet =
    Examples:
      fallaway sheet
      fallaway sheet --out set-up.pdf
      fallaway sheet --invite viewer --days 7 --out set-up.pdf
      fallaway sheet --bench --paper letter --out lid.html
about_draw = Pictures: the turn to make, the neck, clearance, the saddles, what changed, relief or action over time
arg_draw_kind = turn, neck, clearance, saddles, intonation, spacing, changed, relief or action
arg_draw_string = Under which string, by its number [default: the one that is off, or the last]
arg_draw_out = Into this SVG file [default: say in words what the picture shows]
arg_draw_words = In words only, without the picture drawn in characters
arg_draw_theme = For what it is: light, dark, stage, print
arg_draw_since = From the visit of this entry, not from the setup (changed)
arg_draw_found = From what that visit found, not from what it left
arg_draw_setup = Compared with which setup [default: the only one]
examples_draw =
    Examples:
      fallaway draw neck --out neck.svg
      fallaway draw turn
      fallaway draw relief --theme dark --out winter.svg
      fallaway draw changed --since tech-1   from what that visit left (its first entry)
about_learned = What the instrument, its readers and its players have taught
about_forecast = What to expect in another climate, as far as the seasons have been learned
arg_forecast_air = Relative humidity, and temperature if it is not a room's: 20C 25%
examples_forecast =
    Example:
      fallaway forecast 20C 25%
about_history = What was measured and done, newest last
arg_history_last = Only the newest entries, this many
arg_history_only = Only one kind of entry
arg_history_visit = Only the visit of this entry [else: the open one, or the last]
arg_history_clean = Leave out what was crossed out
examples_history =
    Examples:
      fallaway history
      fallaway history --last 20 --only readings
      fallaway history --visit
      fallaway history --visit k3
about_setup = Your targets: take, change, rename, delete, show
about_setup_take = Take today's readings as targets
arg_setup_take_name = What you call the setup: "stage", "drop D"
about_setup_show = Show a setup, or all
arg_setup_show_name = Which one
arg_setup_show_deleted = Those that were deleted
about_setup_rename = Call a setup something else
arg_setup_rename_name = Which setup
arg_setup_rename_new_name = What it is called from now on
about_setup_delete = Delete a setup with its targets, for everybody
arg_setup_delete_name = Which setup
about_setup_back = Bring a deleted setup back
arg_setup_back_name = Which one
about_setup_target = Set a target
arg_setup_target_name = Which setup
arg_setup_target_what = What is measured: relief, fall-away, action, nut, gap, pitch, intonation, spacing, nut-spacing, pickup, bridge, bridge-tail
arg_setup_target_value = Which strings (4, 1,3, 2-5, all), then the value
arg_setup_target_within = How far off is still on target
examples_setup_target =
    The value stands last and has its unit. Name the strings where there are several.
      fallaway setup target stage action 4 2.1 mm
      fallaway setup target stage action all 5/64
      fallaway setup target stage relief 0.25 mm
about_setup_drop = Remove a target
arg_setup_drop_name = Which setup
arg_setup_drop_what = What is measured: relief, fall-away, action, nut, gap, pitch, intonation, spacing, nut-spacing, pickup, bridge, bridge-tail
arg_setup_drop_strings = Which strings (4, 1,3, 2-5, all)
examples_setup =
    Examples:
      fallaway setup take stage                   today's readings are the targets
      fallaway setup target stage action 4 2.1 mm
      fallaway setup target stage relief 0.25 mm --within 0.05 mm
      fallaway setup show stage
      fallaway setup drop stage action 4          no target there any more
about_clearance = Will it buzz with these numbers, and what if: relief, saddles, strings, tuning, touch
arg_clearance_relief = What if: this relief, saddles untouched
arg_clearance_saddle = What if: saddles raised (+) or lowered (-): 4=+0.3mm, all=-0.1mm
arg_clearance_action = What if: these actions, highest string first, or one for all
arg_clearance_gauges = What if: other gauges, in your order of strings; or one: 5=0.135 in
arg_clearance_notes = What if: other notes, highest string first; or one: 4=D1
arg_clearance_away = The string is pulled away from the board, not pushed toward it
arg_clearance_plucked_at = Where it is plucked, from the saddle [default: 100 mm]
arg_player = Whose touch, as learned from clean notes and buzzes [default: the only one that was learned, else 1.5 N]
arg_force = Force of the finger or pick toward the board, instead of a learned one
examples_clearance =
    Examples:
      fallaway clearance                              as it was measured
      fallaway clearance --relief 0.20 mm             the rod turned, saddles untouched
      fallaway clearance --saddle 4=+0.3mm all=-0.1mm   saddles raised or lowered
      fallaway clearance --action 5/64 5/64 6/64 6/64   other actions, highest string first
      fallaway clearance --gauges 0.040 0.060 0.080 0.100 in
      fallaway clearance --notes 4=D1 --player player

    It goes by the latest relief and action. What-ifs combine: relief first, then saddles, then
    actions. The answer comes from a model, not a measurement: use it to compare, not to decide.
about_why_buzz = Why a note buzzes, and which reading decides
arg_why_buzz_string = Which string, by its number
arg_why_buzz_frets = At which frets: 3, 3-6, open
arg_why_buzz_rocks = Frets over which a short straightedge rocks, with this one in the middle of three
arg_why_buzz_level = Frets over which it does not rock
arg_why_buzz_capo = What a capo at fret 1 does to an open string's buzz: clean, buzzes
examples_why_buzz =
    Examples:
      fallaway why-buzz 4 3-6
      fallaway why-buzz 1 open --force 2 N
      fallaway why-buzz 4 3-6 --rocks 7

    It goes by the latest relief and action. The order comes from a model with the player's touch as
    learned, or an assumed one: the reading that each cause names decides.
about_before_strings = What other strings or another tuning will do
arg_before_strings_gauges = Other gauges, in your order of strings; or one: 5=0.135 in; p behind a gauge is plain, w wound: .026w
arg_before_strings_notes = Other notes, highest string first; or one: 4=D1
arg_before_strings_pack = A string set of the shop: fallaway pack
examples_before_strings =
    Examples:
      fallaway before-strings --gauges 0.040 0.060 0.080 0.100 in
      fallaway before-strings --notes 4=D1
      fallaway before-strings --gauges 3=0.026w in
      fallaway before-strings --pack light

    Nothing is stored: `fallaway strings` enters a change once it is done.

about_people = Who shares the instrument, on which device
arg_people_history = Who came, who went, and who was given which role: when, and by whom
arg_people_known = What each device is known to have, and when it was last heard of
about_role = Give a member another role
arg_role_fingerprint = The member's fingerprint, as `fallaway people` shows it: compare it by voice first
arg_role_role = owner (people and everything else), contributor (read and write), viewer (read)
examples_role =
    Example:
      fallaway role 3QCX-P6Z5-BT6Q-CH5B owner

    Nobody takes a role from an owner who was there before. Send a bundle afterwards, so that the others know.
about_remove = Remove a member: a device, or all of a person's
arg_remove_fingerprint = The device's fingerprint, as `fallaway people` shows it
arg_remove_all_devices = The other devices of the same person, too
arg_remove_reason = Why: the others see it
examples_remove =
    Examples:
      fallaway remove 3QCX-P6Z5-BT6Q-CH5B --reason "phone lost"
      fallaway remove 3QCX-P6Z5-BT6Q-CH5B --all-devices

    What it wrote stays, as far as you have it. It keeps what it has, and gets nothing new. Send a bundle
    afterwards.
about_leave = Leave the record
examples_leave =
    What is here stays until `fallaway forget`. The only owner cannot leave.
about_held = What is held back, and whose it is
examples_held =
    Held back is what a removed device wrote before it knew of its removal, what a copied device wrote
    twice, and what somebody wrote who may only read.
about_accept_held = Accept what is held back of a device
arg_accept_held_fingerprint = The device's name or fingerprint, as `fallaway held` shows them
examples_accept_held =
    Example:
      fallaway accept-held 3QCX-P6Z5-BT6Q-CH5B
about_withdraw = Withdraw an invitation, or show those that are open
arg_withdraw_invitation = Which, as `fallaway withdraw` shows it; without it, show them
examples_withdraw =
    Example:
      fallaway withdraw 1f83ab20
about_write_anyway = Write although somebody's device asks for a newer version
examples_write_anyway =
    Owners only. Use it when the person named has no newer version, or when nobody can wait for one.
    What a newer version wrote stays; this version passes it over.
about_compared = Say that a fingerprint was compared by voice
arg_compared_fingerprint = The device's fingerprint, as `fallaway people` shows it here and there
examples_compared =
    Example:
      fallaway compared 3QCX-P6Z5-BT6Q-CH5B
about_invite = Invite a device: twelve words, or a code
arg_invite_role = What the invited device may do: contributor (read and write), viewer (read). An owner makes it an owner once it has joined
arg_invite_out = Write the words to this file instead of printing them
arg_invite_welcome = Write what the words open, and nothing else, to this file
arg_invite_qr = Show the words, and the welcome, as QR codes for a phone's camera
arg_invite_own_device = Another device of your own: it is listed, and removed, with this one
arg_invite_days = Days for which it is valid [default: 14]
examples_invite =
    Examples:
      fallaway invite contributor
      fallaway invite viewer --days 3 --out invitation.txt
      fallaway bundle out from-tech.fallaway

    Whoever has the words and the file can join once and read the whole history: hand them over
    in two different ways.
about_accept = Accept an invitation: its words, and the file beside them
arg_accept_file = The bundle file that came with the words
arg_accept_words = The twelve words, or the text of the code; leave them out to type them or pipe them in
arg_accept_words_file = The file that holds the words
arg_accept_look = Only show what it says
examples_accept =
    Examples:
      fallaway accept from-tech.fallaway legal winner thank year wave sausage worth useful legal winner thank yellow
      fallaway accept from-tech.fallaway --words invitation.txt --look
about_recovery_words = What brings the instrument back when all devices are lost
arg_recovery_words_written_down = They are on paper: delete them from this device
examples_recovery_words =
    Example:
      fallaway recovery-words
      fallaway recovery-words --written-down
about_recover = Become an owner by the recovery words
arg_recover_file = A bundle file with the whole record, the later the better
arg_recover_words = The twelve words; leave them out to type them or pipe them in
arg_recover_words_file = The file that holds the words
arg_recover_lost = A lost device to remove, by its fingerprint; may be given several times
examples_recover =
    Example:
      fallaway recover backup.fallaway legal winner thank year wave sausage worth useful legal winner thank yellow

    Afterwards these words no longer work; new ones are shown once.
about_bundle = Export what is new to a file, or import such a file
about_bundle_out = Export the record, or what is new in it, to a file
arg_bundle_out_file = The file
arg_bundle_out_new = Only what somebody is not known to have yet, whoever wrote it
about_bundle_in = Import bundle files
arg_bundle_in_files = The files
examples_bundle =
    Examples:
      fallaway bundle out for-player.fallaway        everything
      fallaway bundle out for-player.fallaway --new  what somebody may not have yet
      fallaway bundle in from-player.fallaway

    Send the file any way you like. It is sealed: only the people of the instrument can read it.
    Files may arrive late, twice, or in any order.
about_relay = The relay that carries the record between devices that are never online together; alone, show it
about_relay_set = Let a relay carry the record
arg_relay_set_address = Its address, beginning with https://
about_relay_drop = Let no relay carry the record any more
examples_relay =
    Examples:
      fallaway relay set https://relay.example
      fallaway relay

    The relay cannot read what it carries. Everybody who shares the record learns of it with the next bundle.
about_sync = Exchange with the relay: send what is new here, take what is new there
arg_sync_keep = Wait for news and take them, until you stop it
arg_sync_root = Trust the certificate in this file, or those that it has signed, and no others: for a relay of your own
arg_sync_admission = Show the relay the admission code in this file, which its operator gave you: some take no new record without it
examples_sync =
    Example:
      fallaway sync

    It may be stopped at any moment: what has come stays, and the next exchange goes on from there.
about_meet = Exchange with another device in the same network, with no relay and no file
arg_meet_address = Where the other device waits, as it shows it
arg_meet_listen = Wait here for the other device; without an address, at every address of this one
arg_meet_code = The six digits that the other device shows
arg_meet_words = Join by an invitation: a file with its twelve words, or - to type them
examples_meet =
    Example:
      fallaway meet --listen                                  on one device
      fallaway meet 192.168.1.20:40123 --code 471108          on the other
      fallaway meet 192.168.1.20:40123 --code 471108 --words -   the same, and join by twelve words

    Every instrument that both share is exchanged, or the one that is named with -i. What is said is
    encrypted, and only to a device of the instrument's people. It may be stopped at any moment.
about_two_values = Facts and targets with two conflicting values, with author and time
about_settle = Choose between two values
arg_settle_place = The number of the place in `fallaway two-values`
arg_settle_keep = The number of the value to keep
examples_settle =
    Example:
      fallaway two-values
      fallaway settle 1 2        at the first place, keep the second value
about_me = The name under which others see this device; alone, show it
arg_me_name = The name: "tech", "player"
examples_me =
    Example:
      fallaway me tech

    The others see it when your next bundle has come.
about_order = Which string you read first; alone, show it
arg_order_order = The highest string first, or the lowest: high-first, low-first
examples_order =
    Whatever is given or shown string by string comes in this order: readings, notes, gauges, targets,
    tables, calculations. Where the help says "highest first", it is the string that you read first.
about_usual = How you usually read, where an entry does not say; alone, show it
arg_usual_posture = How the instrument lies: playing, back, rest (neck on a rest), side, hanging
arg_usual_capo = Fretted by a capo
arg_usual_finger = Fretted by a finger
arg_usual_a4 = A4 of new instruments: 442 Hz
arg_usual_none = Forget it: nothing is assumed
examples_usual =
    Example:
      fallaway usual --posture playing --capo --a4 "442 Hz"
about_language = The language of this app; alone, show it
arg_language_language = Its tag: en, de; "auto" follows the system
about_units = The units in which computed lengths are shown; alone, show them
arg_units_only = For this instrument only
arg_units_units = as-read (as the tool reads), mm, thou, in or fractions; then exceptions
examples_units =
    Examples:
      fallaway units mm
      fallaway units "thou" --only
      fallaway units "as-read, relief thou, temperature F"
      fallaway units "mm, readings too"    readings, targets and facts are converted too
about_archive = Put an instrument away: it leaves the list of this device and keeps everything
arg_archive_name = Its name
arg_archive_back = Bring it back into the list
about_rename = Call an instrument something else, for everybody who shares it
arg_rename_name = Its name
arg_rename_new_name = What it is called from now on
arg_list_archived = Those that were put away
about_forget = Delete an instrument from this device; the others keep theirs
arg_forget_name = Its name, in full
about_commands = Every command in the order of the work, what all of them take, and the first steps
about_completions = Print completions for a shell
arg_completions_shell = Which shell
examples_completions =
    Example:
      fallaway completions bash > ~/.local/share/bash-completion/completions/fallaway
about_demo = Two devices, one instrument, a winter: watch it work
arg_demo_into = Folder for the data of the two devices; replaced if an earlier demo made it [default: fallaway-demo]

about_copy = Add an instrument like another: its facts and targets, not its history
arg_copy_name = Which instrument
arg_copy_new_name = What the new one is called
examples_copy =
    Example:
      fallaway copy "blue five" "blue five, second"
arg_list_search = Those that have a text in their name
arg_list_names = Their names alone, a line each
about_search = Look for a word in everything on this device: names, owners, jobs, histories, setups
arg_search_text = What to look for
examples_search =
    Example:
      fallaway search "nut blank"
about_targets = Take targets from elsewhere; in one step, so that undo takes all back
about_targets_from = From another instrument, or from the shop's own targets (`fallaway spec`)
arg_targets_from_name = Its name
arg_targets_from_setup = Which setup of the other instrument [default: the first]
arg_targets_into = Into which setup [default: the one in use, or main]
about_targets_usual = Usual numbers, marked as such (common practice, no source)
examples_targets =
    Examples:
      fallaway targets from "blue five"       the setup that is in use there
      fallaway targets usual --into start

    A string takes the number of the string with its note, or else of the one in its position.
about_spec = The shop's own targets; alone, list them
about_spec_keep = Keep the targets of a setup for other instruments, on this device
arg_spec_keep_name = What they are called: "roundwound, medium touch"
arg_spec_keep_setup = Which setup [default: the first]
about_spec_drop = Forget them
arg_spec_drop_name = Their name, in full
examples_spec =
    Examples:
      fallaway spec keep "roundwound, medium touch"
      fallaway spec
about_pack = The shop's string sets; alone, list them
about_pack_keep = Keep a set, on this device
arg_pack_keep_name = What it is called
arg_pack_keep_gauges = Its gauges, in your order of strings; p behind one is plain, w wound: .026w
arg_pack_keep_made = How its strings are made, highest first: plain, round-wound, half-wound, flat-wound
arg_pack_keep_weights = Mass for length as printed on the pack, highest first, with the unit at the end: lb/in or g/m
about_pack_drop = Forget a set
arg_pack_drop_name = Its name, in full
examples_pack =
    Examples:
      fallaway pack keep "flats, medium" --gauges .045 .065 .085 .105 --made flat-wound
      fallaway pack

    To fit one: fallaway strings --pack NAME
arg_strings_pack = A set of the shop, by its name: fallaway pack
about_owner = Whose the instrument is and how to reach them, on this device only; alone, show it
arg_owner_name = A name, or a role
arg_owner_contact = Telephone, address, hours
arg_owner_none = Forget it
examples_owner =
    Examples:
      fallaway owner "player" --contact "rings after six"
      fallaway owner
about_job = Work on the instrument, on this device only; alone, list it
about_job_add = Take work in
arg_job_add_what = What is to be done
about_job_note = Note time, parts, a price, or what it waits for
arg_job_number = Its number: fallaway job
about_job_done = It is done
about_job_drop = Forget it
arg_job_due = When it is to be ready: 2026-12-05
arg_job_waits_for = What it waits for
arg_job_arrived = It waits no longer
arg_job_time = Minutes of work, added to those before
arg_job_part = A part, with its price if it has one: "nut blank = 12 EUR"
arg_job_price = What the work costs, parts not counted
examples_job =
    Examples:
      fallaway job add "new nut" --waits-for "nut blank" --due 2030-12-05
      fallaway job add "level the frets" --time 45 --part "fret wire = 14.50 EUR" --price "80 EUR"
      fallaway job

    What is open on all instruments: fallaway desk
about_desk = What is in the shop, open work by the day it is due, and what is due for a check
about_care = When the instrument is due for a check, on this device only; alone, show it
arg_care_months = This many months after the last entry
arg_care_within = When these months begin, each year: 3,9 or march,september
arg_care_none = Never
examples_care =
    Examples:
      fallaway care --months 6
      fallaway care --in 3,9
about_export = Write the whole record as JSON, or the readings as a table; not sealed
arg_export_file = Where to
arg_export_table = The readings only, as comma-separated values that `fallaway import` reads
examples_export =
    Examples:
      fallaway export record.json
      fallaway export readings.csv --table
about_backup = Write everything on this device to one file; not sealed, and without the keys
arg_backup_file = Where to
examples_backup =
    Example:
      fallaway backup shop.backup
about_restore = Make an instrument of an exported record, or everything of a backup in an empty data folder
arg_restore_file = Which file
arg_restore_name = What the instrument is called, if not as in the record

# What stands for a value in a usage line.
name_digits = DIGITS
name_day = DAY
name_part = PART
name_price = PRICE
name_month = MONTH
name_weight = WEIGHT
name_address = ADDRESS
name_amount = AMOUNT
name_climate = CLIMATE
name_command = COMMAND
name_count = COUNT
name_entry = ENTRY
name_field = FACT
name_file = FILE
name_files = FILES
name_fingerprint = FINGERPRINT
name_folder = FOLDER
name_force = FORCE
name_fret = FRET
name_heading = HEADING
name_frets = FRETS
name_from = FROM
name_gauge = GAUGE
name_hours = HOURS
name_keep = VALUE
name_kind = KIND
name_invitation = INVITATION
name_length = LENGTH
name_minutes = MINUTES
name_name = NAME
name_new_name = NEW-NAME
name_note = NOTE
name_number = NUMBER
name_order = ORDER
name_points = PIXELS
name_place = PLACE
name_purpose = PURPOSE
name_reason = REASON
name_role = ROLE
name_set = SET
name_paper = PAPER
name_theme = THEME
name_setup = SETUP
name_shell = SHELL
name_string = STRING
name_string_length = STRING=LENGTH
name_strings = STRINGS
name_template = TEMPLATE
name_text = TEXT
name_time = TIME
name_to = TO
name_tool = TOOL
name_value = VALUE
name_what = WHAT
name_who = WHO
name_word = WORD
name_words = WORDS
name_language = LANGUAGE
name_units = UNITS
name_changed = STRING=NOTE
name_days = DAYS
name_posture = POSTURE
name_frequency = FREQUENCY
name_side = SIDE
