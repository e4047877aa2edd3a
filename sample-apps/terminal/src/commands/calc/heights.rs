//! Neck, gaps, shim, pickup, moisture.

use fallaway::measure::{Family, Length, Quantity};
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::conversions::{
    LineReadings, NutWay, effect_of_relief, gap, nut, saddle_height, saddle_move as move_for,
};
use fallaway::mechanics::crowns::{Oddity, odd_crowns, rocking as rocks};
use fallaway::mechanics::frets;
use fallaway::mechanics::pickups::{
    GapVerdict, PULL_GAP_MM, PickupOn, Side, judge_gap, turns_between,
};
use fallaway::mechanics::screws::{Rounding, Screw, Turn};
use fallaway::mechanics::shim::{ThickEnd, effect, pocket_shim};
use fallaway::mechanics::spacing::position_table;
use fallaway::mechanics::string_line::{Place, saddle_factor};
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::wood::equilibrium_moisture;
use fallaway::record::spec::ScrewPlace;
use serde_json::{Value, json};
use uom::si::angle::degree;
use uom::si::f64::{Ratio, ThermodynamicTemperature};
use uom::si::ratio::percent;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::super::answer::{Answer, GIVE_OR_TAKE, both, give_or_take, plain, rounded, signed};
use super::super::clearance::way_words;
use super::given;
use super::ground::Ground;
use crate::cli::calc::{
    ConvertArgs, PickupArgs, PositionsArgs, ReliefChangeArgs, RockingArgs, SaddleMoveArgs, ShimArgs,
};
use crate::error::{Error, Outcome};
use crate::parse::climate;
use crate::render::Table;

/// Model of neck and string line, said beside what rests on it.
const LINE_MODEL: &str = "model: the string is straight from where it is stopped to the saddle; the \
    neck bends evenly up to the joint fret and is straight after it";

/// Where frets and saddle lie.
pub fn positions(ground: &Ground, args: &PositionsArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("positions");
    let mut scales = given::lengths("scale", &args.scale)?;
    if scales.is_empty()
        && let Some(spec) = ground.spec()
    {
        scales = spec.places().iter().filter_map(|place| spec.scale_of(*place)).collect();
        answer.rests_on("scale lengths, facts of the instrument");
        if scales.windows(2).all(|pair| matches!(pair, [a, b] if a == b)) {
            scales.truncate(1);
        }
    }
    let count = ground.frets(args.frets, &mut answer)?;
    let compensation = match given::lengths("compensation", &args.compensation)?.as_slice() {
        [] => vec![mm(0.0); scales.len()],
        given => given::for_each("compensation", given, scales.len())?,
    };
    match scales.as_slice() {
        [] => return Err(given::missing("scale", "34 in")),
        [scale] => {
            let offset = compensation.first().copied().unwrap_or(mm(0.0));
            let rows = frets::table(*scale, count)?;
            let mut table =
                Table::new(["fret", "from the nut", "from the fret before", "to the saddle"]);
            let mut fields = Vec::new();
            for row in &rows {
                table.row([
                    row.fret.to_string(),
                    both(row.from_nut),
                    both(row.from_previous),
                    both(row.to_saddle + offset),
                ]);
                fields.push(json!({
                    "fret": row.fret,
                    "from_nut_mm": rounded(as_mm(row.from_nut)),
                    "from_fret_before_mm": rounded(as_mm(row.from_previous)),
                    "to_saddle_mm": rounded(as_mm(row.to_saddle + offset)),
                }));
            }
            answer.table(table);
            answer.lead(format!("The saddle stands {} from the nut.", both(*scale + offset)));
            answer.put("frets", fields);
            answer.number("saddle_mm", as_mm(*scale + offset));
        }
        several => {
            let strings: Vec<_> = several.iter().copied().zip(compensation).collect();
            let found = position_table(&strings, count)?;
            let head = (1..=found.len()).map(|n| format!("string {n}, mm"));
            let mut table = Table::new(std::iter::once("fret".to_owned()).chain(head));
            for fret in 0..count {
                let cell = |s: &fallaway::mechanics::spacing::StringPositions| {
                    s.frets.get(fret).map_or_else(String::new, |x| plain(as_mm(*x), 2))
                };
                let row = std::iter::once((fret + 1).to_string()).chain(found.iter().map(cell));
                table.row(row);
            }
            let saddles = found.iter().map(|s| plain(as_mm(s.saddle), 2));
            table.row(std::iter::once("saddle".to_owned()).chain(saddles));
            answer.table(table);
            let fields: Vec<Value> = found
                .iter()
                .enumerate()
                .map(|(index, s)| {
                    let frets: Vec<f64> = s.frets.iter().map(|x| rounded(as_mm(*x))).collect();
                    json!({ "string": index + 1, "from_nut_mm": frets, "saddle_mm": rounded(as_mm(s.saddle)) })
                })
                .collect();
            answer.put("strings", fields);
        }
    }
    answer.rests_on(
        "model: each fret shortens the string by the twelfth root of two, along the string",
    );
    Ok(answer)
}

/// What another way of reading shows.
pub fn convert(ground: &Ground, args: &ConvertArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("convert");
    let geometry = ground.geometry(&args.neck, &mut answer)?;
    let (string, count) = (args.neck.string, geometry.frets);
    let tool = given::tool("tool", &args.tool)?;
    let fine = given::tool("relief-tool", &args.relief_tool)?;

    let mut relief_way = given::relief_way(args.relief_at, count);
    let relief = if args.relief.is_empty() {
        let found = ground.latest(string, |q| matches!(q, Quantity::Relief { .. }), &mut answer)?;
        let (quantity, value) = found.ok_or_else(|| given::missing("relief", "0.25 mm"))?;
        if let Quantity::Relief { from, to, at } = quantity {
            relief_way.from = usize::from(from.number());
            relief_way.to = usize::from(to.number());
            relief_way.at = at.map(|fret| usize::from(fret.number()));
        }
        value
    } else {
        given::reading("relief", &args.relief, fine.as_ref())?
    };
    let mut action_place = Ground::way(&args.way, count)?;
    let action = if args.action.is_empty() {
        let is_action =
            |q| matches!(q, Quantity::Gap { stopped, over } if over.number() > 3 && stopped < over);
        let found = ground.latest(string, is_action, &mut answer)?;
        let (quantity, value) = found.ok_or_else(|| given::missing("action", "2 mm"))?;
        if let Quantity::Gap { stopped, over } = quantity {
            action_place = Place::new(usize::from(stopped.number()), usize::from(over.number()));
        }
        value
    } else {
        given::reading("action", &args.action, tool.as_ref())?
    };
    let mut nut_way = if args.nut_at_3 { NutWay::HeldAt3Over1 } else { NutWay::OpenOver1 };
    let nut_gap = if args.nut.is_empty() {
        let is_nut = |q| matches!(q, Quantity::Gap { stopped, over } if over.number() == 1 && (stopped.is_open() || stopped.number() == 3));
        if let Some((quantity, value)) = ground.latest(string, is_nut, &mut answer)? {
            let held = matches!(quantity, Quantity::Gap { stopped, .. } if stopped.number() == 3);
            nut_way = if held { NutWay::HeldAt3Over1 } else { NutWay::OpenOver1 };
            value
        } else {
            answer.assumed(
                "gap over fret 1, open: 0.5 mm, give or take 0.3 mm (common practice, no source); it \
                 matters only for what is read open",
            );
            nut_way = NutWay::OpenOver1;
            Uncertain::new(mm(0.5), mm(0.15))?
        }
    } else {
        given::reading("nut", &args.nut, fine.as_ref())?
    };
    let readings = LineReadings { relief, relief_way, action, action_place, nut: nut_gap, nut_way };

    let mut places = vec![Place::stopped_at_1_over(count)];
    places.extend(
        [12, 17, count].into_iter().filter(|over| *over <= count).map(|over| Place::new(0, over)),
    );
    for word in &args.to {
        places.push(given::way("to", word)?);
    }
    places.dedup();
    let mut table = Table::new(["read this way", "it would show"]);
    let mut fields = Vec::new();
    let mut add = |what: String, value: Uncertain<Length>| {
        table.row([what.clone(), give_or_take(value)]);
        fields.push(json!({
            "way": what,
            "gap_mm": rounded(as_mm(value.value)),
            "standard_uncertainty_mm": rounded(as_mm(value.standard_uncertainty)),
        }));
    };
    for place in places {
        add(way_words(place), gap(&geometry, &readings, place)?);
    }
    add("nut: open over 1".to_owned(), nut(&geometry, &readings, NutWay::OpenOver1)?);
    add("nut: stopped at 3 over 1".to_owned(), nut(&geometry, &readings, NutWay::HeldAt3Over1)?);
    answer.table(table);
    answer.put("gaps", fields);

    // The same curvature, seen as relief at single frets.
    let neck = geometry.neck()?.with_relief(relief.value, relief_way)?;
    let largest = neck.relief(given::relief_way(None, count))?;
    answer.say(format!(
        "Relief between fret 1 and {count} is largest at fret {}: {}.",
        largest.fret,
        both(largest.gap)
    ));
    answer.number("relief_largest_mm", as_mm(largest.gap));
    answer.put("relief_largest_at_fret", largest.fret);
    let at: Vec<Value> = [5, 7, 8, 9, 12]
        .into_iter()
        .filter(|fret| *fret < count)
        .map(|fret| Ok((fret, neck.relief(given::relief_way(Some(fret), count))?)))
        .collect::<Outcome<Vec<_>>>()?
        .into_iter()
        .map(|(fret, r)| json!({ "fret": fret, "gap_mm": rounded(as_mm(r.gap)) }))
        .collect();
    answer.put("relief_at_frets", at);
    let saddle = saddle_height(&geometry, &readings)?;
    answer.say(format!(
        "The saddle stands {} over the straight part of the neck.",
        give_or_take(saddle)
    ));
    answer.estimate("saddle_height", saddle);
    answer.rests_on(format!(
        "relief {}, action {} {}, nut {}",
        give_or_take(relief),
        give_or_take(action),
        way_words(action_place),
        give_or_take(nut_gap)
    ));
    answer.rests_on(LINE_MODEL);
    answer.rests_on(GIVE_OR_TAKE);
    answer.say(
        "A number worked out from another way of reading compares; it does not replace a reading.",
    );
    Ok(answer)
}

/// A turn for a rise, said and put.
pub fn turn(answer: &mut Answer, rise: Length, screw: Screw) -> Outcome {
    if screw.thread.is_none() {
        answer.say("In turns once the thread is known: --thread M3.");
        return Ok(());
    }
    let turn = Turn::for_rise(rise, screw, Rounding::Nearest)?;
    answer.lead(format!(
        "Turn: {turn}. That gives {}; {} is left over.",
        signed(turn.gives),
        signed(turn.left_over)
    ));
    answer.put("eighths", turn.eighths);
    answer.put("direction", turn.direction.map(|d| d.to_string()));
    answer.number("turn_gives_mm", as_mm(turn.gives));
    answer.number("left_over_mm", as_mm(turn.left_over));
    if let Some(pitch) = screw.thread.map(fallaway::mechanics::screws::Thread::pitch) {
        answer.rests_on(format!("thread: {} a turn", both(pitch)));
        answer.number("pitch_mm", as_mm(pitch));
    }
    Ok(())
}

/// How far a saddle has to move.
pub fn saddle_move(ground: &Ground, args: &SaddleMoveArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("saddle-move");
    let geometry = ground.geometry(&args.neck, &mut answer)?;
    let mut place = Ground::way(&args.way, geometry.frets)?;
    let tool = given::tool("tool", &args.tool)?;
    let now = if args.now.is_empty() {
        let is_action =
            |q| matches!(q, Quantity::Gap { stopped, over } if over.number() > 3 && stopped < over);
        let found = ground.latest(args.neck.string, is_action, &mut answer)?;
        let (quantity, value) = found.ok_or_else(|| given::missing("now", "6/64"))?;
        if let Quantity::Gap { stopped, over } = quantity {
            place = Place::new(usize::from(stopped.number()), usize::from(over.number()));
        }
        value
    } else {
        given::reading("now", &args.now, tool.as_ref())?
    };
    let want = given::length("want", &args.want)?;
    let factor = saddle_factor(&geometry.neck()?, geometry.compensation, place)?;
    let change = move_for(&geometry, place, now, want)?;
    let (change_mm, gap_change) = (as_mm(change.value), want - now.value);
    let verb = if change_mm < 0.0 { "Lower" } else { "Raise" };
    let mut size = change;
    size.value = mm(change_mm.abs());
    answer.lead(format!("{verb} the saddle by {}.", give_or_take(size)));
    answer.say(format!(
        "The saddle moves {factor:.3} mm for each millimetre of the gap {}.",
        way_words(place)
    ));
    answer.estimate("saddle_move", change);
    answer.number("gap_change_mm", as_mm(gap_change));
    answer.number("saddle_for_gap_ratio", factor);
    let told = 2.0 * as_mm(now.standard_uncertainty);
    if as_mm(gap_change).abs() <= told {
        answer.say(format!(
            "The wanted change of {} is no more than the reading can tell ({} mm): the same, as far as it can tell.",
            signed(gap_change),
            plain(told, 2)
        ));
    }
    turn(&mut answer, change.value, ground.screw(&args.screw, ScrewPlace::SaddleHeight)?)?;
    answer.say("Tune, then read again.");
    answer.rests_on(format!("gap {}, {}", give_or_take(now), way_words(place)));
    answer.rests_on("model: similar triangles from the stopped fret to the saddle");
    answer.rests_on(GIVE_OR_TAKE);
    answer.caution("A saddle screw that binds: take the string's load off first.");
    Ok(answer)
}

/// What a change of relief does.
pub fn relief_change(ground: &Ground, args: &ReliefChangeArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("relief-change");
    let geometry = ground.geometry(&args.neck, &mut answer)?;
    let count = geometry.frets;
    let change = given::length("change", &args.change)?;
    let way = given::relief_way(args.relief_at, count);
    let mut places = vec![Place::stopped_at_1_over(count)];
    places.extend(
        [1, 12, 17, count]
            .into_iter()
            .filter(|over| *over <= count)
            .map(|over| Place::new(0, over)),
    );
    for word in &args.to {
        places.push(given::way("to", word)?);
    }
    places.dedup();
    answer.lead(format!(
        "{} of relief, saddles and nut untouched, changes the gaps by:",
        signed(change)
    ));
    let mut table = Table::new(["gap", "changes by"]);
    let mut fields = Vec::new();
    for place in places {
        let value = effect_of_relief(&geometry, way, Uncertain::exact(change), place)?;
        let twice = 2.0 * as_mm(value.standard_uncertainty);
        let sign = if as_mm(value.value) >= 0.000_5 { "+" } else { "" };
        table.row([
            way_words(place),
            format!(
                "{sign}{} mm, give or take {} mm",
                plain(as_mm(value.value), 3),
                plain(twice, 3)
            ),
        ]);
        fields.push(json!({
            "way": way_words(place),
            "stopped_at_fret": place.stopped,
            "over_fret": place.over,
            "change_mm": rounded(as_mm(value.value)),
            "standard_uncertainty_mm": rounded(as_mm(value.standard_uncertainty)),
        }));
    }
    answer.table(table);
    answer.number("relief_change_mm", as_mm(change));
    answer.put("gaps", fields);
    answer.say("An action that rose by that much with the relief goes back with the rod, not with the saddles.");
    answer.rests_on(LINE_MODEL);
    answer.rests_on(
        "give or take: twice the standard uncertainty, from where the neck stops bending",
    );
    Ok(answer)
}

/// Does a straight edge rock?
pub fn rocking(ground: &Ground, args: &RockingArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("rocking");
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let heights = given::lengths("heights", &args.heights)?;
    let tolerance = given::length("tolerance", &args.tolerance)?;
    let positions = frets::positions(scale, heights.len())?;
    let checks = rocks(&positions, &heights, tolerance)?;
    let odd = odd_crowns(&checks, tolerance)?;
    let rocking: Vec<_> = checks.iter().filter(|check| check.rocks).collect();
    if rocking.is_empty() {
        answer.lead(format!(
            "A straight edge over three neighbouring crowns rocks nowhere by more than {}.",
            both(tolerance)
        ));
    }
    for check in rocking {
        answer.say(format!(
            "Over frets {} to {} it rocks on fret {}, which stands {} over the line through its neighbours.",
            check.middle - 1,
            check.middle + 1,
            check.middle,
            both(check.above)
        ));
    }
    let mut fields = Vec::new();
    for one in &odd {
        let (fret, by, word) = match one {
            Oddity::Proud { fret, by } => (*fret, *by, "proud"),
            Oddity::Low { fret, by } => (*fret, *by, "low"),
        };
        let stands = if word == "proud" { "stands proud" } else { "lies low" };
        answer.lead(format!("The crown of fret {fret} {stands} by {}.", both(by)));
        fields.push(json!({ "fret": fret, "what": word, "by_mm": rounded(as_mm(by)) }));
    }
    answer.put("odd_crowns", fields);
    let all: Vec<Value> = checks
        .iter()
        .map(|c| json!({ "fret": c.middle, "above_neighbours_mm": rounded(as_mm(c.above)), "rocks": c.rocks }))
        .collect();
    answer.put("checks", all);
    answer.number("tolerance_mm", as_mm(tolerance));
    answer.rests_on(
        "the heights as given, each crown against the straight line through its two neighbours",
    );
    answer.say("Frets 1 and the last have one neighbour only and are not judged.");
    if !odd.is_empty() {
        answer.caution(
            "Look for a loose fret first; levelling cannot be undone and is a repairer's work.",
        );
    }
    Ok(answer)
}

/// A wedge in the neck pocket.
pub fn shim(ground: &Ground, args: &ShimArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("shim");
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let edge = given::length("pocket-edge", &args.pocket_edge)?;
    let length = given::length("pocket-length", &args.pocket_length)?;
    if let Some(thickness) = given::length_if("thickness", &args.thickness)? {
        let end = if args.toward_nut { ThickEnd::TowardNut } else { ThickEnd::TowardBridge };
        let saddle = effect(thickness, end, scale, edge, length)?;
        answer.lead(format!(
            "A wedge of {} with its thick end {} does what moving every saddle by {} would do.",
            both(thickness),
            end_words(end),
            signed(saddle)
        ));
        answer.number("saddle_equivalent_mm", as_mm(saddle));
        answer.number("thickness_mm", as_mm(thickness));
    } else {
        let wanted = given::length("saddle-move", &args.saddle_move)?;
        let shim = pocket_shim(Uncertain::exact(wanted), scale, edge, length)?;
        let tips = if shim.thick_end == ThickEnd::TowardBridge {
            "tips the neck back and lowers the action"
        } else {
            "tips the neck forward and raises the action"
        };
        answer.lead(format!(
            "A wedge of {} at its thick end, {} ({:.2} degrees), {tips} as a saddle move of {} would.",
            both(shim.thickness.value),
            end_words(shim.thick_end),
            shim.angle.get::<degree>(),
            signed(wanted)
        ));
        answer.number("thickness_mm", as_mm(shim.thickness.value));
        answer.number("angle_degree", shim.angle.get::<degree>());
        answer.put("thick_end", end_words(shim.thick_end));
        answer.number("saddle_equivalent_mm", as_mm(wanted));
    }
    answer
        .rests_on("model: a rigid neck turns about the edge of the pocket at the wedge's thin end");
    answer.caution("Strings slack first: neck screws are touched only when no string pulls.");
    answer.caution("Afterwards relief, nut, action, intonation and pitch are out of date: tune, then read again.");
    Ok(answer)
}

fn end_words(end: ThickEnd) -> &'static str {
    match end {
        ThickEnd::TowardBridge => "toward the bridge",
        ThickEnd::TowardNut => "toward the nut",
    }
}

/// Gap between string and pickup.
pub fn pickup(ground: &Ground, args: &PickupArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("pickup");
    let family = ground.spec().and_then(|spec| spec.family);
    let on = match (args.on.as_deref(), family) {
        (Some("bass"), _) | (None, Some(Family::Bass)) => PickupOn::Bass,
        (Some("guitar"), _) | (None, Some(Family::Guitar)) => PickupOn::Guitar,
        (None, _) => return Err(given::missing("on", "bass")),
        (Some(other), _) => {
            return Err(Error::usage(format!("--on: \"{other}\"; accepted: bass, guitar")));
        }
    };
    let side = match args.side.as_str() {
        "bass" => Side::Bass,
        "treble" => Side::Treble,
        other => {
            return Err(Error::usage(format!("--side: \"{other}\"; accepted: bass, treble")));
        }
    };
    let gap = given::length("gap", &args.gap)?;
    let judged = judge_gap(on, side, gap, !args.weak)?;
    let verdict = match judged.verdict {
        GapVerdict::Usual => "within what is usual",
        GapVerdict::Close => "closer than usual",
        GapVerdict::Far => "farther than usual",
    };
    answer.lead(format!(
        "{} is {verdict} ({} to {}).",
        both(gap),
        both(judged.usual.0),
        both(judged.usual.1)
    ));
    answer.put("verdict", verdict);
    answer.number("gap_mm", as_mm(gap));
    answer.put("usual_mm", vec![rounded(as_mm(judged.usual.0)), rounded(as_mm(judged.usual.1))]);
    answer.put("may_pull_the_pitch", judged.may_pull);
    if judged.may_pull {
        answer.caution(format!(
            "Under {PULL_GAP_MM} mm below a low string a strong magnet can pull the pitch: listen for \
             wavering high on the neck (common practice, no source)."
        ));
    }
    if let Some(want) = given::length_if("want", &args.want)? {
        let thread = given::thread("thread", &args.thread)?;
        let pitch = thread.ok_or_else(|| given::missing("thread", "0.5 mm"))?.pitch();
        let turns = turns_between(gap, want, pitch)?;
        let eighths = (turns * 8.0).round() as i32;
        let which = if eighths < 0 { "lower" } else { "raise" };
        answer.lead(format!(
            "To {}: {} of the height screw, to {which} the pickup.",
            both(want),
            fallaway::mechanics::screws::amount_in_words(eighths)
        ));
        answer.put("eighths", eighths);
        answer.number("turns", turns);
        answer.rests_on(format!("thread: {} a turn", both(pitch)));
    }
    answer.rests_on("the gap as given, string stopped at the last fret; usual gaps are common practice, no source");
    answer.say("Balance between strings and pickups is by ear.");
    Ok(answer)
}

/// How moist wood becomes.
pub fn moisture(words: &[String]) -> Outcome<Answer> {
    let air = climate::air(words).map_err(Error::Usage)?;
    let (Some(temperature), Some(humidity)) = (air.temperature, air.humidity) else {
        return Err(Error::usage(
            "temperature and relative humidity are both needed, such as 21C 50%",
        ));
    };
    let celsius = temperature.celsius().unwrap_or_default();
    let found = equilibrium_moisture(
        ThermodynamicTemperature::new::<degree_celsius>(celsius),
        Ratio::new::<percent>(humidity.number()),
    )?;
    let mut answer = Answer::new("moisture");
    answer.lead(format!(
        "Wood kept in air of {temperature} and {humidity} comes to {:.1} % of moisture.",
        found.get::<percent>()
    ));
    answer.number("moisture_percent", found.get::<percent>());
    answer.number("temperature_celsius", celsius);
    answer.number("relative_humidity_percent", humidity.number());
    answer.rests_on(
        "model: W. T. Simpson, USDA FPL-RN-0268; the Wood Handbook's table 4-2 agrees to 0.1 %",
    );
    answer.say("Wood lags the air by days to weeks, a lacquered neck more; how this instrument follows is learned from its record.");
    Ok(answer)
}
