//! Photos: `photos.ftl`.

use crate::Word;

crate::messages! { crate::CATALOGUE, "photos";
    /// Why a file is not taken, and what would be.
    empty();
    too_large();
    other_kind();
    broken();
    accepted();
    all_full();
    all_accepted();
    altered();
    too_many_points();
    decoded_accepted();
    thumbnail_side(points: u32);

    /// Whether its bytes are here.
    state(state: Word);
    sent(count: usize);
    waiting(count: usize);
    fetched(fetched: Word);
}
