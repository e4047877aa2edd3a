# Angaben zum Instrument: wo sie stehen, und ihre Werte.

at_string = { $fact } von { $string }
screw = { $screw ->
    [rod] Mutter des Halsspannstabs
    [saddle_height] Höhenschrauben der Reiter
    [saddle_position] Schrauben für die Oktavreinheit
    [bridge_post] Stegbolzen
    [pickup] Tonabnehmerschrauben
   *[spring_claw] Schrauben der Federkralle
}
field_newer = eine Angabe einer neueren Version ({ $key })

newer = von einer neueren Version geschrieben
removed = entfernt
nothing_known = nichts eingetragen
template = { $template ->
    [bass-4] viersaitiger Bass
    [bass-5] fünfsaitiger Bass
    [bass-6] sechssaitiger Bass
    [bass-5-fanned] fünfsaitiger Bass mit Fächerbünden
    [bass-4-short] viersaitiger Bass, kurze Mensur
    [bass-4-medium] viersaitiger Bass, mittlere Mensur
    [guitar-6] sechssaitige Gitarre
    [guitar-7] siebensaitige Gitarre
    [guitar-8] achtsaitige Gitarre
    [guitar-6-short] sechssaitige Gitarre, kurze Mensur
    [guitar-6-fanned] sechssaitige Gitarre mit Fächerbünden
    [guitar-7-fanned] siebensaitige Gitarre mit Fächerbünden
    [guitar-12] zwölfsaitige Gitarre
    [baritone-6] Baritongitarre
    [acoustic-6] akustische Gitarre, Stahlsaiten
    [acoustic-12] zwölfsaitige akustische Gitarre
    [classical-6] klassische Gitarre
    [mandolin-8] Mandoline
    [ukulele-soprano] Sopran-Ukulele
    [ukulele-concert] Konzert-Ukulele
    [ukulele-tenor] Tenor-Ukulele
   *[other] { $id }
}
none = keine
yes_no = { $yes ->
    [yes] ja
   *[no] nein
}
family_kind = { $family ->
    [bass] Bass
    [guitar] Gitarre
   *[other] Bundinstrument
}
strings_count = { $strings ->
    [one] 1 Saite
   *[other] { $strings } Saiten
}
courses_count = { $courses ->
    [one] 1 Chor, { $strings } Saiten
   *[other] { $courses } Chöre, { $strings } Saiten
}
core = Kern { $amount }
pack_tension = { $amount } laut Packung
construction = { $kind ->
    [plain] blank
    [round] rund umsponnen
    [half] halbrund geschliffen
    [flat] flach umsponnen
    [tape] mit Band umsponnen
    [polymer] Kunststoff
   *[newer] von einer Bauart, die eine neuere Version kennt
}
unit_weight = { $unit ->
    [pound_per_inch] { $value } lb/in
    [gram_per_metre] { $value } g/m
   *[newer] { $value } in einer Einheit einer neueren Version
}
scale_fanned = { $bass } auf der Bassseite, { $treble } auf der Diskantseite
scale_of = { $string }: { $amount }
fretless = bundlos
frets_count = { $count ->
    [one] 1 Bund
   *[other] { $count } Bünde
}
frets_high = { $count ->
    [one] 1 Bund, Bundstäbchen { $height } hoch
   *[other] { $count } Bünde, Bundstäbchen { $height } hoch
}
joint_fret_at = { $fret }. Bund, { $uncertain ->
    [0] wo der Hals sich nicht mehr biegt
    [one] auf 1 Bund genau
   *[other] auf { $uncertain } Bünde genau
}
flat = flach
radius = { $radius }
compound = { $nut } am Sattel, { $last_fret } am letzten Bund
nut_kind = { $kind ->
    [slotted] gekerbter Sattel
    [zero_fret] Nullbund
    [locking] Klemmsattel
    [compensated] kompensierter Sattel
    [roller] Rollensattel
   *[newer] ein Sattel, den eine neuere Version kennt
}
own_saddles = { $screws ->
    [one] Einzelreiter mit je 1 Höhenschraube
   *[other] Einzelreiter mit je { $screws } Höhenschrauben
}
shared_saddles = gemeinsame Reiter: { $saddles }
two_posts = auf zwei Bolzen
fixed = feste Höhe
floating = schwebend
on_posts = dazu auf zwei Bolzen
intonation_by = { $by ->
    [own] Oktavreinheit an jedem Reiter einstellbar
    [shared] Oktavreinheit an gemeinsamen Reitern einstellbar
    [whole] Oktavreinheit durch Verschieben des ganzen Stegs einstellbar
    [fixed] Oktavreinheit nicht einstellbar
   *[newer] Oktavreinheit, wie eine neuere Version sie kennt
}
sideways = { $yes ->
    [yes] Reiter seitlich verstellbar
   *[no] Reiter nicht seitlich verstellbar
}
thread_pitch = { $pitch } je Umdrehung
clockwise = { $screw ->
    [rod] { $way ->
        [more] im Uhrzeigersinn mehr Halskrümmung
        [less] im Uhrzeigersinn weniger Halskrümmung
       *[newer] im Uhrzeigersinn: von einer neueren Version geschrieben
    }
    [saddle_height] { $way ->
        [more] im Uhrzeigersinn geht der Reiter höher
        [less] im Uhrzeigersinn geht der Reiter tiefer
       *[newer] im Uhrzeigersinn: von einer neueren Version geschrieben
    }
    [saddle_position] { $way ->
        [more] im Uhrzeigersinn geht der Reiter zurück
        [less] im Uhrzeigersinn geht der Reiter nach vorn
       *[newer] im Uhrzeigersinn: von einer neueren Version geschrieben
    }
    [bridge_post] { $way ->
        [more] im Uhrzeigersinn geht der Steg höher
        [less] im Uhrzeigersinn geht der Steg tiefer
       *[newer] im Uhrzeigersinn: von einer neueren Version geschrieben
    }
    [pickup] { $way ->
        [more] im Uhrzeigersinn geht der Tonabnehmer höher
        [less] im Uhrzeigersinn geht der Tonabnehmer tiefer
       *[newer] im Uhrzeigersinn: von einer neueren Version geschrieben
    }
   *[spring_claw] { $way ->
        [more] im Uhrzeigersinn mehr Federspannung
        [less] im Uhrzeigersinn weniger Federspannung
       *[newer] im Uhrzeigersinn: von einer neueren Version geschrieben
    }
}
key = Schlüssel: { $key }
rod_kind = { $kind ->
    [absent] kein verstellbarer Halsspannstab
    [one_way] einfach wirkender Halsspannstab
    [two_way] doppelt wirkender Halsspannstab
   *[newer] ein Halsspannstab, den eine neuere Version kennt
}
rod_access = { $access ->
    [head] Zugang an der Kopfplatte
    [heel] Zugang am Halsfuß
   *[newer] Zugang, wie eine neuere Version ihn kennt
}
neck_joint_kind = { $kind ->
    [bolt_on] geschraubt
    [glued] geleimt
    [through] durchgehend
   *[newer] wie eine neuere Version es kennt
}
count = { $count }
hand = { $hand ->
    [right] Rechtshänder
    [left] Linkshänder
   *[newer] wie eine neuere Version es kennt
}
order = { $order ->
    [usual] übliche Reihenfolge
    [reversed] umgekehrte Reihenfolge
   *[newer] wie eine neuere Version es kennt
}

setup = Setup { $setup }
setup_deleted = { $deleted ->
    [yes] gelöscht
   *[no] nicht gelöscht
  }
setup_name = Name des Setups { $setup }
setup_target = { $setup }: { $quantity }
setup_target_at = { $setup }: { $quantity }, { $location }
target = { $wanted } ± { $tolerance }
