# What each fact about the instrument is called, by its key in the record.

name = name
about = description
family = kind of instrument
courses = strings
tuning = tuning
string = string
scale = scale length
frets = frets
joint-fret = neck joint
board = fingerboard radius
nut = nut
nut-spread = outer strings at the nut, centre to centre
bridge-spread = outer strings at the bridge, centre to centre
bridge = bridge
screw = screws
rod = truss rod
neck-joint = neck attachment
pickups = pickups
springs = springs of the bridge
handedness = handedness
stringing = order of strings
a4 = reference pitch A4
headless = headless
trees = string trees
