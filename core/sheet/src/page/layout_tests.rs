use std::cell::RefCell;
use std::collections::HashMap;

use super::*;

/// Letters of a wide font.
struct Wide;

impl Measure for Wide {
    fn width(&self, text: &str, size: f64, bold: bool) -> f64 {
        text.chars().count() as f64 * size * if bold { 0.66 } else { 0.6 }
    }
}

/// Letters of the page's own font, each of which is measured once.
struct Own {
    face: crate::page::pdf::Face,
    known: RefCell<HashMap<(char, bool), f64>>,
}

impl Measure for Own {
    fn width(&self, text: &str, size: f64, bold: bool) -> f64 {
        let mut known = self.known.borrow_mut();
        let of = |letter: char| {
            let wide = || self.face.width(letter.encode_utf8(&mut [0; 4]), 1.0, bold);
            *known.entry((letter, bold)).or_insert_with(wide)
        };
        text.chars().map(of).sum::<f64>() * size
    }
}

fn rows(strings: usize, kinds: usize, name: &str) -> Vec<SheetLine> {
    (0..kinds)
        .flat_map(|kind| {
            let row = move |string: usize| SheetLine::Row {
                what: format!("{string} (E)"),
                grouped: true,
                cells: vec!["2.36 mm".into(), "2.20 mm ± 0.10 mm".into(), "2.20 mm".into()],
            };
            std::iter::once(SheetLine::Group(format!("{name} {kind}")))
                .chain((1..=strings).map(row))
        })
        .collect()
}

fn page(strings: usize, kinds: usize, points: usize, name: &str, large: bool) -> SheetPage {
    let head = ["What", "As found", "Wanted", "As left"].map(str::to_owned).to_vec();
    let mut scene = Scene::new(640.0, 300.0, "Neck".to_owned());
    scene.sentences.push("Relief: 0.30 mm.".to_owned());
    let number = |_| LargeNumber {
        number: "2.20 mm".to_owned(),
        label: format!("{name}, string 4 (E)"),
        beside: "± 0.10 mm; read last: 2.36 mm".to_owned(),
    };
    let mut blocks = vec![
        SheetBlock::Facts(vec![("By".to_owned(), name.to_owned())]),
        SheetBlock::Heading("Numbers".to_owned()),
        SheetBlock::Table { head, lines: rows(strings, kinds, name) },
        SheetBlock::Points((0..points).map(|one| format!("{name}: {one}/8 turn")).collect()),
        SheetBlock::Picture(scene),
        SheetBlock::Caution("A seized rod is for a qualified repairer.".to_owned()),
    ];
    if large {
        blocks.insert(1, SheetBlock::Numbers((0..strings * 2).map(number).collect()));
    }
    SheetPage {
        title: name.to_owned(),
        subtitle: "Set-up".to_owned(),
        language: "en".to_owned(),
        blocks,
    }
}

/// Left, top, right, bottom of what is placed.
fn area(op: &Op<'_>, face: &dyn Measure) -> [f64; 4] {
    match op {
        Op::Text { x, y, ink, text } => {
            let wide = face.width(text, ink.size, ink.bold);
            [*x, y - ink.size * 0.75, x + wide, y + ink.size * 0.2]
        }
        Op::Rule { from, to, y } => [*from, *y, *to, *y],
        Op::Triangle { x, y, size } => [*x, y - size, x + size, *y],
        Op::Picture { x, y, scale, scene } => {
            [*x, *y, x + scene.width * scale, y + scene.height * scale]
        }
    }
}

fn check(page: &SheetPage, paper: Paper) -> usize {
    check_in(page, paper, &Wide)
}

fn check_in(page: &SheetPage, paper: Paper, face: &dyn Measure) -> usize {
    let laid = layout(page, paper, face);
    let (width, height) = paper.size_pt();
    for (number, one) in laid.ops.iter().enumerate() {
        let of = area(&one.op, face);
        assert!(of[0] >= MARGIN - 1.0 && of[2] <= width - MARGIN + 1.0, "{of:?}");
        assert!(of[1] >= MARGIN - 1.0 && of[3] <= height - MARGIN + 3.0, "{of:?}");
        if matches!(one.op, Op::Rule { .. }) {
            continue;
        }
        for other in laid.ops.iter().skip(number + 1).filter(|other| other.page == one.page) {
            if matches!(other.op, Op::Rule { .. }) {
                continue;
            }
            let with = area(&other.op, face);
            let apart = of[2] <= with[0] + 0.5
                || with[2] <= of[0] + 0.5
                || of[3] <= with[1] + 0.5
                || with[3] <= of[1] + 0.5;
            assert!(apart, "{of:?} lies on {with:?}");
        }
    }
    laid.pages
}

#[test]
fn a_usual_instrument_has_one_page_and_nothing_lies_on_anything() {
    let long = "A name that somebody made as long as a name may be in the record, 64 letters";
    let word = "Kontrabasssaitenhalterungsschraubengewindeschneideisenhaltergriff";
    for paper in Paper::ALL {
        for name in ["bass", long, word] {
            for strings in [4, 5, 6, 8, 12] {
                assert_eq!(check(&page(strings, 3, 6, name, false), paper), 1, "{strings} {name}");
                check(&page(strings, 1, 2, name, true), paper);
            }
            // Every line of a year's work is kept, on as many pages as it takes.
            assert!(check(&page(12, 5, 500, name, false), paper) > 1);
        }
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig {
        cases: 48, failure_persistence: None, ..Default::default()
    })]

    #[test]
    fn nothing_lies_on_anything_whatever_stands_on_the_page(
        strings in 4_usize..=12,
        kinds in 1_usize..=6,
        points in 0_usize..=120,
        name in "[a-zA-ZäöüÄÖÜß]{1,64}( [a-zA-Z0-9.,]{1,20}){0,6}",
        large in proptest::bool::ANY,
        letter in proptest::bool::ANY,
    ) {
        let paper = if letter { Paper::Letter } else { Paper::A4 };
        check(&page(strings, kinds, points, &name, large), paper);
    }
}

#[test]
fn a_word_that_is_wider_than_its_column_is_broken() {
    let ink = Ink { size: 10.0, bold: false, quiet: false };
    assert_eq!(wrap(&Wide, "abcdefghij kl", ink, 30.0), ["abcde", "fghij", "kl"]);
    assert_eq!(wrap(&Wide, "", ink, 30.0), Lines::new());
}

#[test]
fn the_lid_of_five_to_eight_strings_with_everything_and_an_invitation_is_one_page() {
    use crate::{BenchNumber, BenchSheet, SheetInvitation, bench_sheet};
    use fallaway_measure::{Amount, Quantity, StringPlace, Unit};
    use fallaway_text::{Language, Phrase, Voice, names};

    let mm = |hundredths| Amount::decimal(hundredths, 2, Unit::Millimetre).unwrap();
    let string = |number| StringPlace::new(number, None).unwrap();
    let spec = fallaway_record::InstrumentSpec::default();
    let number = |quantity, place: Option<u8>| BenchNumber {
        what: names::quantity(quantity),
        place: place.map(|number| names::string(&spec, string(number))),
        wanted: Some((mm(215), mm(20))),
        reads: vec![Some(names::amount(mm(220)))],
        two_values: place == Some(5),
    };
    let relief = || number(Quantity::relief(1, 24).unwrap(), None);
    let kinds = [
        Quantity::gap(3, 1).unwrap(),
        Quantity::gap(0, 12).unwrap(),
        Quantity::SpacingNut,
        Quantity::SpacingBridge,
        Quantity::gap(24, 24).unwrap_or(Quantity::SpacingNut),
    ];
    let fact =
        |number| (names::string(&spec, string(number)), Phrase::written("0.105 in, round-wound"));
    let of =
        |strings: u8| BenchSheet {
            name: "blue one".to_owned(),
            setup: Some("stage".to_owned()),
            numbers: std::iter::once(relief())
                .chain(kinds.into_iter().flat_map(|quantity| {
                    (1..=strings).map(move |place| number(quantity, Some(place)))
                }))
                .collect(),
            // Each string, and tuning, scale, rod and screws.
            facts: (1..=strings + 5).map(fact).collect(),
        };
    let invitation = SheetInvitation {
        code: "FALLAWAY:1:P57WKYJV2E7PKYCNBVJNPKZ7KA7L5RNY".to_owned(),
        words: ["anchor"; 12].join(" "),
        writes: false,
        expires: fallaway_record::Moment { unix_s: 1_790_000_000, offset_min: 0 },
    };
    let own = Own { face: crate::page::pdf::Face::new().unwrap(), known: RefCell::default() };
    for language in ["en", "de"] {
        let voice = Voice::new(Language::named(language).unwrap());
        for strings in 5..=8 {
            let page = bench_sheet(&of(strings), &voice).inviting(&invitation, &voice).unwrap();
            for paper in Paper::ALL {
                // Eight have no room for letters that are wider than the page's own.
                let face: &dyn Measure = if strings < 8 { &Wide } else { &own };
                assert_eq!(check_in(&page, paper, face), 1, "{strings} {language} {paper:?}");
            }
        }
    }
}

#[test]
fn the_lid_of_twelve_strings_is_one_page_with_large_numbers() {
    use crate::{BenchNumber, BenchSheet, bench_sheet};
    use fallaway_measure::{Amount, Quantity, StringPlace, Unit};
    use fallaway_text::{Language, Phrase, Voice, names};

    let mm = |hundredths| Amount::decimal(hundredths, 2, Unit::Millimetre).unwrap();
    let string = |number| StringPlace::new(number, None).unwrap();
    let spec = fallaway_record::InstrumentSpec::default();
    let number = |quantity, place: Option<u8>| BenchNumber {
        what: names::quantity(quantity),
        place: place.map(|number| names::string(&spec, string(number))),
        wanted: Some((mm(180), mm(20))),
        reads: vec![Some(names::amount(mm(185))), Some(names::amount(mm(190)))],
        two_values: false,
    };
    let strings = |quantity| (1..=12).map(move |place| number(quantity, Some(place)));
    let mut numbers = vec![number(Quantity::relief(1, 24).unwrap(), None)];
    for quantity in [(3, 1), (1, 12)] {
        numbers.extend(strings(Quantity::gap(quantity.0, quantity.1).unwrap()));
    }
    numbers.extend(strings(Quantity::SpacingBridge));
    assert_eq!(numbers.len(), 37);
    let fact =
        |number| (names::string(&spec, string(number)), Phrase::written("0.027 in, round-wound"));
    let of = BenchSheet {
        name: "cedar twelve".to_owned(),
        setup: Some("home".to_owned()),
        numbers,
        facts: (1..=12).map(fact).collect(),
    };
    for language in ["en", "de"] {
        let page = bench_sheet(&of, &Voice::new(Language::named(language).unwrap()));
        for paper in Paper::ALL {
            assert_eq!(check(&page, paper), 1, "{language} {paper:?}");
            let laid = layout(&page, paper, &Wide);
            let large = laid.ops.iter().filter_map(|one| match &one.op {
                Op::Text { ink, text, .. }
                    if text.starts_with("1.80") || text.starts_with("1,80") =>
                {
                    Some(ink.size)
                }
                _ => None,
            });
            // Twice the smallest letters beside them (common practice, no source).
            let sizes: Vec<f64> = large.collect();
            assert_eq!(sizes.len(), 37);
            assert!(sizes.iter().all(|size| *size >= 14.0), "{language} {paper:?}: {sizes:?}");
        }
    }
}
