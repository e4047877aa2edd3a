# What each fact of `fallaway set` is.
name = what you call it
about = anything that identifies it
scale = scale length; for fanned frets the lowest and the highest string: 35 in 33 in
tuning = notes, highest string first; or one: 5=A0
gauges = highest string first; or one: 5=0.135 in
made = plain, round-wound, half-wound, flat-wound; or one: 3=plain
frets = how many; 0 is fretless
fret_height = height of a fret over the board
joint = first fret over the body, where the neck stops bending
radius = of the fretboard; compound: 10 in 16 in; or flat
nut = slotted, zero fret, locking, compensated, roller
nut_spread = outer strings at the nut, centre to centre
bridge_spread = outer strings at the bridge, centre to centre
bridge = own N (N height screws a saddle), posts, fixed, shared 1,2 3,4; add floating
saddle_thread = thread of the height screws: M3, #6-32, or its pitch 0.5 mm
intonation_thread = thread of the screws that move a saddle back and forward
post_thread = thread of the bridge posts
pickup_thread = thread of the pickup screws
rod = one-way, two-way, no; head or heel
rod_key = the key that fits
rod_clockwise = what a clockwise turn gives, less relief or more; better learned from readings
saddle_clockwise = what a clockwise turn gives, less height or more
neck = bolt-on, glued, neck-through
pickups = how many
hand = right, left
stringing = usual, reversed
a4 = reference pitch
headless = yes, no
trees = strings that run under a string tree
