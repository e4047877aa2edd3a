//! A technician's notebook comes in: cell by cell, all of it or nothing.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod common;

use common::workshop;
use fallaway::measure::{Amount, Reading, Tool, Unit};
use fallaway::record::{EntryBody, Pass, Phase};
use fallaway::{Error, HistoryFilter, ImportOptions, Instrument, WriteOptions};

fn instrument() -> (fallaway::Workshop, Instrument) {
    let workshop = workshop("tech", 1);
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    (workshop, bass)
}

fn passes(bass: &Instrument) -> Vec<Pass> {
    let all = bass.history(&HistoryFilter::default()).unwrap().into_iter();
    all.filter_map(|one| match one.entry.body {
        EntryBody::Pass(pass) => Some(pass),
        _ => None,
    })
    .collect()
}

fn accept(options: &ImportOptions, doubts: &[fallaway::Doubt]) -> ImportOptions {
    let accept = WriteOptions::default().accepting(doubts).accept;
    ImportOptions { accept, ..options.clone() }
}

const A_ROW_A_READING: &str = "\
Date,Visit,By,Quantity,Place,Value,Unit,Tool,Phase,Note
2025-03-14,spring,tech,action,1,5,,rule 1/64,as found,
,,,action,2,5,,rule 1/64,as found,
,,,action,3,5,,rule 1/64,as found,
,,,action,4,6,,rule 1/64,as found,\"stiff, dry\"
2025-03-14,spring,tech,relief,,0.30,mm,,,
2025-09-02,autumn,tech,relief,,0.35,mm,,,
";

#[test]
fn a_row_a_reading() {
    let (_workshop, bass) = instrument();
    let report = bass.import_table(A_ROW_A_READING, &ImportOptions::default()).unwrap();
    assert_eq!(report.rows, 6);
    let passes = passes(&bass);
    assert_eq!(passes.len(), 3, "four rows of one pass are one entry");
    assert_eq!(passes[0].readings.len(), 4);
    assert_eq!((passes[0].tool, passes[0].phase), (Some(Tool::RULE_64), Some(Phase::AsFound)));
    let tenths = Amount::decimal(30, 2, Unit::Millimetre).unwrap();
    assert_eq!(passes[1].readings[0].reading, Reading::Value(tenths));
    let visits = bass.visits().unwrap();
    let purposes: Vec<_> = visits.iter().map(|one| one.visit.purpose.as_deref()).collect();
    assert_eq!(purposes, [Some("spring"), Some("autumn")]);
    assert!(bass.history(&HistoryFilter::default()).unwrap().iter().any(|one| {
        matches!(&one.entry.body, EntryBody::Remark(remark) if remark.text == "stiff, dry")
    }));

    // Brought in again, nothing is written twice; taken back, all of it goes.
    let again = bass.import_table(A_ROW_A_READING, &ImportOptions::default()).unwrap();
    assert_eq!((again.written.len(), again.already_here), (0, report.lines.len()));
    bass.undo("slip", None).unwrap();
    assert!(bass.history(&HistoryFilter::default()).unwrap().is_empty());
}

#[test]
fn a_row_a_day_in_german_with_the_marks_of_a_spreadsheet() {
    let (_workshop, bass) = instrument();
    let table = "\u{feff}Datum;Temperatur;Luftfeuchte;Stunden;Halskrümmung (mm);Saitenlage (rule 1/64)\r\n\
                 2025-01-10;21;45;48;0,30;5 5 5 6\r\n\
                 2025-02-10;19;38;48;0,27;5 5 - 6\r\n";
    let report = bass.import_table(table, &ImportOptions::default()).unwrap();
    assert_eq!(report.written.len(), 6);
    let read = passes(&bass);
    assert_eq!(read.len(), 4);
    assert_eq!(read[3].readings.len(), 3);
    assert_eq!(bass.visits().unwrap().len(), 2);
}

#[test]
fn a_row_a_pass_and_json() {
    let (_workshop, bass) = instrument();
    let wide = "date,quantity,tool,1,2,3,4\n2025-01-10,action,rule 1/64,5,5,5,6\n";
    bass.import_table(wide, &ImportOptions::default()).unwrap();
    let json = r#"[{"date": "2025-01-11T18:30", "quantity": "action", "tool": "rule 1/64",
                    "value": [5, 5, 5, 6], "by": "player"}]"#;
    bass.import_table(json, &ImportOptions::default()).unwrap();
    let read = passes(&bass);
    assert_eq!(read[0], read[1]);
}

#[test]
fn the_dry_run_names_every_cell_and_writes_nothing() {
    let (_workshop, bass) = instrument();
    let table = "\
date,quantity,place,value,unit,tool,mood
2025-03-14,action,1,five,mm,,good
14.3.2025,action,2,5,mm,,
2025-03-14,length,3,5,mm,,
2025-03-14,action,9,2,mm,,
2025-03-14,relief,,1.2,mm,yardstick,
2025-03-14,relief,,1.9,mm,,
2035-03-14,relief,,0.3,mm,,
";
    let report = bass.check_table(table, &ImportOptions::default()).unwrap();
    let cells: Vec<(usize, &str)> =
        report.problems.iter().map(|one| (one.row, one.column.as_str())).collect();
    assert_eq!(
        cells,
        [
            (1, "mood"),
            (2, "value"),
            (3, "date"),
            (4, "quantity"),
            (5, "value"),
            (6, "tool"),
            (8, "date"),
        ]
    );
    assert!(report.problems.iter().all(|one| !one.reason.to_string().is_empty()));
    let doubts: Vec<_> = report.doubts.iter().map(|one| (one.row, one.column.as_str())).collect();
    assert_eq!(doubts, [(7, "value")]);
    let refused = bass.import_table(table, &ImportOptions::default());
    let Err(Error::BadInput { cell: Some(cell), .. }) = refused else { panic!("{refused:?}") };
    assert_eq!((cell.position, cell.column.as_deref()), (Some(1), Some("mood")));
    assert!(bass.history(&HistoryFilter::default()).unwrap().is_empty());
    assert!(matches!(bass.check_table("", &ImportOptions::default()), Err(Error::BadInput { .. })));
}

#[test]
fn doubts_are_asked_about_and_answered() {
    let (_workshop, bass) = instrument();
    let table = "date,relief (mm)\n2025-03-14,1.9\n2025-03-15,0.3\n";
    let usual = ImportOptions { by: Some("tech".into()), ..ImportOptions::default() };
    let Err(Error::Unsure { doubts, .. }) = bass.import_table(table, &usual) else {
        panic!("sure")
    };
    assert_eq!(doubts.iter().map(|one| one.entry).collect::<Vec<_>>(), [Some(2)]);
    assert!(passes(&bass).is_empty());
    bass.import_table(table, &accept(&usual, &doubts)).unwrap();
    assert_eq!(passes(&bass).len(), 2);
    let by = bass.history(&HistoryFilter::default()).unwrap();
    assert!(by.iter().any(|one| one.entry.by.as_deref() == Some("tech")));
}

/// The example of `docs/import.md` is one that works.
#[test]
fn the_example_of_the_page_comes_in() {
    let page = include_str!("../../../docs/import.md");
    let (_workshop, bass) = instrument();
    let mut tables = page.split("```csv\n").skip(1);
    for table in tables.by_ref() {
        let table = table.split("```").next().unwrap();
        let report = bass.import_table(table, &ImportOptions::default()).unwrap();
        assert!(!report.written.is_empty(), "{table}");
    }
    let json = page.split("```json\n").nth(1).unwrap().split("```").next().unwrap();
    assert!(!bass.import_table(json, &ImportOptions::default()).unwrap().written.is_empty());
}

proptest::proptest! {
    #[test]
    fn any_text_is_a_report_or_a_refusal(
        text in "(date|day|value|quantity|place|[1-4]|relief|action|mood|tool|[;,\t\n\"]|[0-9./-]{1,10}|[ -~]){0,40}",
    ) {
        let (_workshop, bass) = instrument();
        let options = ImportOptions::default();
        match bass.check_table(&text, &options) {
            Err(error) => {
                let is_refusal = matches!(error, Error::BadInput { .. });
                proptest::prop_assert!(is_refusal, "{error}");
                proptest::prop_assert!(bass.import_table(&text, &options).is_err());
            }
            // What the dry run says is what the import does.
            Ok(report) => {
                let taken = report.problems.is_empty() && report.doubts.is_empty();
                let imported = bass.import_table(&text, &options);
                proptest::prop_assert_eq!(imported.is_ok(), taken, "{:?}", imported);
            }
        }
    }
}
