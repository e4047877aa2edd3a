//! A bench for tests: a record of one instrument, written line by line as a person would say it.
#![allow(dead_code, reason = "each test file uses its own part")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may fail in this way"
)]

use fallaway_advice::observe::{EventKind, Facts};
use fallaway_advice::plan::{Plan, PlanStep, StepKind};
use fallaway_advice::{observe, plan};
use fallaway_changes::{RecordId, Writer};
use fallaway_measure::{
    Amount, Fret, Location, Quantity, Reading, Side, StringPlace, Tool, parse_pass, parse_reading,
};
use fallaway_record::spec::{
    BridgeSpec, Clockwise, HeightBy, JointFretSpec, ScrewPlace, ScrewSpec, SpecField,
    StringConstruction, StringSpec, ThreadSpec,
};
use fallaway_record::{
    AdjustedPart, Adjustment, Buzz, Climate, Draft, Entry, EntryBody, EntryId, Moment, Pass, Phase,
    Record, Remark, SetupId, State, StringChange, Target, Tuning, VisitEnded, VisitOpened,
    templates,
};
use fallaway_text::plan::StepText;
use fallaway_text::{Phrase, Voice};

/// A record that is being written.
pub struct Bench {
    record: Record,
    draft: Draft,
    writer: Writer,
    next: u64,
    now: i64,
    visit: Option<EntryId>,
    by: String,
}

/// 2026-01-10 10:00 UTC.
pub const START: i64 = 1_768_039_200;

impl Bench {
    /// An instrument from a template.
    pub fn new(template: &str) -> Self {
        let record = Record::create(RecordId::from_bytes([7; 16]));
        let mut bench = Self {
            record,
            draft: Draft::default(),
            writer: Writer::from_bytes([9; 16]),
            next: 1,
            now: START,
            visit: None,
            by: "tech".to_owned(),
        };
        let all = templates();
        let found = all.iter().find(|t| t.id == template).expect("a template");
        for field in found.spec.fields() {
            bench.fact(&field);
        }
        bench
    }

    pub fn fact(&mut self, field: &SpecField) {
        let put = self.record.editor(self.writer, &self.draft).set_spec(field).unwrap();
        self.draft.add(put);
    }

    pub fn log(&mut self, body: EntryBody) -> EntryId {
        self.now += 60;
        let id = EntryId::new(self.writer, self.next);
        self.next += 1;
        let mut entry = Entry::new(id, Moment::new(self.now, 0).unwrap(), body).by(&self.by);
        entry.visit = self.visit;
        let put = self.record.editor(self.writer, &self.draft).log(&entry).unwrap();
        self.draft.add(put);
        id
    }

    /// Ends the open visit and opens another, `days` later.
    pub fn visit(&mut self, days: i64, by: &str) {
        if self.visit.is_some() {
            self.log(EntryBody::VisitEnd(VisitEnded::default()));
        }
        self.visit = None;
        self.now += days * 24 * 3600;
        by.clone_into(&mut self.by);
        self.visit = Some(self.log(EntryBody::Visit(VisitOpened::default())));
    }

    /// "relief 1 to 24" with "feeler 0.01 mm": "0.35" at a place, or "2.0 2.0 2.1 2.2" across.
    pub fn read(&mut self, quantity: &str, tool: &str, text: &str, phase: Option<Phase>) {
        let quantity: Quantity = quantity.parse().unwrap();
        let tool: Option<Tool> = (!tool.is_empty()).then(|| tool.parse().unwrap());
        let mut pass = Pass::new(quantity, tool);
        pass.phase = phase;
        let own = match quantity {
            Quantity::Relief { .. } | Quantity::FallAway { .. } | Quantity::BridgeTail => {
                vec![Location::Whole]
            }
            Quantity::BridgeHeight => [Side::Treble, Side::Bass].map(Location::Side).to_vec(),
            _ => Vec::new(),
        };
        let pass = if own.is_empty() {
            let count = self.state().spec().places().len();
            let readings: Vec<Option<Reading>> =
                parse_pass(text, tool.as_ref(), quantity.dimension(), count, None).unwrap();
            pass.across(1, &readings).unwrap()
        } else {
            let texts = if own.len() == 1 { vec![text] } else { text.split_whitespace().collect() };
            for (location, text) in own.into_iter().zip(texts) {
                let reading = parse_reading(text, tool.as_ref(), quantity.dimension()).unwrap();
                pass.readings.push(fallaway_record::PassReading { location, reading });
            }
            pass
        };
        self.log(EntryBody::Pass(pass));
    }

    pub fn want(
        &mut self,
        quantity: &str,
        place: &str,
        (wanted, tolerance): (&str, &str),
        taken: bool,
    ) {
        let quantity: Quantity = quantity.parse().unwrap();
        let amount = |text: &str| -> Amount {
            match parse_reading(text, None, quantity.dimension()).unwrap() {
                Reading::Value(amount) => amount,
                other => panic!("{other} is no value"),
            }
        };
        let target = Target {
            quantity,
            location: place.parse().unwrap(),
            wanted: amount(wanted),
            tolerance: amount(tolerance),
            by: Some("owner".to_owned()),
            at: Moment::new(self.now, 0).unwrap(),
            taken_from: taken.then(|| EntryId::new(self.writer, self.next)),
        };
        let setup = SetupId::main();
        let put = self.record.editor(self.writer, &self.draft).set_target(&setup, &target).unwrap();
        self.draft.add(put);
    }

    pub fn adjust(&mut self, what: AdjustedPart, turns: Option<&str>) {
        let turns = turns.map(|t| t.parse().unwrap());
        self.log(EntryBody::Adjustment(Adjustment { what, turns, amount: None, note: None }));
    }

    pub fn state(&self) -> State {
        self.record.state().with_draft(self.draft.puts(), self.writer, self.now)
    }

    pub fn facts(&self) -> Facts {
        observe::of_spec(self.state().spec())
    }

    /// A minute after the last line.
    pub fn now(&self) -> i64 {
        self.now + 60
    }

    pub fn plan(&self) -> Plan {
        observe::with_input(&self.state(), &SetupId::main(), self.now(), plan)
    }

    /// What the entries after a word of the case come to, as sentences: "changed" from what the visit
    /// before left to what the last one found, "changed since found" from what it found to today, "changed since the
    /// setup", "learned", "forecast 30 %".
    pub fn told(&self, what: &str) -> Vec<String> {
        use fallaway_advice::compare::{ComparedAt, what_changed};
        use fallaway_advice::learn::{ForecastClimate, forecast, learned_with};
        let state = self.state();
        observe::with_input(&state, &SetupId::main(), self.now(), |input| match what {
            "changed" | "changed since found" | "changed since the setup" => {
                let opened =
                    input.events.iter().rev().filter(|e| matches!(e.what, EventKind::VisitOpened));
                let mut visits = opened.map(|e| e.entry);
                let (from, to) = if what == "changed" {
                    let to = visits.next().expect("a visit");
                    let from = visits.next().expect("a visit before it");
                    (ComparedAt::AsLeft(from), ComparedAt::AsFound(to))
                } else if what == "changed since found" {
                    (ComparedAt::AsFound(visits.nth(1).expect("two visits")), ComparedAt::Today)
                } else {
                    (ComparedAt::Setup, ComparedAt::Today)
                };
                let changed = what_changed(input, from, to).unwrap();
                english(&fallaway_text::changed::sentences(&changed, state.spec()))
            }
            "learned" => {
                let found = learned_with(input, &state);
                english(&fallaway_text::learned::sentences(&found, state.spec()))
            }
            _ if what.starts_with("strings ") => before_strings(what, &state, input),
            _ => {
                let humidity = what.strip_prefix("forecast ").unwrap().strip_suffix(" %").unwrap();
                let air = ForecastClimate {
                    name: format!("{humidity} % humidity"),
                    temperature_c: None,
                    humidity_percent: humidity.parse().unwrap(),
                };
                let found = forecast(input, &[air]).unwrap();
                english(&fallaway_text::forecast::sentences(&found, state.spec()))
            }
        })
    }

    /// One line of a case.
    pub fn line(&mut self, line: &str) {
        let (verb, rest) = line.split_once(' ').unwrap_or((line, ""));
        match verb {
            "visit" => {
                // visit 90 days later, by tech
                let mut text = rest.split_whitespace();
                let days = text.next().unwrap().parse().unwrap();
                self.visit(days, text.next_back().unwrap());
            }
            "tuned" => drop(self.log(EntryBody::Tuning(Tuning::default()))),
            "strings" if rest.is_empty() => {
                self.log(EntryBody::StringChange(StringChange::default()));
            }
            "strings" => {
                // strings 0.045 0.065 0.085 0.105, in inches, round-wound
                let fitted = fitted(self.state().spec(), rest);
                for (place, string) in &fitted {
                    self.fact(&SpecField::Strings(*place, string.clone()));
                }
                self.log(EntryBody::StringChange(StringChange {
                    fitted,
                    ..StringChange::default()
                }));
            }
            "read" | "left" => {
                // read relief 1 to 24 with feeler 0.01 mm: 0.35
                let (how, text) = rest.split_once(": ").unwrap();
                let (quantity, tool) = how.split_once(" with ").unwrap_or((how, ""));
                let phase = (verb == "left").then_some(Phase::AsLeft);
                self.read(quantity, tool, text, phase);
            }
            // taken ..., as wanted, from what a visit left.
            "wanted" | "taken" => {
                // wanted gap stopped at 1 over 24 at 4: 2.0 mm give or take 0.1 mm
                let (what, value) = rest.split_once(": ").unwrap();
                let (quantity, place) = what.rsplit_once(" on ").unwrap_or((what, "whole"));
                let (wanted, tolerance) = value.split_once(" give or take ").unwrap();
                self.want(quantity, place, (wanted, tolerance), verb == "taken");
            }
            "turned" => {
                // turned rod 1/4, turned saddle 3 -1/8
                let (what, turns) = rest.split_once(' ').unwrap();
                if what == "claw" {
                    self.adjust(AdjustedPart::Springs, Some(turns));
                } else if what == "rod" {
                    self.adjust(AdjustedPart::Rod, Some(turns));
                } else if what == "post" {
                    // turned post bass 1/8
                    let (side, turns) = turns.split_once(' ').unwrap();
                    let side = if side == "bass" { Side::Bass } else { Side::Treble };
                    self.adjust(AdjustedPart::BridgePost(side), Some(turns));
                } else {
                    let (place, turns) =
                        turns.split_once(' ').map_or((turns, None), |(a, b)| (a, Some(b)));
                    let place: StringPlace = place.parse().unwrap();
                    self.adjust(AdjustedPart::SaddleHeight(place), turns);
                }
            }
            "levelled" => self.adjust(AdjustedPart::Frets, None),
            "climate" => {
                let (humidity, hours) = rest.split_once(' ').unwrap();
                self.log(EntryBody::Climate(Climate {
                    humidity: Some(
                        Amount::decimal(
                            humidity.parse().unwrap(),
                            0,
                            fallaway_measure::Unit::Percent,
                        )
                        .unwrap(),
                    ),
                    hours_there: Some(hours.parse().unwrap()),
                    ..Climate::default()
                }));
            }
            "buzz" => {
                // buzz 4 3-6, by player
                let (where_, by) = rest.split_once(", by ").unwrap_or((rest, ""));
                let (string, frets) = where_.split_once(' ').unwrap();
                let (from, to) = frets.split_once('-').unwrap_or((frets, frets));
                let fret = |f: &str| Fret::new(if f == "open" { 0 } else { f.parse().unwrap() });
                let buzz = Buzz {
                    string: string.parse().unwrap(),
                    from: fret(from).unwrap(),
                    to: fret(to).unwrap(),
                    note: None,
                };
                let reader = self.by.clone();
                if !by.is_empty() {
                    by.clone_into(&mut self.by);
                }
                self.log(EntryBody::Buzz(buzz));
                self.by = reader;
            }
            // From here on another reader.
            "reader" => rest.clone_into(&mut self.by),
            "later" => {
                // later 3 days, by player: a remark
                let (days, by) = rest.split_once(" days, by ").unwrap();
                self.now += days.parse::<i64>().unwrap() * 24 * 3600;
                let reader = std::mem::replace(&mut self.by, by.to_owned());
                let text = "played".to_owned();
                self.log(EntryBody::Remark(Remark { text, ..Remark::default() }));
                self.by = reader;
            }
            "bridge" => {
                // bridge two posts, M8; bridge floating, posts M8, saddles M3; bridge fixed
                let before = self.state().spec().bridge.clone().unwrap();
                if rest == "fixed" {
                    let bridge = BridgeSpec { height: HeightBy::Fixed, ..before };
                    return self.fact(&SpecField::Bridge(bridge));
                }
                let threads = if let Some(post) = rest.strip_prefix("two posts, ") {
                    let bridge = BridgeSpec { height: HeightBy::TwoPosts, ..before };
                    self.fact(&SpecField::Bridge(bridge));
                    vec![(ScrewPlace::BridgePost, post)]
                } else {
                    let threads = rest.strip_prefix("floating, posts ").unwrap();
                    let (post, saddle) = threads.split_once(", saddles ").unwrap();
                    let height = HeightBy::OwnSaddles { screws: 2 };
                    let bridge = BridgeSpec { height, floating: true, posts: Some(true), ..before };
                    self.fact(&SpecField::Bridge(bridge));
                    vec![(ScrewPlace::BridgePost, post), (ScrewPlace::SaddleHeight, saddle)]
                };
                for (at, thread) in threads {
                    let designation = Some(thread.to_owned());
                    let thread = Some(ThreadSpec { designation, pitch: None });
                    self.fact(&SpecField::Screw(at, ScrewSpec { thread, ..ScrewSpec::default() }));
                }
            }
            "joint" => {
                let fret = rest.parse().unwrap();
                self.fact(&SpecField::JointFret(JointFretSpec { fret, uncertain_by: 0 }));
            }
            "clockwise" => {
                // clockwise rod less, clockwise saddle-height more
                let (at, more) = rest.split_once(' ').unwrap();
                let at = ScrewPlace::KNOWN.into_iter().find(|s| s.word() == at).unwrap();
                let mut screw = self.state().spec().screws.get(&at).cloned().unwrap_or_default();
                screw.clockwise =
                    Some(if more == "more" { Clockwise::More } else { Clockwise::Less });
                self.fact(&SpecField::Screw(at, ScrewSpec { ..screw }));
            }
            other => panic!("no line begins with {other:?}"),
        }
    }

    pub fn lines(&mut self, text: &str) {
        for line in text.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with('#')) {
            self.line(line);
        }
    }

    /// Steps of a kind, of a string if one is named.
    pub fn steps(plan: &Plan, kind: &str, place: Option<StringPlace>) -> Vec<PlanStep> {
        let fits = |s: &&PlanStep| {
            s.kind.word() == kind
                && place.is_none_or(|p| {
                    s.measurand.and_then(fallaway_advice::observe::Measurand::place) == Some(p)
                })
        };
        plan.steps.iter().filter(fits).cloned().collect()
    }

    pub fn said(&self, step: &PlanStep) -> StepText {
        fallaway_text::plan::step(step, self.state().spec())
    }
}

/// Round-wound strings of these gauges in inches, from the highest.
fn fitted(spec: &fallaway_record::InstrumentSpec, gauges: &str) -> Vec<(StringPlace, StringSpec)> {
    let string = |text: &str| {
        let length = fallaway_measure::Dimension::Length;
        let gauge = parse_reading(&format!("{text} in"), None, length).unwrap().low();
        let construction = Some(StringConstruction::RoundWound);
        StringSpec { gauge, construction, ..StringSpec::default() }
    };
    spec.places().into_iter().zip(gauges.split_whitespace().map(string)).collect()
}

/// "strings 0.040 0.060 0.080 0.100": what these gauges would do to the relief.
fn before_strings(
    what: &str,
    state: &State,
    input: &fallaway_advice::observe::Input<'_>,
) -> Vec<String> {
    use fallaway_advice::change_strings::{OtherStrings, forecast};
    use fallaway_advice::clearance::TouchUsed;
    let spec = state.spec();
    let strings = fitted(spec, what.strip_prefix("strings ").unwrap());
    let change = OtherStrings { strings, ..OtherStrings::default() };
    let found = forecast(spec, &input.facts, &change, None, TouchUsed::assumed()).unwrap();
    let found = found.with_learned(&fallaway_advice::learn::tension(input, state));
    vec![fallaway_text::strings::relief(&found).to_string()]
}

/// A step's kind by its word.
pub fn kind(word: &str) -> Option<StepKind> {
    use StepKind::{
        Action, AsLeft, BridgeHeight, BridgeTilt, FallAway, Intonation, Nut, Pickup, Radius,
        Relief, Spacing, Tune,
    };
    [
        Tune,
        Relief,
        FallAway,
        BridgeHeight,
        BridgeTilt,
        Nut,
        Spacing,
        Action,
        Radius,
        Pickup,
        Intonation,
        AsLeft,
    ]
    .into_iter()
    .find(|k| k.word() == word)
}

/// Sentences as they are said in English.
pub fn english<'a>(phrases: impl IntoIterator<Item = &'a Phrase>) -> Vec<String> {
    phrases.into_iter().map(|one| Voice::default().sentence(one)).collect()
}
