//! The record that a hand writes, on one device.

use fallaway_advice::observe::{Input, with_input};
use fallaway_advice::plan;
use fallaway_advice::plan::Plan;
use fallaway_changes::{RecordId, Writer};
use fallaway_measure::{Amount, Fret, Location, Quantity, Reading, StringPlace, Tool, Unit};
use fallaway_record::spec::{
    BridgeSpec, Clockwise, HeightBy, RodKind, RodSpec, ScrewPlace, ScrewSpec, ThreadSpec,
};
use fallaway_record::{
    AdjustedPart, Adjustment, Climate, Draft, Entry, EntryBody, EntryId, Moment, Pass, PassReading,
    Phase, Record, SetupId, SpecField, State, StringChange, Target, Tuning, Turns, VisitEnded,
    VisitOpened, templates,
};

use crate::instrument::{BridgeKind, Instrument};
use crate::noise::Noise;

/// 2026-01-10 10:00 UTC.
const START: i64 = 1_768_039_200;

/// A record that is being written.
pub struct Log {
    record: Record,
    draft: Draft,
    writer: Writer,
    next: u64,
    now: i64,
    /// The visits so far, each by the entry that opened it.
    pub visits: Vec<EntryId>,
    open: Option<EntryId>,
}

/// The string of a number from 0.
pub fn place(string: usize) -> StringPlace {
    StringPlace::course(string as u8 + 1).unwrap()
}

/// Hundredths of a millimetre.
fn hundredths(mm: f64) -> Amount {
    Amount::decimal((mm * 100.0).round() as i64, 2, Unit::Millimetre).unwrap()
}

impl Log {
    /// What somebody wrote down who knows the instrument as owners do: some know the thread and which way
    /// screws work, some do not.
    pub fn new(made: &Instrument, noise: &mut Noise) -> Self {
        let mut log = Self {
            record: Record::create(RecordId::from_bytes([3; 16])),
            draft: Draft::default(),
            writer: Writer::from_bytes([4; 16]),
            next: 1,
            now: START,
            visits: Vec::new(),
            open: None,
        };
        let all = templates();
        let template = all.iter().find(|t| t.id == made.kind.template).unwrap();
        template.spec.fields().iter().for_each(|field| log.fact(field));
        let kind = if made.rod.two_way { RodKind::TwoWay } else { RodKind::OneWay };
        log.fact(&SpecField::Rod(RodSpec { kind, access: None }));
        if noise.chance(0.4) {
            log.screw(ScrewPlace::Rod, None, Some(-made.rod.clockwise));
        }
        let two = made.bridge.kind;
        let (height, screw) = match two {
            BridgeKind::Own => (HeightBy::OwnSaddles { screws: 2 }, ScrewPlace::SaddleHeight),
            BridgeKind::Shared => {
                let saddles = made.kind.shared.iter();
                let places = saddles.map(|s| s.iter().map(|n| place(*n)).collect()).collect();
                (HeightBy::SharedSaddles(places), ScrewPlace::SaddleHeight)
            }
            BridgeKind::TwoPosts | BridgeKind::Floating => {
                (HeightBy::TwoPosts, ScrewPlace::BridgePost)
            }
            BridgeKind::Fixed => (HeightBy::Fixed, ScrewPlace::SaddleHeight),
        };
        let floating = two == BridgeKind::Floating;
        let bridge = BridgeSpec { height, floating, intonation: None, sideways: None, posts: None };
        log.fact(&SpecField::Bridge(bridge));
        if two != BridgeKind::Fixed {
            let pitch = noise.chance(0.92).then_some(made.bridge.per_turn.abs());
            let way = noise.chance(0.5).then_some(made.bridge.per_turn);
            log.screw(screw, pitch, way);
        }
        log
    }

    /// Writes a fact down.
    pub fn fact(&mut self, field: &SpecField) {
        let put = self.record.editor(self.writer, &self.draft).set_spec(field).unwrap();
        self.draft.add(put);
    }

    /// Writes down a screw: its pitch in mm, and what clockwise gives (above zero: more), if known.
    pub fn screw(&mut self, at: ScrewPlace, pitch: Option<f64>, clockwise: Option<f64>) {
        let micrometres =
            |mm: f64| Amount::decimal((mm * 1000.0).round() as i64, 3, Unit::Millimetre);
        let thread = pitch.map(|p| ThreadSpec { designation: None, pitch: micrometres(p).ok() });
        let clockwise = clockwise.map(|c| if c > 0.0 { Clockwise::More } else { Clockwise::Less });
        self.fact(&SpecField::Screw(at, ScrewSpec { thread, clockwise, key: None }));
    }

    /// Writes an entry, a minute after the one before.
    pub fn add(&mut self, body: EntryBody) -> EntryId {
        self.now += 60;
        let id = EntryId::new(self.writer, self.next);
        self.next += 1;
        let mut entry = Entry::new(id, Moment::new(self.now, 0).unwrap(), body).by("tech");
        entry.visit = self.open;
        let put = self.record.editor(self.writer, &self.draft).log(&entry).unwrap();
        self.draft.add(put);
        id
    }

    /// Ends the visit that is open and opens one some days later.
    pub fn visit(&mut self, days: f64) {
        if !self.visits.is_empty() {
            self.add(EntryBody::VisitEnd(VisitEnded::default()));
        }
        self.now += (days * 86_400.0) as i64;
        self.open = None;
        self.open = Some(self.add(EntryBody::Visit(VisitOpened::default())));
        self.visits.extend(self.open);
    }

    /// The strings were brought to pitch.
    pub fn tuned(&mut self) {
        self.add(EntryBody::Tuning(Tuning::default()));
    }

    /// New strings were put on.
    pub fn strings(&mut self) {
        self.add(EntryBody::StringChange(StringChange::default()));
    }

    /// The air of the room.
    pub fn climate(&mut self, humidity: f64) {
        let percent = |v: f64| Amount::decimal(v.round() as i64, 0, Unit::Percent).ok();
        let celsius = Amount::decimal(21, 0, Unit::Celsius).ok();
        self.add(EntryBody::Climate(Climate {
            temperature: celsius,
            humidity: percent(humidity),
            hours_there: Some(336),
            where_kept: None,
        }));
    }

    /// Something was adjusted.
    pub fn adjusted(&mut self, what: AdjustedPart, sixteenths: Option<i64>) {
        let turns = sixteenths.map(|n| format!("{}", n as f64 / 16.0).parse::<Turns>().unwrap());
        self.add(EntryBody::Adjustment(Adjustment { what, turns, amount: None, note: None }));
    }

    /// A pass.
    pub fn read(
        &mut self,
        quantity: Quantity,
        tool: Tool,
        readings: Vec<(Location, Reading)>,
        as_left: bool,
    ) {
        let mut pass = Pass::new(quantity, Some(tool));
        pass.phase = as_left.then_some(Phase::AsLeft);
        pass.readings = readings
            .into_iter()
            .map(|(location, reading)| PassReading { location, reading })
            .collect();
        self.add(EntryBody::Pass(pass));
    }

    /// A target of the only setup, in mm.
    pub fn want(&mut self, quantity: Quantity, location: Location, wanted: f64, tolerance: f64) {
        let target = Target {
            quantity,
            location,
            wanted: hundredths(wanted),
            tolerance: hundredths(tolerance),
            by: Some("owner".to_owned()),
            at: Moment::new(self.now, 0).unwrap(),
            taken_from: None,
        };
        let editor = self.record.editor(self.writer, &self.draft);
        let put = editor.set_target(&SetupId::main(), &target).unwrap();
        self.draft.add(put);
    }

    /// The record as it stands.
    pub fn state(&self) -> State {
        self.record.state().with_draft(self.draft.puts(), self.writer, self.now)
    }

    /// Something worked out from it, a minute later.
    pub fn with<T>(&self, ask: impl FnOnce(&Input<'_>) -> T) -> T {
        with_input(&self.state(), &SetupId::main(), self.now + 60, ask)
    }

    /// The plan.
    pub fn plan(&self) -> Plan {
        self.with(plan)
    }
}

/// A gap.
pub fn gap(stopped: usize, over: usize) -> Quantity {
    Quantity::gap(stopped as u8, over as u8).unwrap()
}

/// Relief between fret 1 and another.
pub fn relief(to: usize) -> Quantity {
    let fret = |n: usize| Fret::new(n as u8).unwrap();
    Quantity::Relief { from: fret(1), to: fret(to), at: None }
}
