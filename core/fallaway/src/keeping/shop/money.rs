//! Amounts of money.

use std::fmt;

use minicbor::{Decode, Encode};

/// An amount of money in hundredths, so that sums are exact. What the currency is called is for whoever
/// writes it: sums are of equal names.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct Money {
    /// The amount in hundredths of the currency: 12.50 EUR is 1250.
    #[n(0)]
    pub hundredths: u64,
    /// What the currency is called, such as "EUR"; empty if that was not said.
    #[n(1)]
    pub currency: String,
}

impl Money {
    /// Most hundredths: a hundred million of a currency.
    const MAX: u64 = 10_000_000_000;

    /// Reads `80`, `12.50 EUR`, `12,50 EUR`, `EUR 12.5`: a point or a comma, two digits behind it at most.
    pub fn read(text: &str) -> Option<Self> {
        let of_number = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
        let number: String = text.chars().filter(|c| of_number(*c)).collect();
        let (front, behind) = text.split_once(&number)?;
        let (front, behind) = (front.trim(), behind.trim());
        let currency = if front.is_empty() { behind } else { front };
        let too_much = !front.is_empty() && !behind.is_empty();
        let no_name = |c: char| c.is_control() || c.is_numeric() || c == '-';
        if too_much || currency.chars().count() > 8 || currency.contains(no_name) {
            return None;
        }
        let (whole, part) = number.split_once(['.', ',']).unwrap_or((&number, ""));
        if whole.is_empty() || part.len() > 2 || part.contains(['.', ',']) {
            return None;
        }
        let hundredths = whole
            .parse::<u64>()
            .ok()?
            .checked_mul(100)?
            .checked_add(format!("{part:0<2}").parse().ok()?)?;
        (hundredths <= Self::MAX).then(|| Self { hundredths, currency: currency.to_owned() })
    }

    /// Sums, one for each currency, in the order in which they come up.
    pub fn sums<'a>(all: impl IntoIterator<Item = &'a Self>) -> Vec<Self> {
        let mut sums: Vec<Self> = Vec::new();
        for one in all {
            match sums.iter_mut().find(|sum| sum.currency == one.currency) {
                Some(sum) => {
                    sum.hundredths =
                        [sum.hundredths, one.hundredths].into_iter().fold(0, u64::saturating_add);
                }
                None => sums.push(one.clone()),
            }
        }
        sums
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{:02}", self.hundredths / 100, self.hundredths % 100)?;
        if self.currency.is_empty() { Ok(()) } else { write!(f, " {}", self.currency) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_is_read_as_hands_write_it() {
        for (text, shown) in [
            ("80", "80.00"),
            ("12.5 EUR", "12.50 EUR"),
            ("12,50 EUR", "12.50 EUR"),
            ("EUR 7", "7.00 EUR"),
            ("0.99€", "0.99 €"),
        ] {
            assert_eq!(Money::read(text).unwrap().to_string(), shown, "{text}");
        }
        for text in
            ["", "EUR", "1.234,50", "12.505", "-3", "3 4", "EUR 3 EUR", "999999999999999999999"]
        {
            assert_eq!(Money::read(text), None, "{text}");
        }
    }

    #[test]
    fn currencies_are_not_added_to_each_other() {
        let all = ["2 EUR", "3.50", "0.25 EUR"].map(|text| Money::read(text).unwrap());
        let sums: Vec<String> = Money::sums(&all).iter().map(ToString::to_string).collect();
        assert_eq!(sums, ["2.25 EUR", "3.50"]);
    }
}
