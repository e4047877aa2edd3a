//! The calls that need no record.

use fallaway_ffi::formulas::board::{
    BoardShape, StringPath, bend_clearance, board_hump, board_radius_at_mm, crown_drop_mm,
    saddle_heights_mm, sideways_gap_change_mm,
};
use fallaway_ffi::formulas::clearance::{
    StringNumbers, clearance_of_numbers, ideal_swing_depth_mm, pluck_depth_mm,
};
use fallaway_ffi::formulas::frets::{fret_position_mm, fret_spacing_constant};
use fallaway_ffi::formulas::intonation::{
    EndsHeld, IntonationModel, SetBackAim, StiffnessFollows, predict_set_back, predicted_cents,
    saddle_mm_per_cent,
};
use fallaway_ffi::formulas::neck::{
    NeckReadings, NeckShape, NutWay, ReliefWay, gap_change_by_relief_mm, gap_from_readings,
    neck_curvature_per_mm, nut_gap_from_readings, saddle_factor, saddle_height_from_readings,
    saddle_move_mm,
};
use fallaway_ffi::formulas::pitch::{nearest_note, note_frequency_hz};
use fallaway_ffi::formulas::screws::{TurnRounding, screw_thread, turns_for_rise};
use fallaway_ffi::formulas::strings::{
    StringMake, WindingLayer, plain_string_stress, string_inharmonicity, string_tension_lbf,
    string_tension_n, string_unit_mass,
};
use fallaway_ffi::formulas::{Uncertain, wood::wood_moisture_percent};
use fallaway_ffi::notation::parse_reading;
use fallaway_ffi::{
    ClearanceWhatIf, FallawayError, PluckDirection, Quantity, ReadingKind, Touch, TurnDirection,
};

use super::{Actual, Answer, Given, refusal};

type Result<T> = std::result::Result<T, FallawayError>;

fn one<T: Into<Actual>>(value: Result<T>) -> Result<Answer> {
    Ok(Answer::from([("value", value?.into())]))
}

fn exact(value: f64) -> Uncertain {
    Uncertain { value, standard_uncertainty: 0.0 }
}

fn estimate(value: Result<Uncertain>) -> Result<Answer> {
    let value = value?;
    Ok(Answer::from([
        ("value", value.value.into()),
        ("standard_uncertainty", value.standard_uncertainty.into()),
    ]))
}

fn neck(given: Given<'_>) -> NeckShape {
    NeckShape {
        scale_mm: given.number("scale_mm"),
        frets: given.count("frets"),
        joint_fret: given.number("joint_fret"),
        joint_uncertainty_frets: 0.0,
        set_back_mm: given.number_or("set_back_mm", 0.0),
        crown_heights_mm: Vec::new(),
    }
}

/// Between the first and the last fret, where it is largest.
fn relief_way(given: Given<'_>) -> ReliefWay {
    ReliefWay { from_fret: 1, to_fret: given.count("frets"), at_fret: None }
}

fn nut_way(held_at_3: bool) -> NutWay {
    if held_at_3 { NutWay::HeldAt3Over1 } else { NutWay::OpenOver1 }
}

fn readings(given: Given<'_>) -> NeckReadings {
    NeckReadings {
        relief: exact(given.number("relief_mm")),
        relief_way: relief_way(given),
        action: exact(given.number("action_mm")),
        action_stopped: given.count("action_stopped"),
        action_over: given.count("action_over"),
        nut: exact(given.number("nut_mm")),
        nut_way: nut_way(given.yes("nut_held_at_3")),
    }
}

fn board(given: Given<'_>) -> BoardShape {
    match given.maybe("radius_mm") {
        Some(radius_mm) => BoardShape::Cylinder { radius_mm },
        None => BoardShape::Compound {
            first_at_mm: given.number("first_at_mm"),
            first_radius_mm: given.number("first_radius_mm"),
            second_at_mm: given.number("second_at_mm"),
            second_radius_mm: given.number("second_radius_mm"),
        },
    }
}

fn path(given: Given<'_>, nut_offset_mm: f64, saddle_offset_mm: f64) -> StringPath {
    let (scale_mm, frets) = (given.number("scale_mm"), given.count("frets"));
    StringPath { scale_mm, frets, nut_offset_mm, saddle_offset_mm }
}

fn one_path(given: Given<'_>) -> StringPath {
    path(given, given.number("nut_offset_mm"), given.number("saddle_offset_mm"))
}

fn make(given: Given<'_>) -> StringMake {
    match given.text("make").as_str() {
        "plain" => StringMake::Plain {
            diameter_mm: given.number("diameter_mm"),
            density_kg_m3: given.maybe("density_kg_m3"),
        },
        "round_wound" => StringMake::RoundWound {
            core_mm: given.number("core_mm"),
            core_density_kg_m3: given.maybe("density_kg_m3"),
            layers: given
                .numbers("wires_mm")
                .into_iter()
                .map(|wire_mm| WindingLayer {
                    wire_mm,
                    density_kg_m3: given.maybe("density_kg_m3"),
                })
                .collect(),
        },
        "pack_unit_weight" => StringMake::PackUnitWeight { lb_per_in: given.number("lb_per_in") },
        other => panic!("no such make: {other}"),
    }
}

fn model(given: Given<'_>) -> IntonationModel {
    IntonationModel {
        scale_mm: given.number("scale_mm"),
        nut_height_mm: given.number("nut_height_mm"),
        saddle_rise_mm: given.number("saddle_rise_mm"),
        tension_per_stretch: given.number("tension_per_stretch"),
        stiffness_ratio: given.number("stiffness_ratio"),
        ends: match given.text("ends").as_str() {
            "clamped_pinned" => EndsHeld::ClampedPinned,
            "clamped_clamped" => EndsHeld::ClampedClamped,
            _ => EndsHeld::PinnedPinned,
        },
        stiffness_follows: if given.yes("stiffness_with_tension") {
            StiffnessFollows::LengthAndTension
        } else {
            StiffnessFollows::Length
        },
    }
}

fn direction(given: Given<'_>) -> PluckDirection {
    if given.yes("away_from_board") {
        PluckDirection::AwayFromBoard
    } else {
        PluckDirection::TowardBoard
    }
}

fn form(form: ReadingKind) -> &'static str {
    match form {
        ReadingKind::Exact => "value",
        ReadingKind::AtMost => "at most",
        ReadingKind::AtLeast => "at least",
        ReadingKind::Between => "between",
    }
}

fn try_answer(call: &str, given: Given<'_>) -> Option<Result<Answer>> {
    let n = |field: &str| given.number(field);
    let c = |field: &str| given.count(field);
    Some(match call {
        "fret_position_mm" => one(fret_position_mm(n("scale_mm"), c("fret"))),
        "fret_spacing_constant" => one(Ok(fret_spacing_constant())),
        "gap_from_readings" => {
            estimate(gap_from_readings(neck(given), readings(given), c("stopped"), c("over")))
        }
        "nut_gap_from_readings" => estimate(nut_gap_from_readings(
            neck(given),
            readings(given),
            nut_way(given.yes("wanted_held_at_3")),
        )),
        "saddle_height_from_readings" => {
            estimate(saddle_height_from_readings(neck(given), readings(given)))
        }
        "saddle_factor" => one(saddle_factor(neck(given), c("stopped"), c("over"))),
        "saddle_move_mm" => estimate(saddle_move_mm(
            neck(given),
            c("stopped"),
            c("over"),
            Uncertain {
                value: n("read_mm"),
                standard_uncertainty: given.number_or("read_uncertainty_mm", 0.0),
            },
            n("wanted_mm"),
        )),
        "gap_change_by_relief_mm" => estimate(gap_change_by_relief_mm(
            neck(given),
            relief_way(given),
            exact(n("change_mm")),
            c("stopped"),
            c("over"),
        )),
        "neck_curvature_per_mm" => {
            one(neck_curvature_per_mm(neck(given), n("relief_mm"), relief_way(given)))
        }
        "crown_drop_mm" => one(crown_drop_mm(n("radius_mm"), n("offset_mm"))),
        "board_radius_at_mm" => one(board_radius_at_mm(board(given), n("from_nut_mm"))),
        "board_hump" => board_hump(board(given), one_path(given)).map(|found| {
            Answer::from([("gap_mm", found.gap_mm.into()), ("fret", found.fret.into())])
        }),
        "saddle_heights_mm" => {
            let ends = given.numbers("nut_offsets_mm").into_iter();
            let ends = ends.zip(given.numbers("saddle_offsets_mm"));
            let paths = ends.map(|(nut, saddle)| path(given, nut, saddle)).collect();
            let wanted = given.numbers("wanted_mm");
            one(saddle_heights_mm(board(given), paths, c("stopped"), c("over"), wanted))
        }
        "sideways_gap_change_mm" => one(sideways_gap_change_mm(
            board(given),
            one_path(given),
            c("stopped"),
            c("over"),
            n("shift_mm"),
        )),
        "bend_clearance" => {
            let (stopped, push, height) = (c("stopped"), n("push_mm"), n("saddle_height_mm"));
            bend_clearance(board(given), one_path(given), stopped, push, height).map(|found| {
                Answer::from([
                    ("next_before_mm", found.next_before_mm.into()),
                    ("next_bent_mm", found.next_bent_mm.into()),
                    ("smallest_bent_mm", found.smallest_bent_mm.into()),
                    ("smallest_at_fret", found.smallest_at_fret.into()),
                ])
            })
        }
        "screw_thread" => screw_thread(given.text("designation")).map(|found| {
            Answer::from([
                ("pitch_mm", found.pitch_mm.into()),
                ("pitch_diameter_mm", found.pitch_diameter_mm.into()),
                ("minor_diameter_mm", found.minor_diameter_mm.into()),
            ])
        }),
        "turns_for_rise" => {
            let raises = given.maybe_text("raises").map(|way| match way.as_str() {
                "clockwise" => TurnDirection::Clockwise,
                _ => TurnDirection::Anticlockwise,
            });
            let short = given.yes("short_of");
            let rounding = if short { TurnRounding::ShortOf } else { TurnRounding::Nearest };
            turns_for_rise(n("rise_mm"), n("pitch_mm"), raises, rounding).map(|found| {
                let direction = found.turn.direction.map(|way| match way {
                    TurnDirection::Clockwise => "clockwise",
                    TurnDirection::Anticlockwise => "anticlockwise",
                });
                Answer::from([
                    ("eighths", found.turn.eighths.into()),
                    ("direction", direction.into()),
                    ("gives_mm", found.gives_mm.into()),
                    ("left_over_mm", found.left_over_mm.into()),
                    ("text", found.turn.text.into()),
                ])
            })
        }
        "note_frequency_hz" => one(note_frequency_hz(given.text("note"), n("a4_hz"))),
        "nearest_note" => nearest_note(n("frequency_hz"), n("a4_hz"), false).map(|found| {
            Answer::from([("note", found.note.name.into()), ("cents", found.cents.into())])
        }),
        "string_unit_mass" => string_unit_mass(make(given))
            .map(|found| Answer::from([("kg_per_m", found.kg_per_m.value.into())])),
        "string_tension_n" => {
            estimate(string_tension_n(exact(n("kg_per_m")), n("scale_mm"), n("frequency_hz")))
        }
        "string_tension_lbf" => one(string_tension_lbf(
            n("lb_per_in"),
            n("scale_in"),
            n("frequency_hz"),
            n("gravity_in_s2"),
        )),
        "plain_string_stress" => {
            let gauge_mm = given.maybe("gauge_mm");
            plain_string_stress(n("scale_mm"), n("frequency_hz"), gauge_mm).map(|found| {
                Answer::from([
                    ("stress_gpa", found.stress_gpa.into()),
                    ("limit_gpa", found.limit_gpa.into()),
                    ("refused", found.refused.into()),
                ])
            })
        }
        "string_inharmonicity" => one(string_inharmonicity(
            n("core_mm"),
            given.maybe("modulus_gpa"),
            n("tension_n"),
            n("scale_mm"),
        )),
        "wood_moisture_percent" => {
            one(wood_moisture_percent(n("temperature_c"), n("humidity_percent")))
        }
        "saddle_mm_per_cent" => one(saddle_mm_per_cent(n("scale_mm"), c("fret"))),
        "predicted_cents" => {
            one(predicted_cents(model(given), n("saddle_mm"), n("nut_mm"), c("fret")))
        }
        "predict_set_back" => {
            let aim = if given.yes("with_nut") {
                SetBackAim::SaddleAndNutUpTo { fret: c("fret") }
            } else {
                SetBackAim::SaddleForFret { fret: c("fret") }
            };
            predict_set_back(model(given), aim).map(|found| {
                Answer::from([
                    ("saddle_mm", found.saddle_mm.into()),
                    ("nut_mm", found.nut_mm.into()),
                    ("rms_cents", found.rms_cents.into()),
                    ("rms_with_open_cents", found.rms_with_open_cents.into()),
                ])
            })
        }
        "pluck_depth_mm" => one(pluck_depth_mm(
            n("stopped_length_mm"),
            n("from_saddle_mm"),
            n("tension_n"),
            n("force_n"),
        )),
        "ideal_swing_depth_mm" => one(ideal_swing_depth_mm(
            n("stopped_length_mm"),
            n("from_saddle_mm"),
            n("tension_n"),
            n("force_n"),
            direction(given),
            n("place_from_saddle_mm"),
        )),
        "clearance_of_numbers" => clearance(given),
        "parse_reading" => {
            let quantity = match given.text("measures").as_str() {
                "interval" => Quantity::Pitch,
                _ => Quantity::Relief { from_fret: 1, to_fret: 12, at_fret: None },
            };
            parse_reading(given.text("text"), quantity, tool(given)).map(|read| {
                Answer::from([
                    ("shown", read.value.as_entered.into()),
                    ("form", form(read.kind).into()),
                    ("low", read.low.into()),
                    ("high", read.high.into()),
                ])
            })
        }
        _ => return None,
    })
}

/// One string, everything as it was read.
fn clearance(given: Given<'_>) -> Result<Answer> {
    let string = StringNumbers {
        name: "string".to_owned(),
        neck: neck(given),
        frequency_hz: given.number("frequency_hz"),
        tension_n: given.number("tension_n"),
        inharmonicity: given.number("inharmonicity"),
        relief: exact(given.number("relief_mm")),
        relief_way: relief_way(given),
        action: exact(given.number("action_mm")),
        action_stopped: given.count("action_stopped"),
        action_over: given.count("action_over"),
        open_over_1_mm: None,
    };
    let touch = Touch {
        force_n: Some(given.number("force_n")),
        direction: direction(given),
        from_saddle_mm: given.number("from_saddle_mm"),
        spare_mm: 0.0,
    };
    let what_if = ClearanceWhatIf {
        relief_mm: given.maybe("what_if_relief_mm"),
        saddle_rises_mm: given.maybe("what_if_saddle_rise_mm").into_iter().collect(),
        ..ClearanceWhatIf::default()
    };
    let found = clearance_of_numbers(vec![string], touch, Some(what_if), false)?;
    let string = &found.strings[0];
    Ok(Answer::from([
        ("buzzes", string.buzzes.into()),
        ("smallest_margin_mm", string.smallest.margin_mm.into()),
        ("first_stopped_fret", string.smallest.stopped_fret.into()),
        ("first_over_fret", string.smallest.over_fret.into()),
        ("lowest_clean_action_mm", string.lowest_clean.map(|lowest| lowest.action_mm).into()),
        ("best_relief_mm", string.best_relief.map(|best| best.relief_mm).into()),
        ("best_relief_action_mm", string.best_relief.map(|best| best.action_mm).into()),
        ("hardest_touch_n", string.hardest_touch.map(|touch| touch.force_n).into()),
        ("action_mm", string.action_mm.into()),
    ]))
}

/// The answer or refusal of a call; `None` for one that is not here.
pub fn answer(call: &str, given: Given<'_>) -> Option<Answer> {
    try_answer(call, given).map(|answer| answer.unwrap_or_else(|error| refusal(&error)))
}

fn tool(given: Given<'_>) -> Option<fallaway_ffi::Tool> {
    given.maybe_text("tool").map(|label| fallaway_ffi::Tool::Other { label })
}
