# Zahlen, Einheiten, Messgrößen, Orte, Werkzeuge.

written = { $text }
row = { $list }
number = { $number }
as_entered = { $amount }
moment = { $moment }
day = { $day }
moment_format = %d.%m.%Y %H:%M
day_format = %d.%m.%Y
list_and = { $front } und { $last }
list_or = { $front } oder { $last }
decimal_sign = ,
amount = { $unit ->
    [mm] { $number } mm
    [in] { $number } Zoll
    [thou] { $number } thou
    [cent] { $form ->
        [one] { $number } Cent
       *[many] { $number } Cent
    }
    [hertz] { $number } Hz
    [percent] { $number } %
    [celsius] { $number } °C
    [fahrenheit] { $number } °F
    [newton] { $number } N
    [degree] { $number }°
    [turn] { $form ->
        [one] { $number } Umdrehung
       *[many] { $number } Umdrehungen
    }
   *[newer] { $number } in einer Einheit einer neueren Version ({ $code })
}
less_than = weniger als { $amount }
in_other_words = { $shown } ({ $other })

at_most = höchstens { $amount }
at_least = mindestens { $amount }
between = { $low } bis { $high }

action_open = Saitenlage am { $over }. Bund, leere Saite
action = Saitenlage am { $over }. Bund, gegriffen am { $stopped }. Bund
nut_open = Sattelhöhe am { $over }. Bund, leere Saite
nut = Sattelhöhe am { $over }. Bund, gegriffen am { $stopped }. Bund
relief = Halskrümmung, gegriffen am { $from }. und { $to }. Bund
relief_at = Halskrümmung am { $at }. Bund, gegriffen am { $from }. und { $to }. Bund
fall_away = Griffbrettabfall am { $at }. Bund, Lineal auf dem { $from }. bis { $to }. Bund
pitch = Tonhöhe
intonation = Oktavreinheit am { $fret }. Bund
spacing_bridge = Saitenabstand am Steg
spacing_nut = Saitenabstand am Sattel
bridge_height = Höhe des Stegs über der Decke, am Bolzen
bridge_tail = Höhe der Steghinterkante über der Decke
pickup_open = Höhe von Tonabnehmer { $pickup }, leere Saite
pickup = Höhe von Tonabnehmer { $pickup }, gegriffen am { $stopped }. Bund
quantity_newer = eine Messgröße einer neueren Version ({ $code })

string_number = { $place }
string_label = { $place } ({ $note })
string = Saite { $label }
strings_all = alle Saiten
strings = { $count ->
    [one] Saite { $labels }
   *[other] Saiten { $labels }
}
# Im Deutschen heißt der Ton unter C H, der Halbton darunter B.
note = { $accidental ->
    [double_flat] { $letter ->
        [A] Asas
        [B] Heses
        [E] Eses
       *[other] { $letter }eses
    }
    [flat] { $letter ->
        [A] As
        [B] B
        [E] Es
       *[other] { $letter }es
    }
    [sharp] { $letter ->
        [B] His
       *[other] { $letter }is
    }
    [double_sharp] { $letter ->
        [B] Hisis
       *[other] { $letter }isis
    }
   *[natural] { $letter ->
        [B] H
       *[other] { $letter }
    }
}
note_octave = { $letter }{ $octave }{ $cents }
side = { $side ->
    [bass] Bassseite
   *[treble] Diskantseite
}
location_newer = ein Ort einer neueren Version ({ $code })
dimension = { $dimension ->
    [length] eine Länge
    [interval] ein Intervall in Cent
    [frequency] eine Frequenz
    [share] ein Prozentwert
    [temperature] eine Temperatur
    [force] eine Kraft
    [rotation] eine Drehung
   *[newer] etwas, das eine neuere Version geschrieben hat
}

tool = { $kind ->
    [rule] Stahllineal { $graduation }
    [feeler] Fühlerlehre { $graduation }
    [caliper] Messschieber { $graduation }
    [dial] Messuhr { $graduation }
    [tuner] Stimmgerät { $graduation }
   *[newer] Werkzeug einer neueren Version ({ $code }), { $graduation }
}
tool_kind = { $kind ->
    [rule] Stahllineal
    [feeler] Fühlerlehre
    [caliper] Messschieber
    [dial] Messuhr
    [tuner] Stimmgerät
    [none] Werkzeug
   *[newer] Werkzeug einer neueren Version ({ $code })
}

turns = { $size ->
    [more] { $turns } Umdrehungen
   *[part] { $turns } Umdrehung
}
turns_clockwise = { $size ->
    [more] { $turns } Umdrehungen im Uhrzeigersinn
   *[part] { $turns } Umdrehung im Uhrzeigersinn
}
turns_anticlockwise = { $size ->
    [more] { $turns } Umdrehungen gegen den Uhrzeigersinn
   *[part] { $turns } Umdrehung gegen den Uhrzeigersinn
}
turns_under = { $direction ->
    [clockwise] weniger als 1/8 Umdrehung im Uhrzeigersinn
    [anticlockwise] weniger als 1/8 Umdrehung gegen den Uhrzeigersinn
   *[unknown] weniger als 1/8 Umdrehung
}

fret_open = leer
fret = { $fret }. Bund
frets = { $from }. bis { $to }. Bund
frets_from_open = leer bis { $to }. Bund
