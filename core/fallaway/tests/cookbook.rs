//! The cookbook's code, task by task: `cargo tool cookbook` takes it out of this file into
//! `docs/embedding/cookbook/rust.md`.

#![allow(clippy::unwrap_used)]
#![allow(clippy::items_after_statements, reason = "each task stands by itself")]

mod common;

use std::error::Error as AnyError;
use std::fs;
use std::net::{TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicUsize, Ordering};
use std::thread;

use common::{Seeded, action, relief, workshop};
use fallaway::advice::clearance::{ClearanceWhatIf, TouchUsed};
use fallaway::advice::learn::ForecastClimate;
use fallaway::environment::{Clock, FileKeeper, SystemClock, SystemRandom};
use fallaway::measure::{Amount, Fret, Location, Quantity, StringPlace, Tool, Unit, parse_pass};
use fallaway::meeting::MeetOptions;
use fallaway::record::spec::StringSpec;
use fallaway::record::{
    AdjustedPart, Adjustment, Buzz, Climate, Moment, Remark, SpecField, StringChange, Target,
    Tuning, Turns,
};
use fallaway::sheet::{Paper, Theme, sheet_html, sheet_text, svg};
use fallaway::sync::{
    ExchangeFault, HttpRequest, HttpResponse, HttpTransport, NoAnswer, SyncOutcome,
};
use fallaway::text::{Language, Voice};
use fallaway::{
    Accept, ChangeListener, Customer, Error, HistoryFilter, ImportOptions, Instrument,
    InstrumentId, Job, LogLevel, LogSink, Occasion, PassOptions, Role, StepDone, Workshop,
    WorkshopOptions, WriteOptions, read_moment,
};

type Outcome = Result<(), Box<dyn AnyError>>;

fn bench() -> (Workshop, Instrument) {
    let workshop = workshop("tech", 1);
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    bass.add_tuning(&Tuning::default(), None).unwrap();
    bass.add_pass_text(relief(), "12", Tool::FEELER_THOU).unwrap();
    bass.add_pass_text(action(), "5 5 5 6", Tool::RULE_64).unwrap();
    bass.take_setup("stage", None, None).unwrap();
    bass.end_visit(None, None).unwrap();
    (workshop, bass)
}

/// Another device that has the record.
fn joined(workshop: &Workshop, bass: &Instrument) -> (Workshop, Instrument) {
    let other = common::workshop("player", 2);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let shared = other.accept(&invitation.words, &invitation.welcome).unwrap();
    other.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    workshop.bundle_in(&shared.bundle_out().unwrap().file).unwrap();
    (other, shared)
}

#[test]
fn task_01() -> Outcome {
    let folder = tempfile::tempdir()?;
    let folder = folder.path().join("workshop");
    // task 1
    let mut options = WorkshopOptions::new(&folder, "tech");
    options.keeper = Box::new(FileKeeper::new(folder.join("keys"))); // the usual one
    let workshop = Workshop::open(options)?;
    println!("{:?}", workshop.instruments()?);
    // end
    workshop.shut_down()?;
    Ok(())
}

#[test]
fn task_02() -> Outcome {
    let (workshop, _) = bench();
    // task 2
    for template in Workshop::templates() {
        println!("{} {}", template.id, template.name);
    }
    let bass = workshop.add_instrument("bass-5", "loan bass")?;
    let same = workshop.instrument_named("loan")?; // or workshop.instrument(id)
    // end
    assert_eq!(same.id(), bass.id());
    Ok(())
}

#[test]
fn task_03() -> Outcome {
    let (_, bass) = bench();
    // task 3
    bass.set_spec(&SpecField::About("the one with the walnut top".into()), None)?;
    bass.set_spec(&SpecField::Pickups(2), None)?;
    bass.unset_spec("pickups", None)?;
    let spec = bass.details()?.spec;
    // end
    assert!(spec.about.is_some());
    Ok(())
}

#[test]
fn task_04() -> Outcome {
    let (_, bass) = bench();
    // task 4
    bass.begin_visit(Some("too high"), None)?;
    let action = Quantity::gap(1, 24)?;
    bass.add_pass_text(action, "6 6 - =", Tool::RULE_64)?;
    bass.add_pass_text(Quantity::Pitch, "0 0 2 -1", Tool::TUNER_CENT)?;
    bass.end_visit(None, None)?;
    // end
    assert_eq!(bass.visits()?.len(), 2);
    Ok(())
}

#[test]
fn task_05() -> Outcome {
    // task 5
    let read = parse_pass("5 5.5 - 6", Some(&Tool::RULE_64), action().dimension(), 4, None)?;
    for reading in read.iter().flatten() {
        println!("{reading}");
    }
    if let Err(wrong) = parse_pass("five", Some(&Tool::RULE_64), action().dimension(), 4, None) {
        println!("{wrong}");
    }
    // end
    assert_eq!(read.len(), 4);
    Ok(())
}

#[test]
fn task_06() -> Outcome {
    let (_, bass) = bench();
    // task 6
    let pass = bass.read_pass_text(relief(), "120", Tool::FEELER_THOU, &PassOptions::default())?;
    if let Err(Error::Unsure { doubts, .. }) = bass.add_pass(pass.clone(), None) {
        for doubt in &doubts {
            println!("Is that right? {}: {}", doubt.given, doubt.reason);
        }
        bass.add_pass(pass, WriteOptions::default().accepting(&doubts))?;
    }
    // end
    Ok(())
}

#[test]
fn task_07() -> Outcome {
    let (_, bass) = bench();
    // task 7
    let turns = Some(Turns::eighths(-2));
    let rod = Adjustment { what: AdjustedPart::Rod, turns, amount: None, note: None };
    bass.add_adjustment(rod, None)?;
    let set = Some("45 to 105".to_owned());
    bass.add_string_change(&StringChange { set, ..StringChange::default() }, None)?;
    bass.add_tuning(&Tuning::default(), None)?; // all strings, to their notes
    let humidity = Some(Amount::decimal(45, 0, Unit::Percent)?);
    bass.add_climate(Climate { humidity, hours_there: Some(48), ..Climate::default() }, None)?;
    let (string, from, to) = (StringPlace::course(4)?, Fret::new(5)?, Fret::new(7)?);
    bass.add_buzz(Buzz { string, from, to, note: None }, None)?;
    let text = "fret 3 is worn".to_owned();
    bass.add_remark(Remark { text, ..Remark::default() }, None)?;
    // end
    assert!(bass.history(&HistoryFilter::default())?.len() > 8);
    Ok(())
}

#[test]
fn task_08() -> Outcome {
    let (_, bass) = bench();
    // task 8
    let studio = bass.take_setup("studio", None, None)?.id; // what was read last
    let low = Target {
        quantity: action(),
        location: Location::Course(StringPlace::course(4)?),
        wanted: Amount::decimal(22, 1, Unit::Millimetre)?,
        tolerance: Amount::decimal(1, 1, Unit::Millimetre)?,
        by: None,
        at: bass.now(),
        taken_from: None,
    };
    bass.set_target(&studio, &low, None)?;
    for setup in bass.setups()? {
        println!("{}: {} targets", setup.name, setup.targets.len());
    }
    bass.rename_setup(&studio, "club", None)?; // the id stays
    bass.delete_setup(&studio, None)?;
    bass.bring_back_setup(&studio, None)?;
    // end
    assert_eq!(bass.setup_named("club")?.id, studio);
    assert_eq!(bass.setups()?.len(), 2);
    Ok(())
}

#[test]
fn task_09() -> Outcome {
    let (_, bass) = bench();
    // task 9
    let card = bass.card(Some(&"stage".parse()?))?;
    for line in &card.lines {
        let read = line.last.as_ref().map(|last| last.reading.to_string());
        println!("{} {}: {read:?} {:?}", line.quantity, line.place, line.standing);
    }
    // end
    assert!(card.lines.len() >= 5);
    Ok(())
}

#[test]
fn task_10() -> Outcome {
    let (_, bass) = bench();
    bass.add_pass_text(relief(), "18", Tool::FEELER_THOU)?;
    // task 10
    let view = bass.plan(Some(&"stage".parse()?))?;
    if let Some(next) = view.plan.next_step() {
        let text = fallaway::text::plan::step(next, &view.spec);
        println!("{}: {}", text.title, text.verdict);
        for sentence in text.todo.iter().chain(&text.then).chain(&text.remarks) {
            println!("{sentence}");
        }
        for hazard in &next.cautions {
            println!("Caution: {}", fallaway::text::cautions::text(*hazard));
        }
    }
    // end
    assert!(view.plan.next.is_some());
    Ok(())
}

#[test]
fn task_11() -> Outcome {
    let (_, bass) = bench();
    bass.add_pass_text(relief(), "18", Tool::FEELER_THOU)?;
    bass.add_pass_text(relief(), "18", Tool::FEELER_THOU)?;
    // task 11
    let view = bass.plan(Some(&"stage".parse()?))?;
    if let Some(next) = view.plan.next_step() {
        // As it was proposed; else `did_otherwise`, or `could_not` with the reason.
        let written = bass.done(view.id(next), &StepDone::default(), None)?;
        for what in &written.then_measure {
            println!("then measure: {}", what.quantity);
        }
    }
    bass.add_tuning(&Tuning::default(), None)?;
    bass.add_pass_text(relief(), "14", Tool::FEELER_THOU)?;
    println!("{}", bass.plan(Some(&"stage".parse()?))?.text(&Voice::default()));
    // end
    Ok(())
}

#[test]
fn task_12() -> Outcome {
    let (_, bass) = bench();
    bass.add_pass_text(relief(), "22", Tool::FEELER_THOU)?;
    bass.add_pass_text(action(), "6 6 6 7", Tool::RULE_64)?;
    // task 12
    let changed = bass.what_changed(&Occasion::Setup("stage".parse()?), &Occasion::Today)?;
    for part in &changed.facts.parts {
        println!("{:?}: {:?}", part.part, part.verdict);
    }
    for sentence in &changed.sentences {
        println!("{sentence}");
    }
    // end
    assert!(!changed.facts.parts.is_empty());
    Ok(())
}

#[test]
fn task_13() -> Outcome {
    let (_, bass) = bench();
    // task 13
    for sentence in bass.learned()?.sentences {
        println!("{sentence}");
    }
    let name = "the dry tour".to_owned();
    let dry = ForecastClimate { name, temperature_c: None, humidity_percent: 25.0 };
    match bass.forecast(&[dry], Some(&"stage".parse()?)) {
        Ok(forecast) => forecast.sentences.iter().for_each(|one| println!("{one}")),
        // No season is known yet.
        Err(Error::BadInput { reason, .. }) => println!("{reason}"),
        Err(other) => return Err(other.into()),
    }
    // end
    Ok(())
}

#[test]
fn task_14() -> Outcome {
    let (_, bass) = bench();
    let gauge = |thou| StringSpec {
        gauge: Amount::decimal(thou, 0, Unit::Thou).ok(),
        ..StringSpec::default()
    };
    let fitted = [(1, 45), (2, 65), (3, 85), (4, 105)];
    let fitted = fitted.map(|(course, thou)| (StringPlace::course(course).unwrap(), gauge(thou)));
    bass.add_string_change(
        &StringChange { fitted: fitted.into(), ..StringChange::default() },
        None,
    )?;
    // task 14
    println!("{:?}", bass.fret_findings()?);
    let mut model = bass.clearance()?;
    for tenths in [0, 2, 4] {
        let rise = Amount::decimal(tenths, 1, Unit::Millimetre)?.length();
        let saddles = rise.into_iter().cycle().take(4).collect();
        let what_if = ClearanceWhatIf { saddles, ..ClearanceWhatIf::default() };
        let answer = model.ask(&what_if, TouchUsed::with_force(1.0))?;
        println!("{:?}", answer.strings.get(answer.limiting));
    }
    // end
    Ok(())
}

#[test]
fn task_15() -> Outcome {
    let (_, bass) = bench();
    // task 15
    let mut page = HistoryFilter { last: Some(30), ..HistoryFilter::default() };
    loop {
        let entries = bass.history(&page)?;
        let Some(first) = entries.first() else { break };
        for entry in entries.iter().rev() {
            println!("{:?} {}", entry.entry.at, entry.text);
        }
        page.before = Some(first.entry.id);
    }
    // end
    Ok(())
}

#[test]
fn task_16() -> Outcome {
    let (_, bass) = bench();
    // task 16
    bass.add_pass_text(relief(), "21", Tool::FEELER_THOU)?;
    println!("{:?}", bass.undoable()?); // for the menu; None if there is nothing
    let undone = bass.undo("read on the wrong fret", None)?;
    for line in &undone.lines {
        println!("{}: {:?}", line.text, line.how);
    }
    bass.redo(None)?;
    // end
    // task 16
    if let Some(first) = bass.history(&HistoryFilter::default())?.first() {
        bass.retract(first.entry.id, "on the wrong instrument", None)?;
    }
    // end
    assert!(!undone.lines.is_empty());
    Ok(())
}

#[test]
fn task_17() -> Outcome {
    let (workshop, bass) = bench();
    // task 17
    workshop.archive_instrument(bass.id())?; // out of the list, with everything that it holds
    workshop.bring_back_instrument(bass.id())?;
    workshop.remove_from_this_device(bass.id())?; // off this device
    // end
    assert!(workshop.instruments()?.is_empty());
    Ok(())
}

#[test]
fn task_18() -> Outcome {
    let (workshop, bass) = bench();
    // task 18
    struct Screen(AtomicUsize);

    impl ChangeListener for Screen {
        fn changed(&self, instruments: &[InstrumentId]) {
            self.0.fetch_add(instruments.len(), Ordering::Relaxed); // draw again
        }
    }

    let screen = Arc::new(Screen(AtomicUsize::new(0)));
    let listening = workshop.listen(Arc::clone(&screen) as Arc<dyn ChangeListener>)?;
    // end
    bass.add_remark(Remark { text: "seen".to_owned(), ..Remark::default() }, None)?;
    assert_eq!(screen.0.load(Ordering::Relaxed), 1);
    // task 18
    listening.cancel();
    // end
    Ok(())
}

#[test]
fn task_19() -> Outcome {
    let (_, bass) = bench();
    // task 19
    let handle = bass.clone();
    let plan = std::thread::spawn(move || handle.plan(None));
    let plan = plan.join().map_err(|_| "the thread panicked")??;
    // end
    assert!(!plan.plan.steps.is_empty());
    Ok(())
}

#[test]
fn task_20() -> Outcome {
    let (workshop, bass) = bench();
    // task 20
    workshop.pause()?;
    // end
    assert_eq!(bass.name()?, "walnut bass");
    Ok(())
}

#[test]
fn task_21() -> Outcome {
    let base = tempfile::tempdir()?;
    let (folder, copy) = (base.path().join("workshop"), base.path().join("bench.backup"));
    let workshop = Workshop::open(WorkshopOptions::new(&folder, "tech"))?;
    workshop.add_instrument("bass-4", "walnut bass")?;
    // task 21
    Workshop::back_up(&folder, &copy)?;
    // end
    workshop.shut_down()?;
    // The keys are not lost.
    for file in fs::read_dir(&folder)?.filter_map(|file| Some(file.ok()?.path())) {
        if file.is_file() {
            fs::remove_file(file)?;
        }
    }
    // task 21
    Workshop::restore(&copy, &folder)?;
    match Workshop::open(WorkshopOptions::new(&folder, "tech")) {
        Ok(restored) => println!("{:?}", restored.notices()?),
        // Locked: try again later. Lost: ask somebody to invite this device.
        Err(Error::Keys { reason }) => println!("{reason}"),
        Err(other) => return Err(other.into()),
    }
    // end
    let restored = Workshop::open(WorkshopOptions::new(&folder, "tech"))?;
    assert_eq!(restored.instruments()?.len(), 1);
    Ok(())
}

#[test]
fn task_22() -> Outcome {
    let (_, bass) = bench();
    let notebook = "day,relief (feeler 1 thou),action (rule 1/64)\n2025-06-01,12,5 5 5 6\n\
                    2025-12-01,17,6 6 6 7\n";
    // task 22
    let mut options = ImportOptions { by: Some("tech".to_owned()), ..ImportOptions::default() };
    let report = bass.check_table(notebook, &options)?; // writes nothing
    for problem in &report.problems {
        println!("row {}, {}: {}", problem.row, problem.column, problem.reason);
    }
    for one in &report.doubts {
        println!("Is that right? row {}, {}: {}", one.row, one.column, one.doubt.reason);
    }
    options.accept = Accept::These(report.doubts.iter().map(|one| one.doubt.id()).collect());
    bass.import_table(notebook, &options)?; // all of it, or nothing
    // end
    let all = bass.history(&HistoryFilter::default())?;
    assert!(all.iter().any(|one| one.entry.at.unix_s == 1_748_775_600)); // noon, an hour east
    Ok(())
}

#[test]
fn task_23() -> Outcome {
    // task 23
    struct Wound(Arc<AtomicI64>);

    impl Clock for Wound {
        fn now(&self) -> Moment {
            Moment { unix_s: self.0.load(Ordering::Relaxed), offset_min: 60 }
        }
    }

    let time = Arc::new(AtomicI64::new(1_780_000_000));
    let clock = Box::new(Wound(Arc::clone(&time)));
    let workshop = Workshop::in_memory("tech", clock, Box::new(Seeded::new(1)))?;
    let bass = workshop.add_instrument("bass-4", "walnut bass")?;
    bass.add_pass_text(relief(), "12", Tool::FEELER_THOU)?;
    time.fetch_add(90 * 86_400, Ordering::Relaxed); // a season later
    let card = bass.card(None)?;
    // end
    let last = card.lines.first().and_then(|line| line.last.as_ref());
    assert_eq!(last.map(|last| last.at.unix_s), Some(1_780_000_000));
    Ok(())
}

#[test]
fn task_24() -> Outcome {
    // task 24
    let preview = Workshop::in_memory("preview", Box::new(SystemClock), Box::new(SystemRandom))?;
    let bass = preview.add_instrument("bass-4", "walnut bass")?;
    bass.add_pass_text(action(), "5 5 5 6", Tool::RULE_64)?;
    let card = bass.card(None)?;
    // end
    assert!(!card.lines.is_empty());
    Ok(())
}

#[test]
fn task_25() -> Outcome {
    let base = tempfile::tempdir()?;
    let folder = base.path();
    // task 25
    let app = Workshop::open(WorkshopOptions::new(folder, "tech"))?;
    let extension = Workshop::open(WorkshopOptions::new(folder, "tech"))?;
    app.add_instrument("bass-4", "walnut bass")?;
    let text = "from the extension".to_owned();
    extension
        .instrument_named("walnut bass")?
        .add_remark(Remark { text, ..Remark::default() }, None)?;
    let last = HistoryFilter { last: Some(1), ..HistoryFilter::default() };
    for entry in app.instrument_named("walnut bass")?.history(&last)? {
        println!("{}", entry.text);
    }
    // end
    Ok(())
}

#[test]
fn task_26() -> Outcome {
    let (_, bass) = bench();
    let other = workshop("player", 2);
    // task 26
    let invitation = bass.invite(Role::Contributor, 7)?;
    let everything = bass.bundle_out()?;
    println!("{}", invitation.words); // to be read out, or as a code: invitation.code

    // On the other device, with the words and the file:
    println!("{}", Workshop::look_at_invitation(&invitation.words, &everything.file)?.name);
    let shared = other.accept(&invitation.words, &everything.file)?;
    bass.delivered(&everything.token)?; // not before: a share may be cancelled

    // Later, what was written since:
    let text = "new strings on Friday".to_owned();
    bass.add_remark(Remark { text, ..Remark::default() }, None)?;
    println!("{} not sent yet", bass.unsent()?);
    if let Some(news) = bass.bundle_unsent()? {
        bass.delivered(&news.token)?;
    }
    // end
    assert_eq!(shared.name()?, "walnut bass");
    assert_eq!(bass.unsent()?, 0);
    Ok(())
}

#[test]
fn task_27() -> Outcome {
    let (workshop, bass) = bench();
    let other = common::workshop("player", 2);
    let invitation = bass.invite(Role::Contributor, 7)?;
    let shared = other.accept(&invitation.words, &invitation.welcome)?;
    other.bundle_in(&bass.bundle_out()?.file)?;
    let text = "plays well".to_owned();
    shared.add_remark(Remark { text, ..Remark::default() }, None)?;
    let received = shared.bundle_out()?.file;
    // task 27
    let report = workshop.bundle_in(&received)?;
    for added in &report.added {
        println!("{}: {:?}", added.device, added.entries);
    }
    println!("{:?} {}", report.people_added, report.waiting);
    // end
    assert_eq!(report.people_added, ["player"]);
    Ok(())
}

#[test]
fn task_28() -> Outcome {
    let (workshop, bass) = bench();
    let (_other, shared) = joined(&workshop, &bass);
    bass.set_spec(&SpecField::About("the walnut one".into()), None)?;
    shared.set_spec(&SpecField::About("my spare".into()), None)?;
    workshop.bundle_in(&shared.bundle_out()?.file)?;
    assert_eq!(bass.contested()?.len(), 1);
    // task 28
    for field in bass.contested()? {
        println!("{}", field.label);
        for version in &field.versions {
            println!("{} {} {:?}", version.shown, version.device, version.at);
        }
        bass.settle(&field, 0, None)?;
    }
    // end
    assert!(bass.contested()?.is_empty());
    Ok(())
}

#[test]
fn task_29() -> Outcome {
    let (workshop, bass) = bench();
    // task 29
    let mut wishes = workshop.preferences()?;
    wishes.language = Language::named("de");
    wishes.low_first = true;
    workshop.set_preferences(&wishes)?;
    println!("{}", bass.plan(Some(&"stage".parse()?))?.text(&wishes.voice(None)));
    // end
    Ok(())
}

#[test]
fn task_30() -> Outcome {
    let base = tempfile::tempdir()?;
    let folder = base.path();
    // task 30
    struct Log;

    impl LogSink for Log {
        fn log(&self, level: LogLevel, line: &str) {
            eprintln!("{level:?} {line}");
        }
    }

    let mut options = WorkshopOptions::new(folder, "tech");
    options.log = Some(Box::new(Log));
    let workshop = Workshop::open(options)?;
    match workshop.instrument_named("ash") {
        Err(Error::NotFound { accepted, .. }) => println!("{accepted}"),
        Err(other) => println!("{other}"),
        Ok(_) => {}
    }
    println!("{} {}", fallaway::VERSION, workshop.diagnostics()?);
    // end
    Ok(())
}

#[test]
fn task_31() -> Outcome {
    let (_, bass) = bench();
    let folder = tempfile::tempdir()?;
    let folder = folder.path();
    // task 31
    let page = bass.customer_sheet(None, None, &Voice::default())?; // of the last visit
    println!("{}", sheet_text(&page));
    fs::write(folder.join("sheet.html"), sheet_html(&page, Paper::A4))?;
    let lid = bass.bench_sheet(Some(&"stage".parse()?), &Voice::default())?;
    println!("{}", sheet_text(&lid)); // with the feature `pdf` also `sheet_pdf`
    // end
    assert!(sheet_text(&page).contains("walnut bass"));
    Ok(())
}

#[test]
fn task_32() -> Outcome {
    let (_, bass) = bench();
    // task 32
    let voice = Voice::default();
    let plan = bass.plan(Some(&"stage".parse()?))?;
    for dial in plan.draw_turns(&voice) {
        println!("{}", dial.title);
    }
    let neck = bass.draw_neck(None, None, &voice)?;
    println!("{} {:?}", svg(&neck, Theme::Light), neck.sentences);
    for mark in &neck.marks {
        println!("{:?} {:?}", mark.role, mark.shape);
    }
    // end
    assert!(svg(&neck, Theme::Light).starts_with("<svg"));
    Ok(())
}

#[test]
fn task_33() -> Outcome {
    let (workshop, bass) = bench();
    // task 33
    let file = bass.export()?;
    let table = bass.export_table()?;
    let again = workshop.import_record(&file, Some("walnut bass, again"))?;
    // end
    let all = HistoryFilter::default();
    assert_eq!(again.history(&all)?.len(), bass.history(&all)?.len());
    assert!(bass.check_table(&table, &ImportOptions::default())?.problems.is_empty());
    Ok(())
}

#[test]
fn task_34() -> Outcome {
    let (workshop, bass) = bench();
    // task 34
    let player = Customer { name: "player".to_owned(), contact: String::new() };
    bass.set_customer(Some(&player))?;
    let now = bass.now();
    let mut job = Job::new("dress the frets", now);
    job.due = Some(Moment { unix_s: now.unix_s + 7 * 86_400, ..now });
    let mut job = bass.keep_job(&job)?;
    for one in workshop.open_work()? {
        println!("{} {:?}: {}", one.name, one.customer, one.job.what); // what is due first
    }
    (job.done, job.minutes) = (Some(now), 90);
    bass.keep_job(&job)?;
    // end
    assert!(workshop.open_work()?.is_empty());
    Ok(())
}

#[test]
fn task_35() -> Outcome {
    let (workshop, bass) = bench();
    bass.add_remark(Remark { text: "fret 3 is worn".to_owned(), ..Remark::default() }, None)?;
    // task 35
    for found in workshop.search("worn", Voice::default())? {
        println!("{:?}: {}", found.found_in, found.text);
    }
    // end
    assert_eq!(workshop.search("WORN", Voice::default())?.len(), 1);
    Ok(())
}

#[test]
fn task_36() -> Outcome {
    let (_, bass) = bench();
    let address = "https://relay.example";
    // task 36
    struct Client;

    impl HttpTransport for Client {
        fn send(&self, request: &HttpRequest) -> Result<HttpResponse, NoAnswer> {
            // Your client's answer, with its time-out, without redirects; here there is no network.
            eprintln!("{:?}, {} bytes", request.method, request.body.len());
            Err(NoAnswer::from(ExchangeFault::Offline))
        }
    }

    bass.set_relay(Some(address))?; // for everybody who shares the instrument
    let report = bass.sync(&Client)?;
    for sentence in report.phrases() {
        println!("{sentence}");
    }
    if let SyncOutcome::Later { wait_ms, .. } = report.outcome {
        println!("again in {wait_ms} ms, or when the network is back");
    }
    println!("{:?}", bass.relay()?.map(|relay| relay.waiting)); // for the others
    // end
    assert!(matches!(report.outcome, SyncOutcome::Later { .. }));
    Ok(())
}

#[test]
fn task_37() -> Outcome {
    let (workshop, bass) = bench();
    let other = common::workshop("player", 2);
    let invitation = bass.invite(Role::Contributor, 7)?;
    // task 37
    // Where one listens, on every address of the device; its person is shown address and digits.
    let listener = TcpListener::bind("0.0.0.0:0")?;
    let (port, digits) = (listener.local_addr()?.port(), workshop.meeting_digits()?);
    let waits = MeetOptions { listens: true, digits, only: None, invitation: None };
    // Where the other one comes, who has been told both, and the words of an invitation.
    let comes = MeetOptions { listens: false, invitation: Some(invitation.words), ..waits.clone() };

    let report = thread::scope(|scope| {
        scope.spawn(|| workshop.meet(&listener.accept().unwrap().0, &waits));
        other.meet(&TcpStream::connect(("127.0.0.1", port)).unwrap(), &comes)
    })?;
    for one in &report.met {
        println!("{}", one.phrase());
    }
    // end
    assert_eq!(other.instrument_named("walnut bass")?.id(), bass.id());
    Ok(())
}

#[test]
fn task_38() -> Outcome {
    let (_, bass) = bench();
    // task 38
    let then = read_moment("2026-01-05 10:00", bass.now()).ok_or("no date")?;
    let owner = WriteOptions::default().by("owner").at(then);
    let text = "bought used".to_owned();
    let bought = bass.add_remark(Remark { text, ..Remark::default() }, &owner)?;
    bass.set_spec(&SpecField::About("of walnut".into()), &owner)?;
    for fact in bass.facts_written()? {
        println!("{}: {:?} {:?} {}", fact.key, fact.at, fact.by, fact.device);
    }
    for event in bass.details()?.people_history {
        println!("{:?}: {}", event.at, event.phrase());
    }
    // end
    let entry = bass.entry(&bought.to_string())?.entry;
    assert_eq!((entry.at, entry.by.as_deref()), (then, Some("owner")));
    Ok(())
}
