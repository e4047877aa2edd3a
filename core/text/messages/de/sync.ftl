### Was zu einem Austausch über ein Relais gesagt wird.

no_address = „{ $url }“ kann nicht die Adresse eines Relais sein
address = eine Adresse wie https://relay.example mit höchstens 200 Zeichen
address_secure = eine Adresse, die mit https:// beginnt (http:// nur für ein Relais auf diesem Rechner)

up_to_date = alles ist ausgetauscht
no_news = nichts Neues
relay_full = das Relais hat keinen Platz mehr: was andere geschickt haben, ist hier, und was dieses Gerät hat, bleibt hier
stopped = angehalten; was gekommen ist, bleibt, und der nächste Austausch geht von dort weiter
later = { $why ->
    [offline] das Relais ist nicht zu erreichen
    [slow] das Relais hat nicht rechtzeitig geantwortet
    [untrusted] das Zertifikat des Relais wird nicht anerkannt
    [garbage] unter dieser Adresse antwortet kein Relais, oder die Antwort wurde unterwegs beschädigt
    [full] das Relais hat keinen Platz mehr
   *[busy] das Relais ist ausgelastet
  }; nichts ist verloren, der nächste Versuch { $seconds ->
    [0] ist sofort möglich
    [one] in 1 Sekunde
   *[other] in { $seconds } Sekunden
  }
blocked = { $why ->
    [no_access] das Relais nimmt die Schlüssel dieses Geräts nicht an; bitte eine Bündeldatei von jemandem holen, der die Akte teilt
    [no_key] die Akte wird unter einem Schlüssel weitergeführt, den dieses Gerät nicht hat: es wurde entfernt, oder der Schlüssel ist noch nicht angekommen
    [knocked] das Relais weiß, dass dieses Gerät beitreten möchte; wer die Akte teilt, lässt es mit dem nächsten Austausch ein
    [not_yet] das Relais hat von dieser Akte noch nichts, was dieses Gerät lesen kann; wer sie teilt, bringt es mit dem nächsten Austausch
    [deleted] die Akte wurde auf dem Relais gelöscht; bitte das Relais neu festlegen
    [admission] das Relais verlangt einen Zulassungscode, bevor es eine neue Akte aufnimmt
   *[no_room] auf diesem Gerät ist kein Platz mehr; nichts, was angekommen ist, ging verloren
  }
rebuilt = das Relais hatte seinen Inhalt verloren oder war auf einen älteren Stand zurückgegangen; es wurde von diesem Gerät wieder gefüllt
doubted = das Relais zeigt diesem Gerät nicht, was es { $device } am { $at } gezeigt hat: es hat das verloren oder hält es zurück; bitte { $device } treffen oder eine Bündeldatei austauschen
set_aside = { $count ->
    [one] 1 Bündel nimmt das Relais nicht an; es bleibt hier und geht als Datei hinaus
   *[other] { $count } Bündel nimmt das Relais nicht an; sie bleiben hier und gehen als Datei hinaus
  }
sent = { $count ->
    [one] 1 Bündel gesendet
   *[other] { $count } Bündel gesendet
  }
received = { $count ->
    [one] 1 Bündel empfangen
   *[other] { $count } Bündel empfangen
  }
waits = { $count ->
    [0] nichts wartet darauf, gesendet zu werden
    [one] 1 Änderung wartet darauf, gesendet zu werden
   *[other] { $count } Änderungen warten darauf, gesendet zu werden
  }
