### Fotos.

empty = die Datei ist leer
too_large = die Datei ist größer als 16 MiB
other_kind = die Datei ist weder ein JPEG noch ein PNG
broken = die Datei bricht ab oder ist beschädigt
accepted = eine JPEG- oder PNG-Datei bis 16 MiB
all_full = die Fotos dieses Instruments belegen schon 256 MiB
all_accepted = Fotos mit zusammen 256 MiB: ein kleineres, oder eines weniger
altered = das Foto ist nicht das, das seine Zeile nennt: wer sie schrieb, hat ein anderes angehängt
too_many_points = das Foto gibt mehr Pixel an, als Kameras haben; es wurde nicht geöffnet
decoded_accepted = ein Foto bis 64 Millionen Pixel, 16.384 an einer Seite
thumbnail_side = { $points } Pixel können nicht die längere Seite eines kleinen Bildes sein

state = { $state ->
    [here] hier
   *[missing] noch nicht hier
}
sent = { $count ->
    [one] 1 Foto gesendet
   *[other] { $count } Fotos gesendet
}
waiting = { $count ->
    [one] 1 Foto wartet darauf, gesendet zu werden
   *[other] { $count } Fotos warten darauf, gesendet zu werden
}
fetched = { $fetched ->
    [here] das Foto ist hier
    [not_there] das Relais hat das Foto noch nicht: es kommt mit dem nächsten Austausch eines Geräts, das es hat
    [altered] das Relais gab etwas anderes als dieses Foto; davon wurde nichts behalten
    [no_relay] die Akte hat kein Relais, von dem das Foto zu holen wäre
   *[later] das Relais ist gerade nicht zu erreichen; später noch einmal versuchen
}
