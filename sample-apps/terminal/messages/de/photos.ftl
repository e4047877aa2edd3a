# Fotos.

added = Foto hinzugefügt; was in der Datei über Ort, Zeit und Kamera stand, ist herausgenommen
none = Noch keine Fotos: fallaway photo add DATEI
head = Foto | Tag | wer | Größe | wo | von | was es zeigt
written = Nach { $file } geschrieben, { $size }.
