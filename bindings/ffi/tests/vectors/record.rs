//! Records the golden vectors that hold a recorded instrument: plan.json, changed.json, drawings.json,
//! merges.json.
//!
//! `cargo tool record vectors` writes them anew, with clock and random bytes of its own, so that the
//! same code records the same bytes. What it writes as expected is what the library answered: read the
//! difference before you commit it. The formulas' vectors are not recorded; their expectations come
//! from elsewhere.

#![allow(clippy::result_large_err, reason = "whoever runs it reads what went wrong")]

use std::fmt::Write as _;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

use data_encoding::BASE64;
use fallaway_ffi::{
    AdjustedPart, Adjustment, Clockwise, Entered, FallawayError, ForeignError, FretFinding,
    FretState, Instrument, Location, Moment, NewTarget, PlacedScrew, Quantity, RandomSource, Role,
    ScrewPlace, ScrewSpec, SpecField, StringPlace, TimeSource, Tool, TuningChange, Workshop,
    WriteOptions,
};
use serde_json::{Map, Value, json};

use super::calls::{Actual, answer};

/// 2026-03-01 10:00:00 UTC.
const BEGUN: i64 = 1_772_359_200;
const DAY: i64 = 86_400;

/// A clock that stands until it is wound.
#[derive(Clone)]
struct Clock(Arc<AtomicI64>);

impl TimeSource for Clock {
    fn now(&self) -> Result<Moment, ForeignError> {
        Ok(Moment { unix_s: self.0.load(Ordering::Relaxed), offset_min: 0 })
    }
}

/// Bytes that anybody can guess (splitmix64): these records are public.
struct Bytes(AtomicU64);

impl RandomSource for Bytes {
    fn draw(&self, count: u32) -> Result<Vec<u8>, ForeignError> {
        let one = |_| {
            let seed = self.0.fetch_add(0x9e37_79b9_7f4a_7c15, Ordering::Relaxed);
            let mixed = (seed ^ (seed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            (mixed >> 56) as u8
        };
        Ok((0..count).map(one).collect())
    }
}

/// A device: its workshop, with a clock that all share.
fn device(label: &str, seed: u64, clock: &Clock) -> Arc<Workshop> {
    let random = Arc::new(Bytes(AtomicU64::new(seed)));
    Arc::new(Workshop::in_memory(label, Some(Arc::new(clock.clone())), Some(random)).unwrap())
}

const RELIEF: Quantity = Quantity::Relief { from_fret: 1, to_fret: 24, at_fret: None };
const ACTION: Quantity = Quantity::Gap { stopped_fret: 1, over_fret: 24 };
const FALL_AWAY: Quantity = Quantity::FallAway { from_fret: 12, to_fret: 16, at_fret: 24 };
const NUT: Quantity = Quantity::Gap { stopped_fret: 3, over_fret: 1 };

/// One instrument at one device.
struct Bench {
    instrument: Arc<Instrument>,
    clock: Clock,
}

impl Bench {
    /// A four-string bass of a technician, ten days after it was founded.
    fn bass(seed: u64) -> (Self, Arc<Workshop>) {
        let clock = Clock(Arc::new(AtomicI64::new(BEGUN)));
        let workshop = device("tech", seed, &clock);
        let instrument = workshop.add_instrument("bass-4", "walnut bass").unwrap();
        (Self { instrument, clock }, workshop)
    }

    fn wait(&self, seconds: i64) {
        self.clock.0.fetch_add(seconds, Ordering::Relaxed);
    }

    fn now(&self) -> i64 {
        self.clock.0.load(Ordering::Relaxed)
    }

    fn tuned(&self) {
        self.wait(60);
        let tuned = TuningChange { strings: Vec::new(), changed: Vec::new(), note: None };
        self.instrument.add_tuning(tuned, None).unwrap();
    }

    fn read(&self, quantity: Quantity, tool: &Tool, text: &str) {
        self.wait(60);
        let enter = |accept| {
            let options = Some(WriteOptions { accept, ..WriteOptions::default() });
            let (quantity, text) = (quantity, text.to_owned());
            self.instrument.add_pass_text(quantity, text, Some(tool.clone()), None, options)
        };
        match enter(Vec::new()) {
            Err(FallawayError::Unsure { doubts, .. }) => drop(enter(doubts).unwrap()),
            read => drop(read.unwrap()),
        }
    }

    fn wants(&self, quantity: Quantity, location: Location, wanted: &str, tolerance: &str) {
        let entered = |text: &str| Entered { text: text.to_owned(), value: None, unit: None };
        let (wanted, tolerance) = (entered(wanted), entered(tolerance));
        let target = NewTarget { quantity, location, wanted, tolerance };
        self.instrument.set_target("stage".parse().unwrap(), target, None).unwrap();
    }

    /// Targets of relief and action, highest string first.
    fn stage(&self, relief: (&str, &str), actions: [&str; 4], tolerance: &str) {
        self.wants(RELIEF, Location::Whole, relief.0, relief.1);
        for (course, action) in (1..).zip(actions) {
            self.wants(ACTION, string(course), action, tolerance);
        }
    }

    fn shown(&self, place: ScrewPlace, clockwise: Clockwise) {
        let thread = (place == ScrewPlace::SaddleHeight).then(|| "M3".to_owned());
        let screw = ScrewSpec { thread, clockwise: Some(clockwise), ..ScrewSpec::default() };
        self.instrument
            .set_spec(SpecField::Screw { placed: PlacedScrew { place, screw } }, None)
            .unwrap();
    }

    fn turned(&self, part: AdjustedPart, turns: f64) {
        self.wait(60);
        let turned = Adjustment { part, turns: Some(turns), moved: None, note: None };
        self.instrument.add_adjustment(turned, None).unwrap();
    }

    /// What a newcomer needs: an invitation, and everything.
    fn given(&self) -> Value {
        let invitation = self.instrument.invite(Role::Viewer, 366).unwrap();
        let bundle = self.bundle();
        json!({
            "now_unix_s": self.now(), "invitation": invitation.words,
            "welcome": BASE64.encode(&invitation.welcome), "bundles": [bundle],
        })
    }

    fn bundle(&self) -> String {
        BASE64.encode(&self.instrument.bundle_out(None).unwrap().file)
    }
}

fn string(course: u32) -> Location {
    Location::OneString { place: StringPlace { course, letter: None } }
}

/// A case whose expectation is what the library answers, with so many decimals.
fn case(name: &str, call: &str, given: impl Into<Value>, fields: &[&str]) -> Value {
    let given = given.into();
    let found = answer(call, &given);
    assert!(fields.contains(&"error") || !found.contains_key("error"), "{name}: {found:?}");
    // The intervals of a comparison come from a large system of equations: no finer than people read.
    // Drawings are laid out in points.
    let places = match call {
        "what_changed" => 3,
        "draw" => 2,
        _ => 6,
    };
    let mut expected = Map::new();
    for field in fields {
        let actual = found.get(field).unwrap_or_else(|| panic!("{name}: no {field}"));
        expected.insert((*field).to_owned(), stated(actual, places));
    }
    json!({ "name": name, "call": call, "given": given, "expected": expected })
}

fn stated(actual: &Actual, places: usize) -> Value {
    match actual {
        Actual::Number(value) if value.fract() == 0.0 => format!("{value:.0}").into(),
        // No negative zero.
        Actual::Number(value) => {
            let text = format!("{value:.places$}");
            let zero = text.parse::<f64>().unwrap() == 0.0;
            if zero { format!("{:.places$}", 0.0) } else { text }.into()
        }
        Actual::Text(text) => text.clone().into(),
        Actual::Yes(yes) => (*yes).into(),
        Actual::Nothing => Value::Null,
        Actual::List(list) => list.iter().map(|one| stated(one, places)).collect(),
    }
}

/// The same given with more fields.
fn with(given: &Value, more: &Value) -> Value {
    let mut all = given.as_object().unwrap().clone();
    all.extend(more.as_object().unwrap().clone());
    all.into()
}

fn write(file: &str, about: &str, cases: &[Value]) {
    let source = "Recorded by bindings/ffi/tests/vectors/record.rs, and checked by hand: the \
                  comment in it above each case says by what.";
    let mut text = format!(
        "{{\n  \"about\": {},\n  \"source\": {},\n  \"cases\": [\n",
        Value::from(about),
        Value::from(source)
    );
    for (index, case) in cases.iter().enumerate() {
        let comma = if index + 1 < cases.len() { "," } else { "" };
        let _ = writeln!(text, "    {case}{comma}");
    }
    text.push_str("  ]\n}\n");
    let path = format!("{}/../../tests/vectors/{file}", env!("CARGO_MANIFEST_DIR"));
    std::fs::write(path, text).unwrap();
}

const NEXT: &[&str] = &[
    "setup",
    "steps",
    "offs",
    "next_kind",
    "next_title",
    "next_verdict",
    "next_sentences",
    "next_cautions",
];
const NEXT_TURN: &[&str] = &[
    "setup",
    "steps",
    "offs",
    "next_kind",
    "next_title",
    "next_verdict",
    "next_sentences",
    "next_cautions",
    "next_screw",
    "next_eighths",
    "next_direction",
    "next_expect",
    "next_left_over",
];
const METRIC: ((&str, &str), [&str; 4], &str) =
    (("0.30 mm", "0.05 mm"), ["2.00 mm", "2.00 mm", "2.10 mm", "2.20 mm"], "0.10 mm");

fn plans() -> Vec<Value> {
    let mut cases = Vec::new();

    // Nothing is known: the chain of work begins with tuning.
    let (bench, _workshop) = Bench::bass(1);
    cases.push(case("a new record begins at the beginning", "plan", bench.given(), NEXT));

    // Relief 0.15 mm up, and with it every action by what the model of the neck says (0.11 to 0.16 mm
    // for bending to 24 and 16): the rod, not the saddles. Nothing has shown which way it turns: an
    // eighth.
    let (bench, _workshop) = Bench::bass(2);
    bench.stage(METRIC.0, METRIC.1, METRIC.2);
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.45");
    bench.read(ACTION, &Tool::DialMm, "2.12 2.12 2.22 2.32");
    let dry = bench.given();
    cases.push(case(
        "a dry winter: the rod, an eighth, since nothing has shown its way",
        "plan",
        dry.clone(),
        NEXT_TURN,
    ));
    cases.push(case("the same as plain text", "plan", dry.clone(), &["text"]));
    cases.push(case("its card", "card", dry, &["setup", "lines"]));

    // The same with a rod whose way is written down: less relief is clockwise. 0.15 mm at the usual
    // 0.15 mm a quarter turn would be a quarter; at twice that, which is as likely as half of it, an
    // eighth. Advice stops short of the target.
    let (bench, _workshop) = Bench::bass(3);
    bench.shown(ScrewPlace::Rod, Clockwise::Less);
    bench.stage(METRIC.0, METRIC.1, METRIC.2);
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.45");
    bench.read(ACTION, &Tool::DialMm, "2.12 2.12 2.22 2.32");
    cases.push(case("a dry winter on a rod whose way is known", "plan", bench.given(), NEXT_TURN));

    // 8/64 where 5/64 are wanted: 3/64 in = 1.190625 mm of gap are 1.6196 mm at the saddle (factor
    // 1.360296), 3.24 turns of M3, three and a quarter. Clockwise raises, so it goes down the other way.
    let (bench, _workshop) = Bench::bass(4);
    bench.shown(ScrewPlace::SaddleHeight, Clockwise::More);
    bench.stage(("12 thou", "2 thou"), ["5/64 in", "5/64 in", "5/64 in", "6/64 in"], "1/64 in");
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerThou, "12");
    bench.read(ACTION, &Tool::Rule64, "8 5 5 6");
    cases.push(case(
        "three sixty-fourths too high on the first string",
        "plan",
        bench.given(),
        NEXT_TURN,
    ));

    // 5/64 in is 0.18 mm above 1.80 mm, more than the tolerance and less than the 0.25 mm that a rule
    // can tell of one reading.
    let (bench, _workshop) = Bench::bass(5);
    bench.stage(("0.30 mm", "0.05 mm"), ["1.80 mm", "1.80 mm", "1.80 mm", "1.80 mm"], "0.10 mm");
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.30");
    bench.read(ACTION, &Tool::Rule64, "5 5 5 5");
    cases.push(case("the same, as far as a rule can tell", "plan", bench.given(), NEXT));

    // The rod was turned after everything was read: all of it is to be measured again, pitch first.
    bench.turned(AdjustedPart::Rod, 0.25);
    cases.push(case("the rod was turned since", "plan", bench.given(), NEXT));

    // 0.20 and 0.45 mm with one feeler and nothing between: a third reading.
    let (bench, _workshop) = Bench::bass(6);
    bench.stage(METRIC.0, METRIC.1, METRIC.2);
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.20");
    bench.read(RELIEF, &Tool::FeelerMm, "0.45");
    cases.push(case("two readings of the relief disagree", "plan", bench.given(), NEXT));

    // Clearance of a recorded instrument: gauges from the template, so tensions are guessed.
    let (bench, _workshop) = Bench::bass(7);
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.20");
    bench.read(ACTION, &Tool::DialMm, "1.60 1.80 2.00 2.20");
    let given = with(&bench.given(), &json!({ "force_n": 1.0 }));
    let fields = &["limiting", "names", "buzzes", "smallest_mm", "lowest_clean_mm"];
    cases.push(case("clearance at a touch of 1 N", "clearance", given, fields));
    cases
}

fn changes() -> Vec<Value> {
    let fields = &[
        "parts",
        "verdicts",
        "changes_mm",
        "lows_mm",
        "highs_mm",
        "would_tell",
        "common",
        "contradicting",
        "outvoted",
        "noted",
    ];
    let mut cases = Vec::new();
    let read = |bench: &Bench, relief: &str, actions: &str| {
        bench.tuned();
        bench.read(RELIEF, &Tool::FeelerMm, relief);
        bench.read(NUT, &Tool::FeelerMm, "0.20 0.20 0.20 0.20");
        bench.read(ACTION, &Tool::DialMm, actions);
    };
    let visit = |bench: &Bench| {
        let id = bench.instrument.begin_visit(Some("set-up".to_owned()), None).unwrap();
        bench.wait(600);
        id
    };

    // Relief 0.20 mm up and actions as the model of the neck has it: the neck moved, no saddle did.
    let (bench, _workshop) = Bench::bass(11);
    let first = visit(&bench);
    read(&bench, "0.20", "2.00 2.00 2.10 2.20");
    bench.instrument.end_visit(None, None).unwrap();
    bench.wait(90 * DAY);
    read(&bench, "0.40", "2.16 2.16 2.26 2.36");
    let sides = json!({ "before": "as_left", "before_visit": first.to_string(), "after": "today" });
    let given = with(&bench.given(), &sides);
    cases.push(case("winter: the neck, and no saddle", "what_changed", given.clone(), fields));
    cases.push(case("the same in words", "what_changed", given, &["sentences"]));

    // Relief where it was, the lowest string 0.50 mm down: its saddle, by 0.50 times 1.360296.
    let (bench, _workshop) = Bench::bass(12);
    let first = visit(&bench);
    read(&bench, "0.20", "2.00 2.00 2.10 2.20");
    bench.read(ACTION, &Tool::DialMm, "2.00 2.00 2.10 2.20");
    bench.instrument.end_visit(None, None).unwrap();
    bench.wait(30 * DAY);
    read(&bench, "0.20", "2.00 2.00 2.10 1.70");
    let sides = json!({ "before": "as_left", "before_visit": first.to_string(), "after": "today" });
    // One reading alone could be a slip: the library asks for it again. The visit before was read
    // twice, so that it is sure then.
    let once = with(&bench.given(), &sides);
    cases.push(case("a saddle shook down, by one reading", "what_changed", once, fields));
    bench.read(ACTION, &Tool::DialMm, "2.00 2.00 2.10 1.70");
    let given = with(&bench.given(), &sides);
    cases.push(case("a saddle shook down, read twice", "what_changed", given.clone(), fields));
    let sides = json!({ "before": "as_found", "after": "today" });
    cases.push(case(
        "from what the visit found, the same",
        "what_changed",
        with(&given, &sides),
        fields,
    ));

    // Targets of the setup against today, relief alone read: the saddles cannot be told.
    let (bench, _workshop) = Bench::bass(13);
    bench.stage(METRIC.0, METRIC.1, METRIC.2);
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.30");
    let sides = json!({ "before": "setup", "after": "today", "setup": "stage" });
    let given = with(&bench.given(), &sides);
    cases.push(case("from the setup, with the relief alone", "what_changed", given, fields));
    cases
}

/// Where marks lie is checked by the laws of core/sheet/tests, and by eye: here every language must get
/// the same ones.
fn drawings() -> Vec<Value> {
    let fields = &["titles", "sentences", "sizes_pt", "marks", "numbers"];
    let mut cases = Vec::new();
    let drawn = |given: &Value, drawing: &str| with(given, &json!({ "drawing": drawing }));

    let (bench, _workshop) = Bench::bass(31);
    let new = bench.given();
    cases.push(case("the neck of a new record", "draw", drawn(&new, "neck"), fields));
    cases.push(case("nothing to turn yet", "draw", drawn(&new, "turns"), fields));

    let (bench, _workshop) = Bench::bass(32);
    bench.shown(ScrewPlace::Rod, Clockwise::Less);
    bench.stage(METRIC.0, METRIC.1, METRIC.2);
    let first = bench.instrument.begin_visit(Some("set-up".to_owned()), None).unwrap();
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.20");
    bench.read(NUT, &Tool::FeelerMm, "0.20 0.20 0.20 0.20");
    bench.read(ACTION, &Tool::DialMm, "2.00 2.00 2.10 2.20");
    bench.instrument.end_visit(None, None).unwrap();
    bench.wait(90 * DAY);
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.45");
    bench.read(ACTION, &Tool::DialMm, "2.16 2.16 2.26 2.36");
    let given = bench.given();
    cases.push(case("the neck after a winter", "draw", drawn(&given, "neck"), fields));
    cases.push(case("its relief over time", "draw", drawn(&given, "relief"), fields));
    let changed = with(&given, &json!({ "drawing": "changes", "before_visit": first.to_string() }));
    cases.push(case("what the winter changed", "draw", changed, fields));
    // The strings lie near the curve of the board, and the pages tell the numbers that were read above.
    for drawing in ["clearance", "saddles"] {
        cases.push(case(drawing, "draw", drawn(&given, drawing), fields));
    }
    let page = ["title", "subtitle", "text", "html"];
    for kind in ["customer", "bench"] {
        let given = with(&given, &json!({ "kind": kind }));
        cases.push(case(&format!("the page for the {kind}"), "sheet", given, &page));
    }
    let found = FretFinding {
        fret: 14,
        state: FretState::High,
        strings: Vec::new(),
        distance: Some(Entered { text: "0.08 mm".to_owned(), value: None, unit: None }),
    };
    bench.instrument.add_fret_finding(found, None, None).unwrap();
    let given = drawn(&bench.given(), "clearance");
    cases.push(case("clearance over a fret that stands high", "draw", given, fields));

    // A board that falls away further than is wanted: it and its target lie under the straight edge.
    let (bench, _workshop) = Bench::bass(35);
    bench.stage(METRIC.0, METRIC.1, METRIC.2);
    bench.wants(FALL_AWAY, Location::Whole, "0.20 mm", "0.10 mm");
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.30");
    bench.read(FALL_AWAY, &Tool::FeelerMm, "0.40");
    bench.read(ACTION, &Tool::DialMm, "2.00 2.00 2.10 2.20");
    let given = bench.given();
    cases.push(case("a board that falls away", "draw", drawn(&given, "neck"), fields));
    cases.push(case("clearance over its end", "draw", drawn(&given, "clearance"), fields));

    let (bench, _workshop) = Bench::bass(34);
    bench.tuned();
    bench.read(Quantity::Intonation { stopped_fret: 12 }, &Tool::TunerCent, "6 4 -3 9");
    bench.read(Quantity::SpacingNut, &Tool::CaliperMm, "9.3 9.2 9.4");
    bench.read(Quantity::SpacingBridge, &Tool::CaliperMm, "19 19.2 18.8");
    for drawing in ["intonation", "spacing"] {
        cases.push(case(drawing, "draw", drawn(&bench.given(), drawing), fields));
    }

    let (bench, _workshop) = Bench::bass(33);
    bench.shown(ScrewPlace::Rod, Clockwise::Less);
    bench.stage(METRIC.0, METRIC.1, METRIC.2);
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.45");
    bench.read(ACTION, &Tool::DialMm, "2.12 2.12 2.22 2.32");
    cases.push(case("the turn of a rod", "draw", drawn(&bench.given(), "turns"), fields));

    let fields = &["roles", "colours", "widths_pt", "dashes_pt", "bold"];
    for theme in ["light", "dark", "stage", "print"] {
        cases.push(case(theme, "look", json!({ "theme": theme }), fields));
    }
    cases
}

fn merges() -> Vec<Value> {
    // A technician's bass, and a player who was invited; both write apart for a week.
    let (bench, _workshop) = Bench::bass(21);
    bench.stage(METRIC.0, METRIC.1, METRIC.2);
    bench.tuned();
    bench.read(RELIEF, &Tool::FeelerMm, "0.30");
    let wrong =
        bench.instrument.add_remark("the case smells".to_owned(), None, None, None).unwrap();
    let invitation = bench.instrument.invite(Role::Contributor, 366).unwrap();
    let founded = bench.bundle();
    let player = device("player", 22, &bench.clock);
    let theirs = Bench {
        instrument: player.accept(&invitation.words, &invitation.welcome).unwrap(),
        clock: bench.clock.clone(),
    };
    player.bundle_in(&BASE64.decode(founded.as_bytes()).unwrap(), None).unwrap();
    theirs.wait(DAY);
    theirs.wants(ACTION, string(4), "2.00 mm", "0.10 mm");
    theirs.instrument.add_remark("plays well on stage".to_owned(), None, None, None).unwrap();
    theirs.wait(DAY);
    bench.wants(ACTION, string(4), "2.40 mm", "0.10 mm");
    bench.read(ACTION, &Tool::DialMm, "2.00 2.00 2.10 2.20");
    bench.instrument.retract(wrong, "it does not", None).unwrap();
    let reader = bench.instrument.invite(Role::Viewer, 366).unwrap();
    let (ours, theirs) = (bench.bundle(), theirs.bundle());
    let given = |bundles: &[&String]| {
        json!({
            "now_unix_s": bench.now(), "invitation": reader.words,
            "welcome": BASE64.encode(&reader.welcome), "bundles": bundles,
        })
    };
    let merged = &["added", "refused", "newly_contested", "waiting", "name", "people", "state"];
    let state = &["waiting", "name", "people", "state"];
    let history = &["texts", "devices", "retracted"];
    let fields = &["fields", "versions"];
    let there = given(&[&ours, &theirs]);
    let back = given(&[&theirs, &ours]);
    let mut damaged = BASE64.decode(theirs.as_bytes()).unwrap();
    let middle = damaged.len() / 2;
    damaged[middle] ^= 1;
    let damaged = BASE64.encode(&damaged);
    vec![
        // Both orders: one state, one history, one contested field with both values.
        case("the technician's bundle, then the player's", "merge", there.clone(), merged),
        case("the other way round: the same record", "merge", back.clone(), merged),
        case("one history", "history", there.clone(), history),
        case("the same the other way round", "history", back.clone(), history),
        case("two values, both kept", "contested", there.clone(), fields),
        case("two values the other way round", "contested", back, fields),
        // The plan does not choose between them.
        case("the plan waits at the contested target", "plan", there, NEXT),
        // A bundle that came before changes nothing.
        case("the same bundles again", "merge", given(&[&ours, &theirs, &ours, &theirs]), state),
        // A flipped bit: the bundle's seal breaks, and nothing of the file can be taken.
        case(
            "one bit of the player's bundle flipped",
            "merge",
            given(&[&ours, &damaged]),
            &["error"],
        ),
    ]
}

#[test]
#[ignore = "writes these files: `cargo tool record vectors`"]
fn anew() {
    write(
        "plan.json",
        "Plans, cards and clearance of recorded instruments. The next step is the one to show first.",
        &plans(),
    );
    write(
        "changed.json",
        "What changed on recorded instruments. Lengths in millimetres.",
        &changes(),
    );
    write(
        "drawings.json",
        "Drawings of recorded instruments, and how they are painted. Places in points.",
        &drawings(),
    );
    write(
        "merges.json",
        "Bundles that two people wrote apart, in any order of arrival: the record must be the same.",
        &merges(),
    );
}
