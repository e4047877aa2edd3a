# Was jede Angabe von `fallaway set` ist, wo ihr Name es nicht sagt.
name = wie man es nennt
about = alles, woran man es erkennt
family = bass, guitar (Gitarre), other (andere)
courses = Saiten je Chor, höchster Chor zuerst: 1 1 1 1 1
scale = Mensur; bei Fächerbünden die tiefste und die höchste Saite: 35 in 33 in
tuning = Töne in der eigenen Reihenfolge der Saiten; oder einer: 5=A0
gauges = in der eigenen Reihenfolge der Saiten; oder eine: 5=0.135 in; mit p dahinter blank, mit w umsponnen: .026w
made = plain (blank), round-wound, half-wound, flat-wound; oder eine: 3=plain
frets = wie viele; 0 ist bundlos
fret_height = Höhe eines Bunds über dem Griffbrett
joint = erster Bund über dem Korpus; der Hals biegt sich in der Regel bis zwei Bünde davor, auf zwei Bünde genau; oder mit der Genauigkeit: 17 ± 1; oder der Bund, ab dem er sich nicht mehr biegt, wenn er bekannt ist: 15 ± 0
radius = des Griffbretts; zunehmend: 10 in 16 in; oder flat
nut = slotted (gekerbt), zero fret (Nullbund), locking (Klemmsattel), compensated, roller
bridge = own N (N Höhenschrauben je Reiter), posts (Bolzen), fixed (fest), shared 1,2 3,4; dazu posts, wenn er auch auf Bolzen steht, und floating (schwebend)
saddle_thread = Gewinde der Höhenschrauben: M3, #6-32, oder die Steigung 0.5 mm
intonation_thread = Gewinde der Schrauben, die einen Reiter vor und zurück bewegen
post_thread = Gewinde der Stegbolzen
claw_thread = Gewinde der Schrauben an der Federkralle: die Steigung, etwa 1.8 mm
pickup_thread = Gewinde der Tonabnehmerschrauben
rod = one-way (einfach), two-way (zweifach), no (keiner); head oder heel
rod_key = der passende Schlüssel
rod_clockwise = was Drehen im Uhrzeigersinn bringt, weniger (less) oder mehr (more) Halskrümmung; besser aus Messungen gelernt
saddle_clockwise = was Drehen im Uhrzeigersinn bringt, weniger (less) oder mehr (more) Höhe
intonation_clockwise = was Drehen im Uhrzeigersinn bringt, eine längere (more) oder kürzere (less) Saite
post_clockwise = was Drehen eines Stegbolzens im Uhrzeigersinn bringt, weniger (less) oder mehr (more) Höhe
claw_clockwise = was Drehen der Schrauben an der Federkralle im Uhrzeigersinn bringt, weniger (less) oder mehr (more) Federzug
neck = bolt-on (geschraubt), glued (geleimt), neck-through (durchgehend)
hand = right (rechts), left (links)
stringing = usual (üblich), reversed (umgekehrt)
headless = yes, no
trees = Saiten, die unter einem Niederhalter laufen
