//! Screws, bridges, the blank of a fixed saddle.

use fallaway::mechanics::Uncertain;
use fallaway::mechanics::bridge::{Bridge, blank_change};
use fallaway::mechanics::conversions::StringGeometry;
use fallaway::mechanics::floating::{Floating, FloatingString, Spring, newtons_per_mm};
use fallaway::mechanics::neck::Joint;
use fallaway::mechanics::screws::{ASME_B1_1, ISO_261_COARSE, Rounding, Screw};
use fallaway::mechanics::string_line::saddle_factor;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::record::spec::ScrewPlace;
use fallaway_text::plan as text;
use serde_json::{Value, json};
use uom::si::angle::degree;
use uom::si::force::newton;

use super::super::answer::{Answer, both, plain, rounded, signed};
use super::super::clearance::way_words;
use super::given;
use super::ground::Ground;
use super::heights::turn;
use crate::cli::calc::{BlankArgs, BridgeArgs, FloatingArgs, ScrewArgs};
use crate::error::{Error, Outcome};
use crate::render::Table;

/// Turns and heights.
pub fn screw(ground: &Ground, args: &ScrewArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("screw");
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
        answer.say(format!("Exactly: {} turns.", plain(as_mm(rise) / as_mm(pitch), 2)));
    } else {
        let turns = given::turns("turns", &args.turns)?;
        if !(-40.0..=40.0).contains(&turns) {
            return Err(Error::usage(format!("--turns: {turns} turns is outside -40 to 40 turns")));
        }
        let advance = pitch * turns;
        answer.lead(format!("{} turns move it by {}.", plain(turns, 3), both(advance)));
        answer.number("turns", turns);
        answer.number("advance_mm", as_mm(advance));
        answer.number("pitch_mm", as_mm(pitch));
        answer.rests_on(format!("thread: {} a turn", both(pitch)));
    }
    if screw.raises.is_none() {
        answer.say("Which way it turns to raise is known once this instrument has shown it.");
    }
    answer.rests_on("thread pitches by name: ISO 261 coarse, ASME B1.1");
    Ok(answer)
}

fn list(answer: &mut Answer) {
    let mut table = Table::new(["thread", "a turn", "a quarter", "an eighth"]);
    let mut fields = Vec::new();
    let metric = ISO_261_COARSE.iter().map(|(name, _, pitch)| (*name, *pitch));
    let unified = ASME_B1_1.iter().map(|(name, _, per_inch)| (*name, 25.4 / per_inch));
    for (name, pitch) in metric.chain(unified) {
        let cell = |part: f64| format!("{:.3} mm", pitch * part);
        table.row([name.to_owned(), cell(1.0), cell(0.25), cell(0.125)]);
        fields.push(json!({ "thread": name, "pitch_mm": rounded(pitch) }));
    }
    answer.table(table);
    answer.put("threads", fields);
    answer.rests_on("ISO 261 coarse threads; ASME B1.1 unified threads");
}

/// Which screws of a bridge to turn.
pub fn bridge(ground: &Ground, args: &BridgeArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("bridge");
    let wanted = given::lengths("wanted", &args.wanted)?;
    let given_screw = given::screw(&args.screw)?;
    let known = ground.facts().map(|facts| &facts.bridge);
    let mut names: Vec<String> = Vec::new();
    let matrix = if let Some(each) = args.own {
        let screw = ground.screw(&args.screw, ScrewPlace::SaddleHeight)?;
        for string in 1..=wanted.len() {
            names.extend((1..=each).map(|one| {
                if each == 1 {
                    format!("saddle {string}")
                } else {
                    format!("saddle {string}, screw {one}")
                }
            }));
        }
        Bridge::own_saddles(wanted.len(), each, screw)?
    } else if !args.shared.is_empty() {
        names.extend((1..=args.shared.len()).map(|one| format!("saddle {one}")));
        Bridge::shared_saddles(&args.shared, ground.screw(&args.screw, ScrewPlace::SaddleHeight)?)?
    } else if !args.posts.is_empty() {
        let posts = given::for_each("posts", &given::lengths("posts", &args.posts)?, 2)?;
        let places = given::lengths("places", &args.places)?;
        let screw = ground.screw(&args.screw, ScrewPlace::BridgePost)?;
        names = vec!["treble post".to_owned(), "bass post".to_owned()];
        match posts.as_slice() {
            [a, b] => Bridge::two_posts([*a, *b], &places, screw)?,
            _ => return Err(given::missing("posts", "-37 37 mm")),
        }
    } else {
        let known = known.ok_or_else(|| given::missing("own", "2"))?;
        let spec = ground.spec().cloned().unwrap_or_default();
        names = known.screws.iter().map(|one| text::screw(one, &spec).to_string()).collect();
        answer.rests_on("the bridge, a fact of the instrument");
        if known.alike > 1 {
            answer.say(format!("Each saddle stands on {} screws: turn them alike.", known.alike));
        }
        let mut matrix = known.matrix.clone().ok_or_else(|| {
            Error::Refused(
                "what the screws of this bridge do is not known; say --own, --shared or --posts"
                    .into(),
            )
        })?;
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
    let solved = matrix.solve(&wishes, Rounding::Nearest)?;
    let mut table = Table::new(["screw", "rise wanted", "turn"]);
    let mut screws = Vec::new();
    for (index, one) in solved.screws.iter().enumerate() {
        let name = names.get(index).cloned().unwrap_or_else(|| format!("screw {}", index + 1));
        let said =
            one.turn.map_or_else(|| "thread not known: --thread M3".to_owned(), |t| t.to_string());
        table.row([name.clone(), signed(one.advance), said]);
        screws.push(json!({
            "screw": name,
            "advance_mm": rounded(as_mm(one.advance)),
            "eighths": one.turn.map(|t| t.eighths),
            "direction": one.turn.and_then(|t| t.direction).map(|d| d.to_string()),
        }));
    }
    answer.table(table);
    let mut table = Table::new(["string", "wanted", "the turns give", "left over"]);
    let mut strings = Vec::new();
    for (index, one) in solved.strings.iter().enumerate() {
        let (wanted, left) = (one.wanted.map(|w| w.value), one.left_over.map(|l| l.value));
        let cell = |l: Option<fallaway::measure::Length>| l.map(signed).unwrap_or_default();
        table.row([(index + 1).to_string(), cell(wanted), signed(one.gives), cell(left)]);
        strings.push(json!({
            "string": index + 1,
            "wanted_mm": wanted.map(|l| rounded(as_mm(l))),
            "gives_mm": rounded(as_mm(one.gives)),
            "left_over_mm": left.map(|l| rounded(as_mm(l))),
        }));
    }
    answer.table(table);
    answer.put("screws", screws);
    answer.put("strings", strings);
    answer.rests_on("model: each screw moves each string by a fixed part of its advance; least squares, smallest turns");
    answer.say("Tune, then read again.");
    answer.caution("Screws that bind: take the strings' load off first.");
    Ok(answer)
}

/// A bridge on springs.
pub fn floating(args: &FloatingArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("floating");
    if !(1..=64).contains(&args.springs) {
        return Err(Error::usage(format!(
            "--springs: {} is outside 1 to 64 springs",
            args.springs
        )));
    }
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
        answer.say(format!(
            "Or keep the bridge where it is: move the springs' anchor by {} (tighter is above zero).",
            signed(anchor)
        ));
        answer.number("anchor_move_mm", as_mm(anchor));
        (added, settled)
    };
    answer.lead(format!(
        "The bridge turns by {} degrees {}.",
        plain(settled.angle.get::<degree>().abs(), 3),
        if settled.angle.get::<degree>() >= 0.0 { "toward the nut" } else { "toward the tail" }
    ));
    let mut table = Table::new(["string", "pegs add", "tension changes", "height changes"]);
    let mut fields: Vec<Value> = Vec::new();
    for (index, ((tension, height), added)) in
        settled.tensions.iter().zip(&settled.heights).zip(&added).enumerate()
    {
        table.row([
            (index + 1).to_string(),
            format!("{} N", plain(added.get::<newton>(), 2)),
            format!("{} N", plain(tension.get::<newton>(), 2)),
            format!("{} mm", plain(as_mm(*height), 3)),
        ]);
        fields.push(json!({
            "string": index + 1,
            "pegs_add_newton": rounded(added.get::<newton>()),
            "tension_change_newton": rounded(tension.get::<newton>()),
            "height_change_mm": rounded(as_mm(*height)),
        }));
    }
    answer.table(table);
    answer.put("strings", fields);
    answer.number("angle_degree", settled.angle.get::<degree>());
    answer.rests_on(
        "model: springs and strings in balance about one pivot, small changes, stiffness as given",
    );
    answer.say("Tune all strings again and again until they settle; then read.");
    answer.caution("A spring under load can fly off: eye protection, and take the strings' load off before touching springs.");
    Ok(answer)
}

/// What comes off a fixed saddle.
pub fn blank(ground: &Ground, args: &BlankArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("blank");
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let frets = ground.frets(args.frets, &mut answer)?;
    let place = Ground::way(&args.way, frets)?;
    let changes = given::lengths("change", &args.change)?;
    let spread = given::length_if("spread", &args.spread)?
        .or(ground.spec().and_then(|s| s.bridge_spread).and_then(fallaway::measure::Amount::length))
        .ok_or_else(|| given::missing("spread", "55 mm"))?;
    let neck = StringGeometry::level(scale, frets, Joint::known(1.0)?).neck()?;
    let factor = saddle_factor(&neck, mm(0.0), place)?;
    let changes =
        if changes.len() == 1 { given::for_each("change", &changes, 2)? } else { changes };
    let last = (changes.len() as f64 - 1.0).max(1.0);
    let places: Vec<_> = (0..changes.len()).map(|i| spread * (i as f64 / last)).collect();
    let wanted: Vec<_> = changes.iter().map(|c| Uncertain::exact(*c * factor)).collect();
    let found = blank_change(&places, &wanted)?;
    let said = |change| {
        let off = as_mm(change) < 0.0;
        format!("{} {}", both(if off { -change } else { change }), if off { "off" } else { "more" })
    };
    answer.lead(format!(
        "At the saddle's underside: {} at the highest string, {} at the lowest.",
        said(found.at_first),
        said(found.at_last)
    ));
    answer.number("at_highest_string_mm", as_mm(found.at_first));
    answer.number("at_lowest_string_mm", as_mm(found.at_last));
    answer.number("saddle_for_gap_ratio", factor);
    let left: Vec<f64> = found.left_over.iter().map(|l| rounded(as_mm(l.value))).collect();
    if left.iter().any(|l| l.abs() > 0.01) {
        let list: Vec<String> = left.iter().map(|l| plain(*l, 2)).collect();
        answer.say(format!(
            "A straight underside leaves over, string by string: {} mm.",
            list.join(", ")
        ));
    }
    answer.put("left_over_mm", left);
    answer.rests_on(format!(
        "wanted changes {}; {factor:.3} mm at the saddle for each millimetre there",
        way_words(place)
    ));
    answer.caution(
        "What is off stays off: two readings that agree, by different tools, tuned, relief and nut final; stop 0.1 mm high (common practice, no source). Strings slack first, underside square.",
    );
    Ok(answer)
}
