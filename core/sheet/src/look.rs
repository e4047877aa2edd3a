//! One look for every drawing: colours and lines by role. Where each choice comes from:
//! `docs/decisions/0013-one-look.md`.

use crate::scene::MarkRole;

/// A colour as red, green and blue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Colour(pub u8, pub u8, pub u8);

/// On what it is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Theme {
    /// A light screen.
    Light,
    /// A dark screen.
    Dark,
    /// A dark stage: black, and nothing that blinds.
    Stage,
    /// Black ink on white paper.
    Print,
}

/// How a mark is painted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paint {
    /// The colour of its lines, areas and texts.
    pub colour: Colour,
    /// How thick its lines are, in points.
    pub width: f64,
    /// The lengths of the dashes of its lines and of what is left out between them, in points; none where
    /// a line goes through. Rings have none.
    pub dash: Option<(f64, f64)>,
    /// Whether it is written in bold letters.
    pub bold: bool,
}

struct Palette {
    paper: Colour,
    ink: Colour,
    quiet: Colour,
    line: Colour,
    act: Colour,
    wash: Colour,
    caution: Colour,
}

const LIGHT: Palette = Palette {
    paper: Colour(0xFA, 0xF9, 0xF6),
    ink: Colour(0x1C, 0x1F, 0x22),
    quiet: Colour(0x5B, 0x61, 0x68),
    line: Colour(0x8A, 0x90, 0x96),
    act: Colour(0x00, 0x5A, 0x6E),
    wash: Colour(0xD9, 0xE2, 0xDF),
    caution: Colour(0x8F, 0x3D, 0x00),
};
const DARK: Palette = Palette {
    paper: Colour(0x15, 0x18, 0x1B),
    ink: Colour(0xEC, 0xEA, 0xE4),
    quiet: Colour(0xA6, 0xAC, 0xB2),
    line: Colour(0x6F, 0x76, 0x7D),
    act: Colour(0x7C, 0xCF, 0xE0),
    wash: Colour(0x2C, 0x35, 0x39),
    caution: Colour(0xF0, 0xA8, 0x68),
};
const STAGE: Palette = Palette {
    paper: Colour(0, 0, 0),
    ink: Colour(0xF4, 0xF1, 0xEA),
    quiet: Colour(0xB9, 0xB6, 0xAF),
    line: Colour(0x7A, 0x78, 0x72),
    act: Colour(0x9A, 0xDC, 0xEA),
    wash: Colour(0x24, 0x24, 0x24),
    caution: Colour(0xFF, 0xBE, 0x7D),
};
const PRINT: Palette = Palette {
    paper: Colour(0xFF, 0xFF, 0xFF),
    ink: Colour(0, 0, 0),
    quiet: Colour(0x45, 0x45, 0x45),
    line: Colour(0x80, 0x80, 0x80),
    act: Colour(0, 0, 0),
    wash: Colour(0xE0, 0xE0, 0xE0),
    caution: Colour(0, 0, 0),
};

impl Theme {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Light, Self::Dark, Self::Stage, Self::Print];

    const fn palette(self) -> &'static Palette {
        match self {
            Self::Light => &LIGHT,
            Self::Dark => &DARK,
            Self::Stage => &STAGE,
            Self::Print => &PRINT,
        }
    }

    /// The ground that is drawn on.
    pub const fn paper(self) -> Colour {
        self.palette().paper
    }

    /// How a mark of this role is painted.
    pub const fn paint(self, role: MarkRole) -> Paint {
        let colours = self.palette();
        let (colour, width) = match role {
            MarkRole::Read => (colours.ink, 1.5),
            MarkRole::Uncertain => (colours.ink, 1.0),
            MarkRole::Wanted | MarkRole::Moved | MarkRole::Doubtful => (colours.act, 1.5),
            MarkRole::Act => (colours.act, 3.5),
            MarkRole::Computed | MarkRole::Forecast => (colours.ink, 1.2),
            MarkRole::Caution => (colours.caution, 1.5),
            MarkRole::Tolerance => (colours.wash, 0.0),
            MarkRole::OutOfDate => (colours.quiet, 2.0),
            MarkRole::Fret => (colours.line, 0.8),
            MarkRole::Board => (colours.line, 1.6),
            MarkRole::String => (colours.quiet, 1.2),
            MarkRole::Number => (colours.ink, 0.0),
            MarkRole::Label => (colours.quiet, 0.0),
        };
        let dash = match role {
            MarkRole::Wanted => Some((9.0, 2.5)),
            MarkRole::Doubtful => Some((4.0, 3.0)),
            MarkRole::Forecast => Some((1.5, 2.5)),
            _ => None,
        };
        Paint { colour, width, dash, bold: role.is_bold() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance (W3C, "Web Content Accessibility Guidelines (WCAG) 2.2", definition of
    /// "relative luminance").
    fn luminance(Colour(red, green, blue): Colour) -> f64 {
        let part = |value: u8| {
            let share = f64::from(value) / 255.0;
            if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * part(red) + 0.7152 * part(green) + 0.0722 * part(blue)
    }

    fn contrast(one: Colour, other: Colour) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    #[test]
    fn the_formula_gives_the_published_ends() {
        // Ibid., definition of "contrast ratio": from 1 to 21.
        assert!((contrast(Colour(0, 0, 0), Colour(255, 255, 255)) - 21.0).abs() < 1e-9);
        assert!((contrast(Colour(9, 9, 9), Colour(9, 9, 9)) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn texts_and_marks_stand_out_from_their_ground() {
        // WCAG 2.2: 4.5 for texts (1.4.3), 3 for what else carries meaning (1.4.11). Bands are pale:
        // what they say is said by the ring in their middle, and by the sentence.
        for theme in Theme::ALL {
            let wanted: [(MarkRole, f64); 15] = [
                (MarkRole::Number, 7.0),
                (MarkRole::Label, 4.5),
                (MarkRole::Act, 4.5),
                (MarkRole::Read, 4.5),
                (MarkRole::Uncertain, 4.5),
                (MarkRole::Computed, 4.5),
                (MarkRole::Forecast, 4.5),
                (MarkRole::Caution, 4.5),
                (MarkRole::Wanted, 4.5),
                (MarkRole::Moved, 4.5),
                (MarkRole::Doubtful, 4.5),
                (MarkRole::OutOfDate, 3.0),
                (MarkRole::String, 3.0),
                (MarkRole::Fret, 3.0),
                (MarkRole::Board, 3.0),
            ];
            for (role, least) in wanted {
                for ground in [theme.paper(), theme.paint(MarkRole::Tolerance).colour] {
                    // Frets and boards are not drawn on bands.
                    let on_band = ground != theme.paper();
                    if on_band && matches!(role, MarkRole::Fret | MarkRole::Board | MarkRole::Label)
                    {
                        continue;
                    }
                    let found = contrast(theme.paint(role).colour, ground);
                    assert!(
                        found >= least.min(if on_band { 3.0 } else { 21.0 }),
                        "{theme:?} {role:?}: {found:.2}"
                    );
                }
            }
        }
    }
}
