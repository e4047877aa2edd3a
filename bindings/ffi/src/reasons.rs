//! Why a call was refused, as data: the library says it in a message, and the message is told by its
//! name.

use fallaway::text::Phrase;

/// Declares an enum of reasons, each with the names of the messages that say it; what no name fits
/// is what stands after `else`.
macro_rules! reasons {
    (
        $(#[$about:meta])* $name:ident else $rest:ident {
            $( $(#[$doc:meta])* $variant:ident = [$($id:literal),*], )*
        }
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
        pub enum $name {
            $( $(#[$doc])* $variant, )*
            /// What came after this app was built: show the text beside it.
            Newer,
        }

        impl $name {
            #[cfg(test)]
            const NAMES: &'static [&'static str] = &[$($($id),*),*];

            pub(crate) fn of(reason: &Phrase) -> Self {
                match reason.id() {
                    $( $($id)|* => Self::$variant, )*
                    _ => Self::$rest,
                }
            }
        }
    };
}

reasons! {
    /// Why something from outside was refused, or a bundle of a file.
    WhyRefused else Newer {
        /// It is not a bundle file.
        NotABundle = ["not_a_bundle"],
        /// A newer version wrote it: update the app.
        NewerVersion = ["bundle_newer", "newer_kind", "invitation_newer"],
        /// It is cut, or was changed on the way: get it again.
        Damaged = ["bundle_cut", "bundle_altered", "bundle_malformed", "invitation_damaged", "codes_damaged"],
        /// It holds nothing for this record.
        Nothing = ["no_bundles", "nothing_in_it"],
        /// It belongs to another record.
        OtherRecord = ["bundle_other"],
        /// This device has no key for it yet; it may come with another bundle.
        NoKey = ["bundle_key"],
        /// Its author is no member.
        Stranger = ["stranger"],
        /// It breaks a rule of the record.
        Rule = ["aside"],
        /// Too much of its author waits here already.
        NoRoom = ["not_kept"],
        /// The text is not an invitation.
        NoInvitation = ["no_invitation", "invitation_relay"],
        /// There are too many words or too few.
        WordCount = ["words_count"],
        /// A word is not in the list.
        UnknownWord = ["word_unknown"],
        /// The words do not belong together.
        WrongWords = ["words_checksum"],
        /// The file has no welcome for these words.
        NoWelcome = ["no_welcome"],
        /// The invitation has expired: ask for a new one.
        Expired = ["invitation_expired"],
        /// The file has nothing for these recovery words.
        NoLetter = ["no_letter"],
        /// Others have come in the place of these recovery words.
        WordsReplaced = ["words_replaced"],
        /// The people of the record have not arrived.
        PeopleMissing = ["people_missing"],
        /// The code is not one of a series that another device showed.
        OtherCode = ["codes_other"],
        /// It is too much for codes: send it as a file, or meet.
        TooMuchForCodes = ["codes_too_much"],
        /// The photo is not the one that its line names.
        OtherPhoto = ["altered"],
    }
}

reasons! {
    /// Why this device may not do what was asked.
    WhyNotAllowed else Newer {
        /// It may only read.
        Viewer = ["viewer"],
        /// Only an owner may.
        OnlyOwner = ["only_owner"],
        /// It was removed, or has left.
        Removed = ["removed"],
        /// The only owner cannot leave.
        LastOwner = ["last_owner"],
        /// It is about this very device: leave instead.
        Oneself = ["not_oneself"],
        /// The other device came in before this one.
        CameBefore = ["came_in_before"],
        /// Another device used its invitation first.
        InvitationUsed = ["invitation_used"],
        /// Its invitation was withdrawn.
        InvitationWithdrawn = ["invitation_withdrawn"],
        /// The people of the record have not arrived.
        PeopleMissing = ["people_missing"],
    }
}

reasons! {
    /// Why a record or a store may only be read.
    WhyReadOnly else Newer {
        /// A newer version wrote the store.
        NewerStore = ["store_newer"],
        /// Devices of the record, which are named, ask for a newer version.
        NewerDevices = ["version_asked"],
        /// The edit needs what only a newer version writes.
        NewerEdit = ["needs_version"],
        /// A newer version wrote this value.
        NewerValue = ["newer_value"],
    }
}

reasons! {
    /// Why the store cannot be used.
    WhyStorage else Newer {
        /// The file or folder cannot be written.
        NotWritable = ["not_writable"],
        /// It cannot be opened.
        CannotOpen = ["cannot_open"],
        /// The system failed to read or write.
        Failed = ["io"],
        /// Writes cannot be kept safe there: a folder on a network, perhaps.
        NotThere = ["no_log"],
        /// The file is damaged.
        Damaged = ["damaged", "snapshot_damaged"],
        /// The file is something else: another program's, or another record.
        SomethingElse = ["not_a_store", "snapshot_other"],
        /// The database library is too old.
        EngineTooOld = ["engine"],
    }
}

reasons! {
    /// Why the device's secrets are unavailable.
    WhyKeys else Keeper {
        /// The device is locked: try again later.
        Locked = ["locked"],
        /// They are lost: ask an owner for an invitation.
        Lost = ["lost"],
        /// This device has no key for the record any more: ask an owner for an invitation.
        NoKey = ["no_key"],
        /// The keeper failed, or a secret is damaged; the text has its words.
        Keeper = ["secret"],
    }
}

reasons! {
    /// Why the store or the workshop is busy.
    WhyBusy else Newer {
        /// Another program holds the store or has just written: try again.
        OtherProgram = ["store_busy", "record_moved", "other_processes"],
        /// The workshop was called from inside one of its own callbacks: call it afterwards.
        Callback = ["called_from_callback"],
    }
}

reasons! {
    /// Why a value cannot be taken.
    WhyBadInput else Newer {
        /// Nothing was written, or a number or a letter is missing in it.
        Empty = ["empty", "missing_number", "missing_whole", "note_empty", "note_letter", "note_octave"],
        /// It cannot be read: a sign, a word or a form that means nothing here.
        Unreadable = [
            "character", "number", "unit", "only_inches", "no_fraction", "out_of_place", "member", "names_none",
            "note_many_accidentals", "note_mixed_accidentals", "note_cents", "one_letter", "no_id", "no_token", "no_price",
            "not_a_step", "no_export", "not_csv", "not_json", "not_an_object", "no_date", "no_hours",
            "shop_text", "setup_name_bad", "label", "joins_as_owner", "no_digits", "no_address", "broken"
        ],
        /// It can mean several things.
        Ambiguous = ["ambiguous", "several_fit"],
        /// It is of another kind: another unit, or what this tool does not read.
        OtherKind = ["other_dimension", "wrong_tool", "mixed", "dimension", "other_kind"],
        /// A number, a time or a length of text is outside of what can be.
        OutOfRange = [
            "outside", "out_of_range", "not_finite", "denominator", "graduation", "note_range", "impossible",
            "air_impossible", "stated_time", "time_unlikely", "in_the_future", "clock", "days", "care", "tolerance",
            "crown_height", "courses_wrong", "number_unwritable", "no_such_parts", "not_shown_so",
            "text_length", "too_long", "not_spoken", "thumbnail_side"
        ],
        /// The instrument has no such string, fret or pickup.
        NotOnInstrument = [
            "no_such_string", "no_such_fret", "no_such_pickup", "no_such_place", "unknown_place",
            "pickup_zero"
        ],
        /// There is none of that name or number.
        NotThere = [
            "no_such_entry", "no_such_value", "no_store", "not_known", "not_set", "compare_no_visit",
            "unknown_column", "unknown_quantity", "unknown_tool", "unknown_phase"
        ],
        /// It is so already, or the name is taken.
        Already = [
            "name_taken", "setup_taken", "store_there", "crossed_out_already", "not_crossed_out",
            "visit_has_entries", "stands_as_read", "nothing_to_write", "shared_already"
        ],
        /// Something that it needs was not given, read or set yet.
        Missing = [
            "no_readings", "no_readings_given", "nothing_before", "nothing_was_said", "which_way",
            "strings_unknown", "saddle_without_strings", "missing", "not_known_yet", "undetermined", "no_action",
            "compare_unwritten", "compare_no_target", "compare_visit_unread", "compare_today_unread",
            "no_season", "no_rows", "no_dates", "no_date_above", "of_what"
        ],
        /// It does not go with what else was given.
        DoesNotFit = [
            "fret_order", "backwards", "no_gap", "exchanged", "over_the_nut", "lies_on_fret",
            "not_between", "not_beyond", "open_intonation", "pass_count", "count_needed", "count_expected", "compare_setups",
            "climate_beyond", "word"
        ],
        /// It is more than can be kept or sent at once.
        TooMuch = ["too_large", "value_size", "all_full", "too_many_points"],
        /// Only a newer version of the app can write it.
        NeedsNewer = [
            "newer_choice", "unknown_target", "unreadable", "fact_not_written", "export_newer"
        ],
    }
}

impl WhyBadInput {
    /// What refuses a value says what is wrong with it within what says where it stood.
    pub(crate) fn within(reason: &Phrase) -> Self {
        match Self::of(reason) {
            Self::Newer => {
                let mut inner = reason.told_with().rev().map(Self::within);
                inner.find(|one| *one != Self::Newer).unwrap_or(Self::Newer)
            }
            known => known,
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::string_slice)]
mod tests {
    use std::collections::BTreeSet;
    use std::fs;
    use std::path::Path;

    use fallaway::text::messages::{DECLARED, errors, photos, readings, sharing};

    use super::*;

    /// What stands up to the bracket that closes the one before `text`.
    fn inside(text: &str, (open, close): (char, char)) -> &str {
        let mut depth = 1;
        let end = text.find(|c: char| {
            depth += i32::from(c == open) - i32::from(c == close);
            depth == 0
        });
        &text[..end.unwrap_or(text.len())]
    }

    fn is_name(c: char) -> bool {
        c.is_ascii_alphanumeric() || c == '_'
    }

    /// The messages that code says, without those that are arguments of others.
    fn said_in(code: &str) -> Vec<String> {
        let mut said = Vec::new();
        let mut rest = code;
        while let Some((at, module)) = ["say::", "sharing::"]
            .iter()
            .filter_map(|module| Some((rest.find(module)?, module)))
            .min()
        {
            rest = &rest[at + module.len()..];
            let name: String = rest.chars().take_while(|c| is_name(*c)).collect();
            if let Some(call) = rest.strip_prefix(name.as_str()) {
                rest = call.strip_prefix('(').map_or(call, |call| {
                    call.get(inside(call, ('(', ')')).len()..).unwrap_or_default()
                });
            }
            said.push(name);
        }
        said
    }

    /// The sources of the library, each with its path, without their tests.
    fn sources(folder: &Path, found: &mut Vec<(String, String)>) {
        for file in fs::read_dir(folder).unwrap().map(|file| file.unwrap().path()) {
            let path = file.display().to_string();
            if file.is_dir() {
                sources(&file, found);
            } else if file.extension().is_some_and(|of| of == "rs") && !path.contains("tests.rs") {
                let code = fs::read_to_string(&file).unwrap();
                let code = code.split("#[cfg(test)]\nmod").next().unwrap_or_default().to_owned();
                found.push((path, code));
            }
        }
    }

    /// The messages with which the library makes an error of a kind: `Error::busy(say::store_busy())`. What
    /// is made elsewhere and handed on is looked for in the function that makes it.
    fn said_by(kind: &str, sources: &[(String, String)]) -> BTreeSet<String> {
        let mut said = BTreeSet::new();
        for (path, code) in sources {
            for (at, call) in code.match_indices(&format!("{kind}(")) {
                let before = &code[..at];
                let own = ["Error::", "Self::"].iter().any(|one| before.ends_with(one));
                // Bundles of a file are refused one by one.
                let bundle = path.contains("/exchange/") && !before.ends_with([':', '.', '_']);
                if !own && !bundle {
                    continue;
                }
                let given = inside(&code[at + call.len()..], ('(', ')'));
                let names = said_in(given);
                if names.is_empty()
                    && let Some((function, _)) = given.split_once('(')
                    && let Some((_, body)) = code.split_once(&format!("fn {function}("))
                    && let Some((_, body)) = body.split_once('{')
                {
                    said.extend(said_in(inside(body, ('{', '}'))));
                }
                said.extend(names);
            }
        }
        said
    }

    #[test]
    fn whatever_the_library_refuses_has_a_reason_here() {
        let mut library = Vec::new();
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../core/fallaway/src");
        sources(&root, &mut library);
        for (kind, known, least) in [
            ("refused", WhyRefused::NAMES, 15),
            ("not_allowed", WhyNotAllowed::NAMES, 8),
            ("read_only", WhyReadOnly::NAMES, 3),
            ("storage", WhyStorage::NAMES, 8),
            ("keys", WhyKeys::NAMES, 4),
            ("busy", WhyBusy::NAMES, 3),
        ] {
            let said = said_by(kind, &library);
            assert!(said.len() >= least, "{kind}: {said:?}");
            let missing: Vec<_> =
                said.iter().filter(|name| !known.contains(&name.as_str())).collect();
            assert!(missing.is_empty(), "{kind}: no reason for {missing:?}");
        }
    }

    /// The parts of what stands in brackets, at its own commas.
    fn parts(given: &str) -> Vec<&str> {
        let (mut depth, mut start, mut found) = (0, 0, Vec::new());
        for (at, c) in given.char_indices() {
            match c {
                '(' | '[' | '{' => depth += 1,
                ')' | ']' | '}' => depth -= 1,
                ',' if depth == 0 => {
                    found.push(&given[start..at]);
                    start = at + 1;
                }
                _ => {}
            }
        }
        found.push(&given[start..]);
        found
    }

    /// The names of messages in a piece of code, of whichever theme.
    fn messages_in(code: &str, themes: &[&str]) -> BTreeSet<String> {
        let of_theme = |theme: &&str| {
            let named = code.match_indices(*theme).map(|(at, theme)| {
                code[at + theme.len()..].chars().take_while(|c| is_name(*c)).collect::<String>()
            });
            named.collect::<Vec<_>>()
        };
        themes.iter().flat_map(of_theme).collect()
    }

    #[test]
    fn whatever_is_wrong_with_a_value_has_a_kind_here() {
        let mut library = Vec::new();
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../core");
        sources(&root.join("fallaway/src"), &mut library);
        sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut library);
        let mut said = BTreeSet::new();
        for (_, code) in &library {
            for (at, call) in code.match_indices("bad_input(") {
                let given = parts(inside(&code[at + call.len()..], ('(', ')')));
                if let Some(reason) = given.get(1) {
                    said.extend(messages_in(reason, &["say::", "errors::"]));
                }
            }
        }
        // What the rooms below refuse is told in one file: what stands beside `reason`, and in the
        // functions that name a problem.
        let told = fs::read_to_string(root.join("text/src/errors.rs")).unwrap();
        let told = told.split("#[cfg(test)]").next().unwrap();
        said.extend(messages_in(told, &["readings::"]));
        let compared = told.split_once("pub fn cannot_compare").unwrap().1;
        said.extend(messages_in(compared, &["say::"]));
        let rows = root.join("fallaway/src/writing/import/rows.rs");
        for (_, problem) in fs::read_to_string(rows).unwrap().match_indices("problem(") {
            said.extend(messages_in(parts(problem).first().unwrap(), &["say::"]));
        }
        assert!(said.len() > 80, "{}: {said:?}", said.len());
        // What only says where a value stood, what would be accepted or what is unusual, and functions
        // that are no messages.
        let around = [
            "amounts",
            "another_fret",
            "bad_input",
            "bounds",
            "family",
            "fact",
            "field",
            "from_fret_1",
            "from_pickup_1",
            "note",
            "note_accepted",
            "number_kind",
            "pass",
            "pass_reading",
            "question",
            "range",
            "reading",
            "reading_part",
            "edge_frets",
            "rising_frets",
            "unit_name",
            "units",
            "unusual",
            "value",
        ];
        let missing: Vec<_> = said
            .iter()
            .filter(|name| !WhyBadInput::NAMES.contains(&name.as_str()))
            .filter(|name| !around.contains(&name.as_str()))
            .collect();
        assert!(missing.is_empty(), "no kind for {missing:?}");
    }

    #[test]
    fn a_kind_is_found_within_what_says_where_it_stood() {
        use fallaway::measure::{Dimension, parse_amount};
        let why = |text| {
            let error = parse_amount(text, None, Dimension::Length).unwrap_err();
            WhyBadInput::within(&fallaway::text::errors::reading(&error))
        };
        assert_eq!(why("12"), WhyBadInput::Ambiguous);
        assert_eq!(why(""), WhyBadInput::Empty);
        assert_eq!(why("2 %"), WhyBadInput::OtherKind);
        assert_eq!(why("two mm"), WhyBadInput::Unreadable);
        assert_eq!(WhyBadInput::within(&errors::contested("x".into())), WhyBadInput::Newer);
    }

    /// Messages of these themes that say no reason: what stands around one, what would be accepted, a question
    /// about a likely slip (which has `WhyDoubted`), and what is told without an error.
    const NO_REASONS: &[&[&str]] = &[
        &[
            "not_found",
            "bad_input",
            "unsure",
            "contested",
            "plan_moved",
            "read_only",
            "refused",
            "not_allowed",
            "busy",
            "full",
            "storage",
            "keys",
            "closed",
            "cancelled",
            "internal",
            "with_accepted",
            "field",
            "field_reading",
            "field_at",
            "reading",
            "reading_part",
            "number_kind",
            "amounts",
            "bounds",
            "units",
            "unit_name",
            "pass_reading",
            "note",
            "family",
            "unit_weight",
            "store_full",
        ],
        &[
            "none_yet",
            "no_touch_yet",
            "there_are",
            "there_are_more",
            "similar",
            "and_more",
            "history_names",
            "shop_text_accepted",
            "care_accepted",
            "export_accepted",
            "store_folder",
            "store_empty",
            "own_name",
            "parts_of_an_inch",
            "accepted_range",
            "not_invited_as_owner",
            "not_shared_here",
            "cross_out_first",
            "token_accepted",
            "at_least_one",
            "name_strings",
            "setup_name_accepted",
            "read_numbers_first",
            "amounts_between",
            "courses_accepted",
            "frets_accepted",
            "above_zero",
            "time_likely",
            "clock_accepted",
            "less_at_once",
            "shorter",
            "clearance_accepted",
            "strings_accepted",
            "buzz_accepted",
            "label_accepted",
            "named_so",
            "number_accepted",
            "turns_accepted",
            "newer_choice_accepted",
            "id_accepted",
            "shown_accepted",
            "place_accepted",
            "fret_accepted",
            "note_accepted",
            "from_fret_1",
            "another_fret",
            "rising_frets",
            "edge_frets",
            "from_pickup_1",
            "range",
            "accepted",
            "all_accepted",
            "decoded_accepted",
        ],
        &[
            "usual",
            "usual_whole",
            "fact_unusual",
            "notes_reversed",
            "gauges_reversed",
            "scale_reversed",
            "spread_reversed",
            "turned_far",
            "rod_turned_far",
            "moved_far",
            "against_known_way",
            "thick_for_plain",
            "thin_for_wound",
            "air_unusual",
            "unusual",
        ],
        &[
            "each_highest_first",
            "each_or_both_sides",
            "each_lowest_first",
            "state",
            "sent",
            "waiting",
            "fetched",
        ],
    ];

    /// Also those that reach an error by a function or a variable, which no reader of sources sees.
    #[test]
    fn each_message_of_an_error_has_a_kind_or_is_known_to_say_no_reason() {
        let kinds = [
            WhyRefused::NAMES,
            WhyNotAllowed::NAMES,
            WhyReadOnly::NAMES,
            WhyStorage::NAMES,
            WhyKeys::NAMES,
            WhyBusy::NAMES,
            WhyBadInput::NAMES,
        ];
        let has_kind = |id: &&str| kinds.iter().any(|names| names.contains(id));
        let says_none = |id: &&str| NO_REASONS.iter().any(|names| names.contains(id));
        let themes = [errors::DECLARED, readings::DECLARED, photos::DECLARED];
        let declared: Vec<&str> =
            themes.iter().flat_map(|theme| theme.iter()).map(fallaway_text::Message::id).collect();
        let left: Vec<_> = declared.iter().filter(|id| !has_kind(id) && !says_none(id)).collect();
        assert!(left.is_empty(), "no kind for {left:?}");
        let both: Vec<_> = declared.iter().filter(|id| has_kind(id) && says_none(id)).collect();
        assert!(both.is_empty(), "both: {both:?}");
        let gone: Vec<_> =
            NO_REASONS.concat().into_iter().filter(|id| !declared.contains(id)).collect();
        assert!(gone.is_empty(), "no message: {gone:?}");
    }

    #[test]
    fn every_name_is_that_of_a_message() {
        let declared: Vec<&str> = DECLARED
            .iter()
            .flat_map(|theme| theme.iter().map(fallaway_text::Message::id))
            .collect();
        let named = [
            WhyRefused::NAMES,
            WhyNotAllowed::NAMES,
            WhyReadOnly::NAMES,
            WhyStorage::NAMES,
            WhyKeys::NAMES,
            WhyBusy::NAMES,
            WhyBadInput::NAMES,
        ];
        for name in named.into_iter().flatten() {
            assert!(declared.contains(name), "{name}");
        }
    }

    #[test]
    fn a_reason_is_told_by_its_message_and_not_by_its_words() {
        assert_eq!(
            WhyRefused::of(&errors::word_unknown(3, "abut".into())),
            WhyRefused::UnknownWord
        );
        assert_eq!(WhyRefused::of(&sharing::newer_kind(9)), WhyRefused::NewerVersion);
        assert_eq!(WhyKeys::of(&errors::lost(errors::locked())), WhyKeys::Lost);
        assert_eq!(WhyKeys::of(&Phrase::written("the daemon is away")), WhyKeys::Keeper);
        assert_eq!(WhyBusy::of(&errors::called_from_callback()), WhyBusy::Callback);
    }
}
