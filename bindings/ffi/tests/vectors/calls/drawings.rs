//! Drawings: marks, words and looks.

use fallaway_ffi::{
    Anchor, FallawayError, Instrument, Location, Mark, MarkRole, Occasion, Quantity, Scene, Shape,
    SheetKind, Spot, Theme, look,
};

use super::{Answer, Given};

/// A name of an enum as the files write it.
fn snake(debug: &str) -> String {
    let mut told = String::new();
    for letter in debug.chars() {
        if letter.is_uppercase() && !told.is_empty() {
            told.push('_');
        }
        told.extend(letter.to_lowercase());
    }
    told
}

fn role(role: MarkRole) -> String {
    snake(&format!("{role:?}"))
}

/// What a mark is, and its numbers in points.
fn told(mark: &Mark) -> (String, Vec<f64>) {
    let along = |places: &[Spot]| places.iter().flat_map(|at| [at.x_pt, at.y_pt]).collect();
    let (form, numbers) = match &mark.shape {
        Shape::Line { places, arrow: false } => ("line".to_owned(), along(places)),
        Shape::Line { places, arrow: true } => ("arrow".to_owned(), along(places)),
        Shape::Area { places } => ("area".to_owned(), along(places)),
        Shape::Dot { at, radius_pt } => ("dot".to_owned(), vec![at.x_pt, at.y_pt, *radius_pt]),
        Shape::Ring { at, radius_pt } => ("ring".to_owned(), vec![at.x_pt, at.y_pt, *radius_pt]),
        Shape::Arc { at, radius_pt, sweep_degrees } => {
            ("arc".to_owned(), vec![at.x_pt, at.y_pt, *radius_pt, *sweep_degrees])
        }
        Shape::Text { at, anchor, size_pt, text } => {
            let anchor = match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            (format!("{anchor}: {text}"), vec![at.x_pt, at.y_pt, *size_pt])
        }
        Shape::Newer => ("newer".to_owned(), Vec::new()),
    };
    (format!("{} {form}", role(mark.role)), numbers)
}

pub fn draw(instrument: &Instrument, given: Given<'_>) -> Result<Answer, FallawayError> {
    let relief = Quantity::Relief { from_fret: 1, to_fret: 24, at_fret: None };
    let scenes: Vec<Scene> = match given.text("drawing").as_str() {
        "turns" => instrument.draw_turns(None, None)?,
        "neck" => vec![instrument.draw_neck(None, None, None)?],
        "clearance" => vec![instrument.draw_clearance(None, None)?],
        "saddles" => vec![instrument.draw_saddles(None, None)?],
        "intonation" => vec![instrument.draw_intonation(None, None)?],
        "spacing" => vec![instrument.draw_spacing(None, None)?],
        "relief" => vec![instrument.draw_history(relief, Location::Whole, None, None, None)?],
        _ => {
            let before = Occasion::AsLeft { visit: given.text("before_visit").parse()? };
            vec![instrument.draw_changes(before, Occasion::Today, None, None)?]
        }
    };
    let marks: Vec<(String, Vec<f64>)> =
        scenes.iter().flat_map(|scene| scene.marks.iter().map(told)).collect();
    let sizes: Vec<f64> =
        scenes.iter().flat_map(|scene| [scene.width_pt, scene.height_pt]).collect();
    Ok(Answer::from([
        ("titles", scenes.iter().map(|scene| scene.title.clone()).collect::<Vec<_>>().into()),
        (
            "sentences",
            scenes.into_iter().flat_map(|scene| scene.sentences).collect::<Vec<_>>().into(),
        ),
        ("sizes_pt", sizes.into()),
        ("marks", marks.iter().map(|(told, _)| told.clone()).collect::<Vec<_>>().into()),
        ("numbers", marks.into_iter().flat_map(|(_, numbers)| numbers).collect::<Vec<_>>().into()),
    ]))
}

/// A page to hand over.
pub fn sheet(instrument: &Instrument, given: Given<'_>) -> Result<Answer, FallawayError> {
    let kind = if given.text("kind") == "bench" { SheetKind::Bench } else { SheetKind::Customer };
    let page = instrument.sheet(kind, None, None, None, None)?;
    Ok(Answer::from([
        ("title", page.title.into()),
        ("subtitle", page.subtitle.into()),
        ("text", page.text.into()),
        ("html", page.html.into()),
    ]))
}

/// What a theme looks like; `None` for another call.
pub fn look_answer(call: &str, given: Given<'_>) -> Option<Answer> {
    if call != "look" {
        return None;
    }
    let theme = match given.text("theme").as_str() {
        "light" => Theme::Light,
        "dark" => Theme::Dark,
        "stage" => Theme::Stage,
        _ => Theme::Print,
    };
    let look = look(theme);
    let colours = look.paints.iter().map(|paint| paint.colour).chain([look.paper]);
    let colours: Vec<f64> =
        colours.flat_map(|colour| [colour.red, colour.green, colour.blue]).collect();
    let dashes: Vec<f64> =
        look.paints.iter().map(|paint| paint.dash.map_or(0.0, |dash| dash.on_pt)).collect();
    Some(Answer::from([
        ("roles", look.paints.iter().map(|paint| role(paint.role)).collect::<Vec<_>>().into()),
        ("colours", colours.into()),
        ("widths_pt", look.paints.iter().map(|paint| paint.width_pt).collect::<Vec<_>>().into()),
        ("dashes_pt", dashes.into()),
        ("bold", look.paints.iter().map(|paint| paint.bold).collect::<Vec<_>>().into()),
    ]))
}
