//! A drawing as data.

use crate::letters;

/// A place on a drawing, in points (1/72 in) from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// To the right.
    pub x: f64,
    /// Downward, from the upper edge.
    pub y: f64,
}

impl Spot {
    pub(crate) const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
}

/// What a mark means. Form tells roles apart; colour only repeats it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MarkRole {
    /// What was read: a filled dot.
    Read,
    /// How sure the reading is: a whisker as long as its 95 % interval.
    Uncertain,
    /// What is wanted: an open ring.
    Wanted,
    /// The tolerance around it: a pale band.
    Tolerance,
    /// From then to now: an arrow.
    Moved,
    /// The same where it is doubtful: dashed.
    Doubtful,
    /// A reading that something done since has put out of date: a short dash.
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

impl MarkRole {
    /// All of them.
    pub const ALL: [Self; 16] = [
        Self::Read,
        Self::Uncertain,
        Self::Wanted,
        Self::Tolerance,
        Self::Moved,
        Self::Doubtful,
        Self::OutOfDate,
        Self::Computed,
        Self::Forecast,
        Self::Caution,
        Self::Fret,
        Self::Board,
        Self::String,
        Self::Act,
        Self::Number,
        Self::Label,
    ];

    /// Whether its texts are written in bold letters.
    pub(crate) const fn is_bold(self) -> bool {
        matches!(self, Self::Number | Self::Act)
    }
}

/// Where a text stands about its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// It is centred there.
    Middle,
    /// It ends there.
    End,
}

/// The form of a mark.
#[derive(Debug, Clone, PartialEq)]
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
        radius: f64,
    },
    /// An open ring.
    Ring {
        /// The middle of the ring.
        at: Spot,
        /// The radius of the ring, in points.
        radius: f64,
    },
    /// A part of a circle, from twelve o'clock.
    Arc {
        /// The middle of the circle.
        at: Spot,
        /// The radius of the circle, in points.
        radius: f64,
        /// How far, in degrees, clockwise positive; less than 360 either way.
        sweep: f64,
    },
    /// A text on one line.
    Text {
        /// Where its base line stands.
        at: Spot,
        /// Which part of it stands there.
        anchor: Anchor,
        /// The height of its letters, as fonts count it.
        size: f64,
        /// What is written there, in the language that was asked for.
        text: String,
    },
}

/// One mark of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// What it means.
    pub role: MarkRole,
    /// What to draw, and where.
    pub shape: Shape,
}

/// A drawing, as marks to draw and as sentences to hear.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// How wide it is, in points.
    pub width: f64,
    /// How high it is, in points.
    pub height: f64,
    /// What it shows.
    pub title: String,
    /// The same in sentences: every number of the drawing stands in one of them.
    pub sentences: Vec<String>,
    /// How many of the last sentences are of the drawing itself, such as how much it magnifies: where no
    /// drawing stands they say nothing.
    pub of_drawing: usize,
    /// Its marks, the lowest first.
    pub marks: Vec<Mark>,
}

impl Scene {
    /// Its sentences without those of the drawing itself: what is said where no drawing stands.
    pub fn told(&self) -> &[String] {
        let told = self.sentences.len().saturating_sub(self.of_drawing);
        self.sentences.get(..told).unwrap_or_default()
    }

    pub(crate) fn new(width: f64, height: f64, title: String) -> Self {
        Self { width, height, title, sentences: Vec::new(), of_drawing: 0, marks: Vec::new() }
    }

    pub(crate) fn mark(&mut self, role: MarkRole, shape: Shape) {
        self.marks.push(Mark { role, shape });
    }

    pub(crate) fn line(&mut self, role: MarkRole, places: impl IntoIterator<Item = (f64, f64)>) {
        let places = places.into_iter().map(|(x, y)| Spot::new(x, y)).collect();
        self.mark(role, Shape::Line { places, arrow: false });
    }

    pub(crate) fn arrow(&mut self, role: MarkRole, from: (f64, f64), to: (f64, f64)) {
        let places = vec![Spot::new(from.0, from.1), Spot::new(to.0, to.1)];
        self.mark(role, Shape::Line { places, arrow: true });
    }

    /// A band from corner to corner.
    pub(crate) fn band(
        &mut self,
        role: MarkRole,
        (left, top): (f64, f64),
        (right, low): (f64, f64),
    ) {
        let corners = [(left, top), (right, top), (right, low), (left, low)];
        let places = corners.into_iter().map(|(x, y)| Spot::new(x, y)).collect();
        self.mark(role, Shape::Area { places });
    }

    /// Without so much at the top.
    pub(crate) fn crop(&mut self, top: f64) {
        self.height -= top;
        for mark in &mut self.marks {
            match &mut mark.shape {
                Shape::Line { places, .. } | Shape::Area { places } => {
                    for at in places {
                        at.y -= top;
                    }
                }
                Shape::Dot { at, .. }
                | Shape::Ring { at, .. }
                | Shape::Arc { at, .. }
                | Shape::Text { at, .. } => at.y -= top,
            }
        }
    }

    /// How far down its marks reach so far.
    pub(crate) fn lowest(&self) -> f64 {
        let of = |mark: &Mark| match &mark.shape {
            Shape::Line { places, .. } | Shape::Area { places } => {
                places.iter().map(|at| at.y).fold(0.0, f64::max)
            }
            Shape::Dot { at, radius }
            | Shape::Ring { at, radius }
            | Shape::Arc { at, radius, .. } => at.y + radius,
            Shape::Text { at, .. } => at.y + 2.0,
        };
        self.marks.iter().map(of).fold(0.0, f64::max)
    }

    /// How far up its marks reach so far.
    pub(crate) fn highest(&self) -> f64 {
        let of = |mark: &Mark| match &mark.shape {
            Shape::Line { places, .. } | Shape::Area { places } => {
                places.iter().map(|at| at.y).fold(f64::INFINITY, f64::min)
            }
            Shape::Dot { at, radius }
            | Shape::Ring { at, radius }
            | Shape::Arc { at, radius, .. } => at.y - radius,
            Shape::Text { at, size, .. } => at.y - size,
        };
        self.marks.iter().map(of).fold(f64::INFINITY, f64::min)
    }

    /// Its title, at the top.
    pub(crate) fn heading(&mut self) {
        let (title, most) = (self.title.clone(), self.width - 24.0);
        self.text(MarkRole::Number, (12.0, 20.0), (Anchor::Start, 12.0, most), &title);
    }

    /// A text, made smaller and then cut short where it is wider than `most`.
    pub(crate) fn text(
        &mut self,
        role: MarkRole,
        at: (f64, f64),
        (anchor, size, most): (Anchor, f64, f64),
        text: &str,
    ) {
        // Bold letters are wider.
        let most = if role.is_bold() { most / letters::BOLD } else { most };
        let (size, text) = letters::fit(text, size, most);
        self.mark(role, Shape::Text { at: Spot::new(at.0, at.1), anchor, size, text });
    }
}
