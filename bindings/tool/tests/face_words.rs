//! The words of the face: one name stands for one thing, and what a sentence says is there as data.
//!
//! It reads what crosses, as `cargo tool face` wrote it down.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test may fail in this way")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// A record, or a variant with fields: its fields by name, with their types.
struct Shape {
    name: String,
    fields: BTreeMap<String, String>,
}

struct Face {
    text: String,
    shapes: Vec<Shape>,
}

impl Face {
    fn read() -> Self {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../ffi/face.txt");
        let text = fs::read_to_string(path).unwrap();
        let mut shapes: Vec<Shape> = Vec::new();
        let (mut owner, mut is_record) = (String::new(), false);
        for line in text.lines() {
            let Some(inner) = line.strip_prefix("    ") else {
                let mut words = line.split(' ');
                is_record = words.next() == Some("record");
                words.next().unwrap_or_default().clone_into(&mut owner);
                if is_record {
                    shapes.push(Shape { name: owner.clone(), fields: BTreeMap::new() });
                }
                continue;
            };
            if is_record
                && let (Some(shape), Some((name, of))) = (shapes.last_mut(), inner.split_once(": "))
            {
                let of = of.split(" = ").next().unwrap_or_default();
                shape.fields.insert(name.to_owned(), of.to_owned());
            } else if let Some((variant, fields)) =
                inner.strip_suffix(')').and_then(|all| all.split_once('('))
                && !inner.starts_with("method")
                && !inner.starts_with("constructor")
            {
                let fields = fields.split(", ").filter_map(|field| field.split_once(": "));
                let fields = fields.map(|(name, of)| (name.to_owned(), of.to_owned())).collect();
                shapes.push(Shape { name: format!("{owner}.{variant}"), fields });
            }
        }
        assert!(shapes.len() > 200, "the face was not read: {} shapes", shapes.len());
        Self { text, shapes }
    }

    fn variants(&self, choice: &str) -> BTreeSet<String> {
        let after = self.text.split_once(&format!("\nchoice {choice}\n")).unwrap().1;
        let lines = after.lines().take_while(|line| line.starts_with("    "));
        lines.map(|line| line.trim().split('(').next().unwrap_or_default().to_owned()).collect()
    }
}

/// Whether a type is a list, a number of things, or yes and no; of others nothing is asked.
fn way(of: &str) -> Option<&'static str> {
    match of.trim_end_matches('?') {
        "u32" | "u64" => Some("how many"),
        list if list.starts_with('[') => Some("which"),
        _ => None,
    }
}

/// `entries` are entries, `entry_count` is how many: an app that reads one for the other compiles.
#[test]
fn what_is_counted_in_one_record_is_not_listed_under_the_same_name_in_another() {
    let mut ways: BTreeMap<&str, BTreeMap<&str, &str>> = BTreeMap::new();
    let face = Face::read();
    for shape in face.shapes.iter().filter(|shape| !shape.name.contains('.')) {
        for (name, of) in &shape.fields {
            if let Some(way) = way(of) {
                ways.entry(name).or_default().insert(way, &shape.name);
            }
        }
    }
    let both: Vec<_> = ways.iter().filter(|(_, ways)| ways.len() > 1).collect();
    assert!(both.is_empty(), "{both:#?}");
}

/// Names that were met with several meanings, each with the one type that is left.
#[test]
fn a_name_that_had_two_meanings_has_one() {
    let face = Face::read();
    for (name, only) in [
        ("rests_on", "RestsOn"),
        ("set_aside", "u32"),
        ("aside", "[SetAside]"),
        ("tool", "Tool or ToolKind"),
        ("location", "Location"),
        ("device", "text"),
        ("by", "text"),
        ("options", "WriteOptions"),
        ("entry", "EntryId or the number of several that were given"),
        ("visit", "VisitId or Visit"),
        ("step", "StepId or text"),
        ("standing", "CardStanding"),
    ] {
        let mut met = 0;
        for shape in &face.shapes {
            let Some(of) = shape.fields.get(name) else { continue };
            met += 1;
            let of = of.trim_end_matches('?');
            let fits = only.split(" or ").any(|one| one == of)
                || (name == "entry" && of == "u32")
                // The way a record holds itself, which is no person's name.
                || (name, shape.name.as_str()) == ("by", "StepRemark.SidewaysLifts");
            assert!(fits, "{}.{name} is {of}, not {only}", shape.name);
        }
        assert!(met > 0 || name == "options", "nothing is called {name}");
    }
    assert!(!face.text.contains("sure: bool"), "which doubts are answered is said one by one");
}

/// A kind of entry is called as what such an entry says.
#[test]
fn kinds_of_entries_are_called_as_their_bodies() {
    let face = Face::read();
    let mut bodies = face.variants("EntryBody");
    assert!(bodies.remove("FromNewer"));
    let mut kinds = face.variants("EntryKind");
    assert!(kinds.remove("Newer"));
    assert_eq!(bodies, kinds);
    let written = face.variants("NewBody");
    // Readings in one text, and a remark that says what was found at a fret.
    let of_words = BTreeSet::from(["ReadingsText".to_owned(), "FretFound".to_owned()]);
    let unknown: Vec<_> =
        written.difference(&bodies).filter(|one| !of_words.contains(*one)).collect();
    assert!(unknown.is_empty(), "{unknown:?}");
}

/// `options` of a write stand last: when, by whom, with which doubts answered.
#[test]
fn options_of_a_write_are_last() {
    let face = Face::read();
    let mut met = 0;
    for line in
        face.text.lines().filter(|line| line.contains("WriteOptions?") && line.contains("method "))
    {
        let arguments = line.split_once('(').unwrap().1.rsplit_once(')').unwrap().0;
        let last = arguments.rsplit(", ").next().unwrap();
        assert_eq!(last, "options: WriteOptions? = none", "{line}");
        met += 1;
    }
    assert!(met > 10);
}

/// Texts that are data themselves: what a person wrote, names that people gave, and what only a program
/// reads.
const WRITTEN: &[&str] = &[
    "about",
    "asked_by",
    "by",
    "caption",
    "contact",
    "copied",
    "currency",
    "device",
    "first_by",
    "label",
    "name",
    "note",
    "other",
    "people_added",
    "purpose",
    "second_by",
    "set_name",
    "what",
    "where_kept",
    "waits_for",
    "who",
    "subtitle",
    "title",
    "thread",
    "designation",
    "key",
    "letter",
];
const FOR_PROGRAMS: &[&str] = &[
    "as_entered",
    "bundle",
    "choices",
    "code",
    "digits",
    "invitation",
    "column",
    "examples",
    "field",
    "fingerprint",
    "folder",
    "history_digest",
    "html",
    "id",
    "ignore",
    "inviter_fingerprint",
    "kept_as",
    "language",
    "media_type",
    "method",
    "newer_facts",
    "person",
    "report_id",
    "short_id",
    "step",
    "svg",
    "taken",
    "token",
    "unit",
    "url",
    "value",
    "version",
    "words",
];

/// What is said in words, and where the same stands as data, in the same record. `-` where there is no
/// more to it than the words, for the reason beside it.
const SAID: &[(&str, &str, &str)] = &[
    ("Caution", "text", "hazard"),
    ("Card", "read_when_text", "lines"),
    ("CardLine", "place_text", "location"),
    ("CardLine", "quantity_text", "quantity"),
    ("CellVerdict.Wrong", "reason", "why"),
    ("CellVerdict.Wrong", "accepted", "values"),
    ("ChecklistLine", "text", "item"),
    ("ClearanceAnswer", "caveat", "caveat_kind"),
    ("ClearanceBasis", "assumed_sentences", "assumed"),
    ("ContestedVersion", "shown", "value"),
    ("BeforeStrings", "relief_text", "relief"),
    ("Doubt", "given", "id"),
    ("Doubt", "reason", "why"),
    ("Entered", "text", "value"),
    ("EntryBody.Remarked", "text", "- a person wrote it"),
    ("EntryCount", "text", "kind"),
    ("Estimate", "text", "value"),
    ("FallawayError.BadInput", "reason", "why"),
    ("FallawayError.BadInput", "accepted", "values"),
    ("FallawayError.Busy", "reason", "why"),
    ("FallawayError.Full", "reason", "- there is one"),
    ("FallawayError.Internal", "reason", "report_id"),
    ("FallawayError.Keys", "reason", "why"),
    ("FallawayError.NotAllowed", "reason", "why"),
    ("FallawayError.NotFound", "accepted", "choices"),
    ("FallawayError.ReadOnly", "reason", "why"),
    ("FallawayError.Refused", "reason", "why"),
    ("FallawayError.Storage", "reason", "why"),
    ("Forecast", "sentences", "climates"),
    ("ForeignError.Failed", "reason", "- an app wrote it"),
    ("FoundText", "text", "- a person wrote it"),
    ("HeldWork", "text", "why"),
    ("DeviceState", "text", "not_known"),
    ("HistoryEntry", "text", "body"),
    ("HistoryFilter", "text", "- a person asks for it"),
    ("ImportLine", "text", "body"),
    ("ImportProblem", "accepted", "values"),
    ("ImportProblem", "reason", "why"),
    ("InstrumentDetails", "read_only", "read_only_why"),
    ("KeptSecret.Lost", "reason", "- an app wrote it"),
    ("KnownFret", "text", "found"),
    ("Learned", "sentences", "rod_mm_per_turn"),
    ("LeftOut", "text", "why"),
    ("LikelyChange", "text", "change"),
    ("Measurand", "text", "quantity"),
    ("MeetReport", "text", "outcome"),
    ("MetInstrument", "sentences", "outcome"),
    ("PhotoFetch", "text", "how"),
    ("NamedFact", "text", "key"),
    ("NewBody.ReadingsText", "text", "- a person wrote it"),
    ("NewBody.Remarked", "text", "- a person wrote it"),
    ("NewReading", "text", "- a person wrote it"),
    ("NotDone", "reason", "- a person wrote it"),
    ("NotedIntervention", "text", "kind"),
    ("Notice", "text", "kind"),
    ("PeopleDeed.Removed", "reason", "- a person wrote it"),
    ("PeopleEvent", "text", "deed"),
    ("Plan", "text", "steps"),
    ("PlanStep", "location_text", "location"),
    ("PlanStep", "quantity_text", "quantity"),
    ("PlanStep", "sentences", "remarks"),
    ("PlanStep", "verdict_text", "verdict"),
    ("RefusedBundle", "reason", "why"),
    ("RelayView", "text", "waiting"),
    ("Retraction", "reason", "- a person wrote it"),
    ("SaddleMoves", "text", "middle_mm"),
    ("Scene", "sentences", "marks"),
    ("ScrewMove", "text", "screw"),
    ("SeenReading", "text", "value"),
    ("SecondUse", "invited_by", "- a person wrote it"),
    ("SecondUse", "text", "this_device"),
    ("SecondUse", "used_by", "- a person wrote it"),
    ("SetAside", "text", "why"),
    ("SetupDrift", "sentences", "parts"),
    ("Shape.Text", "text", "- it is drawn"),
    ("SheetTexts", "text", "- it is the page itself"),
    ("ShownLength", "text", "exact"),
    ("SpecField.About", "text", "- a person wrote it"),
    ("SpecField.Name", "text", "- a person wrote it"),
    ("StepVerdict.LookAtScrew", "text", "screw"),
    ("StringForecast", "mass_text", "mass_from"),
    ("StringForecast", "slot_text", "slot"),
    ("Suspect", "decides", "test"),
    ("Suspect", "predicts", "cause"),
    ("Suspect", "text", "cause"),
    ("StreamError.Gone", "reason", "- an app wrote it"),
    ("StreamError.Slow", "reason", "- an app wrote it"),
    ("SyncReport", "sentences", "outcome"),
    ("TemplateInfo", "summary", "- there is no more to it"),
    ("ToolInfo", "graduation", "standard_uncertainty_mm"),
    ("TouchUsed", "text", "force_from"),
    ("TransportError.Garbage", "reason", "- an app wrote it"),
    ("TransportError.Offline", "reason", "- an app wrote it"),
    ("TransportError.Slow", "reason", "- an app wrote it"),
    ("TransportError.Untrusted", "reason", "- an app wrote it"),
    ("Turn", "text", "eighths"),
    ("UndoneLine", "text", "how"),
    ("UsualReading", "before", "- as a form takes it; `card` has it as data"),
    ("UsualReading", "location_texts", "locations"),
    ("UsualReading", "text", "quantity"),
    ("UsualReading", "tool_text", "tool"),
    ("WaitingFor", "ask", "- a person wrote it"),
    ("WaitingFor", "of", "- a person wrote it"),
    ("WhatChanged", "sentences", "parts"),
    ("WhyBuzz", "caveat", "caveat_kind"),
    ("WorkState", "next_text", "next"),
];

/// Whoever draws, translates or converts it need not read the words.
#[test]
fn what_a_sentence_says_is_there_as_data() {
    let face = Face::read();
    let is_there = |name: &str| face.shapes.iter().any(|shape| shape.name == name);
    let mut unused: BTreeSet<_> = SAID.iter().filter(|(of, ..)| is_there(of)).collect();
    for shape in &face.shapes {
        for (name, of) in &shape.fields {
            let is_text =
                of.trim_end_matches('?').trim_matches(['[', ']']).trim_end_matches('?') == "text";
            if !is_text || WRITTEN.contains(&name.as_str()) || FOR_PROGRAMS.contains(&name.as_str())
            {
                continue;
            }
            let said = SAID.iter().find(|(of, field, _)| *of == shape.name && field == name);
            let Some(said) = said else {
                panic!("{}.{name}: where does it stand as data?", shape.name);
            };
            unused.remove(said);
            let twin = said.2;
            let stands =
                twin.starts_with("- ") || shape.fields.get(twin).is_some_and(|of| of != "text");
            let is_id = twin == "id" || twin == "key" || twin == "report_id";
            assert!(stands || is_id, "{}.{name} has no {twin} beside it", shape.name);
        }
    }
    assert!(unused.is_empty(), "said of nothing: {unused:?}");
}
