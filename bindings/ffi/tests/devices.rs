//! What an app does with a workshop: enter, read back, share, contest, settle.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing)]

mod common;

use common::{action, by, carry, entered, read, share, string, target, texts, workshop};
use fallaway_ffi::{
    AdjustedPart, Adjustment, Basis, BoardCurve, BuzzNote, Climate, EntryBody, EntryKind,
    EstimateUnit, FallawayError, FittedString, FretsSpec, HistoryFilter, InstrumentFamily,
    JointFretSpec, Location, NewPass, NewReading, PassConditions, Phase, PlacedScrew, Posture,
    Quantity, ReadingKind, RetractOutcome, Role, ScaleLength, ScrewPlace, ScrewSpec, SpecField,
    StringChange, StringPlace, StringSpec, Tool, TunedString, TuningChange, UnitWeight,
    UnitWeightUnit, look_at_invitation, quantity_label, templates, tool_label, version,
};

#[test]
fn every_template_makes_an_instrument_that_shows_what_it_is() {
    let tech = workshop("tech");
    assert_eq!(tech.device().unwrap().label, "tech");
    for template in templates() {
        let made = tech.add_instrument(&template.id, &template.name).unwrap();
        let view = made.details().unwrap();
        assert_eq!(view.name, template.name);
        assert_eq!(view.role, Some(Role::Owner));
        assert_eq!(view.spec.places.len(), view.spec.tuning.len());
        assert_eq!(view.people.len(), 1);
        assert!(view.people[0].this_device);
        assert_eq!(tech.instrument(made.id()).unwrap().name().unwrap(), template.name);
    }
    let listed = tech.instruments().unwrap();
    assert_eq!(listed.len(), templates().len());
    tech.remove_from_this_device(listed[0].id).unwrap();
    assert_eq!(tech.instruments().unwrap().len(), listed.len() - 1);
    assert_eq!(tech.notices().unwrap().len(), 0);
    let diagnostics = tech.diagnostics().unwrap();
    assert!(diagnostics.starts_with(&format!("fallaway: {}\n", version())), "{diagnostics}");
    assert!(diagnostics.contains("\nrecords: "), "{diagnostics}");
    tech.trim().unwrap();
    tech.pause().unwrap();
    assert_eq!(tech.instruments().unwrap().len(), listed.len() - 1);
}

#[test]
fn a_pass_keeps_what_was_written_and_says_what_it_can_tell() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let conditions = PassConditions {
        posture: Some(Posture::Playing),
        phase: Some(Phase::AsFound),
        stopped_by: None,
        tuned_minutes_ago: Some(5),
    };
    let pass = NewPass {
        quantity: action(),
        tool: Some(Tool::Rule64),
        readings: vec![
            NewReading { location: string(4), text: "6".to_owned() },
            NewReading { location: string(1), text: "5".to_owned() },
        ],
        conditions: Some(conditions.clone()),
    };
    let id = bass.add_pass(&pass, by("tech")).unwrap();
    let relief = Quantity::Relief { from_fret: 1, to_fret: 24, at_fret: None };
    let leaves = Some(Tool::FeelerThou);
    let go = ".010 goes, .012 not".to_owned();
    bass.add_pass_text(relief, go, leaves, None, None).unwrap();

    let entry = bass.entry(id).unwrap();
    assert_eq!(entry.by.as_deref(), Some("tech"));
    assert!(entry.draft && entry.retracted.is_empty() && !entry.newer);
    let EntryBody::Readings { taken } = entry.body else { panic!("{entry:?}") };
    assert_eq!(taken.quantity, action());
    assert_eq!(taken.tool, Some(Tool::Rule64));
    assert_eq!(taken.conditions, conditions);
    let first = &taken.readings[0];
    assert_eq!(first.location, string(4));
    assert_eq!(first.reading.value.as_entered.as_deref(), Some("6/64 in"));
    // 6/64 in is 2.38125 mm exactly.
    assert!((first.reading.value.value - 2.381_25).abs() < 1e-12);
    assert_eq!(
        (first.reading.value.unit, first.reading.value.basis),
        (EstimateUnit::Millimetre, Basis::Measured)
    );
    assert!(first.reading.value.standard_uncertainty.is_some_and(|u| u > 0.0));
    assert_eq!(first.reading.kind, ReadingKind::Exact);

    let last = bass.history(&HistoryFilter { last: Some(1), ..HistoryFilter::default() }).unwrap();
    let EntryBody::Readings { taken } = &last[0].body else { panic!("{last:?}") };
    let between = &taken.readings[0];
    assert_eq!(
        (between.location.clone(), between.reading.kind),
        (Location::Whole, ReadingKind::Between)
    );
    assert!((between.reading.low.unwrap() - 0.254).abs() < 1e-12);
    assert!((between.reading.high.unwrap() - 0.3048).abs() < 1e-12);
    assert!((between.reading.value.value - 0.2794).abs() < 1e-12);

    assert_eq!(quantity_label(action()).unwrap(), "action at fret 24, fretted at 1");
    assert_eq!(tool_label(&Tool::Rule64).unwrap(), "rule 1/64");
    let odd = Tool::Other { label: "caliper 0.05 mm".to_owned() };
    assert_eq!(tool_label(&odd).unwrap(), "caliper 0.05 mm");
}

#[test]
fn every_kind_of_entry_comes_back_as_it_was_written() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let visit = bass.begin_visit(Some("buzzes low down".to_owned()), None).unwrap();
    let adjustment = Adjustment {
        part: AdjustedPart::Rod,
        turns: Some(0.125),
        moved: None,
        note: Some("moved freely".to_owned()),
    };
    bass.add_adjustment(adjustment.clone(), None).unwrap();
    let place = StringPlace { course: 4, letter: None };
    let string = StringSpec {
        gauge: Some(entered(".110 in")),
        unit_weight: Some(UnitWeight { value: 0.01, unit: UnitWeightUnit::PoundPerInch }),
        ..StringSpec::default()
    };
    let change = StringChange {
        strings: vec![place.clone()],
        set_name: None,
        fitted: vec![FittedString { place: place.clone(), string }],
        note: None,
    };
    bass.add_string_change(change, None).unwrap();
    let tuning = TuningChange {
        strings: vec![place.clone()],
        changed: vec![TunedString { place: place.clone(), note: "D1-2.5".to_owned() }],
        note: None,
    };
    bass.add_tuning(tuning.clone(), None).unwrap();
    let climate = Climate {
        temperature: Some(entered("70 °F")),
        humidity: Some(entered("45%")),
        where_kept: Some("bench".to_owned()),
        hours_there: Some(3),
    };
    bass.add_climate(climate, None).unwrap();
    let buzz = BuzzNote { place: place.clone(), from_fret: 3, to_fret: 5, note: None };
    bass.add_buzz(buzz.clone(), None).unwrap();
    let remark = bass.add_remark("low strings only".to_owned(), None, None, None).unwrap();
    let corrected = "the lowest string only".to_owned();
    bass.add_remark(corrected, Some(remark), None, by("player")).unwrap();
    bass.end_visit(None, None).unwrap();

    let all = bass.history(&HistoryFilter::default()).unwrap();
    let bodies: Vec<&EntryBody> = all.iter().map(|entry| &entry.body).collect();
    assert_eq!(bodies.len(), 9);
    assert_eq!(*bodies[0], EntryBody::VisitBegun { purpose: Some("buzzes low down".to_owned()) });
    assert_eq!(*bodies[1], EntryBody::Adjusted { adjustment });
    let EntryBody::StringsChanged { change } = bodies[2] else { panic!("{:?}", bodies[2]) };
    let gauge = change.fitted[0].string.gauge.as_ref().unwrap();
    assert_eq!((gauge.text.as_str(), gauge.unit), ("0.110 in", Some(EstimateUnit::Millimetre)));
    assert!((gauge.value.unwrap() - 2.794).abs() < 1e-12);
    assert_eq!(*bodies[3], EntryBody::Tuned { tuning });
    let EntryBody::ClimateNoted { climate } = bodies[4] else { panic!("{:?}", bodies[4]) };
    let temperature = climate.temperature.as_ref().unwrap();
    // (70 - 32) * 5 / 9
    assert!((temperature.value.unwrap() - 21.111_111).abs() < 1e-6);
    assert_eq!(temperature.text, "70 °F");
    assert_eq!(*bodies[5], EntryBody::Buzzed { buzz });
    assert!(all.iter().all(|entry| entry.visit.as_ref().is_none_or(|id| *id == visit)));
    assert_eq!(all[6].replaced_by, Some(all[7].id));
    assert_eq!(all[7].by.as_deref(), Some("player"));
    assert_eq!(*bodies[8], EntryBody::VisitEnded { note: None });

    // What was fitted and tuned are facts of the instrument now.
    let spec = bass.details().unwrap().spec;
    let tuned = spec.tuning.iter().find(|tuned| tuned.place == place).unwrap();
    assert_eq!(tuned.note, "D1-2.5");
    let fitted = spec.strings.iter().find(|fitted| fitted.place == place).unwrap();
    assert_eq!(fitted.string.gauge.as_ref().unwrap().text, "0.110 in");

    // By kind, by visit, a page at a time.
    let kinds = vec![EntryKind::Remarked, EntryKind::Buzzed];
    let some = HistoryFilter { kinds, last: Some(2), ..HistoryFilter::default() };
    let page = bass.history(&some).unwrap();
    assert_eq!(page.len(), 2);
    let before = HistoryFilter { before: Some(page[0].id), ..some };
    let page = bass.history(&before).unwrap();
    assert_eq!(page.len(), 1);
    assert!(matches!(page[0].body, EntryBody::Buzzed { .. }));
    let visits = bass.visits().unwrap();
    assert_eq!((visits.len(), visits[0].entry_count), (1, 7));

    // A line of a change is crossed out, a line of the draft is erased.
    let reason = "another instrument";
    assert_eq!(bass.retract(remark, reason, None).unwrap(), RetractOutcome::Kept);
    assert_eq!(bass.entry(remark).unwrap().retracted[0].reason, reason);
    let draft = bass.add_remark("wrong".to_owned(), None, None, None).unwrap();
    assert_eq!(bass.retract(draft, "slip", None).unwrap(), RetractOutcome::Erased);
    assert!(matches!(bass.entry(draft), Err(FallawayError::NotFound { .. })));
}

#[test]
fn facts_are_set_one_by_one_and_read_as_a_whole() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let screw = ScrewSpec {
        thread: Some("M3".to_owned()),
        key: Some("1.5 mm hex".to_owned()),
        ..ScrewSpec::default()
    };
    let joint = JointFretSpec { number: 16, uncertain_by_frets: 1 };
    let facts = [
        SpecField::About { text: "two pickups, chambered".to_owned() },
        SpecField::Family { family: InstrumentFamily::Bass },
        SpecField::Scale {
            length: ScaleLength::Fanned { bass: entered("35 in"), treble: entered("33 in") },
        },
        SpecField::Frets { frets: FretsSpec { count: 22, height: Some(entered("1.2 mm")) } },
        SpecField::JointFret { joint },
        SpecField::Board {
            curve: BoardCurve::Compound { nut: entered("10 in"), last_fret: entered("16 in") },
        },
        SpecField::Screw {
            placed: PlacedScrew { place: ScrewPlace::SaddleHeight, screw: screw.clone() },
        },
        SpecField::A4 { frequency: entered("442.5 Hz") },
        SpecField::Headless { yes: true },
        SpecField::Trees { places: vec![StringPlace { course: 1, letter: None }] },
    ];
    for fact in facts {
        bass.set_spec(fact, None).unwrap();
    }
    let spec = bass.details().unwrap().spec;
    assert_eq!(spec.about.as_deref(), Some("two pickups, chambered"));
    assert_eq!(spec.family, Some(InstrumentFamily::Bass));
    let Some(ScaleLength::Fanned { bass: low, treble }) = spec.scale else { panic!() };
    assert_eq!((low.value, treble.value), (Some(889.0), Some(838.2)));
    let frets = spec.frets.unwrap();
    assert_eq!((frets.count, frets.height.unwrap().text.as_str()), (22, "1.2 mm"));
    assert_eq!(spec.joint_fret, Some(joint));
    assert!(matches!(spec.board, Some(BoardCurve::Compound { .. })));
    let placed = spec.screws.iter().find(|one| one.place == ScrewPlace::SaddleHeight).unwrap();
    assert_eq!(placed.screw, screw);
    assert_eq!((spec.a4_hz, spec.headless), (442.5, Some(true)));
    assert_eq!(spec.trees.unwrap().len(), 1);
}

#[test]
fn two_devices_contest_a_target_and_one_settles_it() {
    let (tech, player) = (workshop("tech"), workshop("player"));
    let bench = tech.add_instrument("bass-4", "walnut bass").unwrap();
    read(&bench, "5 5 5 6");
    let setup = bench.take_setup("stage", None, None).unwrap();
    assert_eq!((setup.name.as_str(), setup.targets.len()), ("stage", 4));

    let invitation = bench.invite(Role::Contributor, 14).unwrap();
    let card = look_at_invitation(&invitation.words, &invitation.welcome).unwrap();
    assert_eq!((card.name.as_str(), card.role), ("walnut bass", Role::Contributor));
    assert_eq!(card.inviter_fingerprint, tech.device().unwrap().fingerprint);
    let stage = share(&tech, &bench, &player, Role::Contributor);
    assert_eq!(texts(&stage), texts(&bench));
    assert_eq!(stage.details().unwrap().people.len(), 2);

    bench.set_target("stage".parse().unwrap(), target(4, "1.8 mm"), None).unwrap();
    stage.set_target("stage".parse().unwrap(), target(4, "2.1 mm"), None).unwrap();
    let bundle = stage.bundle_unsent(None).unwrap().unwrap().file;
    let report = tech.bundle_in(&bundle, None).unwrap();
    assert_eq!((report.name.as_str(), report.added[0].device.as_str()), ("walnut bass", "player"));
    assert_eq!(report.newly_contested.len(), 1);
    assert!(report.refused.is_empty() && report.aside.is_empty());
    let again = tech.bundle_in(&bundle, None).unwrap();
    assert!(again.added.is_empty() && again.already_here > 0);

    let contested = bench.contested().unwrap();
    assert_eq!(contested, report.newly_contested);
    let shown: Vec<&str> = contested[0].versions.iter().map(|one| one.shown.as_str()).collect();
    assert!(shown.iter().any(|text| text.starts_with("1.8 mm")), "{shown:?}");
    assert!(shown.iter().any(|text| text.starts_with("2.1 mm")), "{shown:?}");
    let setup = &bench.setups().unwrap()[0];
    assert!(setup.targets.iter().any(|target| target.contested && target.location == string(4)));

    // What was shown is not what there is any more: a third value arrives first.
    stage.set_target("stage".parse().unwrap(), target(4, "2.0 mm"), None).unwrap();
    carry(&stage, &tech);
    let stale = contested[0].clone();
    let keep = stale.versions[0].id;
    let refused = bench.settle(stale, keep, None);
    assert!(matches!(refused, Err(FallawayError::Contested { .. })), "{refused:?}");

    let fresh = bench.contested().unwrap().remove(0);
    let keep = fresh.versions.iter().find(|one| one.device == "tech").unwrap().id;
    bench.settle(fresh, keep, None).unwrap();
    assert_eq!(bench.contested().unwrap().len(), 0);
    carry(&bench, &player);
    assert_eq!(stage.contested().unwrap().len(), 0);
    assert_eq!(stage.details().unwrap().history_digest, bench.details().unwrap().history_digest);
    bench.remove_target("stage".parse().unwrap(), action(), &string(4), None).unwrap();
    assert_eq!(bench.setups().unwrap()[0].targets.len(), 3);
}

#[test]
fn what_was_damaged_on_the_way_is_refused_and_what_came_early_waits() {
    let (tech, player) = (workshop("tech"), workshop("player"));
    let bench = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let stage = share(&tech, &bench, &player, Role::Contributor);
    let new = || {
        let unsent = bench.bundle_unsent(None).unwrap().unwrap();
        bench.delivered(&unsent.token).unwrap();
        unsent.file
    };
    new();
    read(&bench, "5 5 5 6");
    let first = new();
    bench.add_remark("later".to_owned(), None, None, None).unwrap();
    let second = new();
    let before = texts(&stage);

    let mut damaged = first.clone();
    damaged[first.len() / 2] ^= 1;
    let refused = player.bundle_in(&damaged, None);
    assert!(matches!(refused, Err(FallawayError::Refused { .. })), "{refused:?}");
    assert_eq!(texts(&stage), before);

    let report = player.bundle_in(&second, None).unwrap();
    assert_eq!(report.waiting, 1, "{report:?}");
    assert_eq!(texts(&stage), before);
    assert_eq!(stage.details().unwrap().waiting, 1);
    assert_eq!(player.instruments().unwrap()[0].waiting, 1);
    let report = player.bundle_in(&first, None).unwrap();
    assert_eq!((report.waiting, report.added.len()), (0, 1));
    assert_eq!(texts(&stage), texts(&bench));
    assert_eq!(stage.details().unwrap().history_digest, bench.details().unwrap().history_digest);
}

#[test]
fn what_belongs_together_is_set_in_one_step_and_taken_back_in_one() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let tuned = |course, note: &str| SpecField::Tuning {
        tuned: TunedString { place: StringPlace { course, letter: None }, note: note.to_owned() },
    };
    let notes = || -> Vec<String> {
        bass.details().unwrap().spec.tuning.into_iter().map(|tuned| tuned.note).collect()
    };
    let usual = notes();
    let flat = ["F#2", "C#2", "G#1", "D#1"];
    let facts = (1..).zip(flat).map(|(course, note)| tuned(course, note)).collect();
    bass.set_specs(facts, None).unwrap();
    assert_eq!(notes(), flat);
    bass.undo(None).unwrap();
    assert_eq!(notes(), usual);
    // One that cannot be, and nothing is set.
    bass.set_specs(vec![tuned(1, "F#2"), tuned(2, "H9")], None).unwrap_err();
    assert_eq!(notes(), usual);

    let targets = (1..=4).map(|course| target(course, "2 mm")).collect();
    let stage = bass.set_targets("stage", targets, None).unwrap();
    assert_eq!((stage.name.as_str(), stage.targets.len()), ("stage", 4));
    bass.undo(None).unwrap();
    assert!(bass.setups().unwrap().iter().all(|setup| setup.targets.is_empty()));
}

#[test]
fn what_waits_says_whom_to_ask() {
    let (tech, player) = (workshop("tech"), workshop("player"));
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let theirs = share(&tech, &bass, &player, Role::Contributor);
    let send = |text: &str| {
        bass.add_remark(text.to_owned(), None, None, None).unwrap();
        let bundle = bass.bundle_unsent(None).unwrap().unwrap();
        bass.delivered(&bundle.token).unwrap();
        bundle.file
    };
    let (lost, arrived) = (send("first"), send("second"));
    assert_eq!(theirs.waits_for().unwrap(), None);
    player.bundle_in(&arrived, None).unwrap();
    let waits = theirs.waits_for().unwrap().unwrap();
    assert_eq!((waits.changes, waits.from_unknown), (1, false));
    assert_eq!((waits.of, waits.ask), (vec!["tech".to_owned()], vec!["tech".to_owned()]));
    player.bundle_in(&lost, None).unwrap();
    assert_eq!(theirs.waits_for().unwrap(), None);
}
