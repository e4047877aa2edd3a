# Instrumente, ihre Angaben, ihr Verlauf, und wie dieses Gerät heißt.
head_templates = Vorlage | Art | beginnt mit
templates_hint = Anlegen: fallaway add VORLAGE NAME; dann berichtigen, was abweicht: fallaway set
added = „{ $name }“ angelegt. Die Angaben dazu: fallaway show
added_as = Andere sehen dieses Gerät als „{ $label }“.
no_instruments = Noch kein Instrument. Anfang: `fallaway templates` und `fallaway add VORLAGE NAME`.
none_archived = Auf diesem Gerät ist nichts weggelegt.
renamed = „{ $name }“ heißt jetzt „{ $new_name }“.
archived = „{ $name }“ ist weggelegt und steht nicht mehr in der Liste dieses Geräts. Zurückholen: fallaway archive --back „{ $name }“
brought_back = „{ $name }“ steht wieder in der Liste.
head_list = Instrument | letzter Eintrag | anzusehen
list_next = als Nächstes: { $step }
list_drafted = offener Entwurf
list_unsent = { $count } nicht verschickt
list_contested = { $count ->
    [one] zwei Werte an einer Stelle
   *[other] zwei Werte an { $count } Stellen
  }
list_waiting = { $count ->
    [one] eine Änderung wartet auf etwas, das noch nicht da ist
   *[other] { $count } Änderungen warten auf etwas, das noch nicht da ist
  }
list_aside = { $count ->
    [one] eine Änderung liegt neben der Akte: fallaway held
   *[other] { $count } Änderungen liegen neben der Akte: fallaway held
  }
list_unnamed = (noch nichts angekommen)
two_values_hint = { $places }: fallaway two-values
newer_facts = { $count ->
    [one] und eine Angabe einer neueren Version
   *[other] und { $count } Angaben einer neueren Version
  }
read_only = Nur lesbar: { $reason }
visit_open = Ein Termin ist offen: { $purpose }
state = Stand der Akte: { $state }
me = Andere sehen dieses Gerät als „{ $label }“.
fingerprint = Fingerabdruck seines Schlüssels: { $fingerprint }
me_wrong = ein Name hat 1 bis 40 Zeichen: „tech“, „player“
forget_ask = Das löscht „{ $name }“ mit dem ganzen Verlauf von diesem Gerät. Was sonst niemand hat, ist verloren; die Geräte der anderen behalten ihren Stand.
forget_wrong = „{ $name }“ gibt es hier nicht; zum Löschen den vollen Namen angeben
forgotten = „{ $name }“ ist von diesem Gerät gelöscht.

head_facts = Angabe | Beispiel | Bedeutung
unset = { $fact }: nicht mehr bekannt
joint_why = Das ± gilt nicht für diesen Bund: der Hals biegt sich nur bis vor den Korpus, etwa bis zum { $stops }. Bund ± { $by }, je nach Halsfuß. Wenn die Stelle bekannt ist: fallaway set joint "{ $stops } ± 0"
set = { $fact }: { $value }

no_entries = Noch kein solcher Eintrag.
crossed_out_because = gestrichen ({ $reason }): { $what }
replaced = durch eine spätere Bemerkung ersetzt: { $what }
taken_back = Zurückgenommen: { $what }
made_again = Wieder eingetragen: { $what }
reason_missing = den Grund angeben: fallaway cross-out EINTRAG "Grund"
crossed_out = Gestrichen ({ $reason }): { $what }
erased = Zurückgenommen, niemand hatte es gesehen: { $what }
copied = „{ $new_name }“ hat die Angaben und Sollwerte von „{ $name }“; sein Verlauf beginnt jetzt.
none_called = Kein Instrument hat „{ $text }“ im Namen. Alles durchsuchen, was geschrieben wurde: fallaway search „{ $text }“
