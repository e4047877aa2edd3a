//! Plan, clearance, buzz, strings, learned and forecast, as an app asks for them: one call a screen.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

use std::sync::Arc;

use fallaway_ffi::{
    AdjustedPart, Adjustment, Basis, BuzzCause, BuzzNote, ClearanceWhatIf, Climate, ClimateLack,
    Clockwise, Entered, EstimateUnit, FallawayError, FittedString, ForceFrom, ForecastClimate,
    FretFinding, FretState, Instrument, Location, MarkRole, NewBody, NewEntry, NewNote, NewTarget,
    Occasion, OtherStrings, PlacedScrew, PluckDirection, Quantity, ReadingKind, ReliefGoes,
    ScrewLearned, ScrewPlace, ScrewSpec, Shape, SizeFrom, SlotFit, SpecField, StepKind,
    StepVerdict, StringPlace, StringSpec, Theme, Tool, Touch, TuningChange, TurnDirection,
    UnderTouch, Workshop, WriteOptions,
};

const RELIEF: Quantity = Quantity::Relief { from_fret: 1, to_fret: 24, at_fret: None };
const ACTION: Quantity = Quantity::Gap { stopped_fret: 1, over_fret: 24 };

#[allow(clippy::unnecessary_wraps, reason = "as the calls take it")]
fn by(who: &str) -> Option<WriteOptions> {
    Some(WriteOptions { by: Some(who.to_owned()), ..WriteOptions::default() })
}

fn place(course: u32) -> StringPlace {
    StringPlace { course, letter: None }
}

fn entered(text: &str) -> Entered {
    Entered { text: text.to_owned(), value: None, unit: None }
}

fn read(bass: &Instrument, quantity: Quantity, tool: Tool, text: &str) {
    bass.add_pass_text(quantity, text.to_owned(), Some(tool), None, None).unwrap();
}

/// A four-string bass that was tuned and read, with a setup.
fn bass() -> (Arc<Instrument>, Workshop) {
    let workshop = Workshop::in_memory("tech", None, None).unwrap();
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    for (course, wanted) in (1..).zip(["5/64 in", "5/64 in", "5/64 in", "6/64 in"]) {
        let location = Location::OneString { place: place(course) };
        let (wanted, tolerance) = (entered(wanted), entered("1/64 in"));
        let target = NewTarget { quantity: ACTION, location, wanted, tolerance };
        bass.set_target("stage".parse().unwrap(), target, None).unwrap();
    }
    let tuned = TuningChange { strings: Vec::new(), changed: Vec::new(), note: None };
    bass.add_tuning(tuned, None).unwrap();
    read(&bass, RELIEF, Tool::FeelerThou, "12");
    read(&bass, ACTION, Tool::Rule64, "8 5 5 6");
    (bass, workshop)
}

fn touch(force_n: Option<f64>) -> Touch {
    Touch { force_n, direction: PluckDirection::TowardBoard, from_saddle_mm: 100.0, spare_mm: 0.0 }
}

#[test]
fn a_plan_carries_readings_target_turns_and_what_they_rest_on() {
    let (bass, _workshop) = bass();
    let screw = ScrewSpec {
        thread: Some("M3".to_owned()),
        clockwise: Some(Clockwise::More),
        ..ScrewSpec::default()
    };
    let placed = PlacedScrew { place: ScrewPlace::SaddleHeight, screw };
    bass.set_spec(SpecField::Screw { placed }, None).unwrap();
    let plan = bass.plan(None).unwrap();
    assert_eq!(plan.setup.unwrap().name, "stage");
    let step = plan.steps.iter().find(|s| s.kind == StepKind::Action).unwrap();
    let seen = step.seen.as_ref().unwrap();
    assert_eq!(seen.value.as_entered.as_deref(), Some("8/64 in"));
    assert_eq!((seen.value.unit, seen.value.basis), (EstimateUnit::Millimetre, Basis::Measured));
    assert!((seen.value.value - 3.175).abs() < 1e-9);
    assert_eq!(seen.kind, ReadingKind::Exact);
    assert!(seen.tuned && bass.entry(seen.entry.unwrap()).is_ok());
    assert_eq!(step.target.as_ref().unwrap().value.text, "5/64 in");
    // 3/64 in of gap at a factor of 1.360296 are 3.24 turns of M3; of a mark that stands for 1/64 in the
    // half nearer to the target is the likelier.
    let StepVerdict::Adjust { work } = &step.verdict else { panic!("{:?}", step.verdict) };
    let turn = &work.moves[0].turn;
    assert_eq!((turn.eighths, turn.direction), (25, Some(TurnDirection::Anticlockwise)));
    assert_eq!(work.moves[0].size_from, SizeFrom::Thread { pitch_mm: 0.5 });
    let expect = work.expect.as_ref().unwrap();
    assert_eq!((expect.text.as_str(), expect.basis), ("5/64 in", Basis::Computed));
    assert!(expect.standard_uncertainty.unwrap() > 0.1);
    assert!(!step.sentences.is_empty() && !step.cautions.is_empty());
}

#[test]
fn clearance_answers_in_one_call_and_a_bench_answers_a_slider_alike() {
    let (bass, workshop) = bass();
    let found = bass.clearance(touch(Some(2.0)), None, None, None, false).unwrap();
    assert_eq!(found.answer.strings.len(), 4);
    assert_eq!(found.answer.touch.force_from, ForceFrom::Given);
    // Frets 1 to 23 of a bass of 24; the whole map only when it is asked for.
    let first = &found.answer.strings[0];
    assert_eq!((first.notes.len(), first.all_margins.len()), (23, 0));
    let all = bass.clearance(touch(Some(2.0)), None, None, None, true).unwrap();
    assert_eq!(all.answer.strings[0].all_margins.len(), 24 * 23 / 2);
    let limiting = &found.answer.strings[found.answer.limiting_string as usize];
    assert!(
        found.answer.strings.iter().all(|s| s.smallest.margin_mm >= limiting.smallest.margin_mm)
    );
    // Relief and four actions; nothing was done since.
    assert_eq!((found.basis.used.len(), found.basis.out_of_date.len()), (5, 0));
    assert!(found.answer.caveat.contains("not measured"));
    // Nobody's touch was learned: the assumed one.
    let usual = bass.clearance(touch(None), None, None, None, false).unwrap();
    assert_eq!(usual.answer.touch.force_from, ForceFrom::Assumed);

    let bench = bass.clearance_model(touch(Some(2.0)), None).unwrap();
    assert_eq!(bench.opened(), found.answer, "what its screen shows first, without another call");
    assert_eq!(bench.ask(touch(Some(2.0)), None, None, false).unwrap(), found.answer);
    let raised = ClearanceWhatIf { saddle_rises_mm: vec![0.5; 4], ..ClearanceWhatIf::default() };
    let raised = bench.ask(touch(Some(2.0)), Some(raised), None, false).unwrap();
    assert!(raised.strings[0].smallest.margin_mm > first.smallest.margin_mm);
    assert_eq!(raised.strings[0].under_touch, UnderTouch::Clean);
    // A third lower is slacker.
    let lower = OtherStrings {
        strings: Vec::new(),
        notes: vec![NewNote { place: place(4), note: "C1".to_owned() }],
    };
    let slack = bench.ask(touch(Some(2.0)), None, Some(lower), false).unwrap();
    let margin = |answer: &fallaway_ffi::ClearanceAnswer| answer.strings[3].smallest.margin_mm;
    assert!(margin(&slack) < margin(&found.answer));
    workshop.shut_down().unwrap();
    assert!(bench.ask(touch(Some(1.0)), None, None, false).is_ok());
    let closed = bass.clearance(touch(Some(2.0)), None, None, None, false);
    assert_eq!(closed.unwrap_err(), FallawayError::Closed);
}

#[test]
fn a_wrong_question_says_what_would_be_taken() {
    let (bass, _workshop) = bass();
    let two = ClearanceWhatIf { actions_mm: vec![2.0; 2], ..ClearanceWhatIf::default() };
    let refused = bass.clearance(touch(Some(1.0)), None, Some(two), None, false).unwrap_err();
    let FallawayError::BadInput { field, accepted, .. } = refused else { panic!("{refused}") };
    assert_eq!((field.as_str(), accepted.as_str()), ("actions", "4"));
    let hard = bass.clearance(touch(Some(99.0)), None, None, None, false);
    assert!(
        matches!(hard, Err(FallawayError::BadInput { field, .. }) if field == "vertical force")
    );
    let somebody = Some("somebody".to_owned());
    let nobody = bass.clearance(touch(None), somebody, None, None, false);
    assert!(matches!(nobody, Err(FallawayError::NotFound { .. })));
    assert!(matches!(
        bass.plan(Some("none".parse().unwrap())),
        Err(FallawayError::NotFound { .. })
    ));
}

#[test]
fn a_buzz_has_ranked_causes_and_each_a_reading_that_decides() {
    let (bass, _workshop) = bass();
    let why = bass.why_buzz(place(4), 7, 7, touch(Some(1.0)), None, None).unwrap();
    // A single note on a roomy neck: one crown.
    assert!(matches!(why.suspects[0].cause, BuzzCause::ProudCrown { .. }), "{:?}", why.suspects);
    assert!(why.suspects.iter().all(|s| !s.predicts.is_empty() && !s.decides.is_empty()));
    assert!(bass.why_buzz(place(1), 7, 30, touch(Some(1.0)), None, None).is_err());
}

#[test]
fn heavier_strings_pull_more_and_may_bind() {
    let (bass, _workshop) = bass();
    let string = StringSpec { gauge: Some(entered(".115 in")), ..StringSpec::default() };
    let heavier =
        OtherStrings { strings: vec![FittedString { place: place(4), string }], notes: Vec::new() };
    let found = bass.before_strings(heavier, touch(Some(1.5)), None).unwrap();
    assert!(found.ratio > 1.0 && found.difference.value > 0.0);
    assert_eq!(found.difference.unit, EstimateUnit::Newton);
    assert_eq!(found.strings[3].slot, SlotFit::MayBind);
    assert_ne!(found.relief, ReliefGoes::Down);
    assert!(!found.checklist.is_empty() && !found.again.is_empty());
    let nothing = OtherStrings { strings: Vec::new(), notes: Vec::new() };
    assert!(bass.before_strings(nothing, touch(None), None).is_err());
}

#[test]
fn what_was_learned_says_what_it_rests_on_and_what_was_left_out() {
    let (bass, _workshop) = bass();
    let turned = |turns| {
        let adjustment = Adjustment { part: AdjustedPart::Rod, turns, moved: None, note: None };
        bass.add_adjustment(adjustment, None).unwrap()
    };
    turned(Some(0.25));
    read(&bass, RELIEF, Tool::FeelerThou, "6");
    let unwritten = turned(None);
    let note = BuzzNote { place: place(4), from_fret: 3, to_fret: 3, note: None };
    bass.add_buzz(note, by("player")).unwrap();
    let found = bass.learned().unwrap();
    // Six thousandths for a quarter turn, weighed with what is usual: 0.15 mm a quarter.
    let rod = &found.rod_mm_per_turn;
    assert_eq!((rod.observations, found.less_relief), (1, Some(TurnDirection::Clockwise)));
    assert!(rod.estimate.low < 0.6096 && rod.estimate.high > 0.6);
    assert!((rod.prior.value - 0.6).abs() < 1e-9);
    assert_eq!(rod.left_out[0].entry, Some(unwritten));
    assert!(found.season.is_none() && !found.sentences.is_empty());
    assert!(found.touches.iter().any(|touch| touch.by == "player"));
    let air =
        ForecastClimate { name: "January".to_owned(), humidity_percent: 30.0, temperature_c: None };
    let forecast = bass.forecast(vec![air], None);
    assert!(matches!(forecast, Err(FallawayError::BadInput { field, .. }) if field == "forecast"));
}

/// An app shows both lists: what can harm stands in one of them.
#[test]
fn what_moved_says_its_cautions_apart_from_its_sentences() {
    let (bass, _workshop) = bass();
    let written = bass.take_setup("as written", None, None).unwrap().id;
    bass.end_visit(None, None).unwrap();
    bass.begin_visit(None, None).unwrap();
    // All strings alike, and the relief as it was: the neck's joint or the bridge.
    read(&bass, RELIEF, Tool::FeelerThou, "12");
    read(&bass, ACTION, Tool::Rule64, "6.5 3.5 3.5 4.5");
    let apart = |sentences: &[String], cautions: &[fallaway_ffi::Caution]| {
        assert!(!sentences.is_empty() && !cautions.is_empty(), "{sentences:?} {cautions:?}");
        for caution in cautions {
            let again = sentences.iter().find(|said| said.contains(caution.text.as_str()));
            assert_eq!(again, None, "said twice");
        }
    };
    let drift = bass.plan(Some(written.clone())).unwrap().drift.unwrap();
    apart(&drift.sentences, &drift.cautions);
    let changed = bass.what_changed(Occasion::Setup { setup: written }, Occasion::Today).unwrap();
    apart(&changed.sentences, &changed.cautions);
}

#[test]
fn a_drawing_crosses_as_marks_words_and_svg() {
    let (bass, _workshop) = bass();
    let neck = bass.draw_neck(Some(place(1)), None, Some(Theme::Dark)).unwrap();
    // 8/64 was read where 5/64 is wanted: a dot, a ring, and both numbers in words.
    assert!(neck.marks.iter().any(|mark| matches!(mark.shape, Shape::Dot { .. })));
    assert!(neck.marks.iter().any(|mark| matches!(mark.shape, Shape::Ring { .. })));
    let words = neck.sentences.join(" ");
    assert!(words.contains("8/64 in") && words.contains("5/64 in"), "{words}");
    assert!(neck.svg.is_some_and(|svg| svg.starts_with("<svg ")));
    assert_eq!(bass.draw_history(RELIEF, Location::Whole, None, None, None).unwrap().svg, None);
}

#[test]
fn what_is_found_at_a_fret_is_kept_told_and_drawn() {
    let (bass, _workshop) = bass();
    let finding = |fret, state, distance: Option<&str>| FretFinding {
        fret,
        state,
        strings: Vec::new(),
        distance: distance.map(entered),
    };
    let marks = || {
        let drawn = bass.draw_clearance(None, None).unwrap();
        let read = drawn.marks.iter().filter(|mark| mark.role == MarkRole::Read).count();
        (read, drawn.sentences.join(" "))
    };
    assert_eq!(marks().0, 0);
    bass.add_fret_finding(finding(7, FretState::High, Some("0.08 mm")), None, by("tech")).unwrap();
    let worn = NewBody::FretFound { found: finding(3, FretState::Worn, None), note: None };
    bass.write_all(vec![NewEntry { body: worn, options: None }]).unwrap();
    let known = bass.fret_findings().unwrap();
    assert_eq!(known.len(), 2);
    assert_eq!(known[0].found.state, FretState::High);
    assert_eq!(known[0].text, "Fret 7: stands high by 0.08 mm");
    // A mark at each fret, and one beside each word.
    let (read, words) = marks();
    assert_eq!(read, 4);
    assert!(words.contains("Fret 7: stands high by 0.08 mm."), "{words}");
    let nowhere = bass.add_fret_finding(finding(60, FretState::High, None), None, None);
    assert!(matches!(nowhere, Err(FallawayError::BadInput { .. })), "{nowhere:?}");
}

#[test]
fn what_a_climate_lacks_is_named() {
    let (bass, _workshop) = bass();
    let air = |humidity: Option<&str>, hours_there| {
        let (temperature, humidity) = (Some(entered("21 C")), humidity.map(entered));
        let climate = Climate { temperature, humidity, where_kept: None, hours_there };
        bass.add_climate(climate, None).unwrap();
        let learned = bass.learned().unwrap();
        (learned.season_lacks, learned.sentences.join(" "))
    };
    assert_eq!(bass.learned().unwrap().season_lacks, Some(ClimateLack::Any));
    assert_eq!(air(None, None).0, Some(ClimateLack::Humidity));
    let (lacks, said) = air(Some("45 %"), None);
    assert_eq!(lacks, Some(ClimateLack::Hours));
    assert!(said.contains("do not say how many hours"), "{said}");
    assert_eq!(air(Some("45 %"), Some(2)).0, Some(ClimateLack::Longer));
    let (lacks, said) = air(Some("45 %"), Some(48));
    assert_eq!(lacks, None, "{said}");
}

#[test]
fn what_the_screws_have_shown_is_learned_as_the_plan_goes_by_it() {
    let (bass, _workshop) = bass();
    let octave = Quantity::Intonation { stopped_fret: 12 };
    let read = |cents: &str| {
        bass.add_tuning(
            TuningChange { strings: Vec::new(), changed: Vec::new(), note: None },
            None,
        )
        .unwrap();
        bass.add_pass_text(octave, cents.to_owned(), Some(Tool::TunerCent), None, None).unwrap();
    };
    let shown = || bass.learned().unwrap().screws;
    read("12 0 0 0");
    assert_eq!(shown(), []);
    let part = AdjustedPart::SaddlePosition { place: StringPlace { course: 1, letter: None } };
    let turn = Adjustment { part, turns: Some(1.0), moved: None, note: None };
    bass.add_adjustment(turn, None).unwrap();
    read("4 0 0 0");
    // Flatter after a clockwise turn: the string has become longer.
    let longer = ScrewLearned {
        screw: ScrewPlace::SaddlePosition,
        pickup: None,
        clockwise: Some(Clockwise::More),
        observations: 1,
    };
    assert_eq!(shown(), [longer]);
    let said = bass.learned().unwrap().sentences.join("\n");
    assert!(
        said.contains("Intonation screws: clockwise moves the saddle back, learned from one turn"),
        "{said}"
    );
}
