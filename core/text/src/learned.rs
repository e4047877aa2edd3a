//! What was learned: the estimate with its interval, what it rests on, what was assumed before, and what
//! was left out.

use fallaway_advice::clearance::TouchBounds;
use fallaway_advice::learn::touch::{BoundSide, TouchHeard, TouchObserved};
use fallaway_advice::learn::{
    ClimateLack, Interval, Learned, LearnedValue, LeftOut, PlayerTouch, ReaderLearned,
    ScrewLearned, SeasonLearned, TensionLearned, WhyLeftOut, touch,
};
use fallaway_record::InstrumentSpec;

use crate::messages::learned as say;
use crate::plan::{self, reader};
use crate::{Computed, LengthOf, List, Phrase, Word, facts, names};

/// Moistures of the wood nearer to each other than this are shown as one.
const ONE_AIR_PERCENT: f64 = 0.05;

/// What was learned, a sentence or two each.
pub fn sentences(learned: &Learned, spec: &InstrumentSpec) -> Vec<Phrase> {
    let mut said = Said { said: Vec::new(), spec };
    said.rod(learned);
    learned.screws.iter().for_each(|one| said.screw(one));
    match &learned.season {
        None => said.push(say::season_nothing(Word(match learned.season_lacks {
            Some(ClimateLack::Humidity) => "humidity",
            Some(ClimateLack::Hours) => "hours",
            Some(ClimateLack::Longer) => "longer",
            Some(ClimateLack::Any) | None => "climate",
        }))),
        Some(season) => said.season(season),
    }
    if let Some(tension) = &learned.tension {
        said.tension(tension);
    }
    learned.readers.iter().for_each(|one| said.reader(one));
    learned.touch.iter().for_each(|one| said.touch(one));
    said.said
}

/// What is known and what is not yet, in one line.
pub fn lead(learned: &Learned) -> Phrase {
    let rod = learned.rod.observations > 0;
    let readers = learned.readers.iter().filter(|one| one.repeatability.observations > 0).count();
    let touch = learned.touch.iter().any(|one| one.force.observations > 0);
    let known = [
        (rod, say::lead_rod()),
        (learned.season.as_ref().is_some_and(|season| season.told), say::lead_season()),
        (learned.tension.as_ref().is_some_and(|tension| tension.told), say::lead_tension()),
        (readers > 0, say::lead_readers(readers)),
        (touch, say::lead_touch()),
    ];
    let of = |wanted: bool| {
        let these = known.iter().filter(move |(is_known, _)| *is_known == wanted);
        List::comma(these.map(|(_, what)| what.clone()))
    };
    match known.iter().filter(|(is_known, _)| *is_known).count() {
        0 => say::lead_nothing(),
        count if count == known.len() => say::lead_all(of(true)),
        _ => say::lead(of(true), of(false)),
    }
}

struct Said<'a> {
    said: Vec<Phrase>,
    spec: &'a InstrumentSpec,
}

impl Said<'_> {
    fn push(&mut self, phrase: Phrase) {
        self.said.push(phrase);
    }

    fn rod(&mut self, learned: &Learned) {
        let LearnedValue { observations, estimate, prior, excluded } = &learned.rod;
        let quarter =
            |all: Interval| interval(all, |turn| Computed::mm(turn / 4.0).of(LengthOf::Relief));
        let rod = match observations {
            0 => say::rod_nothing(quarter(*prior)),
            count => say::rod(quarter(*estimate), *count, quarter(*prior)),
        };
        let way = match learned.less_relief {
            Some(way) => say::rod_way(plan::direction(way)),
            None => say::rod_way_unknown(),
        };
        self.push(List::sentences([rod, way]).into());
        self.left_out(excluded);
    }

    fn screw(&mut self, learned: &ScrewLearned) {
        let ScrewLearned { screw, pickup, clockwise, observations } = *learned;
        let which = match pickup {
            Some(number) => say::screw_of_pickup(facts::screw_name(screw), number),
            None => facts::screw_name(screw),
        };
        self.push(match clockwise {
            Some(way) => say::screw(which, facts::clockwise(screw, way), observations),
            None => say::screw_contradicts(which, observations),
        });
    }

    fn season(&mut self, season: &SeasonLearned) {
        let LearnedValue { observations, estimate, prior, excluded } = &season.per_percent;
        let (dry, damp) = season.seen_percent;
        if damp - dry < ONE_AIR_PERCENT {
            self.push(say::season_one_air(Computed::percent(damp).places(1)));
            self.left_out(excluded);
            return;
        }
        let text = say::season(
            names::quantity(season.way.quantity),
            slope(*estimate),
            *observations,
            Computed::percent(dry).places(1),
            Computed::percent(damp).places(1),
            slope(*prior),
        );
        self.push(told(text, season.told));
        self.left_out(excluded);
    }

    fn tension(&mut self, tension: &TensionLearned) {
        let LearnedValue { observations, estimate, prior, excluded } = &tension.per_newton;
        // Without a change of tension there is nothing to tell.
        if *observations > 0 {
            let ten = |all: Interval| {
                slope(Interval {
                    value: all.value * 10.0,
                    low: all.low * 10.0,
                    high: all.high * 10.0,
                })
            };
            let step = Computed::newtons(10.0).places(0);
            let text = say::pull(ten(*estimate), step, *observations, ten(*prior));
            self.push(told(text, tension.told));
        }
        self.left_out(excluded);
    }

    fn reader(&mut self, learned: &ReaderLearned) {
        let who = reader(learned.by.as_deref(), learned.tool);
        let LearnedValue { observations, estimate, prior, excluded } = &learned.repeatability;
        if *observations > 0 {
            let prior = names::computed(Computed::mm(prior.value));
            self.push(say::repeats(
                who.clone(),
                interval(*estimate, Computed::mm),
                *observations,
                prior,
            ));
        }
        self.left_out(excluded);
        let bias = &learned.offset;
        if bias.observations > 0 {
            let (estimate, prior) = (slope(bias.estimate), slope(bias.prior));
            self.push(say::bias(who, estimate, bias.observations, prior));
        }
    }

    fn touch(&mut self, touch: &PlayerTouch) {
        let LearnedValue { observations, estimate, prior, excluded } = &touch.force;
        let force = |all: Interval| interval(all, Computed::newtons);
        if *observations == 0 {
            self.push(say::touch_nothing(&touch.by, force(*prior)));
        } else {
            let is_buzz = |one: &&TouchObserved| one.bound.side == BoundSide::AtLeast;
            let buzzes = touch.observed.iter().filter(is_buzz).count();
            let of = match (observations - buzzes, buzzes) {
                (clean, 0) => say::touch_clean(clean),
                (0, buzzes) => say::touch_buzz(buzzes),
                (clean, buzzes) => {
                    say::touch_of_both(say::touch_clean(clean), say::touch_buzz(buzzes))
                }
            };
            let text = say::touch(&touch.by, force(*estimate), of, force(*prior));
            self.push(List::sentences([text, sides(touch.sides)]).into());
            for side in [BoundSide::AtLeast, BoundSide::AtMost] {
                if let Some(one) = touch.tightest(side) {
                    let text = self.observed(one);
                    self.push(text);
                }
            }
        }
        self.left_out(excluded);
    }

    /// What an observation shows, and what it rests on.
    fn observed(&self, one: &TouchObserved) -> Phrase {
        let force = Computed::newtons(one.bound.newton);
        let string = names::string_label(self.spec, one.place);
        let when = names::moment(one.at);
        let shown = match one.heard {
            TouchHeard::Clean { to } => say::clean(force, string, to, when),
            TouchHeard::Buzz { from, to } if from == to => {
                say::buzz_fret(force, string, from, when)
            }
            TouchHeard::Buzz { from, to } => say::buzz_frets(force, string, from, to, when),
        };
        let read = [&one.action, &one.relief].map(|seen| plan::read(seen, None, self.spec));
        List::sentences(std::iter::once(shown).chain(read)).into()
    }

    fn left_out(&mut self, left_out: &[LeftOut]) {
        for one in left_out {
            let text = say::left_out(names::moment(one.at), why_left_out(one.why));
            self.push(text);
        }
    }
}

fn told(text: Phrase, is_told: bool) -> Phrase {
    if is_told { text } else { List::sentences([text, say::untold()]).into() }
}

/// From which sides a touch is limited.
fn sides(sides: TouchBounds) -> Phrase {
    match sides {
        TouchBounds::Neither => say::sides_neither(),
        TouchBounds::AtMost => say::sides_at_most(),
        TouchBounds::AtLeast => say::sides_at_least(),
        TouchBounds::Both => say::sides_both(),
        TouchBounds::Contradict => say::sides_contradict(),
    }
}

/// Why an entry teaches nothing.
pub fn why_left_out(why: WhyLeftOut) -> Phrase {
    match why {
        WhyLeftOut::TurnsUnwritten => say::left_out_turns(),
        WhyLeftOut::NotReadBefore => say::left_out_not_before(),
        WhyLeftOut::NotReadAfter => say::left_out_not_after(),
        WhyLeftOut::DoneBetween(kind) => say::left_out_between(plan::done(kind)),
        WhyLeftOut::TooFarApart => say::left_out_far_apart(),
        WhyLeftOut::NotAlike => say::left_out_not_alike(),
        WhyLeftOut::Outvoted => say::left_out_outvoted(),
        WhyLeftOut::AnotherWay => say::left_out_another_way(),
        WhyLeftOut::NoClimate => say::left_out_no_climate(),
        WhyLeftOut::ClimateBeyond => say::left_out_climate_beyond(),
        WhyLeftOut::Bound => say::left_out_bound(),
        WhyLeftOut::StandsApart => say::left_out_stands_apart(),
        WhyLeftOut::ActionUnread => say::left_out_action_unread(),
        WhyLeftOut::ReliefUnread => say::left_out_relief_unread(),
        WhyLeftOut::ReadLongFromIt => say::left_out_long_from(),
        WhyLeftOut::StringsUnknown => say::left_out_strings(),
        WhyLeftOut::OpenString => say::left_out_open_string(),
        WhyLeftOut::OthersFirst => say::left_out_others_first(),
        WhyLeftOut::LiesOnFret => say::left_out_lies_on_fret(),
        WhyLeftOut::TouchBeyond { newton } => {
            let within = touch::prior();
            say::left_out_touch_beyond(
                Computed::newtons(newton),
                Computed::newtons(within.low),
                Computed::newtons(within.high),
            )
        }
    }
}

/// "0.21 mm (0.15 mm to 0.27 mm)".
pub(crate) fn interval(all: Interval, number: impl Fn(f64) -> Computed) -> Phrase {
    say::interval(number(all.value), number(all.low), number(all.high))
}

/// "+0.021 mm (-0.010 mm to +0.052 mm)".
pub(crate) fn slope(all: Interval) -> Phrase {
    interval(all, |value| Computed::mm(value).places(3).signed().of(LengthOf::Relief))
}
