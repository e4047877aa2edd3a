//! Drawings as JSON.

use fallaway::sheet::{Anchor, Mark, MarkRole, Scene, Shape, SheetPage, Spot, sheet_text};
use serde_json::{Value, json};

/// Scenes with their marks; places in points (1/72 in) from the upper left corner.
pub fn scenes(scenes: &[Scene]) -> Value {
    scenes.iter().map(scene).collect()
}

/// A page to hand over.
pub fn page(page: &SheetPage) -> Value {
    json!({
        "title": page.title,
        "subtitle": page.subtitle,
        "text": sheet_text(page),
    })
}

fn scene(scene: &Scene) -> Value {
    json!({
        "title": scene.title,
        "sentences": scene.sentences,
        "width_pt": round(scene.width),
        "height_pt": round(scene.height),
        "marks": scene.marks.iter().map(mark).collect::<Value>(),
    })
}

fn mark(mark: &Mark) -> Value {
    let mut value = match &mark.shape {
        Shape::Line { places, arrow } => json!({ "line": all(places), "arrow": arrow }),
        Shape::Area { places } => json!({ "area": all(places) }),
        Shape::Dot { at, radius } => json!({ "dot": place(*at), "radius": round(*radius) }),
        Shape::Ring { at, radius } => json!({ "ring": place(*at), "radius": round(*radius) }),
        Shape::Arc { at, radius, sweep } => {
            json!({ "arc": place(*at), "radius": round(*radius), "sweep_degrees": round(*sweep) })
        }
        Shape::Text { at, anchor, size, text } => json!({
            "text": text,
            "at": place(*at),
            "anchor": match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            },
            "size": round(*size),
        }),
    };
    if let Value::Object(fields) = &mut value {
        fields.insert("role".to_owned(), role(mark.role).into());
    }
    value
}

fn role(role: MarkRole) -> &'static str {
    match role {
        MarkRole::Read => "read",
        MarkRole::Uncertain => "uncertain",
        MarkRole::Wanted => "wanted",
        MarkRole::Tolerance => "tolerance",
        MarkRole::Moved => "moved",
        MarkRole::Doubtful => "doubtful",
        MarkRole::OutOfDate => "out-of-date",
        MarkRole::Computed => "computed",
        MarkRole::Forecast => "forecast",
        MarkRole::Caution => "caution",
        MarkRole::Fret => "fret",
        MarkRole::Board => "board",
        MarkRole::String => "string",
        MarkRole::Act => "act",
        MarkRole::Number => "number",
        MarkRole::Label => "label",
    }
}

fn all(places: &[Spot]) -> Value {
    places.iter().map(|at| place(*at)).collect()
}

fn place(at: Spot) -> Value {
    json!([round(at.x), round(at.y)])
}

/// A hundredth of a point is finer than any screen.
fn round(number: f64) -> f64 {
    (number * 100.0).round() / 100.0
}
