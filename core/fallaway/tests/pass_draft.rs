//! What an entry form accepts, the commit accepts: both go through one door.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod common;

use common::{action, relief, workshop};
use fallaway::measure::{Fret, Location, Quantity, StringPlace, Tool};
use fallaway::record::spec::{BridgeSpec, SpecField};
use fallaway::{
    CellVerdict, DraftCell, Error, HistoryFilter, Instrument, PassDraft, PassOptions, UsualReading,
    WriteOptions,
};
use proptest::prelude::*;

fn instrument() -> (fallaway::Workshop, Instrument) {
    let workshop = workshop("tech", 1);
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    (workshop, bass)
}

fn cell(location: Location, text: &str) -> DraftCell {
    DraftCell { location, text: text.to_owned() }
}

fn string(course: u8) -> Location {
    Location::Course(StringPlace::course(course).unwrap())
}

#[test]
fn each_cell_has_its_verdict_and_nothing_is_written() {
    let (_workshop, bass) = instrument();
    let cells = vec![
        cell(string(1), "5"),
        cell(string(2), "60"),
        cell(string(3), "five"),
        cell(string(4), " "),
        cell(string(9), "5"),
    ];
    let tool = Some(Tool::RULE_64);
    let draft = PassDraft { quantity: action(), tool, cells, taken: PassOptions::default() };
    let verdicts = bass.check_pass(&draft).unwrap();
    assert!(matches!(verdicts[0], CellVerdict::Fine { .. }));
    assert!(
        matches!(&verdicts[1], CellVerdict::Doubtful { doubt } if doubt.location() == Some(string(2)))
    );
    assert!(matches!(verdicts[2], CellVerdict::Wrong { .. }));
    assert_eq!(verdicts[3], CellVerdict::Empty);
    let CellVerdict::Wrong { reason, .. } = &verdicts[4] else { panic!("{verdicts:?}") };
    assert!(reason.to_string().contains('9'), "{reason}");
    assert!(bass.history(&HistoryFilter::default()).unwrap().is_empty());
    let refused = bass.add_pass_draft(&draft, None);
    let Err(Error::BadInput { cell: Some(cell), .. }) = refused else { panic!("{refused:?}") };
    assert_eq!(cell.position, Some(3));
}

fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => (0_u32..90).prop_map(|n| n.to_string()),
        2 => (0_u32..400).prop_map(|n| format!("{}.{:02} mm", n / 100, n % 100)),
        1 => Just("-".to_owned()),
        1 => Just(String::new()),
        1 => Just("<= 0".to_owned()),
        1 => Just("5/64".to_owned()),
        1 => "[ -~]{0,6}",
    ]
}

fn location() -> impl Strategy<Value = Location> {
    prop_oneof![6 => (1_u8..7).prop_map(string), 1 => Just(Location::Whole)]
}

fn quantity() -> impl Strategy<Value = Quantity> {
    prop_oneof![
        Just(action()),
        Just(relief()),
        Just(Quantity::Pitch),
        Just(Quantity::gap(1, 36).unwrap()),
        Just(Quantity::SpacingBridge),
        Just(Quantity::BridgeHeight),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn what_a_draft_accepts_the_commit_accepts(
        quantity in quantity(),
        tool in prop_oneof![
            Just(None), Just(Some(Tool::RULE_64)), Just(Some(Tool::FEELER_MM)), Just(Some(Tool::TUNER_CENT)),
        ],
        cells in prop::collection::vec((location(), text()), 0..8),
    ) {
        let (_workshop, bass) = instrument();
        let cells: Vec<DraftCell> =
            cells.into_iter().map(|(location, text)| DraftCell { location, text }).collect();
        let draft = PassDraft { quantity, tool, cells, taken: PassOptions::default() };
        let verdicts = bass.check_pass(&draft).unwrap();
        prop_assert_eq!(verdicts.len(), draft.cells.len());
        let wrong = verdicts.iter().any(|one| matches!(one, CellVerdict::Wrong { .. }));
        let nothing = verdicts.iter().all(|one| *one == CellVerdict::Empty);
        let doubts: Vec<_> = verdicts
            .iter()
            .filter_map(|one| match one {
                CellVerdict::Doubtful { doubt } => Some(doubt.clone()),
                _ => None,
            })
            .collect();
        let written = bass.add_pass_draft(&draft, None);
        if wrong || nothing {
            prop_assert!(matches!(written, Err(Error::BadInput { .. })), "{:?}", written);
        } else if doubts.is_empty() {
            prop_assert!(written.is_ok(), "{:?}", written);
        } else {
            let Err(Error::Unsure { doubts: asked, .. }) = written else {
                panic!("{written:?}");
            };
            prop_assert_eq!(&asked, &doubts);
            let sure = WriteOptions::default().accepting(&doubts);
            prop_assert!(bass.add_pass_draft(&draft, sure).is_ok());
        }
    }
}

#[test]
fn what_is_usually_read_comes_in_the_order_of_the_work_with_the_last_tool() {
    let (_workshop, bass) = instrument();
    let fresh = bass.usual_readings().unwrap();
    let quantities: Vec<Quantity> = fresh.iter().map(|one| one.quantity).collect();
    let last = bass.details().unwrap().spec.last_fret().unwrap().number();
    assert_eq!(
        quantities,
        [Quantity::relief(1, last).unwrap(), Quantity::gap(1, last).unwrap()],
        "the frets of this instrument"
    );
    assert_eq!(fresh[1].locations.len(), 4);
    assert_eq!(fresh[0].last, None);

    bass.add_pass_text(relief(), "12", Tool::FEELER_THOU).unwrap();
    let after_relief: Vec<Quantity> =
        bass.usual_readings().unwrap().iter().map(|one| one.quantity).collect();
    assert_eq!(after_relief[1], quantities[1], "action is offered though it was never read");

    bass.add_pass_text(Quantity::gap(0, 12).unwrap(), "5 5 5 6", Tool::RULE_64).unwrap();
    let low_first = PassOptions { low_first: Some(true), ..PassOptions::default() };
    let caliper = Tool::CALIPER_MM;
    let open = Quantity::gap(0, 12).unwrap();
    bass.add_pass_text_with(open, "1.9 1.9 1.9 1.9 mm", caliper, &low_first, WriteOptions::sure())
        .unwrap();
    let usual = bass.usual_readings().unwrap();
    assert_eq!(usual.iter().map(|one| one.quantity).collect::<Vec<_>>(), [relief(), open]);
    assert_eq!((usual[1].tool, usual[1].passes), (Some(caliper), 2));
    assert_eq!(usual[1].locations[0], string(4));
    assert!(usual[1].last.is_some());
    let before: Vec<String> = usual[1].before.iter().map(|one| one.unwrap().to_string()).collect();
    assert_eq!(before, ["1.9 mm"; 4], "to be shown beside what is typed");
    assert_eq!(fresh[1].before, [None; 4]);
}

/// Whoever has a phone alone reads all of a set-up with it.
#[test]
fn whatever_can_be_read_is_offered_once_from_the_first_day() {
    let (_workshop, bass) = instrument();
    let spec = bass.details().unwrap().spec;
    let last = spec.last_fret().unwrap();
    let of = |all: Vec<UsualReading>| all.iter().map(|one| one.quantity).collect::<Vec<_>>();
    let gap = |stopped, over| Quantity::gap(stopped, over).unwrap();
    let fresh = bass.other_readings().unwrap();
    assert!(fresh.iter().all(|one| !one.locations.is_empty() && one.last.is_none()));
    let twelve = Fret::new(12).unwrap();
    let pickup = |pickup| Quantity::PickupGap { pickup, stopped: last };
    let intonation = Quantity::Intonation { fret: twelve };
    let fall_away = spec.usual_fall_away().unwrap();
    let wanted = [
        Quantity::Pitch,
        fall_away,
        gap(0, 1),
        gap(3, 1),
        Quantity::SpacingBridge,
        Quantity::SpacingNut,
        gap(0, 12),
        pickup(1),
        pickup(2),
        intonation,
    ];
    let offered = of(fresh);
    assert_eq!(offered.len(), wanted.len(), "{offered:?}");
    assert!(wanted.iter().all(|one| offered.contains(one)), "{offered:?}");

    // A bridge that floats has a height of its own.
    let bridge = spec.bridge.clone().unwrap();
    let bridge = SpecField::Bridge(BridgeSpec { floating: true, ..bridge });
    bass.set_spec(&bridge, WriteOptions::default()).unwrap();
    let floating = of(bass.other_readings().unwrap());
    assert!(floating.contains(&Quantity::BridgeHeight) && floating.contains(&Quantity::BridgeTail));

    // What was read, or is wanted, is usual from then on; what was read rarely is still offered, with its tool.
    bass.add_pass_text(intonation, "2 2 1 -1", Tool::TUNER_CENT).unwrap();
    assert!(of(bass.usual_readings().unwrap()).contains(&intonation));
    assert!(!of(bass.other_readings().unwrap()).contains(&intonation));
    for thou in 10..20 {
        bass.add_pass_text(relief(), &thou.to_string(), Tool::FEELER_THOU).unwrap();
    }
    assert!(!of(bass.usual_readings().unwrap()).contains(&intonation));
    let other = bass.other_readings().unwrap();
    let rare = other.iter().find(|one| one.quantity == intonation).unwrap();
    assert_eq!((rare.tool, rare.passes), (Some(Tool::TUNER_CENT), 1));
}
