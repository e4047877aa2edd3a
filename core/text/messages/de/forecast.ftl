### Halskrümmung und Saitenlage in einem anderen Klima.
nothing = Noch lässt sich nichts vorhersagen.
relief = { $climate }: { $way }: { $expected }, nach dem, was dieses Instrument über die Jahreszeiten gezeigt hat (Holzfeuchte { $moisture }), Stab und Saiten unverändert: eine Vorhersage.
beyond = Das ist trockener oder feuchter als alles im Verlauf.
leave_rod = Der Halsspannstab kann voraussichtlich bleiben, wie er ist.
turn_less = Voraussichtlich { $turn }, um die Halskrümmung zu verringern.
turn_more = Voraussichtlich { $turn }, um die Halskrümmung zu vergrößern.
action = Bei unveränderten Reitern, nach dem Halsmodell, { $way }: { $strings }.
untold = Die Daten können die Jahreszeiten dieses Instruments noch nicht von null unterscheiden: die Mitte jeder Vorhersage ist kaum besser als „keine Änderung“.
no_season = die Halskrümmung wurde nie in der Nähe eines eingetragenen Klimas gemessen, in dem das Instrument einen Tag gestanden hatte (zwei Wochen sagen mehr)
climate_beyond = { $climate }: { $temperature } und { $humidity } relative Luftfeuchte; möglich sind −1 bis 71 °C und 0 bis 100 %
