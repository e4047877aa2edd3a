//! What people look at: card, plan, history, what changed, drawings, pages and tables.

pub(crate) mod as_then;
pub(crate) mod card;
pub(crate) mod device;
pub(crate) mod drawings;
pub(crate) mod drawn_across;
pub(crate) mod photos;
pub(crate) mod planning;
pub(crate) mod series;
pub(crate) mod sheets;
pub(crate) mod table_out;
#[cfg(feature = "thumbnails")]
pub(crate) mod thumbnails;
pub(crate) mod views;
pub(crate) mod what_if;
pub(crate) mod work_state;
