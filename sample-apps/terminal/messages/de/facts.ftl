# Was jede Angabe von `fallaway set` ist.
name = wie man es nennt
about = alles, woran man es erkennt
scale = Mensur; bei Fächerbünden die tiefste und die höchste Saite: 35 in 33 in
tuning = Töne, höchste Saite zuerst; oder einer: 5=A0
gauges = höchste Saite zuerst; oder eine: 5=0.135 in
made = plain (blank), round-wound, half-wound, flat-wound; oder eine: 3=plain
frets = wie viele; 0 ist bundlos
fret_height = Höhe eines Bunds über dem Griffbrett
joint = erster Bund über dem Korpus, wo der Hals sich nicht mehr biegt
radius = des Griffbretts; zunehmend: 10 in 16 in; oder flat
nut = slotted (gekerbt), zero fret (Nullbund), locking (Klemmsattel), compensated, roller
nut_spread = äußere Saiten am Sattel, Mitte zu Mitte
bridge_spread = äußere Saiten am Steg, Mitte zu Mitte
bridge = own N (N Höhenschrauben je Reiter), posts (Pfosten), fixed (fest), shared 1,2 3,4; dazu floating (schwebend)
saddle_thread = Gewinde der Höhenschrauben: M3, #6-32, oder die Steigung 0.5 mm
intonation_thread = Gewinde der Schrauben, die einen Reiter vor und zurück bewegen
post_thread = Gewinde der Stegpfosten
pickup_thread = Gewinde der Tonabnehmerschrauben
rod = one-way (einfach), two-way (zweifach), no (keiner); head oder heel
rod_key = der passende Schlüssel
rod_clockwise = was Drehen im Uhrzeigersinn bringt, weniger (less) oder mehr (more) Halskrümmung; besser aus Messungen gelernt
saddle_clockwise = was Drehen im Uhrzeigersinn bringt, weniger (less) oder mehr (more) Höhe
neck = bolt-on (geschraubt), glued (geleimt), neck-through (durchgehend)
pickups = wie viele
hand = right (rechts), left (links)
stringing = usual (üblich), reversed (umgekehrt)
a4 = Kammerton
headless = yes, no
trees = Saiten, die unter einem Niederhalter laufen
