//! QR codes (ISO/IEC 18004) in characters, two rows of modules in each line: what is light is drawn, so
//! that a code is dark on light where letters are light on dark, as most terminals have it.

use fallaway_text::Phrase;
use qrcode::{Color, EcLevel, QrCode};

use crate::messages::sharing as words;

/// Modules of nothing around a code, as the standard asks for.
const QUIET: usize = 4;

/// The lines of a code with this text.
pub fn drawn(text: &str) -> Result<Vec<String>, Phrase> {
    let code = QrCode::with_error_correction_level(text, EcLevel::L);
    let code = code.map_err(|_| words::no_code())?;
    let (side, modules) = (code.width(), code.to_colors());
    let light = |x: usize, y: usize| {
        let inside = |at: usize| at.checked_sub(QUIET).filter(|at| *at < side);
        match (inside(x), inside(y)) {
            (Some(x), Some(y)) => modules.get(y * side + x) != Some(&Color::Dark),
            _ => true,
        }
    };
    let whole = side + 2 * QUIET;
    let line = |y: usize| {
        let sign = |x: usize| match (light(x, y), y + 1 < whole && light(x, y + 1)) {
            (true, true) => '█',
            (true, false) => '▀',
            (false, true) => '▄',
            (false, false) => ' ',
        };
        (0..whole).map(sign).collect()
    };
    Ok((0..whole).step_by(2).map(line).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a camera sees of it, eight pixels to a module, by a reader that others have written.
    fn seen(lines: &[String]) -> Vec<String> {
        const SCALE: usize = 8;
        let rows: Vec<Vec<char>> = lines.iter().map(|line| line.chars().collect()).collect();
        let pixel = |x: usize, y: usize| {
            let (x, y) = (x / SCALE, y / SCALE);
            match (rows[y / 2][x], y % 2) {
                ('█', _) | ('▀', 0) | ('▄', 1) => 255,
                _ => 0,
            }
        };
        let (width, height) = (rows[0].len() * SCALE, (rows.len() * 2 - 1) * SCALE);
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(width, height, pixel);
        image.detect_grids().iter().map(|grid| grid.decode().unwrap().1).collect()
    }

    #[test]
    fn a_reader_of_others_reads_them_back() {
        let bytes: Vec<u8> = (0..700_u32).map(|n| (n * 7 % 251) as u8).collect();
        let mut texts = fallaway::codes(&bytes).unwrap();
        texts.push("FALLAWAY:1:P57WKYJV2E7PKYCNBVJNPKZ7KA7L5RNY".to_owned());
        let mut collector = fallaway::CodeCollector::new();
        let mut whole = None;
        for text in &texts {
            let lines = drawn(text).unwrap();
            assert!(lines.iter().all(|line| line.chars().count() <= 100), "{}", lines[0].len());
            assert_eq!(seen(&lines), std::slice::from_ref(text));
            if let Ok(seen) = collector.take(text) {
                whole = seen.bytes.or(whole);
            }
        }
        assert_eq!(whole, Some(bytes));
        assert!(drawn(&"x".repeat(5_000)).is_err());
    }
}
