//! Files as the present version writes them, kept for ever in `tests/compat`: every later version
//! must read them.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use fallaway::measure::Note;
use fallaway::record::{Buzz, Climate, EntryBody, Phase, Remark, SpecField, StringChange, Tuning};
use fallaway::{HistoryFilter, Instrument, Role, Workshop, WorkshopOptions, WriteOptions};

use crate::newer::Newer;
use crate::work;
use crate::world::{HandClock, Seeded};

/// When the frozen record was written.
pub const THEN: i64 = 1_780_000_000;

/// Opens the workshop of a frozen folder at a time after it was written.
pub fn open(folder: &Path) -> Workshop {
    Workshop::open(WorkshopOptions {
        clock: Box::new(HandClock::at(THEN + 86_400)),
        random: Box::new(Seeded::new(99)),
        ..WorkshopOptions::new(folder.join("store"), "tech")
    })
    .unwrap()
}

/// Writes store, keys, a bundle file, an invitation, a file of a newer version and the view.
pub fn write(folder: &Path) {
    let clock = HandClock::at(THEN);
    let tech = Workshop::open(WorkshopOptions {
        clock: Box::new(clock.clone()),
        random: Box::new(Seeded::new(1)),
        ..WorkshopOptions::new(folder.join("store"), "tech")
    })
    .unwrap();
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    let player =
        Workshop::in_memory("player", Box::new(clock.clone()), Box::new(Seeded::new(2))).unwrap();
    let invitation = bass.invite(Role::Contributor, 9).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();

    bass.begin_visit(Some("rattles since autumn"), None).unwrap();
    let mut found = work::relief_pass(14);
    found.phase = Some(Phase::AsFound);
    bass.add_pass(found, WriteOptions::sure().by("tech")).unwrap();
    clock.wind(60);
    bass.add_adjustment(work::rod(2), Some("tech")).unwrap();
    clock.wind(60);
    bass.add_pass(work::relief_pass(10), WriteOptions::sure()).unwrap();
    bass.add_pass(work::action_pass("5 5 5.5 6 7"), WriteOptions::sure()).unwrap();
    let fitted = vec![(work::course(1), work::string(43))];
    let change = StringChange { fitted, set: Some("own set".into()), ..StringChange::default() };
    bass.add_string_change(&change, None).unwrap();
    let changed = vec![(work::course(5), Note::new(24).unwrap())];
    bass.add_tuning(&Tuning { changed, ..Tuning::default() }, None).unwrap();
    let climate =
        Climate { hours_there: Some(20), where_kept: Some("bench".into()), ..Climate::default() };
    bass.add_climate(climate, None).unwrap();
    bass.add_pass(work::relief_pass(11), WriteOptions::sure()).unwrap();
    bass.take_setup("stage", None, None).unwrap();
    bass.end_visit(None, None).unwrap();
    let history = bass.history(&HistoryFilter::default()).unwrap();
    bass.retract(history[3].entry.id, "wrong leaf", Some("tech")).unwrap();

    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    clock.wind(3600);
    bass.set_target(&"stage".parse().unwrap(), &work::target(None, 25, clock.seconds()), None)
        .unwrap();
    theirs
        .set_target(&"stage".parse().unwrap(), &work::target(None, 35, clock.seconds()), None)
        .unwrap();
    theirs.set_spec(&SpecField::About("second pickup hums".into()), None).unwrap();
    let said = theirs.add_remark(work::remark("dead spot"), None).unwrap();
    let better =
        Remark { text: "dead spot at 5".into(), replaces: Some(said), ..Remark::default() };
    theirs.add_remark(better, None).unwrap();
    let seven = fallaway::measure::Fret::new(7).unwrap();
    let string = work::course(2);
    theirs.add_buzz(Buzz { string, from: seven, to: seven, note: None }, None).unwrap();
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();

    let words = bass.invite(Role::Contributor, 366).unwrap().words;
    let newer = bass.invite(Role::Contributor, 366).unwrap().words;
    let everything = bass.bundle_out().unwrap().file;
    fs::write(folder.join("invitation.txt"), words).unwrap();
    fs::write(folder.join("bundle.fallaway"), &everything).unwrap();
    let newer = Newer::join(&newer, &everything, 5, clock.seconds());
    fs::write(folder.join("newer.fallaway"), newer.file(clock.seconds())).unwrap();
    // One visit stays open, its line a draft.
    bass.begin_visit(None, None).unwrap();
    bass.add_pass(work::relief_pass(12), WriteOptions::sure()).unwrap();
    fs::write(folder.join("expected-store.txt"), describe(&bass)).unwrap();
    // Not shut down: the draft stays a draft. Nobody else has the database open, so leaving
    // writes the log home.
}

/// The description without the people, who are not the same on a device that joins later.
pub fn sealed(description: &str) -> String {
    description.lines().filter(|line| !line.starts_with("person ")).fold(
        String::new(),
        |mut text, line| {
            text.push_str(line);
            text.push('\n');
            text
        },
    )
}

/// What a person sees, in words that do not follow the library's inner types.
pub fn describe(instrument: &Instrument) -> String {
    let view = instrument.details().unwrap();
    let mut text = format!("name {}\n", view.name);
    for field in view.spec.fields() {
        let value = field.encode().unwrap();
        writeln!(text, "fact {} = {value:02x?}", field.key()).unwrap();
    }
    for person in view.people {
        writeln!(text, "person {} {} {}", person.label, person.role, person.fingerprint).unwrap();
    }
    for setup in instrument.setups().unwrap() {
        for view in setup.targets {
            let target = &view.target;
            writeln!(
                text,
                "target {} {} {} = {} within {}",
                setup.name, target.quantity, target.location, target.wanted, target.tolerance
            )
            .unwrap();
        }
    }
    for field in instrument.contested().unwrap() {
        for version in field.versions {
            writeln!(text, "two values {}: {} by {}", field.field, version.shown, version.device)
                .unwrap();
        }
    }
    for one in instrument.history(&HistoryFilter::default()).unwrap() {
        let entry = one.entry;
        let by = entry.by.unwrap_or_default();
        write!(text, "entry {} at {} {}", entry.id, entry.at.unix_s, entry.at.offset_min).unwrap();
        write!(text, " [{} {by}] {}", one.device, entry.body.kind()).unwrap();
        match entry.body {
            EntryBody::Pass(pass) => {
                write!(text, " {}", pass.quantity).unwrap();
                for read in pass.readings {
                    write!(text, ", {} {}", read.location, read.reading).unwrap();
                }
            }
            EntryBody::Adjustment(adjustment) => {
                let turns = adjustment.turns.map(|turns| turns.to_string()).unwrap_or_default();
                write!(text, " {} {turns}", adjustment.what).unwrap();
            }
            EntryBody::Remark(remark) => write!(text, " {}", remark.text).unwrap(),
            EntryBody::Buzz(buzz) => write!(text, " {} {}", buzz.string, buzz.from).unwrap(),
            EntryBody::Unknown { kind, raw } => write!(text, " kind {kind}: {raw:02x?}").unwrap(),
            _ => {}
        }
        for retraction in one.retracted {
            write!(text, ", crossed out: {}", retraction.reason).unwrap();
        }
        if let Some(by) = one.replaced_by {
            write!(text, ", replaced by {by}").unwrap();
        }
        text.push('\n');
    }
    text
}
