//! How choices that the library answers can grow under apps that are older than they are.
//!
//! A choice of a newer library may have one variant more. An app that was built before has no branch
//! for it (Kotlin's `when` throws), and generated code that is older than the library cannot even
//! read it. So every such choice has a variant `Newer` from the beginning, for which apps have a
//! branch; the app says which face it was built on (`WorkshopOptions.face`), and is answered `Newer`
//! in place of everything that came later.
//!
//! To add a variant: raise [`FACE`] once between two releases, put the variant last, and mark it
//! `since` that number in [`mirror!`] or ask [`knows`] in a conversion by hand. The numbers that
//! cross are positions: what is there keeps its place for ever.

use std::sync::atomic::{AtomicU32, Ordering};

/// The number of the face of this library. `WorkshopOptions.face` has it as its default, and Kotlin
/// as `FACE`, which the compiler copies into the app.
pub(crate) const FACE: u32 = if cfg!(feature = "grown") { 2 } else { 1 };

/// The oldest face that a part of this program was built on. Of the whole process and not of a
/// workshop, because a value that crosses does not know its workshop.
static APP: AtomicU32 = AtomicU32::new(u32::MAX);

/// Somebody in this process was built on a face.
pub(crate) fn built_on(face: u32) {
    APP.fetch_min(face, Ordering::Relaxed);
}

/// Whether everybody in this process knows what came with a face.
#[cfg_attr(
    not(any(test, feature = "grown")),
    allow(dead_code, reason = "no choice has grown since the first face")
)]
pub(crate) fn knows(face: u32) -> bool {
    APP.load(Ordering::Relaxed) >= face
}

/// The number of the face of this library: how often the choices that it answers have grown.
#[uniffi::export]
pub fn face() -> u32 {
    FACE
}

/// The version of this library, such as "0.1.0", as its package and the changelog have it.
#[uniffi::export]
pub fn version() -> String {
    fallaway::VERSION.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_came_later_is_known_only_to_who_was_built_on_it() {
        assert!(knows(FACE));
        built_on(FACE);
        assert!(knows(FACE) && !knows(FACE + 1));
        // A second part of the program, which is newer, does not make the first one know more.
        built_on(FACE + 1);
        assert!(!knows(FACE + 1));
    }
}
