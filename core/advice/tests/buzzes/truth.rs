//! A true string over a true neck that one thing makes buzz, what a player says of it and what a
//! technician reads. Strings, necks, touches and errors are invented. What touches is told by the
//! clearance model, which the ranking uses too: this tries the ranking, not the model.

use fallaway_advice::buzz::{BuzzCause, HeardBuzz};
use fallaway_advice::clearance::{ClearanceModel, SetString, TouchUsed};
use fallaway_mechanics::Uncertain;
use fallaway_mechanics::clearance::{ClearanceMargin, Played, SwingingString, clearance};
use fallaway_mechanics::conversions::StringGeometry;
use fallaway_mechanics::envelope::{Method, PluckedString, SwingModel, Touch};
use fallaway_mechanics::envelope_cache::EnvelopeCache;
use fallaway_mechanics::neck::{Joint, NeckLine, ReliefWay};
use fallaway_mechanics::pluck::PluckDirection;
use fallaway_mechanics::string_line::{GapPlace, NutReading, StringLine};
use fallaway_mechanics::units::{as_mm, mm};
use uom::si::f64::{Force, Frequency};
use uom::si::force::newton;
use uom::si::frequency::hertz;

use super::noise::Noise;

/// What was made to buzz. A loose part is not among them: the model has none.
pub const TRUE: [BuzzCause; 4] = [
    BuzzCause::ReliefTooSmall,
    BuzzCause::ActionLow,
    BuzzCause::ProudCrown { fret: 0 },
    BuzzCause::NutSlot,
];

/// An invented string: scale, frets, joint, Hz, tension in N, inharmonicity, usual touch in N.
pub struct Kind {
    scale: f64,
    frets: usize,
    joint: f64,
    hz: f64,
    tension: f64,
    inharmonicity: f64,
    touch: f64,
}

const KINDS: [Kind; 4] = [
    kind((863.6, 24, 20.0), (41.203, 155.0, 1e-4), 1.5),
    kind((863.6, 24, 20.0), (97.999, 170.0, 2e-5), 1.5),
    kind((647.7, 22, 16.0), (82.407, 78.0, 8e-5), 0.8),
    kind((647.7, 22, 16.0), (329.63, 70.0, 1e-5), 0.6),
];

const fn kind(
    (scale, frets, joint): (f64, usize, f64),
    (hz, tension, inharmonicity): (f64, f64, f64),
    touch: f64,
) -> Kind {
    Kind { scale, frets, joint, hz, tension, inharmonicity, touch }
}

/// The state of a neck and a string. Lengths in mm.
#[derive(Clone)]
struct State {
    relief: f64,
    saddle: f64,
    /// Of the slot, over the line of the crowns.
    nut: f64,
    crowns: Vec<f64>,
}

/// One case.
pub struct Case {
    kind: &'static Kind,
    joint: f64,
    force: f64,
    before: State,
    now: State,
    pub cause: BuzzCause,
    pub heard: HeardBuzz,
    /// The force that the desk is told.
    pub play: TouchUsed,
}

/// Latest readings of a string, in mm.
#[derive(Clone, Copy)]
pub struct Read {
    pub relief: f64,
    pub action: f64,
    pub nut: f64,
}

/// Standard uncertainties of a feeler and of a rule, mm (invented).
const FEELER: f64 = 0.02;
const RULE: f64 = 0.07;

impl State {
    fn line(&self, kind: &Kind, joint: f64) -> StringLine {
        let offsets: Vec<_> = self.crowns.iter().map(|c| mm(*c)).collect();
        // The relief bends a neck of level crowns; single crowns stand on it.
        let neck = NeckLine::new(mm(kind.scale), kind.frets, joint)
            .and_then(|neck| neck.with_relief(mm(self.relief), ReliefWay::largest(kind.frets)))
            .and_then(|neck| neck.with_crown_offsets(&offsets));
        StringLine::new(neck.unwrap(), mm(0.0), mm(self.saddle), mm(self.nut)).unwrap()
    }

    fn margins(&self, case: (&Kind, f64, f64), swings: &mut EnvelopeCache) -> Vec<ClearanceMargin> {
        let (kind, joint, force) = case;
        let plucked = PluckedString {
            scale: mm(kind.scale),
            frets: kind.frets,
            frequency: Frequency::new::<hertz>(kind.hz),
            inharmonicity: kind.inharmonicity,
            from_saddle: mm(100.0),
        };
        let envelope = swings.get(&plucked, Method::Modes(SwingModel::default())).unwrap();
        let line = self.line(kind, joint);
        let tension = Force::new::<newton>(kind.tension);
        let string = SwingingString { line: &line, envelope: &envelope, tension };
        let touch =
            Touch { force: Force::new::<newton>(force), direction: PluckDirection::TowardBoard };
        clearance(&string, touch, Played::all_and_open(kind.frets)).unwrap().margins
    }

    fn gap(&self, kind: &Kind, joint: f64, place: GapPlace) -> f64 {
        as_mm(self.line(kind, joint).gap(place).unwrap())
    }
}

/// The least margin of some notes.
fn least(margins: &[ClearanceMargin], which: impl Fn(usize) -> bool) -> f64 {
    let of = margins.iter().filter(|m| which(m.place.stopped));
    of.map(|m| as_mm(m.margin)).fold(f64::INFINITY, f64::min)
}

/// A touch by less is not heard, mm.
const HEARD: f64 = 0.01;

impl Case {
    /// Draws instruments until one can be made to buzz by this cause alone, within what is met.
    pub fn draw(cause: BuzzCause, noise: &mut Noise, swings: &mut EnvelopeCache) -> Self {
        loop {
            if let Some(case) = Self::once(cause, noise, swings) {
                return case;
            }
        }
    }

    fn once(cause: BuzzCause, noise: &mut Noise, swings: &mut EnvelopeCache) -> Option<Self> {
        let kind = &KINDS[noise.below(KINDS.len())];
        let joint = kind.joint + noise.between(-1.0, 1.0);
        let force = kind.touch * (0.25 * noise.normal()).exp();
        let tried = (kind, joint, force);
        let mut before = State {
            relief: noise.between(0.12, 0.30),
            saddle: 0.5,
            nut: noise.between(0.15, 0.35),
            crowns: (0..kind.frets).map(|_| 0.01 * noise.normal()).collect(),
        };
        // As a technician leaves it: every note clean, with a little to spare, the open one too.
        let spare = noise.between(0.02, 0.10);
        while least(&before.margins(tried, swings), |m| m > 0) < spare {
            before.saddle += 0.05;
        }
        let spare = noise.between(0.02, 0.10);
        while least(&before.margins(tried, swings), |m| m == 0) < spare {
            before.nut += 0.02;
        }
        let mut now = before.clone();
        let fret = 2 + noise.below(kind.frets - 5);
        let cause = if let BuzzCause::ProudCrown { .. } = cause {
            BuzzCause::ProudCrown { fret: fret as u8 }
        } else {
            cause
        };
        let depart = |now: &mut State, by: f64| match cause {
            BuzzCause::ReliefTooSmall => now.relief -= by,
            BuzzCause::ActionLow => now.saddle -= 2.0 * by,
            BuzzCause::ProudCrown { .. } => now.crowns[fret - 1] += by,
            _ => now.nut -= by,
        };
        let mut by = 0.0;
        while least(&now.margins(tried, swings), |_| true) > -HEARD {
            depart(&mut now, 0.01);
            by += 0.01;
            // More is not met, or another thing touches first.
            if by > 0.4 {
                return None;
            }
        }
        depart(&mut now, noise.between(0.0, 0.05));
        let margins = now.margins(tried, swings);
        let touches = |note: usize| least(&margins, |m| m == note) < -HEARD;
        let worst = (0..kind.frets)
            .min_by(|a, b| least(&margins, |m| m == *a).total_cmp(&least(&margins, |m| m == *b)))?;
        // The run of notes around the worst; one time in five an end is named one fret off.
        let mut from = (0..=worst).rev().take_while(|n| touches(*n)).last()?;
        let mut to = (worst..kind.frets).take_while(|n| touches(*n)).last()?;
        if noise.chance(0.1) {
            from = from.saturating_sub(1);
        }
        if noise.chance(0.1) && to > 0 {
            to = (to + 1).min(kind.frets - 1);
        }
        let heard = HeardBuzz { string: 0, from: from as u8, to: to as u8 };
        let play = TouchUsed::with_force(force * (0.15 * noise.normal()).exp());
        Some(Self { kind, joint, force, before, now, cause, heard, play })
    }

    /// What is read of the string as it was before, or as it is today.
    pub fn read(&self, today: bool, noise: &mut Noise) -> Read {
        let state = if today { &self.now } else { &self.before };
        let (kind, joint) = (self.kind, self.joint);
        let line = state.line(kind, joint);
        let way = ReliefWay::at_fret(8, kind.frets);
        let relief = as_mm(line.neck().relief(way).unwrap().gap);
        let round = |value: f64, to: f64| (value / to).round() * to;
        let mut near = |value: f64, by: f64, to: f64| round(value + by * noise.normal(), to);
        Read {
            relief: near(relief, FEELER, 0.01),
            action: near(state.gap(kind, joint, self.action_at()), RULE, 0.1),
            nut: near(state.gap(kind, joint, GapPlace::OPEN_OVER_1), FEELER, 0.01),
        }
    }

    fn action_at(&self) -> GapPlace {
        GapPlace::stopped_at_1_over(self.kind.frets)
    }

    /// The desk that these readings make, with the joint as the record has it and crowns level.
    pub fn desk(&self, read: Read) -> ClearanceModel {
        let kind = self.kind;
        let joint = Joint { standard_uncertainty: 1.0, ..Joint::known(kind.joint).unwrap() };
        ClearanceModel::new(vec![SetString {
            place: fallaway_measure::StringPlace::course(1).unwrap(),
            geometry: StringGeometry::level(mm(kind.scale), kind.frets, joint),
            hz: kind.hz,
            tension: Uncertain::exact(Force::new::<newton>(kind.tension)),
            inharmonicity: kind.inharmonicity,
            relief: Uncertain::new(mm(read.relief), mm(FEELER)).unwrap(),
            relief_way: ReliefWay::at_fret(8, kind.frets),
            action: Uncertain::new(mm(read.action), mm(RULE)).unwrap(),
            action_at: self.action_at(),
            nut: Some(NutReading::OpenOver1(mm(read.nut))),
        }])
    }

    /// Whether a short straight edge over this crown and its neighbours rocks: from 0.02 mm.
    pub fn rocks(&self, fret: u8, noise: &mut Noise) -> bool {
        let crown = |n: usize| self.now.crowns.get(n).copied().unwrap_or(0.0);
        let at = usize::from(fret).max(2) - 1;
        crown(at) - f64::midpoint(crown(at - 1), crown(at + 1)) + 0.005 * noise.normal() > 0.02
    }

    /// Whether a finger at fret 1 takes the buzz away.
    pub fn gone_at_1(&self, swings: &mut EnvelopeCache) -> bool {
        let margins = self.now.margins((self.kind, self.joint, self.force), swings);
        least(&margins, |m| m == 1) > -HEARD
    }
}
