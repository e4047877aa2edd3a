//! Drawings: marks that an app draws with what its platform has, and SVG of them.

use crate::mirror::mirror;

/// A place on a drawing, in points (1/72 in) from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Spot {
    /// To the right, from the left edge.
    pub x_pt: f64,
    /// Downward, from the upper edge.
    pub y_pt: f64,
}

impl From<fallaway::sheet::Spot> for Spot {
    fn from(at: fallaway::sheet::Spot) -> Self {
        Self { x_pt: at.x, y_pt: at.y }
    }
}

mirror! {
    /// What a mark of a drawing means. Form tells them apart; colour only repeats it.
    MarkRole = fallaway::sheet::MarkRole {
        /// What was read: a filled dot.
        Read,
        /// How sure the reading is: a whisker as long as its 95 % interval.
        Uncertain,
        /// What is wanted: an open ring, or a line.
        Wanted,
        /// The tolerance around it: a pale band.
        Tolerance,
        /// From then to now: an arrow.
        Moved,
        /// The same where it is doubtful: dashed.
        Doubtful,
        /// A reading that something done since has put out of date.
        OutOfDate,
        /// What follows from readings by computing: a line.
        Computed,
        /// What is to be expected: dotted, its dot open.
        Forecast,
        /// What to look out for: a triangle, its sentence beside it.
        Caution,
        /// Frets, axes, rules.
        Fret,
        /// The board and the body of things.
        Board,
        /// A string of the instrument.
        String,
        /// What to do.
        Act,
        /// Numbers: what was read, is wanted, or is off.
        Number,
        /// What is written beside them.
        Label,
    }
}

mirror! {
    /// Where a text stands about its place.
    closed Anchor = fallaway::sheet::Anchor {
        /// It begins there.
        Start,
        /// It is centred there.
        Middle,
        /// It ends there.
        End,
    }
}

mirror! {
    /// On what a drawing is seen.
    closed Theme = fallaway::sheet::Theme {
        /// A light screen.
        Light,
        /// A dark screen.
        Dark,
        /// A dark stage.
        Stage,
        /// Black ink on white paper.
        Print,
    }
}

/// What a drawing is laid out for. Its letters are as large on both: where there is less room, things stand
/// under each other that else stand beside each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum DrawingWidth {
    /// A page, a tablet, a phone that lies: 560 to 640 points.
    Page,
    /// A phone held upright: 225 points, so that the smallest letters are 12 dp on a phone of 360 dp.
    Phone,
}

impl DrawingWidth {
    pub(crate) const fn typed(self) -> fallaway::sheet::DrawingWidth {
        match self {
            Self::Page => fallaway::sheet::DrawingWidth::Page,
            Self::Phone => fallaway::sheet::DrawingWidth::Phone,
        }
    }
}

/// The form of a mark.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum Shape {
    /// A line from place to place.
    Line {
        /// Its ends, and each corner between them, in order.
        places: Vec<Spot>,
        /// Whether it ends in an arrow head.
        arrow: bool,
    },
    /// A filled area.
    Area {
        /// Its corners, in order; the last joins the first.
        places: Vec<Spot>,
    },
    /// A filled dot.
    Dot {
        /// The middle of the dot.
        at: Spot,
        /// The radius of the dot, in points.
        radius_pt: f64,
    },
    /// An open ring.
    Ring {
        /// The middle of the ring.
        at: Spot,
        /// The radius of the ring, in points.
        radius_pt: f64,
    },
    /// A part of a circle, from twelve o'clock.
    Arc {
        /// The middle of the circle.
        at: Spot,
        /// The radius of the circle, in points.
        radius_pt: f64,
        /// How far, clockwise positive; less than 360 either way.
        sweep_degrees: f64,
    },
    /// A text on one line.
    Text {
        /// Where its base line stands.
        at: Spot,
        /// Which part of it stands there.
        anchor: Anchor,
        /// The height of its letters, as fonts count it.
        size_pt: f64,
        /// What is written there, in the language that was set.
        text: String,
    },
    /// What came after this app was built: leave it out.
    Newer,
}

impl From<fallaway::sheet::Shape> for Shape {
    fn from(shape: fallaway::sheet::Shape) -> Self {
        use fallaway::sheet::Shape as Of;
        let all = |places: Vec<fallaway::sheet::Spot>| places.into_iter().map(Spot::from).collect();
        match shape {
            Of::Line { places, arrow } => Self::Line { places: all(places), arrow },
            Of::Area { places } => Self::Area { places: all(places) },
            Of::Dot { at, radius } => Self::Dot { at: at.into(), radius_pt: radius },
            Of::Ring { at, radius } => Self::Ring { at: at.into(), radius_pt: radius },
            Of::Arc { at, radius, sweep } => {
                Self::Arc { at: at.into(), radius_pt: radius, sweep_degrees: sweep }
            }
            Of::Text { at, anchor, size, text } => {
                Self::Text { at: at.into(), anchor: anchor.into(), size_pt: size, text }
            }
        }
    }
}

/// One mark of a drawing.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Mark {
    /// What it means.
    pub role: MarkRole,
    /// What to draw, and where.
    pub shape: Shape,
}

/// A drawing, as marks to draw and as sentences to hear.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Scene {
    /// What it shows.
    pub title: String,
    /// The same in sentences, for whoever hears it: every number of the drawing stands in one of them.
    pub sentences: Vec<String>,
    /// How wide it is, in points (1/72 in).
    pub width_pt: f64,
    /// How high it is, in points.
    pub height_pt: f64,
    /// Its marks, the lowest first.
    pub marks: Vec<Mark>,
    /// The same as SVG, if a theme was named.
    pub svg: Option<String>,
}

impl Theme {
    const fn typed(self) -> fallaway::sheet::Theme {
        match self {
            Self::Light => fallaway::sheet::Theme::Light,
            Self::Dark => fallaway::sheet::Theme::Dark,
            Self::Stage => fallaway::sheet::Theme::Stage,
            Self::Print => fallaway::sheet::Theme::Print,
        }
    }
}

/// A colour (sRGB), each part of it from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Colour {
    /// The red part, 0 to 1.
    pub red: f64,
    /// The green part, 0 to 1.
    pub green: f64,
    /// The blue part, 0 to 1.
    pub blue: f64,
}

impl From<fallaway::sheet::Colour> for Colour {
    fn from(fallaway::sheet::Colour(red, green, blue): fallaway::sheet::Colour) -> Self {
        let [red, green, blue] = [red, green, blue].map(|part| f64::from(part) / 255.0);
        Self { red, green, blue }
    }
}

/// The dashes of a line.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Dash {
    /// How long one is, in points.
    pub on_pt: f64,
    /// How much is left out between two.
    pub off_pt: f64,
}

/// How the marks of a role are painted.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Paint {
    /// The role whose marks are painted so.
    pub role: MarkRole,
    /// The colour of its lines, areas and texts.
    pub colour: Colour,
    /// How thick its lines are, in points.
    pub width_pt: f64,
    /// The dashes of its lines; none where they go through. Rings have none.
    pub dash: Option<Dash>,
    /// Whether its texts are bold.
    pub bold: bool,
}

/// The colours and lines of all drawings in one theme.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Look {
    /// The ground that is drawn on.
    pub paper: Colour,
    /// A paint for each role but `Newer`, which is painted as `Label` is.
    pub paints: Vec<Paint>,
}

/// How the marks of drawings are painted, for an app that draws them itself. `SVG` has the same.
#[uniffi::export]
pub fn look(theme: Theme) -> Look {
    let theme = theme.typed();
    let paint = |role: fallaway::sheet::MarkRole| {
        let of: fallaway::sheet::Paint = theme.paint(role);
        Paint {
            role: role.into(),
            colour: of.colour.into(),
            width_pt: of.width,
            dash: of.dash.map(|(on_pt, off_pt)| Dash { on_pt, off_pt }),
            bold: of.bold,
        }
    };
    let paints = fallaway::sheet::MarkRole::ALL.into_iter().map(paint).collect();
    Look { paper: theme.paper().into(), paints }
}

pub(crate) fn scene(scene: fallaway::sheet::Scene, theme: Option<Theme>) -> Scene {
    let svg = theme.map(|theme| fallaway::sheet::svg(&scene, theme.typed()));
    let mark =
        |mark: fallaway::sheet::Mark| Mark { role: mark.role.into(), shape: mark.shape.into() };
    Scene {
        title: scene.title,
        sentences: scene.sentences,
        width_pt: scene.width,
        height_pt: scene.height,
        marks: scene.marks.into_iter().map(mark).collect(),
        svg,
    }
}
