//! A scene as SVG (W3C, "Scalable Vector Graphics (SVG) 1.1").

use std::fmt::Write as _;

use crate::look::{Colour, Paint, Theme};
use crate::scene::{Anchor, Mark, MarkRole, Scene, Shape, Spot};

/// A picture of the scene. Texts stay texts, in the font of whoever shows it; title and sentences are in
/// it for screen readers.
pub fn svg(scene: &Scene, theme: Theme) -> String {
    let (width, height) = (short(scene.width), short(scene.height));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}pt\" height=\"{height}pt\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\" \
         font-family=\"system-ui, 'Helvetica Neue', Arial, sans-serif\">\n<title>{}</title>\n\
         <desc>{}</desc>\n<rect width=\"100%\" height=\"100%\" fill=\"{}\"/>\n",
        escaped(&scene.title),
        escaped(&scene.sentences.join(" ")),
        hex(theme.paper()),
    );
    for mark in &scene.marks {
        draw(&mut out, mark, theme);
    }
    out.push_str("</svg>\n");
    out
}

// Writing to a string cannot fail.
fn draw(out: &mut String, mark: &Mark, theme: Theme) {
    let paint = theme.paint(mark.role);
    match &mark.shape {
        Shape::Line { places, arrow } => {
            let _ = writeln!(out, "<path d=\"{}\"{}/>", path(places, false), stroke(&paint));
            if let (true, [.., before, tip]) = (arrow, places.as_slice()) {
                head(out, *tip, (tip.x - before.x, tip.y - before.y), &paint);
            }
        }
        Shape::Area { places } => {
            let _ = writeln!(
                out,
                "<path d=\"{}\" fill=\"{}\"/>",
                path(places, true),
                hex(paint.colour)
            );
        }
        Shape::Dot { at, radius } => {
            let fill = hex(paint.colour);
            let _ = writeln!(out, "<circle{} fill=\"{fill}\"/>", circle(*at, *radius));
        }
        Shape::Ring { at, radius } => {
            // A ring is small: dashes would leave nothing of it.
            let paint = Paint { dash: None, ..paint };
            let _ = writeln!(out, "<circle{}{}/>", circle(*at, *radius), stroke(&paint));
        }
        Shape::Arc { at, radius, sweep } => arc(out, *at, *radius, *sweep, &paint, mark.role),
        Shape::Text { at, anchor, size, text } => {
            let anchor = match anchor {
                Anchor::Start => "",
                Anchor::Middle => " text-anchor=\"middle\"",
                Anchor::End => " text-anchor=\"end\"",
            };
            let weight = if paint.bold { " font-weight=\"600\"" } else { "" };
            let _ = writeln!(
                out,
                "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor}{weight} fill=\"{}\">{}</text>",
                short(at.x),
                short(at.y),
                short(*size),
                hex(paint.colour),
                escaped(text),
            );
        }
    }
}

fn arc(out: &mut String, at: Spot, radius: f64, sweep: f64, paint: &Paint, role: MarkRole) {
    let angle = sweep.to_radians();
    let end = Spot::new(at.x + radius * angle.sin(), at.y - radius * angle.cos());
    let (large, way) = (u8::from(sweep.abs() > 180.0), u8::from(sweep > 0.0));
    let _ = writeln!(
        out,
        "<path d=\"M{} {} A{r} {r} 0 {large} {way} {} {}\"{}/>",
        short(at.x),
        short(at.y - radius),
        short(end.x),
        short(end.y),
        stroke(paint),
        r = short(radius),
    );
    // What is turned has an arrow head.
    if matches!(role, MarkRole::Act | MarkRole::Doubtful) {
        let along = angle.cos() * sweep.signum();
        head(out, end, (along, angle.sin() * sweep.signum()), paint);
    }
}

/// A filled arrow head at the end of a line that goes this way.
fn head(out: &mut String, tip: Spot, way: (f64, f64), paint: &Paint) {
    let places = head_places(tip, way, paint, 1.0);
    let _ = writeln!(out, "<path d=\"{}\" fill=\"{}\"/>", path(&places, true), hex(paint.colour));
}

/// The corners of an arrow head on a drawing of this scale.
pub(crate) fn head_places(tip: Spot, (x, y): (f64, f64), paint: &Paint, scale: f64) -> [Spot; 3] {
    let length = x.hypot(y).max(1e-9);
    let (x, y) = (x / length, y / length);
    let size = (4.0 + 1.6 * paint.width) * scale;
    let (half, ahead) = (size * 0.55, size * 0.6);
    let back = Spot::new(tip.x - x * (size - ahead), tip.y - y * (size - ahead));
    [
        Spot::new(tip.x + x * ahead, tip.y + y * ahead),
        Spot::new(back.x - y * half, back.y + x * half),
        Spot::new(back.x + y * half, back.y - x * half),
    ]
}

fn path(places: &[Spot], closed: bool) -> String {
    let mut out = String::new();
    for (number, place) in places.iter().enumerate() {
        let letter = if number == 0 { 'M' } else { 'L' };
        let _ = write!(out, "{letter}{} {}", short(place.x), short(place.y));
    }
    if closed {
        out.push('Z');
    }
    out
}

fn circle(at: Spot, radius: f64) -> String {
    format!(" cx=\"{}\" cy=\"{}\" r=\"{}\"", short(at.x), short(at.y), short(radius))
}

fn stroke(paint: &Paint) -> String {
    let dash = paint.dash.map_or_else(String::new, |(on, off)| {
        format!(" stroke-dasharray=\"{} {}\"", short(on), short(off))
    });
    let (colour, width) = (hex(paint.colour), short(paint.width));
    format!(
        " fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"{dash}"
    )
}

fn hex(Colour(red, green, blue): Colour) -> String {
    format!("#{red:02X}{green:02X}{blue:02X}")
}

/// A number with two decimals at most.
fn short(number: f64) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A text inside XML; what XML cannot hold (control characters) is left out.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            letter if letter.is_control() || matches!(letter, '\u{fffe}' | '\u{ffff}') => {}
            letter => out.push(letter),
        }
    }
    out
}
