//! Questions that need no record, each checked against a number that this app did not make:
//! `core/mechanics/tests/reference/data` (its README says how each was obtained) or a published one.

// Helpers of tests fail loudly.
#![allow(clippy::indexing_slicing, clippy::panic, clippy::unwrap_used)]

mod common;

use common::Device;
use serde_json::Value;
use tempfile::TempDir;

fn bench() -> (TempDir, Device) {
    let folder = tempfile::tempdir().unwrap();
    let device = Device::new(folder.path(), "tech");
    (folder, device)
}

/// Asks once for people and once for programs; what `answer` says.
fn ask(words: &str) -> Value {
    let (_folder, mut device) = bench();
    ask_of(&mut device, words)
}

fn ask_of(device: &mut Device, words: &str) -> Value {
    let words = words.replace(' ', "|");
    let text = device.ok(&format!("calc|{words}"));
    assert_ne!(text.trim().len(), 0);
    let json = device.run(&format!("calc|{words}|--json")).json();
    let said = json["rests_on"].as_array().unwrap().len();
    assert!(said > 0, "{words} does not say what it rests on");
    json["answer"].clone()
}

fn near(value: &Value, wanted: f64, within: f64) {
    let value = value.as_f64().unwrap_or_else(|| panic!("{value} is no number, {wanted} wanted"));
    assert!((value - wanted).abs() <= within, "{value}, {wanted} wanted");
}

/// The entry of a list whose field has this value.
fn entry<'v>(list: &'v Value, field: &str, value: impl Into<Value>) -> &'v Value {
    let value = value.into();
    list.as_array()
        .unwrap()
        .iter()
        .find(|one| one[field] == value)
        .unwrap_or_else(|| panic!("{list}"))
}

#[test]
fn positions() {
    // G. Byers, American Lutherie 47 (1996): each fret stands 1/17.817 of what is left further on.
    let answer = ask("positions --scale 34 in --frets 24");
    let frets = &answer["frets"];
    near(&entry(frets, "fret", 1)["from_nut_mm"], 863.6 / 17.817, 2e-3);
    near(&entry(frets, "fret", 12)["from_nut_mm"], 431.8, 1e-6);
    // geometry.json, fanned_single_curvature: 939.8 mm, fret 1 at 52.746921 mm, 24 at 704.85 mm.
    let fanned = ask("positions --scale 838.2 939.8 mm --frets 24");
    near(&fanned["strings"][1]["from_nut_mm"][0], 52.746_921, 1e-5);
    near(&fanned["strings"][1]["from_nut_mm"][23], 704.85, 1e-5);
}

#[test]
fn convert() {
    // geometry.json, bass34_24f_J24_R0.20.
    let answer = ask(
        "convert --scale 863.6 mm --frets 24 --joint 24 --relief 0.2 mm --action 2 mm --nut 0.5 mm --to 5/24 12/24",
    );
    for (way, gap) in [
        ("open, over 12", 1.728_669),
        ("open, over 17", 1.957_198),
        ("open, over 24", 2.132_433),
        ("fretted at 5, over 24", 1.758_806),
        ("fretted at 12, over 24", 1.268_099),
        ("nut: fretted at 3, over 1", 0.202_487),
    ] {
        near(&entry(&answer["gaps"], "way", way)["gap_mm"], gap, 2e-4);
    }
    near(&answer["saddle_height_mm"], 2.432_342, 2e-4);
    near(&entry(&answer["relief_at_frets"], "fret", 7)["gap_mm"], 0.191_754, 2e-4);
    assert_eq!(answer["relief_largest_at_fret"], 9);
    // A reading is never better converted than read.
    let over_12 = entry(&answer["gaps"], "way", "open, over 12");
    assert!(over_12["standard_uncertainty_mm"].as_f64().unwrap() > 0.02);
}

#[test]
fn saddle_move() {
    // geometry.json, saddle_change_per_unit_action_change: 1.360296 stopped at 1 over 24, 2 open
    // over 12. ISO 261: M3 advances 0.5 mm a turn.
    let answer = ask(
        "saddle-move --scale 863.6 mm --frets 24 --joint 24 --now 2.5 mm --want 2 mm --thread M3 --clockwise raises",
    );
    near(&answer["saddle_for_gap_ratio"], 1.360_296, 1e-6);
    near(&answer["saddle_move_mm"], -0.680_148, 1e-6);
    assert_eq!(answer["eighths"], -11);
    assert_eq!(answer["direction"], "anticlockwise");
    let open = ask("saddle-move --scale 863.6 mm --frets 24 --now 2.5 mm --want 2 mm --stopped 0");
    near(&open["saddle_for_gap_ratio"], 2.0, 1e-9);
}

#[test]
fn relief_change() {
    // geometry.json, action_change_for_relief_plus_0p10_saddle_fixed, bending to 24.
    let answer =
        ask("relief-change --scale 34 in --frets 24 --joint 24 --change 0.10 mm --to 5/24");
    for (way, change) in [
        ("fretted at 1, over 24", 0.105_951),
        ("open, over 12", 0.181_747),
        ("open, over 17", 0.162_164),
        ("open, over 24", 0.116_837),
        ("fretted at 5, over 24", 0.069_081),
    ] {
        near(&entry(&answer["gaps"], "way", way)["change_mm"], change, 2e-4);
    }
}

#[test]
fn rocking() {
    // By construction: one crown 0.1 mm high, all others on a straight line.
    let answer = ask("rocking --scale 863.6 mm --heights 0 0 0 0 0.1 0 0 0 mm");
    let odd = answer["odd_crowns"].as_array().unwrap();
    assert_eq!(odd.len(), 1);
    assert_eq!((&odd[0]["fret"], &odd[0]["what"]), (&Value::from(5), &Value::from("proud")));
    near(&odd[0]["by_mm"], 0.1, 1e-9);
}

/// board.json, guitar25p5_9p5cyl.
const CYLINDER: &str = "--scale 25.5 in --frets 22 --radius 9.5 in --nut-spread 35 mm --bridge-spread 52.5 mm --strings 6";

#[test]
fn crown_drop() {
    // board.json, drop: 9.5 in at 17.5 mm and 21 mm.
    let answer = ask("crown-drop --radius 9.5 in --offset 17.5 21 mm");
    near(&answer["drops"][0]["drop_mm"], 0.635_42, 2e-6);
    near(&answer["drops"][1]["drop_mm"], 0.915_537, 2e-6);
}

#[test]
fn hump() {
    let answer = ask(&format!("hump {CYLINDER}"));
    near(&answer["strings"][0]["hump_mm"], 0.017_597, 2e-6);
    assert_eq!(answer["strings"][0]["at_fret"], 9);
}

#[test]
fn saddle_heights() {
    // board.json: saddle_height_rel_to_spine_for_equal_g_1_N for gaps of 2 mm.
    let answer = ask(&format!("saddle-heights {CYLINDER} --gap 2 mm"));
    let strings = &answer["strings"];
    let height = |i: usize| strings[i]["saddle_height_mm"].as_f64().unwrap();
    assert!((height(0) - height(2) - (-1.389_476 + 0.055_438)).abs() < 2e-4);
    near(&answer["saddle_row_radius_mm"], 248.655, 0.5);
}

#[test]
fn underside_radius() {
    // By construction: equal gaps over a cylinder follow it.
    let answer = ask(&format!("underside-radius {CYLINDER} --gaps 2 2 2 2 2 2 mm"));
    near(&answer["radius_mm"], 241.3 + 2.0, 2.5);
    assert!(answer["radius_from_mm"].as_f64().unwrap() < 241.3);
}

#[test]
fn sideways() {
    // board.json, sideways: 1 mm toward the middle, 1.970075 to 1.901122 mm stopped at 1 over 22.
    let answer = ask(&format!("sideways {CYLINDER} --string 1 --shift -1 mm"));
    near(&answer["gap_change_mm"], 1.901_122 - 1.970_075, 2e-4);
}

#[test]
fn bend() {
    // R. M. Mottola, Savart Journal 1(4), 2014 (abstract): a deep bend asks for more action on a
    // 254 mm board than on one of 406.4 mm.
    let at = |radius: &str| {
        let answer = ask(&format!(
            "bend --scale 25.5 in --frets 22 --radius {radius} mm --nut-spread 35 mm --bridge-spread 52.5 mm --strings 6 --string 1 --bent-at 15 --push 20 mm --gap 1.6 mm"
        ));
        near(&answer["action_mm"], 1.6, 1e-9);
        entry(&answer["gaps"], "where", "smallest")["during_mm"].as_f64().unwrap()
    };
    assert!(at("254") < at("406.4"));
}

#[test]
fn saddle_radius() {
    // Common practice, no source: 9 in at fret 1 and 18 to 20 in at fret 24 make 21.2 to 24.0 in.
    let at = |end: u32| {
        ask(&format!(
            "saddle-radius --scale 34 in --frets 24 --radius 9 in {end} in --radius-at 1 24"
        ))["radius_at_saddle_mm"]
            .as_f64()
            .unwrap()
            / 25.4
    };
    assert!((at(18) - 21.2).abs() < 0.05 && (at(20) - 24.0).abs() < 0.05);
}

#[test]
fn spacing() {
    // Common practice, no source: 19 mm between centres is one number for all gaps.
    let answer = ask("spacing --width 70 mm --between 19 mm --gauges 0.045 0.065 0.085 0.105 in");
    let centre = |i: usize| answer["strings"][i]["centre_mm"].as_f64().unwrap();
    assert!((1..4).all(|i| (centre(i) - centre(i - 1) - 19.0).abs() < 1e-9));
    // By construction: equal free gaps, and the edges where they were asked for.
    let edges = ask("spacing --width 42 mm --margins 3 mm --gauges 1 2 3 mm --found 4 20 37 mm");
    near(&edges["strings"][0]["gap_to_next_mm"], 15.0, 1e-9);
    near(&edges["strings"][1]["gap_to_next_mm"], 15.0, 1e-9);
    near(&edges["strings"][0]["centre_mm"], 3.5, 1e-9);
    near(&edges["strings"][0]["move_mm"], -0.5, 1e-9);
}

#[test]
fn screw() {
    // ISO 261: M3 0.5 mm; ASME B1.1: #6-32 is 25.4/32 mm.
    let down = ask("screw --rise -0.25 mm --thread M3 --clockwise raises");
    assert_eq!(
        (&down["eighths"], &down["direction"]),
        (&Value::from(-4), &Value::from("anticlockwise"))
    );
    near(&ask("screw --turns 3/8 --thread #6-32")["advance_mm"], 25.4 / 32.0 * 0.375, 1e-9);
    let list = ask("screw --list");
    near(&entry(&list["threads"], "thread", "M8")["pitch_mm"], 1.25, 1e-9);
}

#[test]
fn bridge() {
    let own = ask("bridge --own 1 --wanted -0.25 0.125 mm --thread M3");
    assert_eq!(
        (&own["screws"][0]["eighths"], &own["screws"][1]["eighths"]),
        (&Value::from(-4), &Value::from(2))
    );
    // By construction: strings that ask for a tilt about the middle.
    let posts =
        ask("bridge --posts -37 37 mm --places -37 0 37 mm --wanted -0.2 0 0.2 mm --thread M4");
    near(&posts["screws"][0]["advance_mm"], -0.2, 1e-9);
    near(&posts["screws"][1]["advance_mm"], 0.2, 1e-9);
}

#[test]
fn floating() {
    // Moments about the pivot, by hand: one string of arm 12 mm pulls 5 N more against three springs
    // of 1 N/mm at 25 mm and six strings of 12 N/mm at 12 mm.
    let answer = ask(
        "floating --springs 3 --spring-rate 1 --spring-arm 25 mm --string-rates 12 12 12 12 12 12 --string-arm 12 mm --reach 12 mm --add 5 0 0 0 0 0 N",
    );
    let angle: f64 = 5.0 * 12.0 / (3.0 * 625.0 + 6.0 * 12.0 * 144.0);
    near(&answer["angle_degree"], angle.to_degrees(), 1e-9);
    near(&answer["strings"][1]["tension_change_newton"], -12.0 * 12.0 * angle, 1e-9);
}

#[test]
fn blank() {
    // Twice the change at 12 (similar triangles).
    let answer = ask(
        "blank --scale 25.5 in --frets 20 --stopped 0 --over 12 --change -0.25 mm --spread 55 mm",
    );
    near(&answer["at_highest_string_mm"], -0.5, 1e-9);
    near(&answer["at_lowest_string_mm"], -0.5, 1e-9);
}

#[test]
fn shim_with_its_caution() {
    let words =
        "shim --scale 647.7 mm --saddle-move -2.4 mm --pocket-edge 405 mm --pocket-length 76 mm";
    let answer = ask(words);
    // Similar triangles about the pocket's edge.
    near(&answer["thickness_mm"], 2.4 * 76.0 / 242.7, 1e-6);
    assert_eq!(answer["thick_end"], "toward the bridge");
    let (_folder, mut device) = bench();
    let text = device.ok(&format!("calc|{}", words.replace(' ', "|")));
    assert!(text.contains("Slacken the strings first"), "{text}");
}

#[test]
fn pitch() {
    // strings.json, midi: E1 41.203445 Hz; ISO 16:1975.
    let e1 = ask("pitch E1");
    near(&e1["frequency_hz"], 41.203_445, 1e-6);
    assert_eq!(e1["midi_note_number"], 28);
    near(&ask("pitch A4 --a4 442 Hz")["frequency_hz"], 442.0, 1e-9);
    let sharp = ask("pitch 41.5 Hz");
    assert_eq!(sharp["note"], "E1");
    near(&sharp["cents_from_note_cent"], 1200.0 * (41.5f64 / 41.203_445).log2(), 1e-3);
    near(&ask("pitch A3 --fret 12")["frequency_hz"], 440.0, 1e-9);
}

#[test]
fn tension() {
    // strings.json, tension: plain .010, published unit weight.
    let pack = ask("tension --note E4 --scale 25.5 in --unit-weight 2.215e-5 lb/in --as-printed");
    near(&pack["tension_newton"], 72.120_8, 1e-3);
    near(&pack["tension_as_printed_pound_force"], 16.200_33, 1e-3);
    // strings.json, round_wound: core .024, wraps .0125 and .028: 0.03493424 kg/m.
    let wound = ask("tension --note E1 --scale 34 in --core 0.024 in --wraps 0.0125 0.028 in");
    near(&wound["mass_for_length_gram_per_metre"], 34.934_24, 1e-4);
    // M. B. Anderson, R. G. Beausoleil, JASA 156:683 (2024): 0.374 mg/mm, 650 mm, E4: 68.6 N.
    near(
        &ask("tension --note E4 --scale 650 mm --unit-weight 0.374 g/m")["tension_newton"],
        68.6,
        0.1,
    );
}

#[test]
fn set_and_comparison() {
    // strings.json, plain_steel: 0.008 in is 0.25457 g/m; T = mu (2 L f)^2.
    let answer = ask("set --scale 25.5 in --notes E4 --gauges 0.008 in --plain 1 --to-notes D4");
    let wanted = 0.000_254_57 * (2.0 * 0.6477 * 329.6276f64).powi(2);
    near(&answer["total_newton"], wanted, 0.01);
    near(&answer["total_change_percent"], (2f64.powf(-2.0 / 6.0) - 1.0) * 100.0, 1e-6);
    assert_eq!(answer["rises_over_10_percent"], false);
    let up = ask("set --scale 34 in --notes G2 E1 --gauges 0.045 0.105 in --to-notes A2 F#1");
    assert_eq!(up["rises_over_10_percent"], true);
}

#[test]
fn retune() {
    // Tension goes with the square of the frequency: two semitones down are 2^(-1/3).
    let answer = ask("retune --from E1 --to D1 --scale 34 in --gauge 0.105 in");
    near(&answer["change_percent"], (2f64.powf(-1.0 / 3.0) - 1.0) * 100.0, 1e-6);
}

#[test]
fn stress() {
    // 4 rho L^2 f^2 by hand: 1.43 GPa for E4 on 648 mm.
    let e4 = ask("stress --note E4 --scale 648 mm");
    near(&e4["stress_gigapascal"], 4.0 * 7850.0 * 0.648 * 0.648 * 329.6276f64.powi(2) / 1e9, 1e-4);
    assert_eq!(e4["refused"], false);
    assert_eq!(ask("stress --note G4 --scale 648 mm")["refused"], true);
}

#[test]
fn stiffness() {
    // J. A. Kemp, SN Applied Sciences 2:636 (2020), abstract: 100 cents at partial 10 of the 12th
    // fret of a low B; worked out in strings.json as 0.00030963.
    let answer = ask("stiffness --partial 10 --cents 100 --fret 12");
    near(&answer["inharmonicity"], 0.000_309_63, 1e-7);
    let core = ask("stiffness --core 0.017 in --tension 189.9114 N --scale 863.6 mm");
    // Fletcher and Rossing 2.18 with 200 GPa gives 2.378e-5; another modulus scales it.
    assert!((1.9e-5..2.6e-5).contains(&core["inharmonicity"].as_f64().unwrap()));
}

#[test]
fn drift() {
    // Hooke's law by hand: 1731.23 / 1000 (E / (2 stress L_a) - 1 / L) cents per mm.
    let answer = ask("drift --note E4 --scale 648 mm --anchored 760 mm");
    near(&answer["per_saddle_mm_cent"], 148.4, 0.5);
    assert!(answer["per_kelvin_string_alone_cent"].as_f64().unwrap() < 0.0);
}

#[test]
fn intonation() {
    // 0.50 mm a cent at fret 12 of 864 mm: L / 1731.23.
    let answer = ask("intonation --scale 864 mm --cents 12=4 --thread M3");
    near(&answer["saddle_move_mm"], 4.0 * 864.0 / 1731.234, 1e-3);
    near(&answer["saddle_per_cent_at_12_mm"], 0.499, 1e-3);
    assert_eq!(answer["eighths"], 32);
    assert!(answer["saddle_move_standard_uncertainty_mm"].as_f64().unwrap() > 0.1);
    near(&ask("intonation --scale 864 mm --cents 12=-4")["saddle_move_mm"], -1.996, 1e-2);
}

#[test]
fn set_back() {
    // M. B. Anderson, R. G. Beausoleil, JASA 156:683 (2024), nylon normal tension, first string:
    // saddle 1.48 mm, nut -0.36 mm.
    let answer = ask(
        "set-back --scale 650 mm --nut-height 1 mm --saddle-rise 4 mm --stretch-ratio 48.2 --stiffness 0.0019 --ends clamped-pinned --up-to 12",
    );
    near(&answer["set_backs"][0]["saddle_mm"], 1.48, 0.01);
    near(&answer["set_backs"][0]["nut_mm"], -0.36, 0.01);
    // strings.json, steel_cases: the end condition dominates.
    let all = ask(
        "set-back --scale 863.6 mm --nut-height 0.5 mm --saddle-rise 3 mm --stretch-ratio 154.2176 --stiffness 0.0015523",
    );
    near(&entry(&all["set_backs"], "ends", "pinned")["saddle_mm"], 0.724_72, 0.01);
    near(&entry(&all["set_backs"], "ends", "clamped-pinned")["saddle_mm"], 2.062_25, 0.01);
    near(&entry(&all["set_backs"], "ends", "clamped")["saddle_mm"], 3.403_85, 0.01);
}

#[test]
fn pickup() {
    // Common practice, no source: a warning under 1.5 mm below a low string.
    let answer = ask("pickup --on bass --side bass --gap 1.4 mm --want 2.4 mm --thread 0.5 mm");
    assert_eq!(answer["may_pull_the_pitch"], true);
    assert_eq!(answer["eighths"], -16);
}

#[test]
fn moisture() {
    // Wood Handbook FPL-GTR-190, table 4-2: 70 F and 50 % make 9.2 %.
    near(&ask("moisture 70F 50%")["moisture_percent"], 9.2, 0.05);
}

#[test]
fn clearance_from_numbers() {
    // G of 170 N at 1.6 mm and 0.20 mm of relief, bending to 24, sixty periods that decay with a T60 of
    // 20 s: touches at 1.661 N by the finite elements of core/mechanics/tests/second-opinions/test_swing.py.
    let answer = ask(
        "clearance --scale 863.6 mm --frets 24 --joint 24 --relief 0.2 mm --action 1.6 mm --notes G2 --tensions 170 N --inharmonicity 2e-5 --force 1.5 N",
    );
    let g = &answer["strings"][0];
    near(&g["touch_newton"], 1.661, 0.01);
    assert!(g["smallest_margin_mm"].as_f64().unwrap() > 0.0);
    // Common practice, no source: at one height the low B touches before the E, the E before the A.
    let row = ask(
        "clearance --scale 34 in --frets 24 --relief 0.1 mm --action 5/64 --notes A1 E1 B0 --tensions 170 155 145 N",
    );
    let margin = |i: usize| row["strings"][i]["smallest_margin_mm"].as_f64().unwrap();
    assert!(margin(2) < margin(1) && margin(1) < margin(0));
    assert_eq!(row["limiting_string"], "3 (B)");
}

/// An instrument with everything that the questions ask for.
fn bass(device: &mut Device) {
    for words in [
        "add|bass-4|walnut four",
        "set|gauges|0.045|0.065|0.085|0.105|in",
        "set|radius|12 in",
        "set|bridge-spread|57 mm",
        "set|nut-spread|30 mm",
        "set|saddle-thread|M3",
        "tool|rule|1/64",
        "tuned",
        "read|relief|0.20 mm",
        "read|action|5|5|5|6",
    ] {
        device.ok(words);
    }
}

#[test]
fn an_instrument_brings_its_facts_and_latest_readings() {
    let (_folder, mut device) = bench();
    bass(&mut device);
    let text = device.ok("calc|clearance|-i|walnut");
    assert!(text.contains("Use it to compare, not to decide"), "{text}");
    assert!(text.contains("guessed from the outer"), "{text}");
    let json = device.run("calc|clearance|-i|walnut|--json").json();
    let rests_on = json["rests_on"].to_string();
    assert!(rests_on.contains("0.20 mm") && rests_on.contains("6/64"), "{rests_on}");
    assert_eq!(json["answer"]["strings"].as_array().unwrap().len(), 4);
    near(&json["answer"]["strings"][3]["action_mm"], 6.0 / 64.0 * 25.4, 1e-6);
    // Harder: less to spare. Higher: more.
    let margin = |device: &mut Device, more: &str| {
        let json = device.run(&format!("calc|clearance|-i|walnut|--json{more}")).json();
        json["answer"]["strings"][3]["smallest_margin_mm"].as_f64().unwrap()
    };
    let plain = margin(&mut device, "");
    assert!(margin(&mut device, "|--force|3 N") < plain);
    assert!(margin(&mut device, "|--action|3 mm") > plain);

    let set = device.run("calc|set|-i|walnut|--json").json();
    assert_eq!(set["answer"]["strings"].as_array().unwrap().len(), 4);
    let saddle = device.run("calc|saddle-move|-i|walnut|--string|4|--want|5/64|--json").json();
    assert!(saddle["answer"]["eighths"].as_i64().unwrap() < 0);
    let convert = device.run("calc|convert|-i|walnut|--string|4|--json").json();
    assert!(convert["assumed"].to_string().contains("fret 1"));
    device.ok("calc|hump|-i|walnut");
    device.ok("calc|saddle-heights|-i|walnut|--gap|2 mm");
    device.ok("calc|bridge|-i|walnut|--wanted|0.1 0.1 0.1 0.2 mm");
    device.ok("calc|positions|-i|walnut");
    device.ok("calc|spacing|-i|walnut|--width|42 mm|--margins|4 mm");

    // Something was done since: the answer says that it rests on what is out of date.
    device.ok("did|rod|1/8|cw");
    let stale = device.ok("calc|clearance|-i|walnut");
    assert!(stale.contains("Measure again"), "{stale}");
}

#[test]
fn nonsense_is_refused_with_what_would_be_accepted() {
    let (_folder, mut device) = bench();
    for (words, said) in [
        ("positions|--frets|24", "--scale"),
        ("positions|--scale|5 mm|--frets|24", "100 to 3000 mm"),
        ("positions|--scale|34|--frets|24", "unit"),
        ("positions|--scale|34 in|--frets|99", "36"),
        ("saddle-move|--scale|34 in|--frets|24|--now|2 mm|--want|banana", "banana"),
        ("saddle-move|--scale|34 in|--frets|24|--now|2 mm|--want|1 mm|--thread|M7", "M3"),
        (
            "saddle-move|--scale|34 in|--frets|24|--now|2 mm|--want|1 mm|--stopped|12|--over|5",
            "beyond",
        ),
        ("relief-change|--scale|34 in|--frets|24|--change|99 mm", "−5 to 5 mm"),
        ("crown-drop|--radius|10 mm|--offset|1 mm", "50 to"),
        ("screw|--rise|1 mm", "--thread"),
        ("screw|--turns|1/0|--thread|M3", "divides by 0"),
        ("screw|--turns|-41|--thread|M3", "−41 is outside −40 to 40"),
        ("pitch|H1", "H1"),
        ("tension|--note|E1|--scale|34 in", "--gauge"),
        ("tension|--note|E1|--scale|34 in|--unit-weight|3 stone", "g/m"),
        ("stress|--note|E4|--scale|648 mm|--limit|99", "0.01 to 5 GPa"),
        ("intonation|--scale|34 in|--cents|12", "12=4"),
        ("intonation|--scale|34 in|--cents|77=4", "36"),
        ("moisture|21C", "50%"),
        ("moisture|21C|150%", "0 to 100"),
        ("pickup|--on|kazoo|--side|bass|--gap|2 mm", "bass, guitar"),
        (
            "clearance|--scale|34 in|--frets|24|--relief|0.2 mm|--action|2 mm|--notes|E1|--tensions|155 N|--force|900 N",
            "0 to 50 N",
        ),
        ("spacing|--width|10 mm|--margins|3 mm|--gauges|5 5 5 mm", "width"),
        ("set|--scale|34 in|--notes|E1 A1|--gauges|0.1 in", "go together"),
    ] {
        let refusal = device.refused(2, &format!("calc|{words}"));
        assert!(refusal.contains(said), "{words}: {refusal}");
    }
}

#[test]
fn why_a_note_buzzes_and_which_reading_decides() {
    let (_folder, mut device) = bench();
    bass(&mut device);
    let json = device.run("why-buzz|4|3-6|--json").json();
    let causes = json["answer"]["causes"].as_array().unwrap();
    assert!(causes.len() >= 2);
    assert!(causes.iter().all(|one| !one["decides"].as_str().unwrap().is_empty()));
    assert!(json["rests_on"].to_string().contains("6/64"), "{json}");
    let open = device.run("why-buzz|4|open|--json").json();
    assert_eq!(open["answer"]["causes"][0]["cause"], "nut slot too deep");
    assert!(device.ok("why-buzz|4|7").contains("To decide"));
    for (words, said) in [("why-buzz|9|3", "9"), ("why-buzz|4|x", "3-6"), ("why-buzz|4|24", "last")]
    {
        let refusal = device.refused(2, words);
        assert!(refusal.contains(said), "{words}: {refusal}");
    }
}

#[test]
fn what_other_strings_will_do_before_they_are_on() {
    let (_folder, mut device) = bench();
    bass(&mut device);
    let before = device.run("history|--json").json().as_array().unwrap().len();
    let down = device.run("before-strings|--notes|4=D1|--json").json();
    let low = &down["answer"]["strings"][3];
    // Tension goes with the square of the frequency: two semitones down are 2^(-1/3).
    let ratio = low["then_newton"].as_f64().unwrap() / low["before_newton"].as_f64().unwrap();
    assert!((ratio - 2f64.powf(-1.0 / 3.0)).abs() < 1e-6);
    // A slacker string swings wider.
    let action = |field: &str| low[field].as_f64().unwrap();
    assert!(action("lowest_clean_action_then_mm") > action("lowest_clean_action_mm"));
    let heavier = device.ok("before-strings|--gauges|0.055 0.080 0.105 0.135 in");
    assert!(heavier.contains("more relief") && heavier.contains("may bind"), "{heavier}");
    // Nothing was stored.
    assert_eq!(device.run("history|--json").json().as_array().unwrap().len(), before);
    assert!(device.refused(2, "before-strings|--notes|4=H1").contains("H1"));
}

#[test]
fn the_only_instrument_is_the_one_that_is_meant() {
    let (_folder, mut device) = bench();
    device.ok("add|bass-4|walnut four");
    device.ok("set|a4|442|Hz");
    let a1 = ask_of(&mut device, "pitch A1");
    near(&a1["frequency_hz"], 442.0 / 8.0, 1e-9);
    near(&a1["a4_hz"], 442.0, 1e-9);
    // Of two, neither: the standard's pitch (ISO 16:1975), unless one is named.
    device.ok("add|bass-5|blue five");
    near(&ask_of(&mut device, "pitch A1")["frequency_hz"], 55.0, 1e-9);
    let named = device.run("calc|pitch|A1|-i|walnut four|--json").json();
    near(&named["answer"]["frequency_hz"], 442.0 / 8.0, 1e-9);
}

#[test]
fn notes_are_written_as_they_were_given() {
    assert_eq!(ask("pitch Eb1")["note"], "Eb1");
    assert_eq!(ask("pitch Eb1 --fret 3")["note"], "Gb1");
    near(&ask("pitch E1+5")["cents_from_note_cent"], 5.0, 1e-9);
    near(&ask("pitch E##1")["frequency_hz"], 46.249_303, 1e-6);
}

/// A string of which only the gauge is given is plain or wound as is usual for it, and the answer says so; where
/// both are made it asks.
#[test]
fn plain_or_wound_is_taken_from_the_gauge_or_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let mut device = Device::new(folder.path(), "tech");
    let newtons = |device: &mut Device, rest: &str| {
        let answer = device.run(&format!("calc|tension|--scale|25.5 in|{rest}|--json")).json();
        answer["answer"]["tension_newton"].as_f64().unwrap()
    };
    // 7850 pi/4 d^2 = 0.3978 g/m, times (2 L f)^2 with L = 0.6477 m and f = 329.63 Hz: 72.5 N.
    let plain = newtons(&mut device, "--note|E4|--gauge|0.010 in");
    assert!((plain - 72.5).abs() < 0.1, "{plain}");
    assert!((newtons(&mut device, "--note|E4|--gauge|0.010 in|--plain") - plain).abs() < 1e-9);
    assert!(newtons(&mut device, "--note|E4|--gauge|0.010 in|--wound") < plain - 1.0);
    let said = device.ok("calc|tension|--note|E4|--scale|25.5 in|--gauge|0.010 in");
    assert!(said.contains("plain steel by the gauge"), "{said}");
    let said = device.ok("calc|tension|--note|E2|--scale|25.5 in|--gauge|0.046 in");
    assert!(said.contains("round-wound by the gauge"), "{said}");
    let said = device.refused(2, "calc|tension|--note|G3|--scale|25.5 in|--gauge|0.018 in");
    assert!(said.contains("--plain") && said.contains("--wound"), "{said}");
    device.refused(2, "calc|retune|--from|G3|--to|F3|--scale|25.5 in|--gauge|0.018 in");
    let set = "calc|set|--scale|25.5 in|--notes|E4|B3|G3|D3|A2|E2|--gauges|.010|.013|.018|.026|.036|.046|in";
    assert!(device.refused(2, set).contains("--plain none"));
    let total = |device: &mut Device, more: &str| {
        let answer = device.run(&format!("{set}{more}|--json")).json();
        answer["answer"]["total_newton"].as_f64().unwrap()
    };
    assert!(total(&mut device, "|--plain|1-3") > total(&mut device, "|--plain|1-2"));
    assert!(total(&mut device, "|--plain|1-2") > total(&mut device, "|--plain|none"));
}
