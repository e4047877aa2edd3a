### Was zum Treffen zweier Geräte gesagt wird.

no_digits = „{ $text }“ sind keine sechs Ziffern
digits_accepted = die sechs Ziffern, die das andere Gerät zeigt
in_a_meeting = ein anderes Treffen zu diesem Instrument läuft noch; bitte danach noch einmal versuchen

up_to_date = „{ $name }“: { $with } und dieses Gerät haben jetzt dasselbe
instrument = „{ $name }“: { $what }
sent = { $count ->
    [one] 1 Änderung gesendet
   *[other] { $count } Änderungen gesendet
  }
received = { $count ->
    [one] 1 Bündel empfangen
   *[other] { $count } Bündel empfangen
  }
photos_sent = { $count ->
    [one] 1 Foto gesendet
   *[other] { $count } Fotos gesendet
  }
photos_received = { $count ->
    [one] 1 Foto empfangen
   *[other] { $count } Fotos empfangen
  }

all = beide Geräte haben jetzt dasselbe
apart = die beiden Geräte teilen kein Instrument, oder die Ziffern sind nicht die, die das andere zeigt
removed = dieses Gerät gehört nicht mehr zu den Beteiligten des Instruments; was es hat, bleibt hier lesbar
peer_removed = das andere Gerät gehört nicht mehr zu den Beteiligten des Instruments; das hat es erfahren, sonst nichts
unknown = das andere Gerät kennt dieses nicht als Beteiligten des Instruments; bitte zuerst das Gerät treffen, das es eingeladen hat
peer_unknown = das andere Gerät gehört nach allem, was hier bekannt ist, nicht zu den Beteiligten des Instruments; es hat nichts bekommen
not_taken = was geschickt wurde, konnte auf einem der beiden Geräte nicht behalten werden; was da war, ist nicht verloren
stopped = angehalten; was gekommen ist, bleibt, und das nächste Treffen geht von dort weiter
failed = { $why ->
    [cut] die Verbindung ist abgerissen
    [slow] das andere Gerät hat nicht rechtzeitig geantwortet
    [too_much] das andere Gerät hat mehr geschickt, als ein Treffen annimmt
   *[garbage] die Antwort gehört zu keinem Treffen, oder sie wurde unterwegs verändert
  }; was gekommen ist, bleibt, und das nächste Treffen geht von dort weiter
