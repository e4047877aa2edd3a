//! What this app says of its own accord; what the library says comes from the library. The texts are in
//! `messages/<language>/<theme>.ftl`.

use fallaway_text::Catalogue;

/// The messages of this app.
pub static CATALOGUE: Catalogue = Catalogue::new(fallaway_text::folders!());

/// The command line and the settings: `app.ftl`.
pub mod app {
    use fallaway_text::{List, Phrase};

    fallaway_text::messages! { crate::messages::CATALOGUE, "app";
        choices(list: List);
        /// The name of a language in itself.
        language_name();
        language(name: Phrase);
        language_unknown(tag: &str, accepted: List);
        units(units: &str);
        units_unknown(part: &str);
    }
}

/// What to type next: `hints.ftl`.
pub mod hints {
    fallaway_text::messages! { crate::messages::CATALOGUE, "hints";
        two_values();
        set_target(setup: &str, example: &str);
        keep_readings(setup: &str);
        tuned();
        as_left();
        which_way();
        toward(setup: &str);
        all_steps();
        other_steps();
        all_numbers();
        caution();
    }
}

/// Every message of this app that a function makes, by theme.
pub static DECLARED: &[&[fallaway_text::Message]] = &[app::DECLARED, hints::DECLARED];
