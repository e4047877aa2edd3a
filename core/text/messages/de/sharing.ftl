### Wenn Geräte sich treffen, und was ein Gerät von selbst meldet.

aside = { $why ->
    [invitation] die Einladung ihres Urhebers ist noch nicht eingetroffen
    [missing] Änderungen, auf denen sie aufbaut, sind noch nicht eingetroffen
    [newer] sie braucht eine neuere Version von Fallaway
    [reader] ihr Urheber darf nur lesen
    [removed] sie kam erst an, als ihr Urheber nicht mehr schreiben durfte
    [fork] ihr Gerät wurde kopiert: die Kopie hat an ihrer Stelle eine andere Änderung geschrieben
    [behind] sie baut auf einer Änderung auf, die zurückgehalten wird
   *[rule] sie verletzt eine Regel der Akte
}
not_kept = { $count ->
    [one] eine Änderung wurde
   *[other] { $count } Änderungen wurden
  } nicht behalten: mehr als { $most } einer Person würden neben dieser Akte warten; bitte zuerst die Bündel einlesen, auf die sie warten, dann diese noch einmal
stranger = sie ist vom Gerät { $device } signiert, das an dieser Akte nicht beteiligt ist
has_all = hat alles, was hier ist
has_until = hat alles bis { $until }; von { $not_known ->
    [one] einer Änderung
   *[other] { $not_known } Änderungen
  } ist nicht bekannt, ob sie dort ist
has_unknown = es ist nicht bekannt, was es hat
second_use = { $who } ({ $fingerprint }) kam mit der Einladung, die { $used_by } schon benutzt hatte, und ist nicht dabei. Ist das Gerät bekannt, neu einladen; wenn nicht, hat noch jemand die Wörter gesehen: niemanden mehr damit einladen.
not_let_in = Dieses Gerät ist nicht dabei: { $used_by } hatte die Einladung vorher benutzt. { $invited_by } um eine neue bitten und sie hier annehmen; es geht nichts verloren.
newer_kind = es ist von der Art { $kind }, die eine neuere Version schreibt; bitte nach einer Aktualisierung noch einmal einlesen
people_founded = { $who } hat diese Akte begonnen
people_added = { $who } hat { $whom } aufgenommen, mit dem Recht, { $role ->
    [owner] alles zu verwalten
    [contributor] zu lesen und zu schreiben
   *[viewer] zu lesen
  }
people_invited = { $who } hat { $own_device ->
    [yes] ein weiteres eigenes Gerät
   *[no] jemanden
  } eingeladen, mit dem Recht, { $role ->
    [contributor] zu lesen und zu schreiben
   *[viewer] zu lesen
  }
people_withdrew = { $who } hat eine Einladung zurückgezogen
people_joined = { $who } ist auf Einladung von { $invited_by } beigetreten, mit dem Recht, { $role ->
    [contributor] zu lesen und zu schreiben
   *[viewer] zu lesen
  }
people_gave_role = { $who } hat { $whom } das Recht gegeben, { $role ->
    [owner] alles zu verwalten
    [contributor] zu lesen und zu schreiben
   *[viewer] nur zu lesen
  }
people_removed = { $who } hat { $whom } entfernt
people_removed_since = { $who } hat { $whom } entfernt: { $reason }
people_left = { $who } hat die Akte verlassen
people_took_in = { $who } hat Zurückgehaltenes aufgenommen
people_renewed_words = { $who } hat neue Wörter zur Wiederherstellung erzeugt
people_by_words = jemand mit den Wörtern zur Wiederherstellung
people_device_of = { $device } ({ $person })
needs_version = die Akte verlangt Version { $version } ihres Formats; eine neuere Version von Fallaway kann sie schreiben
version_asked = { $who } verlangt Version { $version } des Formats der Akte; eine neuere Version von Fallaway kann sie schreiben, und ein Gerät, das alles verwaltet, kann trotzdem schreiben

notice_newer = Die Datenbank hat eine neuere Version von Fallaway geschrieben (Schema { $found }; diese schreibt { $supported }): sie lässt sich lesen, nicht ändern.
notice_damage = Ein beschädigter Teil wurde beiseitegelegt: { $part } ({ $name }). Der Rest ist in Gebrauch; ein eingelesenes Bündel bringt den fehlenden Teil zurück.
damaged_part = { $part ->
    [file] die Datei der Datenbank oder Seiten davon
    [snapshot] der neueste Stand einer Akte
    [change] eine Änderung
    [signature] eine Signatur
    [draft] eine Zeile, die noch keine Änderung war
    [member] eine Beteiligung
    [epoch_key] ein Schlüssel einer Akte
    [writer] die Nummern eines Schreibers
    [projection] eine vorbereitete Ansicht
    [outgoing] ein Bündel auf dem Weg hinaus
    [meta] eine Notiz der Datenbank
    [record] eine Akte
    [last_writes] die Liste der letzten Einträge
    [photo] ein Teil eines Fotos
   *[newer] etwas, das eine neuere Version geschrieben hat
}
notice_keys_gone = Die Schlüssel dieses Geräts sind weg, es hat darum eine neue Identität: Akten lassen sich lesen; teilen kann es sie erst nach einer neuen Einladung.
notice_other_keys = Die Schlüssel hier gehören nicht zu dem Gerät, das diese Datenbank geschrieben hat. Bitte dessen eigene Schlüssel zurücklegen; bis dahin lassen sich Akten lesen; teilen kann dieses Gerät sie erst nach einer neuen Einladung.
notice_keys_damaged = Ein Teil der Schlüssel dieses Geräts ist beschädigt: es schreibt als neuer Schreiber weiter und bekommt, was fehlt, wenn es die anderen trifft.
notice_records_gone = Dieses Gerät hat früher Akten geschrieben, die in der Datenbank nicht mehr stehen. Bitte die Datei zurücklegen oder das Gerät neu einladen lassen: es schreibt als neuer Schreiber weiter und bekommt, was fehlt, wenn es die anderen trifft.
notice_restored = Die Datenbank wurde aus einer Kopie wiederhergestellt: dieses Gerät schreibt als neuer Schreiber weiter und bekommt, was fehlt, wenn es die anderen trifft.
notice_copied = Ein zweites Gerät schreibt als dieses: es wurde kopiert, oder eine Sicherung von ihm ist in Gebrauch. Dieses Gerät schreibt als neuer Schreiber weiter und hat seine eigenen Einträge noch einmal geschrieben; das andere bitte entfernen.
notice_new_writer = Ein Bündel brachte Einträge dieses Geräts, die seine Datenbank nicht hatte: es schreibt als neuer Schreiber weiter.
secret = { $name ->
    [device_seed] der eigene Schlüssel des Geräts: { $reason }
    [incarnation] das Kennzeichen des Geräts: { $reason }
   *[sealed] die Zählung der Änderungen des Geräts: { $reason }
}
secret_size = { $found } Byte statt { $expected }
