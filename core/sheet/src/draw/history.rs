//! Readings of one thing over time, with what was done and the air.

use fallaway_advice::observe::{COVERAGE, Estimate, EstimateUnit};
use fallaway_measure::{Amount, Quantity};
use fallaway_mechanics::units::as_mm;
use fallaway_order::PutInOrder as _;
use fallaway_record::Moment;
use fallaway_text::{Computed, List, Phrase, Voice, names};

use super::{DrawingWidth, PHONE};
use crate::letters;
use crate::messages as say;
use crate::scene::{Anchor, MarkRole, Scene, Shape, Spot};

/// Between two airs of which something is to be expected.
const AIRS_APART: f64 = 9.0;

/// From one line to the next at the foot.
const LINE: f64 = 13.0;

/// What stands where from top to bottom: between two edges the readings, under them a lane each for what was
/// done, the air and the days. A lane of which nothing is known takes no room.
struct Down {
    top: f64,
    low: f64,
    deeds: f64,
    air: f64,
    days: f64,
    high: f64,
}

impl Down {
    fn of(of: &History, width: DrawingWidth) -> Self {
        // A phone says above the drawing what is drawn.
        let top = match width {
            DrawingWidth::Page => 40.0,
            DrawingWidth::Phone => 20.0,
        };
        let low = top + 144.0;
        let deeds = low + 20.0;
        let air = if of.deeds.is_empty() { deeds } else { deeds + 24.0 };
        let days = if of.air.is_empty() { air } else { air + 26.0 };
        Self { top, low, deeds, air, days, high: days + 16.0 }
    }
}

/// What stands where from left to right.
struct Across {
    wide: f64,
    left: f64,
    right: f64,
    /// Where readings end if something is to be expected after them, and where that stands.
    now: f64,
    then: f64,
    /// What is written under that begins here; without, it is written at the foot.
    behind: Option<f64>,
}

impl Across {
    const fn of(width: DrawingWidth) -> Self {
        match width {
            DrawingWidth::Page => Self {
                wide: 640.0,
                left: 74.0,
                right: 624.0,
                now: 494.0,
                then: 528.0,
                behind: Some(520.0),
            },
            DrawingWidth::Phone => Self {
                wide: PHONE,
                left: 54.0,
                right: PHONE - 8.0,
                now: PHONE - 74.0,
                then: PHONE - 60.0,
                behind: None,
            },
        }
    }
}

/// More readings than this are many.
const MANY: usize = 80;

/// A reading of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct HistoryPoint {
    /// When it was read, by the reader's clock.
    pub at: Moment,
    /// What, in mm.
    pub read: Estimate,
    /// The same as it was read.
    pub said: Phrase,
}

/// Something that was done.
#[derive(Debug, Clone, PartialEq)]
pub struct HistoryDeed {
    /// When it was done, by the clock of whoever did it.
    pub at: Moment,
    /// What was done, in words.
    pub said: Phrase,
}

/// What is to be expected in an air.
#[derive(Debug, Clone, PartialEq)]
pub struct HistoryForecast {
    /// Relative humidity in percent.
    pub humidity_percent: f64,
    /// What is to be expected, in mm.
    pub expect: Estimate,
    /// Whether the record has seen nothing as dry or as damp.
    pub beyond_record: bool,
}

/// What the drawing is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct History {
    /// What was read, and which way.
    pub quantity: Quantity,
    /// Where, as it is called: "string 4 (E)".
    pub place: Option<Phrase>,
    /// The readings that are drawn.
    pub points: Vec<HistoryPoint>,
    /// The target of today and its tolerance.
    pub wanted: Option<(Amount, Amount)>,
    /// Whether people wrote different targets: then none is drawn, and it says so.
    pub two_values: bool,
    /// What was done that moves it.
    pub deeds: Vec<HistoryDeed>,
    /// Relative humidity, when it was written down.
    pub air: Vec<(Moment, Amount)>,
    /// What is to be expected after the last reading, from the driest air on.
    pub forecast: Vec<HistoryForecast>,
}

/// The drawing: one axis of time for readings with their intervals, the target as a band, what was done
/// and the air; behind them, fanning out, what is to be expected. Names that would lie on others are left
/// to the sentences.
pub fn history(of: &History, width: DrawingWidth, voice: &Voice) -> Scene {
    let across = Across::of(width);
    let what = names::quantity(of.quantity);
    let mut title = voice.sentence(&say::history_title(what));
    if let Some(place) = &of.place {
        title = format!("{title}, {}", voice.say(place));
    }
    let down = Down::of(of, width);
    let mut scene = Scene::new(across.wide, down.high, title);
    if width == DrawingWidth::Page {
        scene.heading();
    }
    let points: Vec<(&HistoryPoint, f64, f64)> = of
        .points
        .iter()
        .filter(|point| point.read.scale == EstimateUnit::Millimetre)
        .map(|point| (point, point.read.value, COVERAGE * point.read.standard_uncertainty))
        .collect();
    let wanted = of.wanted.filter(|_| !of.two_values);
    let wanted = wanted.and_then(|(wanted, tolerance)| {
        Some((wanted.length().map(as_mm)?, tolerance.length().map(as_mm)?))
    });
    let moments = points.iter().map(|(point, ..)| point.at.unix_s);
    let moments = moments.chain(of.deeds.iter().map(|deed| deed.at.unix_s));
    let moments: Vec<i64> = moments.chain(of.air.iter().map(|(at, _)| at.unix_s)).collect();
    let (Some(first), Some(last)) = (moments.iter().min(), moments.iter().max()) else {
        scene.height = down.top;
        return scene;
    };
    // A day at least, so that one reading stands in the middle.
    let (first, last) =
        if last - first < 86_400 { (first - 43_200, last + 43_200) } else { (*first, *last) };
    let span = (last - first) as f64;
    let fan = if points.is_empty() { Vec::new() } else { expected(&of.forecast) };
    let (end, edge) = match fan.len() {
        0 => (across.right, across.right),
        airs => (across.now, across.then + AIRS_APART * airs as f64),
    };
    let left = across.left;
    let x = |at: Moment| left + 8.0 + (at.unix_s - first) as f64 / span * (end - left - 16.0);
    let read = points.iter().map(|(_, mm, about)| (*mm, *about));
    let ahead = fan.iter().map(|(_, mm, about)| (*mm, *about));
    let scale = Scale::of(read.chain(wanted).chain(ahead), (down.top, down.low));

    let mut marks = Vec::new();
    for mm in scale.marks() {
        let said = names::computed(Computed::mm(mm).of(of.quantity));
        scene.line(MarkRole::Fret, [(left, scale.y(mm)), (edge, scale.y(mm))]);
        let at = (left - 6.0, scale.y(mm) + 3.0);
        scene.text(MarkRole::Label, at, (Anchor::End, 9.0, left - 10.0), &voice.say(&said));
        marks.push(said);
    }
    if let (Some((mm, tolerance)), Some((target, within))) = (wanted, of.wanted) {
        scene.band(
            MarkRole::Tolerance,
            (left, scale.y(mm + tolerance)),
            (edge, scale.y(mm - tolerance)),
        );
        scene.line(MarkRole::Wanted, [(left, scale.y(mm)), (edge, scale.y(mm))]);
        let said = say::wanted(target, within).of(of.quantity);
        scene.text(
            MarkRole::Label,
            (across.right, down.top - 6.0),
            (Anchor::End, 9.0, (across.wide - 24.0).min(260.0)),
            &voice.say(&said),
        );
        scene.sentences.push(format!("{}.", voice.sentence(&said)));
    }
    if of.two_values {
        let said = voice.sentence(&say::two_values());
        let (at, most) = ((across.right, down.top - 6.0), (across.wide - 24.0).min(260.0));
        scene.text(MarkRole::Label, at, (Anchor::End, 9.0, most), &said);
        scene.sentences.push(format!("{said}."));
    }
    let line: Vec<(f64, f64)> = points.iter().map(|(p, mm, _)| (x(p.at), scale.y(*mm))).collect();
    if line.len() > 1 {
        scene.line(MarkRole::String, line.clone());
    }
    if let Some(from) = line.last() {
        draw_fan(&mut scene, (*from, &fan), (&across, &down, &scale), of.quantity, voice);
    }
    // Many readings lie close: smaller dots leave the line between them to be seen.
    let radius = if points.len() > MANY { 1.5 } else { 2.5 };
    for (point, mm, about) in &points {
        let at = x(point.at);
        scene.line(MarkRole::Uncertain, [(at, scale.y(mm - about)), (at, scale.y(mm + about))]);
        let middle = Spot::new(at, scale.y(*mm));
        scene.mark(MarkRole::Read, Shape::Dot { at: middle, radius });
        let (day, said) = (names::day(point.at), point.said.clone());
        scene.sentences.push(format!("{}.", voice.sentence(&say::history_point(day, said))));
    }
    let right = across.behind.filter(|_| !fan.is_empty()).map_or(across.wide, |at| at - 4.0);
    let mut lane = Lane::new(down.deeds, right);
    let same_day = |one: &HistoryDeed, other: &HistoryDeed| day(one.at) == day(other.at);
    for deeds in of.deeds.chunk_by(same_day) {
        let Some(first) = deeds.first() else { continue };
        for deed in deeds {
            let at = x(deed.at);
            scene.line(MarkRole::Act, [(at, down.deeds - 15.0), (at, down.deeds - 11.0)]);
        }
        // One of several would look as if it had been all.
        match deeds.len() {
            1 => lane.write(&mut scene, x(first.at), &voice.say(&first.said)),
            count => {
                let count = count as i64;
                let said = voice.say(&say::history_deed_count(count));
                lane.write(&mut scene, x(first.at), &said);
                let said = say::history_deeds(names::day(first.at), count);
                scene.sentences.push(format!("{}.", voice.sentence(&said)));
            }
        }
        for deed in deeds {
            let said = say::history_deed(names::day(deed.at), deed.said.clone());
            scene.sentences.push(format!("{}.", voice.sentence(&said)));
        }
    }
    draw_air(&mut scene, &of.air, x, (left, right, down.air), voice);
    for (at, humidity) in &of.air {
        let said = say::history_air(names::day(*at), *humidity);
        scene.sentences.push(format!("{}.", voice.sentence(&said)));
    }
    let mut lane = Lane::new(down.days, right);
    for (point, ..) in &points {
        lane.write(&mut scene, x(point.at), &voice.say(&names::day(point.at)));
    }
    scene.sentences.push(voice.sentence(&say::history_scale(List::comma(marks))));
    scene.of_drawing = 1;
    scene
}

/// The day by the writer's clock, counted.
fn day(at: Moment) -> i64 {
    (at.unix_s + i64::from(at.offset_min) * 60).div_euclid(86_400)
}

type Expected<'a> = (&'a HistoryForecast, f64, f64);

fn expected(forecast: &[HistoryForecast]) -> Vec<Expected<'_>> {
    let in_mm = |one: &&HistoryForecast| one.expect.scale == EstimateUnit::Millimetre;
    let about = |one: &HistoryForecast| COVERAGE * one.expect.standard_uncertainty;
    forecast.iter().filter(in_mm).map(|one| (one, one.expect.value, about(one))).collect()
}

/// From the last reading to what is to be expected in each air.
fn draw_fan(
    scene: &mut Scene,
    (from, fan): ((f64, f64), &[Expected<'_>]),
    (across, down, scale): (&Across, &Down, &Scale),
    quantity: Quantity,
    voice: &Voice,
) {
    let mut sorted: Vec<&Expected<'_>> = fan.iter().collect();
    sorted.put_in_order_by(|one, other| other.1.total_cmp(&one.1));
    let mut free_from = scale.top + 4.0;
    let mut foot = Vec::new();
    for (number, (one, mm, about)) in sorted.iter().enumerate() {
        let y = scale.y(*mm);
        // Beside each other where they come to the same.
        let at = across.then + AIRS_APART * number as f64;
        scene.line(MarkRole::Forecast, [from, (at, y)]);
        scene.line(MarkRole::Forecast, [(at, scale.y(mm - about)), (at, scale.y(mm + about))]);
        scene.mark(MarkRole::Forecast, Shape::Ring { at: Spot::new(at, y), radius: 3.0 });
        let air = Computed::percent(one.humidity_percent);
        let told = |mm: f64| Computed::mm(mm).of(quantity);
        let said = voice.say(&say::history_expected(air, told(*mm)));
        // Where there is no room for all of it the air stands beside it, and the rest at the foot.
        let beside = if across.behind.is_some() {
            said
        } else {
            foot.push(said);
            voice.say(&names::computed(air))
        };
        let left = across.then + AIRS_APART * sorted.len() as f64 + 4.0;
        let most = across.wide - 4.0 - left;
        let base = (y + 3.0).max(free_from);
        free_from = base + 11.0;
        scene.text(MarkRole::Label, (left, base), (Anchor::Start, 9.0, most), &beside);
        let said = say::history_told(air, told(*mm), told(mm - about), told(mm + about).bare());
        scene.sentences.push(voice.sentence(&said));
        if one.beyond_record {
            scene.sentences.push(voice.sentence(&say::history_beyond(air)));
        }
    }
    if fan.is_empty() {
        return;
    }
    let said = voice.say(&say::history_forecast());
    let Some(behind) = across.behind else {
        let room = across.wide - 16.0;
        let lead = letters::wrap(&voice.sentence(&say::history_forecast()), 8.5, room);
        for line in lead.iter().chain(&foot) {
            scene.text(MarkRole::Label, (8.0, scene.height), (Anchor::Start, 8.5, room), line);
            scene.height += LINE;
        }
        return;
    };
    let room = across.wide - 4.0 - behind;
    for (line, said) in letters::wrap(&said, 8.5, room).iter().enumerate() {
        let base = down.deeds + 12.0 * line as f64;
        scene.text(MarkRole::Label, (behind, base), (Anchor::Start, 8.5, room), said);
        scene.height = scene.height.max(base + 6.0);
    }
}

/// The air in figures, each at its time; where not all find room, those that do would look like a trend: then a
/// line between the driest and the dampest.
fn draw_air(
    scene: &mut Scene,
    air: &[(Moment, Amount)],
    x: impl Fn(Moment) -> f64,
    (left, right, base): (f64, f64, f64),
    voice: &Voice,
) {
    let said = |humidity: Amount| voice.say(&names::amount(humidity));
    let mut lane = Lane::new(base, right);
    let places: Option<Vec<f64>> =
        air.iter().map(|(at, humidity)| lane.place(x(*at), &said(*humidity))).collect();
    if let Some(places) = places {
        for (start, (_, humidity)) in places.into_iter().zip(air) {
            lane.put(scene, start, &said(*humidity));
        }
        return;
    }
    let humid = |one: &&(Moment, Amount)| one.1.number();
    let by =
        |one: &&(Moment, Amount), other: &&(Moment, Amount)| humid(one).total_cmp(&humid(other));
    let (Some(driest), Some(dampest)) = (air.iter().min_by(by), air.iter().max_by(by)) else {
        return;
    };
    let (low, high) = (humid(&driest), humid(&dampest));
    let y = |humidity: Amount| {
        let share = (humidity.number() - low) / (high - low).max(1.0);
        base + 6.0 - share * 16.0
    };
    scene.line(MarkRole::String, air.iter().map(|(at, humidity)| (x(*at), y(*humidity))));
    let ends = if high > low { vec![dampest, driest] } else { vec![driest] };
    for (_, humidity) in ends {
        let at = (left - 6.0, y(*humidity) + 3.0);
        scene.text(MarkRole::Label, at, (Anchor::End, 8.5, left - 10.0), &said(*humidity));
    }
}

/// Texts beside each other on one line: one that would lie on the last is left out.
struct Lane {
    y: f64,
    right: f64,
    free_from: f64,
}

impl Lane {
    const fn new(y: f64, right: f64) -> Self {
        Self { y, right, free_from: 0.0 }
    }

    fn write(&mut self, scene: &mut Scene, x: f64, text: &str) {
        if let Some(start) = self.place(x, text) {
            self.put(scene, start, text);
        }
    }

    /// Where a text begins, unless it would lie on the last.
    fn place(&mut self, x: f64, text: &str) -> Option<f64> {
        let wide = letters::width(text, 8.5);
        let start = (x - wide / 2.0).clamp(4.0, (self.right - 4.0 - wide).max(4.0));
        if start < self.free_from || wide > self.right - 8.0 {
            return None;
        }
        self.free_from = start + wide + 6.0;
        Some(start)
    }

    fn put(&self, scene: &mut Scene, start: f64, text: &str) {
        let wide = letters::width(text, 8.5);
        scene.text(MarkRole::Label, (start, self.y), (Anchor::Start, 8.5, wide), text);
    }
}

/// From mm to height on the drawing, between its upper and its lower edge.
struct Scale {
    low: f64,
    high: f64,
    top: f64,
    bottom: f64,
}

impl Scale {
    /// Steps of marks: few digits each.
    const STEPS: [f64; 9] = [0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0];

    fn of(values: impl Iterator<Item = (f64, f64)>, (top, bottom): (f64, f64)) -> Self {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for (mm, about) in values {
            (low, high) = (low.min(mm - about), high.max(mm + about));
        }
        if !(low.is_finite() && high.is_finite()) {
            return Self { low: 0.0, high: 1.0, top, bottom };
        }
        let margin = ((high - low) * 0.08).max(0.02);
        Self { low: low - margin, high: high + margin, top, bottom }
    }

    fn y(&self, mm: f64) -> f64 {
        self.bottom - (mm - self.low) / (self.high - self.low) * (self.bottom - self.top)
    }

    /// At most six, round numbers.
    fn marks(&self) -> Vec<f64> {
        let span = self.high - self.low;
        let step = Self::STEPS.into_iter().find(|step| span / step <= 5.0).unwrap_or(span / 5.0);
        let first = (self.low / step).ceil() as i32;
        let last = (self.high / step).floor() as i32;
        (first..=last).map(|number| f64::from(number) * step).collect()
    }
}
