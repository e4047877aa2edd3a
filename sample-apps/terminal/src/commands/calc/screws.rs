//! Screws, bridges, the blank of a fixed saddle.

use fallaway::measure::{Amount, Length};
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::bridge::{Bridge, blank_change};
use fallaway::mechanics::conversions::StringGeometry;
use fallaway::mechanics::floating::{Floating, FloatingString, Spring, newtons_per_mm};
use fallaway::mechanics::neck::Joint;
use fallaway::mechanics::screws::{ASME_B1_1, ISO_261_COARSE, Screw, TurnRounding};
use fallaway::mechanics::string_line::saddle_factor;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::uom::si::angle::degree;
use fallaway::mechanics::uom::si::force::newton;
use fallaway::record::spec::ScrewPlace;
use fallaway_text::{Computed, List, Phrase, Word, names, plan as text};
use serde_json::{Value, json};

use super::super::answer::{Reply, rounded};
use super::given;
use super::ground::Ground;
use super::heights::{turn, turn_words};
use super::numbers::{both, mm_to, signed, way};
use crate::cli::calc::{BlankArgs, BridgeArgs, FloatingArgs, ScrewArgs};
use crate::error::{Error, Outcome};
use crate::messages::calc as say;
use crate::render::{TableCell, TextTable};
use crate::voice::in_order;

/// Turns and heights.
pub fn screw(ground: &Ground, args: &ScrewArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("screw");
    if args.list {
        list(&mut answer);
        return Ok(answer);
    }
    let screw = ground.screw(&args.screw, ScrewPlace::SaddleHeight)?;
    let pitch = screw.thread.ok_or_else(|| given::missing("thread", "M3"))?.pitch();
    if args.turns.is_empty() {
        let rise = given::length("rise", &args.rise)?;
        turn(&mut answer, rise, screw)?;
        answer.number("rise_mm", as_mm(rise));
        answer.number("turns", as_mm(rise) / as_mm(pitch));
        answer.say(say::exact_turns(Computed::plain(as_mm(rise) / as_mm(pitch), 2)));
    } else {
        let turns = given::turns("turns", &args.turns)?;
        given::within("turns", turns, -40, 40)?;
        let advance = pitch * turns;
        answer.lead(say::turns_advance(Computed::plain(turns, 3), both(advance)));
        answer.number("turns", turns);
        answer.number("advance_mm", as_mm(advance));
        answer.number("pitch_mm", as_mm(pitch));
        answer.rests_on(say::basis_thread(both(pitch)));
    }
    if screw.raises.is_none() {
        answer.say(say::direction_unknown());
    }
    answer.rests_on(say::basis_threads());
    Ok(answer)
}

fn list(answer: &mut Reply) {
    let mut table = TextTable::headed(&say::head_threads());
    let mut fields = Vec::new();
    let metric = ISO_261_COARSE.iter().map(|(name, _, pitch)| (*name, *pitch));
    let unified = ASME_B1_1.iter().map(|(name, _, per_inch)| (*name, 25.4 / per_inch));
    for (name, pitch) in metric.chain(unified) {
        let cell = |part: f64| TableCell::from(Computed::mm(pitch * part).places(3));
        table.row([name.into(), cell(1.0), cell(0.25), cell(0.125)]);
        fields.push(json!({ "thread": name, "pitch_mm": rounded(pitch) }));
    }
    answer.table(table);
    answer.put("threads", fields);
    answer.rests_on(say::basis_threads());
}

/// Which screws of a bridge to turn.
pub fn bridge(ground: &Ground, args: &BridgeArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("bridge");
    let wanted = in_order(given::lengths("wanted", &args.wanted)?);
    let given_screw = given::screw(&args.screw)?;
    let known = ground.facts().map(|facts| &facts.bridge);
    let mut names: Vec<Phrase> = Vec::new();
    let matrix = if let Some(each) = args.own {
        let screw = ground.screw(&args.screw, ScrewPlace::SaddleHeight)?;
        for string in 1..=wanted.len() {
            names.extend((1..=each).map(|one| {
                if each == 1 { say::saddle_name(string) } else { say::saddle_screw(string, one) }
            }));
        }
        Bridge::own_saddles(wanted.len(), each, screw)?
    } else if !args.shared.is_empty() {
        names.extend((1..=args.shared.len()).map(say::saddle_name));
        Bridge::shared_saddles(&args.shared, ground.screw(&args.screw, ScrewPlace::SaddleHeight)?)?
    } else if !args.posts.is_empty() {
        let posts = given::for_each("posts", &given::lengths("posts", &args.posts)?, 2)?;
        let places = given::lengths("places", &args.places)?;
        let screw = ground.screw(&args.screw, ScrewPlace::BridgePost)?;
        names = vec![say::post_treble(), say::post_bass()];
        match posts.as_slice() {
            [a, b] => Bridge::two_posts([*a, *b], &places, screw)?,
            _ => return Err(given::missing("posts", "-37 37 mm")),
        }
    } else {
        let known = known.ok_or_else(|| given::missing("own", "2"))?;
        let spec = ground.spec().cloned().unwrap_or_default();
        names = known.screws.iter().map(|one| text::screw(one, &spec)).collect();
        answer.rests_on(say::fact_bridge());
        if known.alike > 1 {
            answer.say(say::bridge_alike(known.alike.into()));
        }
        let mut matrix =
            known.matrix.clone().ok_or_else(|| Error::Refused(say::bridge_unknown()))?;
        for (index, screw) in matrix.screws().to_vec().into_iter().enumerate() {
            let screw = Screw {
                thread: given_screw.thread.or(screw.thread),
                raises: given_screw.raises.or(screw.raises),
            };
            matrix = matrix.with_screw(index, screw)?;
        }
        matrix
    };
    let wishes: Vec<_> = wanted.iter().map(|rise| Some(Uncertain::exact(*rise))).collect();
    let solved = matrix.solve(&wishes, TurnRounding::Nearest)?;
    let mut table = TextTable::headed(&say::head_screws());
    let mut screws = Vec::new();
    for (index, one) in solved.screws.iter().enumerate() {
        let name = names.get(index).cloned().unwrap_or_else(|| say::saddle_name(index + 1));
        let said = one.turn.as_ref().map_or_else(say::thread_unknown, turn_words);
        table.row([TableCell::from(name.clone()), signed(one.advance).into(), said.into()]);
        screws.push(json!({
            "screw": name.to_string(),
            "advance_mm": rounded(as_mm(one.advance)),
            "eighths": one.turn.map(|t| t.eighths),
            "direction": one.turn.and_then(|t| t.direction).map(|d| d.to_string()),
        }));
    }
    answer.table(table);
    let mut table = TextTable::headed(&say::head_bridge());
    let mut strings = Vec::new();
    for (index, one) in solved.strings.iter().enumerate() {
        let (wanted, left) = (one.wanted.map(|w| w.value), one.left_over.map(|l| l.value));
        let number = TableCell::from((index + 1).to_string());
        let (wanted_said, left_said) = (wanted.map(signed), left.map(signed));
        table.row([number, wanted_said.into(), signed(one.gives).into(), left_said.into()]);
        strings.push(json!({
            "string": index + 1,
            "wanted_mm": wanted.map(|l| rounded(as_mm(l))),
            "gives_mm": rounded(as_mm(one.gives)),
            "left_over_mm": left.map(|l| rounded(as_mm(l))),
        }));
    }
    answer.table(table.by_string());
    answer.put("screws", screws);
    answer.put("strings", strings);
    answer.rests_on(say::basis_bridge());
    answer.say(say::tune_measure());
    answer.caution(say::screws_bind());
    Ok(answer)
}

/// A bridge on springs.
pub fn floating(args: &FloatingArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("floating");
    given::within("springs", args.springs as f64, 1, 64)?;
    let spring = Spring {
        stiffness: newtons_per_mm(args.spring_rate),
        arm: given::length("spring-arm", &args.spring_arm)?,
    };
    let (arm, reach) =
        (given::length("string-arm", &args.string_arm)?, given::length("reach", &args.reach)?);
    let strings: Vec<FloatingString> = args
        .string_rates
        .iter()
        .map(|rate| FloatingString { stiffness: newtons_per_mm(*rate), arm, reach })
        .collect();
    let bridge = Floating::new(&vec![spring; args.springs], &strings)?;
    let count = strings.len();
    let (added, settled) = if args.want.is_empty() {
        let added = given::for_each("add", &given::forces("add", &args.add)?, count)?;
        (added.clone(), bridge.pull(&added)?)
    } else {
        let wanted = given::for_each("want", &given::forces("want", &args.want)?, count)?;
        let (added, settled) = bridge.added_for(&wanted)?;
        let anchor = bridge.anchor_for(&wanted)?;
        answer.say(say::floating_anchor(signed(anchor)));
        answer.number("anchor_move_mm", as_mm(anchor));
        (added, settled)
    };
    let angle = settled.angle.get::<degree>();
    let which = Word(if angle >= 0.0 { "nut" } else { "tail" });
    answer.lead(say::floating_tilt(Computed::plain(angle.abs(), 3), which));
    let mut table = TextTable::headed(&say::head_floating());
    let mut fields: Vec<Value> = Vec::new();
    for (index, ((tension, height), added)) in
        settled.tensions.iter().zip(&settled.heights).zip(&added).enumerate()
    {
        table.row([
            TableCell::from((index + 1).to_string()),
            Computed::newtons(added.get::<newton>()).places(2).into(),
            Computed::newtons(tension.get::<newton>()).places(2).into(),
            mm_to(*height, 3).into(),
        ]);
        fields.push(json!({
            "string": index + 1,
            "pegs_add_newton": rounded(added.get::<newton>()),
            "tension_change_newton": rounded(tension.get::<newton>()),
            "height_change_mm": rounded(as_mm(*height)),
        }));
    }
    answer.table(table.by_string());
    answer.put("strings", fields);
    answer.number("angle_degree", settled.angle.get::<degree>());
    answer.rests_on(say::basis_floating());
    answer.say(say::floating_hint());
    answer.caution(say::floating_caution());
    Ok(answer)
}

/// What comes off a fixed saddle.
pub fn blank(ground: &Ground, args: &BlankArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("blank");
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let frets = ground.frets(args.frets, &mut answer)?;
    let place = Ground::way(&args.way, frets)?;
    let changes = in_order(given::lengths("change", &args.change)?);
    let spread = given::length_if("spread", &args.spread)?
        .or(ground.spec().and_then(|s| s.bridge_spread).and_then(Amount::length))
        .ok_or_else(|| given::missing("spread", "55 mm"))?;
    let neck = StringGeometry::level(scale, frets, Joint::known(1.0)?).neck()?;
    let factor = saddle_factor(&neck, mm(0.0), place)?;
    let changes =
        if changes.len() == 1 { given::for_each("change", &changes, 2)? } else { changes };
    let last = (changes.len() as f64 - 1.0).max(1.0);
    let places: Vec<_> = (0..changes.len()).map(|i| spread * (i as f64 / last)).collect();
    let wanted: Vec<_> = changes.iter().map(|c| Uncertain::exact(*c * factor)).collect();
    let found = blank_change(&places, &wanted)?;
    let said = |change: Length| {
        let off = as_mm(change) < 0.0;
        if off { say::take_off(both(-change)) } else { say::leave_on(both(change)) }
    };
    answer.lead(say::blank(said(found.at_first), said(found.at_last)));
    answer.number("at_highest_string_mm", as_mm(found.at_first));
    answer.number("at_lowest_string_mm", as_mm(found.at_last));
    answer.number("saddle_for_gap_ratio", factor);
    let left: Vec<f64> = found.left_over.iter().map(|l| rounded(as_mm(l.value))).collect();
    if left.iter().any(|l| l.abs() > 0.01) {
        let each = left.iter().map(|left| names::computed(Computed::mm(*left)));
        answer.say(say::blank_left(List::comma(each)));
    }
    answer.put("left_over_mm", left);
    answer.rests_on(say::basis_blank(way(place), Computed::plain(factor, 3)));
    answer.caution(say::blank_caution());
    Ok(answer)
}
