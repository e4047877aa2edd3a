//! What a question stands on: what was given, else the instrument's facts and latest readings.

use fallaway::advice::observe::{Facts, of_spec};
use fallaway::measure::{Amount, Fret, Length, Location, Quantity, STANDARD_A4_HZ, StringPlace};
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::board::{StringPath, Surface};
use fallaway::mechanics::conversions::StringGeometry;
use fallaway::mechanics::frets::position;
use fallaway::mechanics::neck::Joint;
use fallaway::mechanics::screws::{Screw, Thread};
use fallaway::mechanics::string_line::GapPlace;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::uom::si::f64::Frequency;
use fallaway::mechanics::uom::si::frequency::hertz;
use fallaway::record::InstrumentSpec;
use fallaway::record::spec::{BoardCurve, Clockwise, ScrewPlace};
use fallaway::{Card, Instrument};
use fallaway_text::{Computed, List, Phrase, errors, names};

use super::super::answer::Reply;
use super::super::context::Context;
use super::given;
use super::numbers::both;
use crate::cli::calc::{BoardArgs, GapWay, NeckArgs, TurnArgs};
use crate::error::{Error, Outcome};
use crate::messages::calc as say;

/// What is known of the instrument that is meant.
struct Known {
    spec: InstrumentSpec,
    facts: Facts,
    card: Card,
}

/// What a question stands on.
pub struct Ground {
    known: Option<Known>,
}

impl Ground {
    /// Looks at the instrument that was named, else at the only one of this device, so that its
    /// facts are not passed over in silence. Where there are several, none is meant.
    pub fn of(context: &mut Context<'_, '_>) -> Outcome<Self> {
        let Some(instrument) = Self::meant(context)? else { return Ok(Self { known: None }) };
        let spec = instrument.details()?.spec;
        let (facts, card) = (of_spec(&spec), instrument.card(None)?);
        Ok(Self { known: Some(Known { spec, facts, card }) })
    }

    fn meant(context: &mut Context<'_, '_>) -> Outcome<Option<Instrument>> {
        if context.is_named() {
            return context.instrument().map(Some);
        }
        // A calculator leaves no folder behind.
        if !context.folder.is_dir() {
            return Ok(None);
        }
        let workshop = context.workshop()?;
        match workshop.instruments()?.as_slice() {
            [only] => Ok(Some(workshop.instrument(only.id)?)),
            _ => Ok(None),
        }
    }

    /// The facts of the instrument, if one is meant.
    pub fn spec(&self) -> Option<&InstrumentSpec> {
        self.known.as_ref().map(|known| &known.spec)
    }

    /// The facts as the plan uses them.
    pub fn facts(&self) -> Option<&Facts> {
        self.known.as_ref().map(|known| &known.facts)
    }

    fn course(&self, string: Option<u8>) -> Outcome<StringPlace> {
        let place = StringPlace::course(string.unwrap_or(1))
            .map_err(|error| Error::Usage(errors::value(&error)))?;
        match self.spec() {
            Some(spec) if !spec.has(place) => {
                let count = spec.course_count().into();
                Err(given::wrong("string", say::no_string(place.to_string(), count)))
            }
            _ => Ok(place),
        }
    }

    /// The scale length.
    pub fn scale(
        &self,
        words: &[String],
        string: Option<u8>,
        answer: &mut Reply,
    ) -> Outcome<Length> {
        if let Some(given) = given::length_if("scale", words)? {
            return Ok(given);
        }
        let place = self.course(string)?;
        let scale = self.spec().and_then(|spec| spec.scale_of(place));
        let scale = scale.ok_or_else(|| given::missing("scale", "34 in"))?;
        answer.rests_on(say::fact_scale(both(scale)));
        Ok(scale)
    }

    /// How many frets.
    pub fn frets(&self, given: Option<usize>, answer: &mut Reply) -> Outcome<usize> {
        if let Some(frets) = given {
            return Ok(frets);
        }
        match self.spec().and_then(InstrumentSpec::last_fret).map(Fret::number) {
            None | Some(0) => Err(given::missing("frets", "24")),
            Some(frets) => {
                answer.rests_on(say::fact_frets(frets.into()));
                Ok(usize::from(frets))
            }
        }
    }

    fn joint(&self, args: &NeckArgs, frets: usize, answer: &mut Reply) -> Outcome<Joint> {
        let within = args.joint_within;
        let (fret, within) = if let Some(fret) = args.joint {
            (fret, within.unwrap_or(0.0))
        } else {
            let known = self.facts().and_then(|f| f.joint_fret.and(f.joint()));
            let (fret, by) = match known {
                Some((fret, by)) => (f64::from(fret), f64::from(by)),
                None => (Joint::first_over_body(frets.saturating_sub(4).max(1))?.fret, 2.0),
            };
            let by = within.unwrap_or(by);
            let number = |value: f64| Computed::plain(value, u8::from(value.fract() != 0.0));
            if known.is_some() {
                answer.rests_on(say::fact_joint(number(fret), number(by)));
            } else {
                answer.assumed(say::assumed_joint(number(fret), number(by)));
            }
            (fret, by)
        };
        given::within("joint-within", within, 0, 12)?;
        // Equally likely within: JCGM 100:2008, 4.3.7.
        Ok(Joint { standard_uncertainty: within / 3f64.sqrt(), ..Joint::known(fret)? })
    }

    /// The neck under one string.
    pub fn geometry(&self, args: &NeckArgs, answer: &mut Reply) -> Outcome<StringGeometry> {
        let scale = self.scale(&args.scale, args.string, answer)?;
        let frets = self.frets(args.frets, answer)?;
        let joint = self.joint(args, frets, answer)?;
        let mut geometry = StringGeometry::level(scale, frets, joint);
        match given::length_if("compensation", &args.compensation)? {
            Some(length) => geometry.compensation = length,
            None => answer.assumed(say::assumed_level()),
        }
        Ok(geometry)
    }

    /// Where a gap is read.
    pub fn way(way: &GapWay, frets: usize) -> Outcome<GapPlace> {
        let stopped = way.stopped.unwrap_or(1);
        let over = way.over.unwrap_or(if stopped == 0 { 12.min(frets) } else { frets });
        if over > frets || stopped >= over {
            return Err(Error::Usage(say::wrong_gap(over, stopped, frets)));
        }
        Ok(GapPlace::new(stopped, over))
    }

    /// The latest reading of a quantity at a string or the whole instrument; says which.
    pub fn latest(
        &self,
        string: Option<u8>,
        wanted: impl Fn(Quantity) -> bool,
        answer: &mut Reply,
    ) -> Outcome<Option<(Quantity, Uncertain<Length>)>> {
        let Some(known) = &self.known else { return Ok(None) };
        let place = self.course(string)?;
        let found = known
            .card
            .lines
            .iter()
            .filter_map(|line| line.last.as_ref())
            .filter(|last| wanted(last.quantity))
            .filter(|last| match last.location {
                Location::Course(course) => course == place,
                _ => true,
            })
            .max_by_key(|last| last.at.unix_s);
        let Some(last) = found else { return Ok(None) };
        let value = given::estimate("instrument", &last.reading, last.tool.as_ref())?;
        let at = names::location(&known.spec, last.location);
        let what = [Some(names::quantity(last.quantity)), at].into_iter().flatten();
        let what: Phrase = List::comma(what).into();
        if last.stale {
            answer.caution(say::stale(what.clone()));
        }
        answer.rests_on(say::latest(what, last.reading, last.at));
        Ok(Some((last.quantity, value)))
    }

    /// The reference pitch.
    pub fn a4(&self, words: &[String]) -> Outcome<Frequency> {
        if !words.is_empty() {
            return given::frequency("a4", words);
        }
        Ok(Frequency::new::<hertz>(self.spec().map_or(STANDARD_A4_HZ, InstrumentSpec::a4_hz)))
    }

    /// A screw: given, else the instrument's.
    pub fn screw(&self, args: &TurnArgs, place: ScrewPlace) -> Outcome<Screw> {
        let given = given::screw(args)?;
        let known = self.spec().and_then(|spec| spec.screws.get(&place));
        let thread = known.and_then(|screw| screw.thread.as_ref()).and_then(|thread| {
            let own = thread.pitch.and_then(Amount::length).and_then(|p| Thread::own(p).ok());
            own.or_else(|| Thread::named(thread.designation.as_deref()?).ok())
        });
        let raises = known.and_then(|screw| match screw.clockwise {
            Some(Clockwise::More) => Some(fallaway::mechanics::screws::TurnDirection::Clockwise),
            Some(Clockwise::Less) => {
                Some(fallaway::mechanics::screws::TurnDirection::Anticlockwise)
            }
            _ => None,
        });
        Ok(Screw { thread: given.thread.or(thread), raises: given.raises.or(raises) })
    }

    /// Gauges of the instrument's strings, highest place first; none unless all are known.
    pub fn gauges(&self) -> Option<Vec<Length>> {
        let spec = self.spec()?;
        spec.places()
            .iter()
            .map(|place| spec.strings.get(place)?.gauge?.length())
            .collect::<Option<Vec<_>>>()
            .filter(|gauges| !gauges.is_empty())
    }

    /// Radius words: flat, one, or two.
    pub fn surface(&self, args: &BoardArgs, answer: &mut Reply) -> Outcome<Surface> {
        if args.radius.join(" ").trim() == "flat" {
            return Ok(Surface::flat());
        }
        let given = given::lengths("radius", &args.radius)?;
        let radii = match (given.as_slice(), self.spec().and_then(|spec| spec.board)) {
            ([], Some(BoardCurve::Flat)) => return Ok(Surface::flat()),
            ([], Some(BoardCurve::Cylinder(radius))) => radius.length().into_iter().collect(),
            ([], Some(BoardCurve::Compound { nut, last_fret })) => {
                nut.length().into_iter().chain(last_fret.length()).collect()
            }
            ([], _) => return Err(given::missing("radius", "12 in")),
            _ => given,
        };
        if args.radius.is_empty() {
            answer.rests_on(say::fact_radius());
        }
        match radii.as_slice() {
            [one] => Ok(Surface::cylinder(*one)?),
            [first, last] => {
                let scale = self.scale(&args.scale, None, answer)?;
                let frets = self.frets(args.frets, answer)?;
                let at = match args.radius_at.as_slice() {
                    [a, b] => [*a, *b],
                    _ => [0, frets],
                };
                let place = |fret: usize| -> Outcome<Length> {
                    if fret == 0 { Ok(mm(0.0)) } else { Ok(position(scale, fret)?) }
                };
                Ok(Surface::compound((place(at[0])?, *first), (place(at[1])?, *last))?)
            }
            several => Err(given::wrong("radius", say::radii(several.len()))),
        }
    }

    /// The paths of all strings, evenly spread, the highest string at the negative end.
    pub fn paths(
        &self,
        args: &BoardArgs,
        count: Option<usize>,
        answer: &mut Reply,
    ) -> Outcome<Vec<StringPath>> {
        let scale = self.scale(&args.scale, None, answer)?;
        let frets = self.frets(args.frets, answer)?;
        let courses = self.spec().map(|spec| usize::from(spec.course_count()));
        let count = args
            .strings
            .or(count)
            .or(courses.filter(|n| *n > 0))
            .ok_or_else(|| given::missing("strings", "6"))?;
        given::within("strings", count as f64, 1, 36)?;
        let spread = |option: &str, words: &[String], known: Option<Amount>| -> Outcome<f64> {
            let given = given::length_if(option, words)?;
            let spread = given.or(known.and_then(Amount::length));
            spread.map(as_mm).ok_or_else(|| given::missing(option, "52.5 mm"))
        };
        let nut = spread("nut-spread", &args.nut_spread, self.spec().and_then(|s| s.nut_spread))?;
        let bridge = spread(
            "bridge-spread",
            &args.bridge_spread,
            self.spec().and_then(|s| s.bridge_spread),
        )?;
        answer.assumed(say::assumed_spread());
        (0..count)
            .map(|index| {
                let across = index as f64 / (count as f64 - 1.0).max(1.0) - 0.5;
                Ok(StringPath::new(scale, frets, mm(nut * across), mm(bridge * across))?)
            })
            .collect()
    }
}
