//! Neck, gaps, shim, pickup, moisture.

use fallaway::advice::turns::HandTurn;
use fallaway::measure::{InstrumentFamily, Length, Quantity, Side};
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::conversions::{
    LineReadings, NutWay, effect_of_relief, gap, nut, saddle_height, saddle_move as move_for,
};
use fallaway::mechanics::crowns::{Oddity, odd_crowns, rocking as rocks};
use fallaway::mechanics::frets;
use fallaway::mechanics::pickups::{PULL_GAP_MM, PickupGapVerdict, judge_gap, turns_between};
use fallaway::mechanics::screws::{Screw, ScrewTurn, TurnRounding};
use fallaway::mechanics::shim::{ShimThickEnd, effect, pocket_shim};
use fallaway::mechanics::spacing::position_table;
use fallaway::mechanics::string_line::{GapPlace, saddle_factor};
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::uom::si::angle::degree;
use fallaway::mechanics::uom::si::f64::{Ratio, ThermodynamicTemperature};
use fallaway::mechanics::uom::si::ratio::percent;
use fallaway::mechanics::uom::si::thermodynamic_temperature::degree_celsius;
use fallaway::mechanics::wood::equilibrium_moisture;
use fallaway::record::spec::ScrewPlace;
use fallaway_text::{Computed, Phrase, Word, names, plan as text};
use serde_json::{Value, json};

use super::super::answer::{Reply, rounded};
use super::given;
use super::ground::Ground;
use super::numbers::{both, give_or_take, mm_to, signed, way};
use crate::cli::calc::{
    ConvertArgs, PickupArgs, PositionsArgs, ReliefChangeArgs, RockingArgs, SaddleMoveArgs, ShimArgs,
};
use crate::error::{Error, Outcome};
use crate::messages::calc as say;
use crate::parse::climate;
use crate::render::{TableCell, TextTable};
use crate::voice::in_order;

/// Where frets and saddle lie.
pub fn positions(ground: &Ground, args: &PositionsArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("positions");
    let mut scales = in_order(given::lengths("scale", &args.scale)?);
    if scales.is_empty()
        && let Some(spec) = ground.spec()
    {
        scales = spec.places().iter().filter_map(|place| spec.scale_of(*place)).collect();
        answer.rests_on(say::fact_scales());
        if scales.windows(2).all(|pair| matches!(pair, [a, b] if a == b)) {
            scales.truncate(1);
        }
    }
    let count = ground.frets(args.frets, &mut answer)?;
    let compensation = match given::lengths("compensation", &args.compensation)?.as_slice() {
        [] => vec![mm(0.0); scales.len()],
        given => in_order(given::for_each("compensation", given, scales.len())?),
    };
    match scales.as_slice() {
        [] => return Err(given::missing("scale", "34 in")),
        [scale] => {
            let offset = compensation.first().copied().unwrap_or(mm(0.0));
            let rows = frets::table(*scale, count)?;
            let mut table = TextTable::headed(&say::head_positions());
            let mut fields = Vec::new();
            for row in &rows {
                table.row([
                    TableCell::from(row.fret.to_string()),
                    both(row.from_nut).into(),
                    both(row.from_previous).into(),
                    both(row.to_saddle + offset).into(),
                ]);
                fields.push(json!({
                    "fret": row.fret,
                    "from_nut_mm": rounded(as_mm(row.from_nut)),
                    "from_fret_before_mm": rounded(as_mm(row.from_previous)),
                    "to_saddle_mm": rounded(as_mm(row.to_saddle + offset)),
                }));
            }
            answer.table(table);
            answer.lead(say::saddle_from_nut(both(*scale + offset)));
            answer.put("frets", fields);
            answer.number("saddle_mm", as_mm(*scale + offset));
        }
        several => {
            let strings: Vec<_> = several.iter().copied().zip(compensation).collect();
            let found = position_table(&strings, count)?;
            let head = in_order((1..=found.len()).map(say::string_mm).collect());
            let mut table = TextTable::new(std::iter::once(say::fret()).chain(head));
            for fret in 0..count {
                let cell = |s: &fallaway::mechanics::spacing::StringPositions| {
                    TableCell::from(s.frets.get(fret).map(|x| Computed::plain(as_mm(*x), 2)))
                };
                let front = TableCell::from((fret + 1).to_string());
                let cells = in_order(found.iter().map(cell).collect());
                table.row(std::iter::once(front).chain(cells));
            }
            let saddles = found.iter().map(|s| Computed::plain(as_mm(s.saddle), 2).into());
            let saddles = in_order(saddles.collect());
            table.row(std::iter::once(TableCell::from(say::saddle())).chain(saddles));
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
    answer.rests_on(say::basis_frets());
    Ok(answer)
}

/// What another way of reading shows.
pub fn convert(ground: &Ground, args: &ConvertArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("convert");
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
            action_place = GapPlace::new(usize::from(stopped.number()), usize::from(over.number()));
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
            answer.assumed(say::assumed_nut());
            nut_way = NutWay::OpenOver1;
            Uncertain::new(mm(0.5), mm(0.15))?
        }
    } else {
        given::reading("nut", &args.nut, fine.as_ref())?
    };
    let readings = LineReadings { relief, relief_way, action, action_place, nut: nut_gap, nut_way };

    let mut places = vec![GapPlace::stopped_at_1_over(count)];
    places.extend(
        [12, 17, count]
            .into_iter()
            .filter(|over| *over <= count)
            .map(|over| GapPlace::new(0, over)),
    );
    for word in &args.to {
        places.push(given::way("to", word)?);
    }
    places.dedup();
    let mut table = TextTable::headed(&say::head_convert());
    let mut fields = Vec::new();
    let mut add = |what: Phrase, value: Uncertain<Length>| {
        table.row([what.clone(), give_or_take(value)]);
        fields.push(json!({
            "way": what.to_string(),
            "gap_mm": rounded(as_mm(value.value)),
            "standard_uncertainty_mm": rounded(as_mm(value.standard_uncertainty)),
        }));
    };
    for place in places {
        add(way(place), gap(&geometry, &readings, place)?);
    }
    for (stopped, nut_way) in [(0, NutWay::OpenOver1), (3, NutWay::HeldAt3Over1)] {
        let way = way(GapPlace::new(stopped, 1));
        add(say::nut_way(way), nut(&geometry, &readings, nut_way)?);
    }
    answer.table(table);
    answer.put("gaps", fields);

    // The same curvature, seen as relief at single frets.
    let neck = geometry.neck()?.with_relief(relief.value, relief_way)?;
    let largest = neck.relief(given::relief_way(None, count))?;
    answer.say(say::relief_largest(count, largest.fret, both(largest.gap)));
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
    answer.say(say::saddle_height(give_or_take(saddle)));
    answer.estimate("saddle_height", saddle);
    answer.rests_on(say::basis_convert(
        give_or_take(relief),
        give_or_take(action),
        way(action_place),
        give_or_take(nut_gap),
    ));
    answer.rests_on(say::basis_line());
    answer.rests_on(say::basis_spread());
    answer.say(say::convert_hint());
    Ok(answer)
}

/// "1 1/8 turns clockwise".
pub fn turn_words(turn: &ScrewTurn) -> Phrase {
    let eighths = u16::try_from(turn.eighths.unsigned_abs()).unwrap_or(u16::MAX);
    text::turn(HandTurn { eighths, direction: turn.direction, is_trial: false })
}

/// A turn for a rise, said and put.
pub fn turn(answer: &mut Reply, rise: Length, screw: Screw) -> Outcome {
    if screw.thread.is_none() {
        answer.say(say::thread_hint());
        return Ok(());
    }
    let turn = ScrewTurn::for_rise(rise, screw, TurnRounding::Nearest)?;
    let (gives, left) = (signed(turn.gives), signed(turn.left_over));
    answer.lead(say::turn(turn_words(&turn), gives, left));
    answer.put("eighths", turn.eighths);
    answer.put("direction", turn.direction.map(|d| d.to_string()));
    answer.number("turn_gives_mm", as_mm(turn.gives));
    answer.number("left_over_mm", as_mm(turn.left_over));
    if let Some(pitch) = screw.thread.map(fallaway::mechanics::screws::Thread::pitch) {
        answer.rests_on(say::basis_thread(both(pitch)));
        answer.number("pitch_mm", as_mm(pitch));
    }
    Ok(())
}

/// How far a saddle has to move.
pub fn saddle_move(ground: &Ground, args: &SaddleMoveArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("saddle-move");
    let geometry = ground.geometry(&args.neck, &mut answer)?;
    let mut place = Ground::way(&args.way, geometry.frets)?;
    let tool = given::tool("tool", &args.tool)?;
    let now = if args.now.is_empty() {
        let is_action =
            |q| matches!(q, Quantity::Gap { stopped, over } if over.number() > 3 && stopped < over);
        let found = ground.latest(args.neck.string, is_action, &mut answer)?;
        let (quantity, value) = found.ok_or_else(|| given::missing("now", "6/64"))?;
        if let Quantity::Gap { stopped, over } = quantity {
            place = GapPlace::new(usize::from(stopped.number()), usize::from(over.number()));
        }
        value
    } else {
        given::reading("now", &args.now, tool.as_ref())?
    };
    let want = given::length("want", &args.want)?;
    let factor = saddle_factor(&geometry.neck()?, geometry.compensation, place)?;
    let change = move_for(&geometry, place, now, want)?;
    let (change_mm, gap_change) = (as_mm(change.value), want - now.value);
    let mut size = change;
    size.value = mm(change_mm.abs());
    let size = give_or_take(size);
    answer.lead(if change_mm < 0.0 { say::lower_saddle(size) } else { say::raise_saddle(size) });
    answer.say(say::saddle_ratio(Computed::plain(factor, 3), way(place)));
    answer.estimate("saddle_move", change);
    answer.number("gap_change_mm", as_mm(gap_change));
    answer.number("saddle_for_gap_ratio", factor);
    let told = 2.0 * as_mm(now.standard_uncertainty);
    if as_mm(gap_change).abs() <= told {
        answer.say(say::within_error(signed(gap_change), Computed::mm(told)));
    }
    turn(&mut answer, change.value, ground.screw(&args.screw, ScrewPlace::SaddleHeight)?)?;
    answer.say(say::tune_measure());
    answer.rests_on(say::basis_gap(give_or_take(now), way(place)));
    answer.rests_on(say::basis_triangles());
    answer.rests_on(say::basis_spread());
    answer.caution(say::saddle_binds());
    Ok(answer)
}

/// What a change of relief does.
pub fn relief_change(ground: &Ground, args: &ReliefChangeArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("relief-change");
    let geometry = ground.geometry(&args.neck, &mut answer)?;
    let count = geometry.frets;
    let change = given::length("change", &args.change)?;
    let relief_way = given::relief_way(args.relief_at, count);
    let mut places = vec![GapPlace::stopped_at_1_over(count)];
    places.extend(
        [1, 12, 17, count]
            .into_iter()
            .filter(|over| *over <= count)
            .map(|over| GapPlace::new(0, over)),
    );
    for word in &args.to {
        places.push(given::way("to", word)?);
    }
    places.dedup();
    answer.lead(say::relief_changes(signed(change)));
    let mut table = TextTable::headed(&say::head_changes());
    let mut fields = Vec::new();
    for place in places {
        let value = effect_of_relief(&geometry, relief_way, Uncertain::exact(change), place)?;
        let twice = mm_to(2.0 * value.standard_uncertainty, 3);
        let change = mm_to(value.value, 3).signed();
        table.row([way(place), say::give_or_take(change, twice)]);
        fields.push(json!({
            "way": way(place).to_string(),
            "stopped_at_fret": place.stopped,
            "over_fret": place.over,
            "change_mm": rounded(as_mm(value.value)),
            "standard_uncertainty_mm": rounded(as_mm(value.standard_uncertainty)),
        }));
    }
    answer.table(table);
    answer.number("relief_change_mm", as_mm(change));
    answer.put("gaps", fields);
    answer.say(say::relief_hint());
    answer.rests_on(say::basis_line());
    answer.rests_on(say::basis_joint());
    Ok(answer)
}

/// Does a straight edge rock?
pub fn rocking(ground: &Ground, args: &RockingArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("rocking");
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let heights = given::lengths("heights", &args.heights)?;
    let tolerance = given::length("tolerance", &args.tolerance)?;
    let positions = frets::positions(scale, heights.len())?;
    let checks = rocks(&positions, &heights, tolerance)?;
    let odd = odd_crowns(&checks, tolerance)?;
    let rocking: Vec<_> = checks.iter().filter(|check| check.rocks).collect();
    if rocking.is_empty() {
        answer.lead(say::rocks_nowhere(both(tolerance)));
    }
    for check in rocking {
        let (before, after) = (check.middle - 1, check.middle + 1);
        answer.say(say::rocks(before, after, check.middle, both(check.above)));
    }
    let mut fields = Vec::new();
    for one in &odd {
        let (fret, by, word) = match one {
            Oddity::Proud { fret, by } => (*fret, *by, "proud"),
            Oddity::Low { fret, by } => (*fret, *by, "low"),
        };
        let said = if word == "proud" { say::fret_high } else { say::fret_low };
        answer.lead(said(fret, both(by)));
        fields.push(json!({ "fret": fret, "what": word, "by_mm": rounded(as_mm(by)) }));
    }
    answer.put("odd_crowns", fields);
    let all: Vec<Value> = checks
        .iter()
        .map(|c| json!({ "fret": c.middle, "above_neighbours_mm": rounded(as_mm(c.above)), "rocks": c.rocks }))
        .collect();
    answer.put("checks", all);
    answer.number("tolerance_mm", as_mm(tolerance));
    answer.rests_on(say::basis_rocking());
    answer.say(say::rocking_ends());
    if !odd.is_empty() {
        answer.caution(say::rocking_caution());
    }
    Ok(answer)
}

/// A wedge in the neck pocket.
pub fn shim(ground: &Ground, args: &ShimArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("shim");
    let scale = ground.scale(&args.scale, None, &mut answer)?;
    let edge = given::length("pocket-edge", &args.pocket_edge)?;
    let length = given::length("pocket-length", &args.pocket_length)?;
    if let Some(thickness) = given::length_if("thickness", &args.thickness)? {
        let end =
            if args.toward_nut { ShimThickEnd::TowardNut } else { ShimThickEnd::TowardBridge };
        let saddle = effect(thickness, end, scale, edge, length)?;
        answer.lead(say::shim_does(both(thickness), thick_end(end), signed(saddle)));
        answer.number("saddle_equivalent_mm", as_mm(saddle));
        answer.number("thickness_mm", as_mm(thickness));
    } else {
        let wanted = given::length("saddle-move", &args.saddle_move)?;
        let shim = pocket_shim(Uncertain::exact(wanted), scale, edge, length)?;
        let back = shim.thick_end == ShimThickEnd::TowardBridge;
        answer.lead(say::shim_needed(
            both(shim.thickness.value),
            thick_end(shim.thick_end),
            Computed::plain(shim.angle.get::<degree>(), 2),
            Word(if back { "back" } else { "forward" }),
            signed(wanted),
        ));
        answer.number("thickness_mm", as_mm(shim.thickness.value));
        answer.number("angle_degree", shim.angle.get::<degree>());
        answer.put("thick_end", thick_end(shim.thick_end).to_string());
        answer.number("saddle_equivalent_mm", as_mm(wanted));
    }
    answer.rests_on(say::basis_shim());
    answer.caution(say::shim_slack());
    answer.caution(say::shim_after());
    Ok(answer)
}

fn thick_end(end: ShimThickEnd) -> Phrase {
    say::thick_end(Word(match end {
        ShimThickEnd::TowardBridge => "bridge",
        ShimThickEnd::TowardNut => "nut",
    }))
}

/// Gap between string and pickup.
pub fn pickup(ground: &Ground, args: &PickupArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("pickup");
    let family = ground.spec().and_then(|spec| spec.family);
    let family = match args.on.as_deref() {
        Some("bass") => Some(InstrumentFamily::Bass),
        Some("guitar") => Some(InstrumentFamily::Guitar),
        Some(other) => return Err(given::not_among("on", other, "bass, guitar")),
        None => family,
    };
    let side = match args.side.as_str() {
        "bass" => Side::Bass,
        "treble" => Side::Treble,
        other => return Err(given::not_among("side", other, "bass, treble")),
    };
    let gap = given::length("gap", &args.gap)?;
    let judged = family.map(|family| judge_gap(family, side, gap, !args.weak)).transpose()?;
    let judged = judged.flatten().ok_or_else(|| given::missing("on", "bass"))?;
    let verdict = match judged.verdict {
        PickupGapVerdict::Usual => "usual",
        PickupGapVerdict::Close => "close",
        PickupGapVerdict::Far => "far",
    };
    let (low, high) = judged.usual;
    answer.lead(say::pickup_gap(both(gap), Word(verdict), both(low), both(high)));
    answer.put("verdict", verdict);
    answer.number("gap_mm", as_mm(gap));
    answer.put("usual_mm", vec![rounded(as_mm(judged.usual.0)), rounded(as_mm(judged.usual.1))]);
    answer.put("may_pull_the_pitch", judged.may_pull);
    if judged.may_pull {
        answer.caution(say::pickup_pull(Computed::mm(PULL_GAP_MM).places(1)));
    }
    if let Some(want) = given::length_if("want", &args.want)? {
        let thread = given::thread("thread", &args.thread)?;
        let pitch = thread.ok_or_else(|| given::missing("thread", "0.5 mm"))?.pitch();
        let turns = turns_between(gap, want, pitch)?;
        let eighths = (turns * 8.0).round() as i32;
        let which = Word(if eighths < 0 { "lower" } else { "raise" });
        let words = names::eighths_either_way(eighths.unsigned_abs());
        answer.lead(say::pickup_turns(both(want), words, which));
        answer.put("eighths", eighths);
        answer.number("turns", turns);
        answer.rests_on(say::basis_thread(both(pitch)));
    }
    answer.rests_on(say::basis_pickup());
    answer.say(say::pickup_balance());
    Ok(answer)
}

/// How moist wood becomes.
pub fn moisture(words: &[String]) -> Outcome<Reply> {
    let air = climate::air(words).map_err(Error::Usage)?;
    let (Some(temperature), Some(humidity)) = (air.temperature, air.humidity) else {
        return Err(Error::Usage(say::moisture_missing()));
    };
    let celsius = temperature.celsius().unwrap_or_default();
    let found = equilibrium_moisture(
        ThermodynamicTemperature::new::<degree_celsius>(celsius),
        Ratio::new::<percent>(humidity.number()),
    )?;
    let mut answer = Reply::new("moisture");
    let moisture = Computed::percent(found.get::<percent>()).places(1);
    answer.lead(say::moisture(temperature, humidity, moisture));
    answer.number("moisture_percent", found.get::<percent>());
    answer.number("temperature_celsius", celsius);
    answer.number("relative_humidity_percent", humidity.number());
    answer.rests_on(say::basis_moisture());
    answer.say(say::moisture_lag());
    Ok(answer)
}
