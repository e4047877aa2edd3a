//! Lines, paragraphs and headings, wrapped to the width there is.

use std::io::{self, Write};

use anstyle::AnsiColor;
use unicode_width::{UnicodeWidthChar as _, UnicodeWidthStr};

use fallaway_text::Phrase;

use crate::error::Error;
use crate::voice;

/// What a piece of text is, for its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Ordinary text.
    Plain,
    /// A heading.
    Heading,
    /// The thing to look at first.
    Strong,
    /// Detail that may be passed over.
    Quiet,
    /// A caution.
    Caution,
    /// Fine as it is.
    Fine,
}

impl Style {
    fn ansi(self) -> anstyle::Style {
        match self {
            Self::Plain => anstyle::Style::new(),
            Self::Heading => anstyle::Style::new().bold().underline(),
            Self::Strong => anstyle::Style::new().bold(),
            Self::Quiet => anstyle::Style::new().dimmed(),
            Self::Caution => anstyle::Style::new().bold().fg_color(Some(AnsiColor::Yellow.into())),
            Self::Fine => anstyle::Style::new().fg_color(Some(AnsiColor::Green.into())),
        }
    }
}

/// Longer lines are hard to follow, however wide the screen is.
const MOST: usize = 100;

/// Where text for people goes.
pub struct Printer<'a> {
    out: &'a mut dyn Write,
    colour: bool,
    width: usize,
}

impl<'a> Printer<'a> {
    /// Printer of this width over a stream.
    pub fn new(out: &'a mut dyn Write, colour: bool, width: usize) -> Self {
        Self { out, colour, width: width.min(MOST) }
    }

    /// Columns.
    pub fn width(&self) -> usize {
        self.width
    }

    /// A blank line.
    ///
    /// # Errors
    /// As the stream's.
    pub fn blank(&mut self) -> io::Result<()> {
        writeln!(self.out)
    }

    /// One line or more, wrapped between words; lines after the first are indented by `hang`.
    ///
    /// # Errors
    /// As the stream's.
    pub fn hung(&mut self, style: Style, first: &str, hang: usize, text: &str) -> io::Result<()> {
        let room = self.width.saturating_sub(hang).max(20);
        // What stands before the text may be longer or shorter than the lines below are indented.
        let taken = columns(first) as isize - hang as isize;
        for (index, line) in wrap_after(text, taken, room).iter().enumerate() {
            if index == 0 {
                write!(self.out, "{first}")?;
            } else {
                write!(self.out, "{:hang$}", "")?;
            }
            self.styled(style, line)?;
            writeln!(self.out)?;
        }
        Ok(())
    }

    /// A line of a drawing, as it is.
    ///
    /// # Errors
    /// As the stream's.
    pub fn drawn(&mut self, line: &str) -> io::Result<()> {
        writeln!(self.out, "{line}")
    }

    /// A paragraph.
    ///
    /// # Errors
    /// As the stream's.
    pub fn text(&mut self, style: Style, text: &str) -> io::Result<()> {
        self.hung(style, "", 0, text)
    }

    /// A sentence.
    ///
    /// # Errors
    /// As the stream's.
    pub fn say(&mut self, style: Style, phrase: &Phrase) -> io::Result<()> {
        self.text(style, &voice::get().sentence(phrase))
    }

    /// What is no sentence: words that have to be copied as they stand, in one line however narrow
    /// the screen is, since a line feed among them would end the command that they are pasted into.
    ///
    /// # Errors
    /// As the stream's.
    pub fn words(&mut self, style: Style, words: &str) -> io::Result<()> {
        self.styled(style, &voice::say(&Phrase::written(words)))?;
        self.blank()
    }

    /// A plain sentence.
    ///
    /// # Errors
    /// As the stream's.
    pub fn line(&mut self, phrase: &Phrase) -> io::Result<()> {
        self.say(Style::Plain, phrase)
    }

    /// Why a run failed.
    ///
    /// # Errors
    /// As the stream's.
    pub fn failure(&mut self, failure: &Error) -> io::Result<()> {
        let text = voice::say(&failure.phrase());
        self.hung(Style::Plain, "fallaway: ", 10, &text)
    }

    /// Text as it is: not wrapped.
    ///
    /// # Errors
    /// As the stream's.
    pub fn raw(&mut self, text: &str) -> io::Result<()> {
        self.out.write_all(text.as_bytes())
    }

    /// A piece of a line.
    ///
    /// # Errors
    /// As the stream's.
    pub fn styled(&mut self, style: Style, text: &str) -> io::Result<()> {
        let ansi = style.ansi();
        // A space at which no line may break is a space on paper.
        let text = text.replace('\u{a0}', " ");
        if self.colour && style != Style::Plain && !text.is_empty() {
            write!(self.out, "{ansi}{text}{ansi:#}")
        } else {
            self.out.write_all(text.as_bytes())
        }
    }
}

/// `text` with spaces up to `width` columns.
pub fn pad(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(columns(text));
    format!("{text}{:missing$}", "")
}

/// Columns that a text takes: wide characters two, marks upon others none.
pub fn columns(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// Breaks a text between words so that each line has at most `room` columns, longer words apart.
pub fn wrap(text: &str, room: usize) -> Vec<String> {
    wrap_after(text, 0, room)
}

/// The same, and a word that is longer is broken; spaces in front stay.
pub fn break_words(text: &str, room: usize) -> Vec<String> {
    let front = " ".repeat(text.len() - text.trim_start_matches(' ').len());
    let mut lines = Vec::new();
    for line in wrap(text, room.saturating_sub(front.len())) {
        let mut part = front.clone();
        for c in line.chars() {
            if columns(&part) + c.width().unwrap_or(0) > room && part.len() > front.len() {
                lines.push(std::mem::replace(&mut part, front.clone()));
            }
            part.push(c);
        }
        lines.push(part);
    }
    lines
}

/// The same where `taken` columns of the first line are not free (below zero: more are).
fn wrap_after(text: &str, taken: isize, room: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut taken = taken;
    for paragraph in text.split('\n') {
        let mut line = String::new();
        for word in paragraph.split(' ').filter(|word| !word.is_empty()) {
            if line.is_empty() {
                line.push_str(word);
            } else if (columns(&line) + 1 + columns(word)) as isize + taken <= room as isize {
                line.push(' ');
                line.push_str(word);
            } else {
                lines.push(std::mem::replace(&mut line, word.to_owned()));
                taken = 0;
            }
        }
        lines.push(line);
        taken = 0;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wraps_between_words() {
        assert_eq!(wrap("one two three", 8), ["one two", "three"]);
        assert_eq!(wrap("incomprehensible one", 6), ["incomprehensible", "one"]);
        assert_eq!(wrap("", 6), [""]);
        assert_eq!(wrap("a\nb", 6), ["a", "b"]);
        assert_eq!(wrap("about 5\u{a0}mm", 9), ["about", "5\u{a0}mm"]);
        assert_eq!(wrap_after("one two three", 4, 8), ["one", "two", "three"]);
    }

    #[test]
    fn colour_only_when_allowed() {
        let mut plain = Vec::new();
        Printer::new(&mut plain, false, 40).text(Style::Caution, "mind the ends").unwrap();
        assert_eq!(plain, b"mind the ends\n");
        let mut coloured = Vec::new();
        Printer::new(&mut coloured, true, 40).text(Style::Caution, "mind the ends").unwrap();
        assert!(coloured.starts_with(b"\x1b["));
    }
}
