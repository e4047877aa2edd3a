//! An invitation on a page: a QR code (ISO/IEC 18004), its words, what it gives and until when. Only where
//! somebody asks for it: whoever sees the page can use it.

use fallaway_record::Moment;
use fallaway_text::{Day, Phrase, Voice};
use qrcode::{Color, EcLevel, QrCode};

use super::messages as say;
use super::{SheetBlock, SheetPage};
use crate::scene::{MarkRole, Scene};

/// A module in points, on the drawing of a code.
const MODULE: f64 = 3.0;
/// Modules of nothing around a code, as the standard asks for.
const QUIET: usize = 4;
/// So much wider and higher is each dark module: otherwise hairlines show between them.
const OVER: f64 = 0.06;

/// What the page says of an invitation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetInvitation {
    /// The text of its code.
    pub code: String,
    /// The words that say the same.
    pub words: String,
    /// Whether it lets somebody write, too; else read alone.
    pub writes: bool,
    /// Until when it lets somebody in.
    pub expires: Moment,
}

/// The text is longer than a code holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CodeTooLong;

impl std::fmt::Display for CodeTooLong {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("the text is longer than a code holds")
    }
}

impl std::error::Error for CodeTooLong {}

impl SheetPage {
    /// The same page with an invitation at its foot, and the caution that whoever sees it can use it.
    ///
    /// # Errors
    /// [`CodeTooLong`] where the text of the code is longer than some 2,300 bytes.
    pub fn inviting(mut self, of: &SheetInvitation, voice: &Voice) -> Result<Self, CodeTooLong> {
        let gives = Day(of.expires);
        let gives =
            if of.writes { say::invitation_writes(gives) } else { say::invitation_reads(gives) };
        let heading = voice.sentence(&say::invitation());
        let how = say::invitation_how(Phrase::written(&of.words));
        let picture = code(&of.code, heading.clone())?;
        self.blocks.push(SheetBlock::Heading(heading));
        self.blocks.push(SheetBlock::Code {
            picture,
            text: of.code.clone(),
            beside: vec![voice.sentence(&gives), voice.sentence(&how)],
        });
        self.blocks.push(SheetBlock::Caution(voice.sentence(&say::invitation_caution())));
        Ok(self)
    }
}

/// The code of a text as a drawing. A sixth of it may be lost to a crease or a stain.
fn code(text: &str, title: String) -> Result<Scene, CodeTooLong> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M).map_err(|_| CodeTooLong)?;
    let (side, modules) = (code.width(), code.to_colors());
    let wide = (side + 2 * QUIET) as f64 * MODULE;
    let mut scene = Scene::new(wide, wide, title);
    scene.sentences.push(text.to_owned());
    let place = |module: usize| (module + QUIET) as f64 * MODULE;
    for (row, modules) in modules.chunks(side.max(1)).enumerate() {
        // Dark modules beside each other are one bar.
        let mut column = 0;
        for same in modules.chunk_by(|one, other| one == other) {
            let from = column;
            column += same.len();
            if same.first() == Some(&Color::Dark) {
                let corner = (place(column) + OVER, place(row + 1) + OVER);
                scene.band(MarkRole::Number, (place(from), place(row)), corner);
            }
        }
    }
    Ok(scene)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Shape;
    use fallaway_text::Language;

    const CODE: &str = "FALLAWAY:1:P57WKYJV2E7PKYCNBVJNPKZ7KA7L5RNY";

    fn page() -> SheetPage {
        SheetPage {
            title: "walnut five".to_owned(),
            subtitle: String::new(),
            language: "en".to_owned(),
            blocks: Vec::new(),
        }
    }

    fn invited(language: &str) -> SheetPage {
        let of = SheetInvitation {
            code: CODE.to_owned(),
            words: "anchor basil cedar".to_owned(),
            writes: false,
            expires: Moment { unix_s: 1_790_000_000, offset_min: 0 },
        };
        page().inviting(&of, &Voice::new(Language::named(language).unwrap())).unwrap()
    }

    /// What a camera sees of the drawing, by a reader that others have written.
    fn seen(scene: &Scene) -> Vec<String> {
        const SCALE: f64 = 3.0;
        let side = (scene.width * SCALE) as usize;
        let dark = |x: f64, y: f64| {
            scene.marks.iter().any(|mark| match &mark.shape {
                Shape::Area { places } => {
                    let (one, other) = (places[0], places[2]);
                    (one.x..other.x).contains(&x) && (one.y..other.y).contains(&y)
                }
                _ => false,
            })
        };
        let pixel = |x: usize, y: usize| {
            let at = |pixel: usize| (pixel as f64 + 0.5) / SCALE;
            if dark(at(x), at(y)) { 0 } else { 255 }
        };
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(side, side, pixel);
        image.detect_grids().iter().map(|grid| grid.decode().unwrap().1).collect()
    }

    #[test]
    fn a_reader_of_others_reads_the_code_of_the_page() {
        let codes = |page: &SheetPage| {
            let all = page.blocks.iter().filter_map(|block| match block {
                SheetBlock::Code { picture, .. } => Some(picture.clone()),
                _ => None,
            });
            all.collect::<Vec<_>>()
        };
        assert_eq!(codes(&page()), [], "nobody is invited who was not asked in");
        for language in ["en", "de"] {
            let found = codes(&invited(language));
            assert_eq!(found.len(), 1);
            assert_eq!(seen(&found[0]), [CODE]);
        }
        let long = SheetInvitation {
            code: "x".repeat(5_000),
            words: String::new(),
            writes: true,
            expires: Moment { unix_s: 0, offset_min: 0 },
        };
        assert_eq!(page().inviting(&long, &Voice::default()), Err(CodeTooLong));
    }

    #[test]
    fn the_page_says_what_an_invitation_gives_until_when_and_who_can_use_it() {
        for (language, told) in [
            ("en", ["anchor basil cedar", "read", "2026-09-21", "Whoever"]),
            ("de", ["anchor basil cedar", "lesen", "21.09.2026", "Wer"]),
        ] {
            let page = invited(language);
            let text = crate::sheet_text(&page);
            let html = crate::sheet_html(&page, crate::Paper::A4);
            for word in told.iter().chain([&CODE]) {
                assert!(text.contains(word) && html.contains(word), "{word}: {text}");
            }
        }
    }
}
