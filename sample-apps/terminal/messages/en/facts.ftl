# What each fact of `fallaway set` is, where its name does not say it.
name = what you call it
about = anything that identifies it
family = bass, guitar, other
courses = strings in each course, highest course first: 1 1 1 1 1
scale = scale length; for fanned frets the lowest and the highest string: 35 in 33 in
tuning = notes, in your order of strings; or one: 5=A0
gauges = in your order of strings; or one: 5=0.135 in; p behind one is plain, w wound: .026w
made = plain, round-wound, half-wound, flat-wound; or one: 3=plain
frets = how many; 0 is fretless
fret_height = height of a fret over the board
joint = the first fret over the body; the neck stops bending two frets before it, give or take two; or with how sure it is: 17 ± 1; or where it stops bending, if that is known: 15 ± 0
radius = of the fretboard; compound: 10 in 16 in; or flat
nut = slotted, zero fret, locking, compensated, roller
bridge = own N (N height screws a saddle), posts, fixed, shared 1,2 3,4; add posts if it stands on them as well, add floating
saddle_thread = thread of the height screws: M3, #6-32, or its pitch 0.5 mm
intonation_thread = thread of the screws that move a saddle back and forward
post_thread = thread of the bridge posts
claw_thread = thread of the spring claw's screws: its pitch, such as 1.8 mm
pickup_thread = thread of the pickup screws
rod = one-way, two-way, no; head or heel
rod_key = the key that fits
rod_clockwise = what a clockwise turn gives, less relief or more; better learned from readings
saddle_clockwise = what a clockwise turn gives, less height or more
intonation_clockwise = what a clockwise turn gives, a longer string (more) or a shorter one (less)
post_clockwise = what a clockwise turn of a bridge post gives, less height or more
claw_clockwise = what a clockwise turn of the spring claw's screws gives, less spring pull or more
neck = bolt-on, glued, neck-through
hand = right, left
stringing = usual, reversed
headless = yes, no
trees = strings that run under a string tree
