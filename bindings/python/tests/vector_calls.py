"""From the call of a golden vector and what is given to what the library answers, field by field.

`tests/vectors/README.md` says what each call takes and answers.
"""

from __future__ import annotations

import base64
from typing import Any, Callable

import fallaway as f
from errors_met import kind

Given = dict[str, Any]
Answer = dict[str, Any]


def exact(value: float) -> f.Uncertain:
    return f.Uncertain(value=value, standard_uncertainty=0.0)


def estimate(found: f.Uncertain) -> Answer:
    return {"value": found.value, "standard_uncertainty": found.standard_uncertainty}


def neck(g: Given) -> f.NeckShape:
    return f.NeckShape(
        scale_mm=g["scale_mm"],
        frets=g["frets"],
        joint_fret=g["joint_fret"],
        joint_uncertainty_frets=0.0,
        set_back_mm=g.get("set_back_mm") or 0.0,
        crown_heights_mm=[],
    )


def relief_way(g: Given) -> f.ReliefWay:
    return f.ReliefWay(from_fret=1, to_fret=g["frets"], at_fret=None)


def nut_way(held_at_3: bool | None) -> f.NutWay:
    return f.NutWay.HELD_AT3_OVER1 if held_at_3 else f.NutWay.OPEN_OVER1


def readings(g: Given) -> f.NeckReadings:
    return f.NeckReadings(
        relief=exact(g["relief_mm"]),
        relief_way=relief_way(g),
        action=exact(g["action_mm"]),
        action_stopped=g["action_stopped"],
        action_over=g["action_over"],
        nut=exact(g["nut_mm"]),
        nut_way=nut_way(g.get("nut_held_at_3")),
    )


def board(g: Given) -> f.BoardShape:
    if g.get("radius_mm") is not None:
        return f.BoardShape.CYLINDER(radius_mm=g["radius_mm"])
    return f.BoardShape.COMPOUND(
        first_at_mm=g["first_at_mm"],
        first_radius_mm=g["first_radius_mm"],
        second_at_mm=g["second_at_mm"],
        second_radius_mm=g["second_radius_mm"],
    )


def path(g: Given, nut: float, saddle: float) -> f.StringPath:
    return f.StringPath(
        scale_mm=g["scale_mm"], frets=g["frets"], nut_offset_mm=nut, saddle_offset_mm=saddle
    )


def make(g: Given) -> f.StringMake:
    match g["make"]:
        case "plain":
            return f.StringMake.PLAIN(diameter_mm=g["diameter_mm"], density_kg_m3=None)
        case "round_wound":
            layers = [f.WindingLayer(wire_mm=wire, density_kg_m3=None) for wire in g["wires_mm"]]
            return f.StringMake.ROUND_WOUND(
                core_mm=g["core_mm"], core_density_kg_m3=None, layers=layers
            )
        case _:
            return f.StringMake.PACK_UNIT_WEIGHT(lb_per_in=g["lb_per_in"])


def model(g: Given) -> f.IntonationModel:
    with_tension = g.get("stiffness_with_tension")
    follows = f.StiffnessFollows
    return f.IntonationModel(
        scale_mm=g["scale_mm"],
        nut_height_mm=g["nut_height_mm"],
        saddle_rise_mm=g["saddle_rise_mm"],
        tension_per_stretch=g["tension_per_stretch"],
        stiffness_ratio=g["stiffness_ratio"],
        ends=f.EndsHeld[g["ends"].upper()],
        stiffness_follows=follows.LENGTH_AND_TENSION if with_tension else follows.LENGTH,
    )


def pluck_direction(g: Given) -> f.PluckDirection:
    away = g.get("away_from_board")
    return f.PluckDirection.AWAY_FROM_BOARD if away else f.PluckDirection.TOWARD_BOARD


FORMS = {
    f.ReadingKind.EXACT: "value",
    f.ReadingKind.AT_MOST: "at most",
    f.ReadingKind.AT_LEAST: "at least",
    f.ReadingKind.BETWEEN: "between",
}


def saddle_move(g: Given) -> Answer:
    read = f.Uncertain(
        value=g["read_mm"], standard_uncertainty=g.get("read_uncertainty_mm") or 0.0
    )
    return estimate(f.saddle_move_mm(neck(g), g["stopped"], g["over"], read, g["wanted_mm"]))


def board_hump(g: Given) -> Answer:
    one = path(g, g["nut_offset_mm"], g["saddle_offset_mm"])
    found = f.board_hump(board(g), one)
    return {"gap_mm": found.gap_mm, "fret": found.fret}


def saddle_heights(g: Given) -> Answer:
    ends = zip(g["nut_offsets_mm"], g["saddle_offsets_mm"], strict=True)
    paths = [path(g, nut, saddle) for nut, saddle in ends]
    wanted = g["wanted_mm"]
    return {"value": f.saddle_heights_mm(board(g), paths, g["stopped"], g["over"], wanted)}


def screw_thread(g: Given) -> Answer:
    found = f.screw_thread(g["designation"])
    names = ("pitch_mm", "pitch_diameter_mm", "minor_diameter_mm")
    return {name: getattr(found, name) for name in names}


def turns_for_rise(g: Given) -> Answer:
    raises = g.get("raises") and f.TurnDirection[g["raises"].upper()]
    rounding = f.TurnRounding.SHORT_OF if g.get("short_of") else f.TurnRounding.NEAREST
    found = f.turns_for_rise(g["rise_mm"], g["pitch_mm"], raises, rounding)
    return {
        "eighths": found.turn.eighths,
        "direction": found.turn.direction and found.turn.direction.name.lower(),
        "gives_mm": found.gives_mm,
        "left_over_mm": found.left_over_mm,
        "text": found.turn.text,
    }


def nearest_note(g: Given) -> Answer:
    found = f.nearest_note(g["frequency_hz"], g["a4_hz"], False)
    return {"note": found.note.name, "cents": found.cents}


def plain_string_stress(g: Given) -> Answer:
    found = f.plain_string_stress(g["scale_mm"], g["frequency_hz"], g.get("gauge_mm"))
    return {
        "stress_gpa": found.stress_gpa,
        "limit_gpa": found.limit_gpa,
        "refused": found.refused,
    }


def predict_set_back(g: Given) -> Answer:
    aim: f.SetBackAim
    if g.get("with_nut"):
        aim = f.SetBackAim.SADDLE_AND_NUT_UP_TO(fret=g["fret"])
    else:
        aim = f.SetBackAim.SADDLE_FOR_FRET(fret=g["fret"])
    found = f.predict_set_back(model(g), aim)
    names = ("saddle_mm", "nut_mm", "rms_cents", "rms_with_open_cents")
    return {name: getattr(found, name) for name in names}


def swing(g: Given) -> Answer:
    depth = f.ideal_swing_depth_mm(
        g["stopped_length_mm"],
        g["from_saddle_mm"],
        g["tension_n"],
        g["force_n"],
        pluck_direction(g),
        g["place_from_saddle_mm"],
    )
    return {"value": depth}


def clearance_of_numbers(g: Given) -> Answer:
    string = f.StringNumbers(
        name="string",
        neck=neck(g),
        frequency_hz=g["frequency_hz"],
        tension_n=g["tension_n"],
        inharmonicity=g["inharmonicity"],
        relief=exact(g["relief_mm"]),
        relief_way=relief_way(g),
        action=exact(g["action_mm"]),
        action_stopped=g["action_stopped"],
        action_over=g["action_over"],
        open_over_1_mm=None,
    )
    touch = f.Touch(
        force_n=g["force_n"],
        direction=pluck_direction(g),
        from_saddle_mm=g["from_saddle_mm"],
        spare_mm=0.0,
    )
    rise = g.get("what_if_saddle_rise_mm")
    what_if = f.ClearanceWhatIf(
        relief_mm=g.get("what_if_relief_mm"), saddle_rises_mm=[] if rise is None else [rise]
    )
    (found,) = f.clearance_of_numbers([string], touch, what_if, False).strings
    return {
        "buzzes": found.buzzes,
        "smallest_margin_mm": found.smallest.margin_mm,
        "first_stopped_fret": found.smallest.stopped_fret,
        "first_over_fret": found.smallest.over_fret,
        "lowest_clean_action_mm": found.lowest_clean and found.lowest_clean.action_mm,
        "best_relief_mm": found.best_relief and found.best_relief.relief_mm,
        "best_relief_action_mm": found.best_relief and found.best_relief.action_mm,
        "hardest_touch_n": found.hardest_touch and found.hardest_touch.force_n,
        "action_mm": found.action_mm,
    }


def parse_reading(g: Given) -> Answer:
    relief = f.Quantity.relief(1, 12)
    quantity = f.Quantity.PITCH if g["measures"] == "interval" else relief
    label = g.get("tool")
    read = f.parse_reading(g["text"], quantity, f.Tool.OTHER(label) if label else None)
    shown = read.value.as_entered
    return {"shown": shown, "form": FORMS[read.kind], "low": read.low, "high": read.high}


def look(g: Given) -> Answer:
    found = f.look(f.Theme[g["theme"].upper()])
    colours = [paint.colour for paint in found.paints] + [found.paper]
    return {
        "roles": [paint.role.name.lower() for paint in found.paints],
        "colours": [part for one in colours for part in (one.red, one.green, one.blue)],
        "widths_pt": [paint.width_pt for paint in found.paints],
        "dashes_pt": [paint.dash.on_pt if paint.dash else 0.0 for paint in found.paints],
        "bold": [paint.bold for paint in found.paints],
    }


def value(call: Callable[[Given], Any]) -> Callable[[Given], Answer]:
    return lambda g: {"value": call(g)}


FORMULAS: dict[str, Callable[[Given], Answer]] = {
    "fret_position_mm": value(lambda g: f.fret_position_mm(g["scale_mm"], g["fret"])),
    "fret_spacing_constant": value(lambda g: f.fret_spacing_constant()),
    "gap_from_readings": lambda g: estimate(
        f.gap_from_readings(neck(g), readings(g), g["stopped"], g["over"])
    ),
    "nut_gap_from_readings": lambda g: estimate(
        f.nut_gap_from_readings(neck(g), readings(g), nut_way(g.get("wanted_held_at_3")))
    ),
    "saddle_height_from_readings": lambda g: estimate(
        f.saddle_height_from_readings(neck(g), readings(g))
    ),
    "saddle_factor": value(lambda g: f.saddle_factor(neck(g), g["stopped"], g["over"])),
    "saddle_move_mm": saddle_move,
    "gap_change_by_relief_mm": lambda g: estimate(
        f.gap_change_by_relief_mm(
            neck(g), relief_way(g), exact(g["change_mm"]), g["stopped"], g["over"]
        )
    ),
    "neck_curvature_per_mm": value(
        lambda g: f.neck_curvature_per_mm(neck(g), g["relief_mm"], relief_way(g))
    ),
    "crown_drop_mm": value(lambda g: f.crown_drop_mm(g["radius_mm"], g["offset_mm"])),
    "board_radius_at_mm": value(lambda g: f.board_radius_at_mm(board(g), g["from_nut_mm"])),
    "board_hump": board_hump,
    "saddle_heights_mm": saddle_heights,
    "screw_thread": screw_thread,
    "turns_for_rise": turns_for_rise,
    "note_frequency_hz": value(lambda g: f.note_frequency_hz(g["note"], g["a4_hz"])),
    "nearest_note": nearest_note,
    "string_unit_mass": lambda g: {"kg_per_m": f.string_unit_mass(make(g)).kg_per_m.value},
    "string_tension_n": lambda g: estimate(
        f.string_tension_n(exact(g["kg_per_m"]), g["scale_mm"], g["frequency_hz"])
    ),
    "string_tension_lbf": value(
        lambda g: f.string_tension_lbf(
            g["lb_per_in"], g["scale_in"], g["frequency_hz"], g["gravity_in_s2"]
        )
    ),
    "plain_string_stress": plain_string_stress,
    "string_inharmonicity": value(
        lambda g: f.string_inharmonicity(
            g["core_mm"], g.get("modulus_gpa"), g["tension_n"], g["scale_mm"]
        )
    ),
    "wood_moisture_percent": value(
        lambda g: f.wood_moisture_percent(g["temperature_c"], g["humidity_percent"])
    ),
    "saddle_mm_per_cent": value(lambda g: f.saddle_mm_per_cent(g["scale_mm"], g["fret"])),
    "predicted_cents": value(
        lambda g: f.predicted_cents(model(g), g["saddle_mm"], g["nut_mm"], g["fret"])
    ),
    "predict_set_back": predict_set_back,
    "pluck_depth_mm": value(
        lambda g: f.pluck_depth_mm(
            g["stopped_length_mm"], g["from_saddle_mm"], g["tension_n"], g["force_n"]
        )
    ),
    "ideal_swing_depth_mm": swing,
    "clearance_of_numbers": clearance_of_numbers,
    "parse_reading": parse_reading,
    "look": look,
}


def after_shut_down(g: Given) -> None:
    workshop = f.Workshop.in_memory("tech")
    workshop.shut_down()
    workshop.instruments()


EMPTY_WORKSHOP: dict[str, Callable[[Given], object]] = {
    "instrument_named": lambda g: f.Workshop.in_memory("tech").instrument_named(g["name"]),
    "add_instrument": lambda g: f.Workshop.in_memory("tech").add_instrument(
        g["template"], g["name"]
    ),
    "instrument": lambda g: f.Workshop.in_memory("tech").instrument(g["id"]),
    "after_shut_down": after_shut_down,
}


class Standing(f.TimeSource):
    """A clock that stands."""

    def __init__(self, unix_s: int) -> None:
        self.unix_s = unix_s

    def now(self) -> f.Moment:
        return f.Moment(unix_s=self.unix_s, offset_min=0)


def brought_in(g: Given) -> tuple[f.Instrument, f.MergeReport]:
    """The instrument with its bundles, and the report of the last one."""
    workshop = f.Workshop.in_memory("reader", Standing(g["now_unix_s"]))
    instrument = workshop.accept(g["invitation"], base64.b64decode(g["welcome"]))
    reports = [workshop.bundle_in(base64.b64decode(bundle)) for bundle in g["bundles"]]
    return instrument, reports[-1]


def plan(g: Given) -> Answer:
    instrument, _ = brought_in(g)
    found = instrument.plan(g.get("setup"))
    answer: Answer = {
        "setup": found.setup and found.setup.name,
        "steps": [f"{step.title}: {step.verdict_text}" for step in found.steps],
        "offs": [step.compared and step.compared.off.value for step in found.steps],
        "text": found.text,
    }
    if found.next_step is None:
        return answer
    step = found.steps[found.next_step]
    answer |= {
        "next_kind": step.kind.name.lower(),
        "next_title": step.title,
        "next_verdict": step.verdict_text,
        "next_sentences": step.sentences,
        "next_cautions": [caution.text for caution in step.cautions],
    }
    if isinstance(step.verdict, f.StepVerdict.ADJUST):
        work = step.verdict.work
        first = work.moves[0] if work.moves else None
        direction = first and first.turn.direction
        answer |= {
            "next_screw": first and first.text,
            "next_eighths": first and first.turn.eighths,
            "next_direction": direction and direction.name.lower(),
            "next_expect": work.expect and work.expect.value,
            "next_left_over": work.left_over and work.left_over.value,
        }
    return answer


def occasion(g: Given, side: str) -> f.Occasion:
    match g[side]:
        case "as_found":
            return f.Occasion.AS_FOUND(visit=g[f"{side}_visit"])
        case "as_left":
            return f.Occasion.AS_LEFT(visit=g[f"{side}_visit"])
        case "setup":
            return f.Occasion.SETUP(f.SetupId(g.get("setup") or "stage"))
        case _:
            return f.Occasion.TODAY()


def part(one: f.InstrumentPart) -> str:
    if isinstance(one, f.InstrumentPart.SADDLE):
        return f"saddle {one.place.course}"
    if isinstance(one, f.InstrumentPart.NUT_SLOT):
        return f"nut {one.place.course}"
    kinds = {
        f.InstrumentPart.NECK: "neck",
        f.InstrumentPart.TWIST: "twist",
        f.InstrumentPart.JOINT: "joint",
        f.InstrumentPart.HEIGHTS: "heights",
    }
    return next(name for kind_, name in kinds.items() if isinstance(one, kind_))


def what_changed(g: Given) -> Answer:
    instrument, _ = brought_in(g)
    before, after = occasion(g, "before"), occasion(g, "after")
    found = instrument.what_changed(before, after)
    return {
        "parts": [part(one.part) for one in found.parts],
        "verdicts": [one.verdict.name.lower() for one in found.parts],
        "changes_mm": [one.change.value for one in found.parts],
        "lows_mm": [one.low_mm or 0.0 for one in found.parts],
        "highs_mm": [one.high_mm or 0.0 for one in found.parts],
        "would_tell": [one.would_tell and one.would_tell.text for one in found.parts],
        "common": found.common,
        "contradicting": [seen.text for seen in found.contradicting],
        "outvoted": [seen.text for seen in found.outvoted],
        "noted": [noted.text for noted in found.noted],
        "sentences": found.sentences,
    }


def card(g: Given) -> Answer:
    instrument, _ = brought_in(g)
    found = instrument.card(g.get("setup"))
    lines = []
    for line in found.lines:
        last = line.last.value.text if line.last else ""
        target = line.target.value.text if line.target else ""
        words = (line.quantity_text, line.place_text, last, target, line.standing.name.lower())
        lines.append("; ".join(words))
    return {"setup": found.setup and found.setup.name, "lines": lines}


def clearance(g: Given) -> Answer:
    instrument, _ = brought_in(g)
    touch = f.Touch(
        force_n=g["force_n"],
        direction=f.PluckDirection.TOWARD_BOARD,
        from_saddle_mm=100.0,
        spare_mm=0.0,
    )
    found = instrument.clearance(touch).answer
    return {
        "limiting": found.strings[found.limiting_string].name,
        "names": [one.name for one in found.strings],
        "buzzes": [one.buzzes for one in found.strings],
        "smallest_mm": [one.smallest.margin_mm for one in found.strings],
        "lowest_clean_mm": [
            one.lowest_clean and one.lowest_clean.action_mm for one in found.strings
        ],
    }


def history(g: Given) -> Answer:
    instrument, _ = brought_in(g)
    entries = instrument.history(f.HistoryFilter())
    return {
        "texts": [entry.text for entry in entries],
        "devices": [entry.device for entry in entries],
        "retracted": [bool(entry.retracted) for entry in entries],
    }


def contested(g: Given) -> Answer:
    instrument, _ = brought_in(g)
    fields = sorted(instrument.contested(), key=lambda field: field.label)
    return {
        "fields": [field.label for field in fields],
        "versions": [
            " / ".join(sorted(f"{one.shown}, by {one.device}" for one in field.versions))
            for field in fields
        ],
    }


def mark(one: f.Mark) -> tuple[str, list[float]]:
    """What a mark is, and its numbers in points."""
    shape = one.shape
    form, numbers = "newer", list[float]()
    if isinstance(shape, (f.Shape.LINE, f.Shape.AREA)):
        arrow = isinstance(shape, f.Shape.LINE) and shape.arrow
        line = "arrow" if arrow else "line"
        form = line if isinstance(shape, f.Shape.LINE) else "area"
        numbers = [number for at in shape.places for number in (at.x_pt, at.y_pt)]
    elif isinstance(shape, f.Shape.DOT):
        form, numbers = "dot", [shape.at.x_pt, shape.at.y_pt, shape.radius_pt]
    elif isinstance(shape, f.Shape.RING):
        form, numbers = "ring", [shape.at.x_pt, shape.at.y_pt, shape.radius_pt]
    elif isinstance(shape, f.Shape.ARC):
        form = "arc"
        numbers = [shape.at.x_pt, shape.at.y_pt, shape.radius_pt, shape.sweep_degrees]
    elif isinstance(shape, f.Shape.TEXT):
        form = f"{shape.anchor.name.lower()}: {shape.text}"
        numbers = [shape.at.x_pt, shape.at.y_pt, shape.size_pt]
    return f"{one.role.name.lower()} {form}", numbers


def draw(g: Given) -> Answer:
    instrument, _ = brought_in(g)
    match g["drawing"]:
        case "turns":
            scenes = instrument.draw_turns()
        case "neck":
            scenes = [instrument.draw_neck()]
        case "clearance":
            scenes = [instrument.draw_clearance()]
        case "saddles":
            scenes = [instrument.draw_saddles()]
        case "intonation":
            scenes = [instrument.draw_intonation()]
        case "spacing":
            scenes = [instrument.draw_spacing()]
        case "relief":
            relief = f.Quantity.relief(1, 24)
            scenes = [instrument.draw_history(relief, f.Location.WHOLE())]
        case _:
            before = f.Occasion.AS_LEFT(visit=f.VisitId(g["before_visit"]))
            scenes = [instrument.draw_changes(before, f.Occasion.TODAY())]
    marks = [mark(one) for scene in scenes for one in scene.marks]
    return {
        "titles": [scene.title for scene in scenes],
        "sentences": [sentence for scene in scenes for sentence in scene.sentences],
        "sizes_pt": [size for scene in scenes for size in (scene.width_pt, scene.height_pt)],
        "marks": [told for told, _ in marks],
        "numbers": [number for _, numbers in marks for number in numbers],
    }


def sheet(g: Given) -> Answer:
    instrument, _ = brought_in(g)
    kind = f.SheetKind.BENCH if g["kind"] == "bench" else f.SheetKind.CUSTOMER
    page = instrument.sheet(kind)
    return {
        "title": page.title,
        "subtitle": page.subtitle,
        "text": page.text,
        "html": page.html,
    }


def merge(g: Given) -> Answer:
    instrument, report = brought_in(g)
    view = instrument.details()
    return {
        "added": sorted(
            f"{one.device}: {sum(kind_.count for kind_ in one.entries)}, {one.values}"
            for one in report.added
        ),
        "refused": len(report.refused),
        "newly_contested": sorted(field.label for field in report.newly_contested),
        "waiting": report.waiting,
        "name": view.name,
        "people": sorted({person.label for person in view.people} - {"reader"}),
        "state": view.history_digest,
    }


RECORDED: dict[str, Callable[[Given], Answer]] = {
    "plan": plan,
    "what_changed": what_changed,
    "card": card,
    "clearance": clearance,
    "history": history,
    "contested": contested,
    "draw": draw,
    "sheet": sheet,
    "merge": merge,
}


def answer(call: str, given: Given) -> Answer:
    """What the call answers, or its refusal."""
    try:
        if call in EMPTY_WORKSHOP:
            EMPTY_WORKSHOP[call](given)
            return {}
        return (FORMULAS | RECORDED)[call](given)
    except f.FallawayError as error:
        field = getattr(error, "field", "")
        if isinstance(error, f.FallawayError.NotFound):
            field = error.what.name.lower()
        return {"error": kind(error), "field": field, "accepted": getattr(error, "accepted", "")}
