### Eine Tabelle einlesen.

no_rows = unter den Überschriften steht keine Zeile
not_csv = das ist keine Tabelle aus getrennten Werten (RFC 4180): { $reason }
not_json = das ist kein JSON (RFC 8259): { $reason }
not_an_object = jede Zeile muss ein Objekt mit einem Namen für jede Zelle sein
cell = Zeile { $row }, Spalte „{ $column }“
unknown_column = eine solche Spalte gibt es nicht
known_columns = Datum, Termin, von, Messgröße, Saite, Wert, Einheit, Werkzeug, Zustand, Notiz, Temperatur, Luftfeuchte, Stunden, die Nummer einer Saite oder eine Messgröße wie „Saitenlage“ oder „Halskrümmung (feeler 1 thou)“; eine Spalte, die hier nichts bedeutet, kann übergangen werden
no_dates = keine Spalte sagt, wann gemessen wurde
no_date = das ist kein Datum
no_date_above = hier steht kein Datum, und darüber auch nicht
dates = ISO 8601: 2025-03-14 oder 2025-03-14 18:30
in_the_future = das liegt in der Zukunft
unknown_quantity = eine solche Messgröße gibt es nicht
quantities = Saitenlage, Saitenlage leer, Halskrümmung, Griffbrettabfall, Sattel, Stimmung, Oktavreinheit 12, Saitenabstand, Saitenabstand Sattel, Tonabnehmer 1, Steghöhe, Steghinterkante, oder mit Bünden: Saitenlage 1 12, Halskrümmung 1 15
of_what = es steht nicht da, was gemessen wurde
unknown_tool = ein solches Werkzeug gibt es nicht
tools = rule 1/64, rule 0.5 mm, feeler 1 thou, feeler 0.01 mm, caliper 0.02 mm, dial 0.01 mm, tuner 1 cent
unknown_phase = einen solchen Zustand gibt es nicht
phases = vorgefunden, Arbeit, übergeben
no_hours = das ist keine Zahl von Stunden
hours = eine ganze Zahl
unknown_place = eine solche Stelle gibt es nicht
places = whole (Ganzes), die Nummer einer Saite, bass side, treble side
