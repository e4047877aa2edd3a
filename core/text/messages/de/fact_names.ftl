# Wie jede Angabe zum Instrument heißt, nach ihrem Schlüssel im Datensatz.

name = Name
about = Beschreibung
family = Art des Instruments
courses = Saiten
tuning = Stimmung
string = Saite
scale = Mensur
frets = Bünde
joint-fret = Halsansatz
board = Griffbrettradius
nut = Sattel
nut-spread = äußere Saiten am Sattel, Mitte zu Mitte
bridge-spread = äußere Saiten am Steg, Mitte zu Mitte
bridge = Steg
screw = Schrauben
rod = Halsspannstab
neck-joint = Halsbefestigung
pickups = Tonabnehmer
springs = Federn des Stegs
handedness = Händigkeit
stringing = Reihenfolge der Saiten
a4 = Kammerton A4
headless = ohne Kopfplatte
trees = Saitenniederhalter
