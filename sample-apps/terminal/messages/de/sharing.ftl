# Beteiligte, Einladungen, Bündel, widersprüchliche Werte.
head_people = Gerät | darf | Fingerabdruck | 
head_known = Gerät | zuletzt gehört | was es hat
head_people_history = wann | was
never_heard = -
known_hint = Ein Gerät hat bekanntlich, worauf es aufgebaut hat, und was es hatte, als es dieses traf.
this_device = dieses Gerät
role = { $role ->
    [owner] alles verwalten
    [contributor] lesen und schreiben
   *[viewer] lesen
  }
fingerprint_compared = verglichen
not_compared = nicht verglichen
now_compared = { $fingerprint } gilt ab jetzt als verglichen.
invited = Die Wörter der Einladung stehen in { $file }. Sie gilt einmal, { $days ->
    [one] einen Tag
   *[other] { $days } Tage
  } lang.
invited_words = Die Wörter vorlesen, oder die zweite Zeile als Code zeigen. Sie gelten einmal, { $days ->
    [one] einen Tag
   *[other] { $days } Tage
  } lang.
invited_next = Die Wörter auf einem Weg übergeben, ein Bündel auf einem anderen: fallaway bundle out DATEI. Wer beides hat, kann beitreten und den ganzen Verlauf lesen; die Wörter allein öffnen nichts.
invited_welcome = Die Wörter auf einem Weg übergeben, { $file } auf einem anderen. Wer beides hat, kann beitreten und den ganzen Verlauf lesen; die Wörter allein öffnen nichts.
written_down = Die Wörter zur Wiederherstellung sind nicht mehr auf diesem Gerät.
no_recovery_words = Dieses Gerät hat keine Wörter zur Wiederherstellung dieses Instruments: sie sind aufgeschrieben, oder ein anderes Gerät hat sie erzeugt.
recovery_hint = Diese zwölf Wörter auf Papier schreiben, dann: fallaway recovery-words --written-down. Sind alle Geräte verloren, verwaltet mit ihnen und einem Bündel ein neues Gerät alles. Wer sie hat, steht über allen, die verwalten.
recovered = „{ $name }“ ist hier, und dieses Gerät verwaltet alles. Die alten Wörter zur Wiederherstellung gelten nicht mehr; die neuen:
recovered_next = Den anderen ein Bündel schicken, damit sie es wissen: fallaway bundle out DATEI
nobody_asks = Kein Gerät verlangt eine neuere Version: die Akte kann geschrieben werden.
written_anyway = Die Forderung nach einer neueren Version ist aufgehoben: diese Version schreibt die Akte wieder. Was eine neuere Version schrieb, bleibt. Bitte ein Bündel schicken, damit auch die anderen schreiben können.
removed = { $fingerprint } ist entfernt: was ab jetzt geschrieben wird, ist mit einem neuen Schlüssel verschlüsselt. Bitte den anderen ein Bündel schicken, damit auch sie es wissen.
left = Dieses Gerät hat die Akte verlassen. Was hier ist, bleibt bis `fallaway forget`; bitte ein Bündel schicken, damit die anderen es wissen.
withdrawn = Die Einladung { $invitation } lässt niemanden mehr herein. Bitte ein Bündel schicken, damit die anderen es wissen.
no_invitations = Keine offenen Einladungen.
head_invitations = Einladung | darf | von | bis
nothing_held = Nichts wird zurückgehalten.
held = { $device } ({ $fingerprint }): { $entries ->
    [one] ein Eintrag
   *[other] { $entries } Einträge
  }, { $values ->
    [one] ein Wert
   *[other] { $values } Werte
  }: { $why }
held_hint = Ein Gerät, das alles verwaltet, nimmt es mit `fallaway accept-held GERÄT` auf; sonst bleibt es neben der Akte.
held_ask = Zwei Geräte schreiben unter dem Namen von { $device }. Was jetzt aufgenommen wird, ersetzt, was das andere geschrieben hat, bis dessen Gerät ein Bündel von hier liest und es noch einmal schreibt. Sind beide in Gebrauch, ist nichts zu tun: jedes schreibt das Seine von selbst neu.
role_given = { $fingerprint } darf ab jetzt: { $role }. Bitte ein Bündel schicken, damit die anderen es erfahren.
not_words = das sind keine Wörter: es ist kein Text
invitation = „{ $name }“: Beitritt bis { $expires } möglich, Recht: { $role }.
compare = Mit dem Bildschirm der Person vergleichen, von der die Einladung kommt (fallaway people): { $inviter }
joined = „{ $name }“ beigetreten, Recht: { $role }.
joined_next = Ein eigenes Bündel zurückschicken, damit die anderen dieses Gerät kennen: fallaway bundle out DATEI
joined_sync = Ein Relais trägt diese Akte: fallaway sync. Noch einmal, sobald jemand von den anderen sich mit dem Relais ausgetauscht hat: dann ist der ganze Verlauf da.
whole_record = Die ganze Akte steht in { $file } ({ $size }), verschlüsselt für die Beteiligten dieses Instruments.
what_is_new = Was jemand vielleicht noch nicht hat, steht in { $file } ({ $size }), verschlüsselt für die Beteiligten dieses Instruments.
bytes = { $count } Byte
kilobytes = { $count } kB
some_refused = { $file }: { $count ->
    [one] eines der Bündel wurde abgelehnt; die übrigen sind eingelesen
   *[other] { $count } der Bündel wurden abgelehnt; die übrigen sind eingelesen
  }
of_file = { $file }: { $why }
too_large = { $file } hat { $bytes } Byte; möglich: bis { $most }
merged = Eingelesen in „{ $name }“
person_joined = { $person } ist beigetreten
from = von { $by }: { $what }
values = { $count ->
    [one] 1 Wert
   *[other] { $count } Werte
  }
crossed_out = { $count } gestrichen
nothing_new = nichts Neues
unnamed = Zusammengeführt; der Name des Instruments ist noch nicht da
waiting_of = { $count ->
    [one] eine Änderung wartet auf Früheres von { $whose }
   *[other] { $count } Änderungen warten auf Früheres von { $whose }
  }
waiting_unknown = { $count ->
    [one] eine Änderung wartet: noch ist hier nicht bekannt, wer sie geschrieben hat
   *[other] { $count } Änderungen warten: noch ist hier nicht bekannt, wer sie geschrieben hat
  }
waiting_ask = { $what }. Nichts ist verloren. { $whom } um die ganze Akte bitten: fallaway bundle out DATEI
nothing_arrived = Das Instrument selbst ist noch nicht angekommen. Wer eingeladen hat, schickt die ganze Akte: fallaway bundle out DATEI
waiting_ask_anybody = { $what }. Nichts ist verloren. Wer eingeladen hat, gibt die ganze Akte: fallaway bundle out DATEI
copied = { $device } wurde kopiert: zwei Geräte schreiben unter seinem Namen. Was eines davon schrieb, liegt neben der Akte, bis es das noch einmal schreibt; bitte das Gerät entfernen, das es nicht geben soll.
set_aside = beiseitegelegt, zählt nicht: { $reason }
refused = abgelehnt { $bundle }: { $reason }
conflict = zwei Werte, { $field }: { $values }
value_by = { $value } ({ $by })
both_kept = Beide bleiben, bis jemand wählt: fallaway two-values
no_conflict = Keine widersprüchlichen Werte.
place = { $number }  { $field }
meanwhile = gilt bis zur Entscheidung
settle_hint = Wählen: fallaway settle STELLE WERT, zum Beispiel: fallaway settle 1 2
nothing_to_settle = nichts hat zwei Werte
no_place = es gibt keine Stelle { $place }; möglich: { $accepted }
no_value = { $field } hat keinen Wert { $value }; möglich: 1 bis { $count }
settled = Entschieden: { $field }: { $value } ({ $by }).
no_relay = Kein Relais trägt dieses Instrument: die Geräte tauschen Bündeldateien aus. Eines nennen: fallaway relay set ADRESSE
relay = Relais { $address }: { $waits }
not_exchanged = { $why } ({ $waits })
so_far = { $done } von { $total } { $total ->
    [one] Bündel
   *[other] Bündeln
  }
no_certificate = { $file } enthält kein Zertifikat; möglich: eine Datei, die mit -----BEGIN CERTIFICATE----- beginnt
no_admission_code = { $file } enthält keinen Zulassungscode; möglich: ein Wort aus Buchstaben, Ziffern und Zeichen, ohne Umlaute und Leerzeichen
nothing_unsent = Nichts Neues, und noch teilt niemand sonst das Instrument.
nothing_unsent_for = Nichts Neues für { $names }: dort ist alles, was hier ist.
meet_how = ein Gerät wartet: fallaway meet --listen; das andere geht hin: fallaway meet ADRESSE --code ZIFFERN
listening = Warten auf das andere Gerät im selben Netz. Dort eingeben:
cannot_listen = an { $address } kann nicht gewartet werden: { $reason }
cannot_reach = { $address } antwortet nicht: { $reason }
somebody_else = Jemand war da: { $why }. Es wird weiter gewartet.
too_many_knocks = niemand kam, der die Ziffern kennt; für neue Ziffern noch einmal beginnen: fallaway meet --listen
code_of = Code { $number } von { $count }
codes_next = Der erste Code sind die Wörter, die anderen der Willkommensbrief. Wer alle gesehen hat, tritt bei; der Verlauf kommt mit einem Bündel, über das Relais oder bei einem Treffen.
no_code = das ist zu viel für einen Code
