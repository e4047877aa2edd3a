//! What the shop keeps for itself: whose an instrument is, the work on it, when it is due again, numbers and
//! string sets that are used over and over.
//!
//! All of it lies in the store of this device, as its preferences do, and never in a record: the player
//! whose record the shop shares sees none of it, and neither do the other customers. A backup of the store
//! has it.

mod kept;
mod model;
mod money;
mod open_work;
mod search;
mod specs;
mod string_sets;
mod work;

pub use model::{Care, Customer, Job, JobPart, ShopSpec, StringSet};
pub use money::Money;
pub use open_work::{DueAgain, OpenWork};
pub use search::{FoundIn, FoundText};
