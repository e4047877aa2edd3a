//! What a relay answered, read and checked.

use fallaway_changes::BundleId;
use fallaway_order::Map;
use fallaway_order::OneByOne as _;

use crate::types::ExchangeFault;
use crate::wire::chain::{Chain, Position};
use crate::wire::http::HttpResponse;
use crate::wire::problem::Code;
use crate::wire::{page, route};

/// A sound answer to an exchange, or to a question for what follows.
pub(crate) struct Answer {
    /// Bundles of others.
    pub bundles: Vec<Vec<u8>>,
    /// Pushed ones that lie before the end of the page, so that the chain there covers them. Of those
    /// behind it, a log that is wiped now could be filled again by others without anybody noticing.
    pub accepted: Vec<BundleId>,
    /// The chain at each number of the page.
    pub trail: Vec<Chain>,
    /// Where they end.
    pub end: Position,
    /// How many follow.
    pub remaining: u64,
}

/// What an answer means.
pub(crate) enum Read {
    Page(Answer),
    Refused { code: Code, retry_after_s: Option<u64> },
    Failed { why: ExchangeFault, retry_after_s: Option<u64> },
}

/// Reads an answer to a request after `from`, with which these bundles were pushed.
pub(crate) fn read(response: &HttpResponse, from: &Position, pushed: &[BundleId]) -> Read {
    match refusal(response) {
        Some(refused) => refused,
        None => sound_page(response, from, pushed)
            .map_or(Read::Failed { why: ExchangeFault::Garbage, retry_after_s: None }, Read::Page),
    }
}

/// `None` for an answer that is no refusal.
pub(crate) fn refusal(response: &HttpResponse) -> Option<Read> {
    if (200..300).contains(&response.status) {
        return None;
    }
    let retry_after_s = response.header("retry-after").and_then(|text| text.parse().ok());
    let failed = |why| Some(Read::Failed { why, retry_after_s });
    let code = response.header(route::PROBLEM_HEADER).and_then(Code::read);
    match (code, response.status) {
        (Some(Code::TooMany | Code::Unavailable | Code::Slow), _)
        | (None, 408 | 425 | 429 | 500..=599) => failed(ExchangeFault::Busy),
        (Some(Code::Method | Code::MediaType | Code::BadRequest), _) => {
            failed(ExchangeFault::Garbage)
        }
        (Some(code), _) => Some(Read::Refused { code, retry_after_s }),
        // What stands in front of a relay answers too, without its codes.
        (None, 413) => Some(Read::Refused { code: Code::TooLarge, retry_after_s }),
        (None, _) => failed(ExchangeFault::Garbage),
    }
}

/// The page, if the chain that the relay names is the one over what it sent.
fn sound_page(response: &HttpResponse, from: &Position, pushed: &[BundleId]) -> Option<Answer> {
    let number = |name| response.header(name)?.parse::<u64>().ok();
    let seq = number(route::SEQ_HEADER)?;
    let remaining = number(route::MORE_HEADER)?;
    let chain = response.header(route::CHAIN_HEADER)?.parse().ok()?;
    let numbers = response.header(route::ACCEPTED_HEADER).unwrap_or_default();
    let numbers = route::read_accepted(numbers, pushed.len())?;
    if numbers.len() != pushed.len() {
        return None;
    }
    // Those that the log had before this place are covered too.
    let own: Map<u64, &BundleId> = numbers.into_iter().zip(pushed).in_map();
    let mut others = page::read(&response.body).ok()?.into_iter();
    let mut bundles = Vec::new();
    let mut accepted: Vec<BundleId> = own.range(..=from.seq).map(|(_, id)| **id).collect();
    let mut end = *from;
    let mut trail = Vec::new();
    while end.seq < seq {
        if let Some(id) = own.get(&(end.seq + 1)) {
            end = end.next(id);
            accepted.push(**id);
        } else {
            let (id, sealed) = others.next()?;
            end = end.next(&id);
            bundles.push(sealed.to_vec());
        }
        trail.push(end.chain);
    }
    let whole = others.next().is_none() && end == Position { seq, chain };
    whole.then_some(Answer { bundles, accepted, trail, end, remaining })
}
