//! Drawings as JSON.

use fallaway::sheet::{Anchor, Mark, Place, Role, Scene, Shape};
use serde_json::{Value, json};

/// Scenes with their marks; places in points (1/72 in) from the upper left corner.
pub fn scenes(scenes: &[Scene]) -> Value {
    scenes.iter().map(scene).collect()
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

fn role(role: Role) -> &'static str {
    match role {
        Role::Read => "read",
        Role::Uncertain => "uncertain",
        Role::Wanted => "wanted",
        Role::Tolerance => "tolerance",
        Role::Moved => "moved",
        Role::Doubtful => "doubtful",
        Role::OutOfDate => "out-of-date",
        Role::Fret => "fret",
        Role::Board => "board",
        Role::String => "string",
        Role::Act => "act",
        Role::Number => "number",
        Role::Label => "label",
    }
}

fn all(places: &[Place]) -> Value {
    places.iter().map(|at| place(*at)).collect()
}

fn place(at: Place) -> Value {
    json!([round(at.x), round(at.y)])
}

/// A hundredth of a point is finer than any screen.
fn round(number: f64) -> f64 {
    (number * 100.0).round() / 100.0
}
