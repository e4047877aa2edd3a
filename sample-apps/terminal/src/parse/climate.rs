//! The air around the instrument: "21C 45%".

use fallaway::measure::{Amount, Dimension, parse_amount};
use fallaway_text::Phrase;

use crate::messages::parse as say;

/// Temperature and relative humidity as a person read them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Air {
    /// Temperature.
    pub temperature: Option<Amount>,
    /// Relative humidity.
    pub humidity: Option<Amount>,
}

/// Reads "21C 45%", in any order, one of them alone too.
///
/// # Errors
/// For words without a unit, other units, one thing twice.
pub fn air(words: &[String]) -> Result<Air, Phrase> {
    let accepted = say::air_accepted;
    let mut air = Air::default();
    let text = words.join(" ");
    for word in text.split_whitespace() {
        let (slot, dimension) = if word.ends_with('%') {
            (&mut air.humidity, Dimension::Share)
        } else if word.ends_with(|c: char| c.is_ascii_digit()) {
            return Err(say::air_no_unit(word, accepted()));
        } else {
            (&mut air.temperature, Dimension::Temperature)
        };
        let amount =
            parse_amount(word, None, dimension).map_err(|_| say::air_unknown(word, accepted()))?;
        if slot.replace(amount).is_some() {
            return Err(say::twice(word));
        }
    }
    if air == Air::default() { Err(say::air_nothing(accepted())) } else { Ok(air) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<[Option<String>; 2], Phrase> {
        let air = air(&[text.to_owned()])?;
        Ok([air.temperature, air.humidity].map(|amount| amount.map(|a| a.to_string())))
    }

    #[test]
    fn either_order_and_one_alone() {
        let both = [Some("21 °C".to_owned()), Some("45%".to_owned())];
        assert_eq!(read("21C 45%"), Ok(both.clone()));
        assert_eq!(read("45% 21°C"), Ok(both));
        assert_eq!(read("48.5%"), Ok([None, Some("48.5%".to_owned())]));
    }

    #[test]
    fn nonsense_is_named() {
        assert!(read("21").unwrap_err().to_string().contains("no unit"));
        assert!(read("21C 22C").unwrap_err().to_string().contains("twice"));
        assert!(read("damp%").unwrap_err().to_string().contains("damp%"));
        assert!(read("21kg").unwrap_err().to_string().contains("21kg"));
    }
}
