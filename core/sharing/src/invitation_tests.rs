use super::*;
use crate::testing::keys;
use proptest::collection::vec;
use proptest::prelude::*;

fn invitation() -> Invitation {
    Invitation {
        record: RecordId::from_bytes([1; 16]),
        name: "5-string bass: the old one".to_owned(),
        role: Role::Contributor,
        inviter: keys(1).device(),
        invite: MemberHash::from_bytes([2; 32]),
        expires: 1_790_000_000,
        relay: Some("https://relay.example:8443/r?x=1".to_owned()),
        secret: InviteSecret::from_bytes([3; 16]),
        epoch_keys: vec![EpochKey::from_bytes([4; 32]), EpochKey::from_bytes([5; 32])],
    }
}

fn text() -> String {
    invitation().to_text().unwrap()
}

#[test]
fn the_first_lines_explain() {
    let text = text();
    assert!(text.starts_with(
        "This invitation lets one device join the record of an instrument.\n\
         Keep it private: whoever holds it can read the record.\n"
    ));
    assert!(text.contains("once, until 2026-09-21T14:13:20Z, as contributor."));
    assert!(text.contains(&keys(1).device().fingerprint()));
    // Short enough for one page, narrow enough for mail.
    assert!(text.lines().count() < 30);
    assert!(text.lines().all(|line| line.len() <= 76), "{text}");
}

#[test]
fn it_survives_mail() {
    let text = text();
    let crlf = text.replace('\n', "\r\n");
    let quoted: String = text.lines().flat_map(|line| ["> > ", line, "  \n"]).collect();
    let spaced: String = text.lines().flat_map(|line| ["\t ", line, "\u{a0}\n\n"]).collect();
    let lower: String = text
        .lines()
        .map(|line| match line.split_once(": ") {
            Some((label @ (KEY | SECRET | INVITE | CHECK), value)) => {
                format!("{label}: {}\n", value.to_lowercase())
            }
            _ => format!("{line}\n"),
        })
        .collect();
    let with_mail = format!("Hello,\nhere it is:\n\n{text}\nSee you on Tuesday\n");
    for text in [crlf, quoted, spaced, lower, with_mail] {
        assert_eq!(Invitation::parse(&text), Ok(invitation()), "{text}");
    }
}

#[test]
fn broken_lines_are_joined() {
    for width in [24, 30, 40, 60] {
        let broken: String = text()
            .lines()
            .map(|line| match line.split_at_checked(width) {
                // Names are broken at blanks, everything else anywhere.
                Some((left, right)) if !line.starts_with("Name") => format!("{left}\n{right}\n"),
                _ => format!("{line}\n"),
            })
            .collect();
        // Breaking the first and last lines of the block itself would hide it.
        let broken =
            broken.replace("Fallaway invitation, for\nmat 1", "Fallaway invitation, format 1");
        assert_eq!(Invitation::parse(&broken), Ok(invitation()), "{broken}");
    }
}

#[test]
fn refusals_are_told_apart() {
    let text = text();
    let edit = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        Invitation::parse(&text.replacen(from, to, 1)).unwrap_err()
    };
    assert_eq!(Invitation::parse("hello"), Err(InvitationError::NotAnInvitation));
    assert_eq!(edit("format 1", "format 2"), InvitationError::Newer("2".to_owned()));
    assert_eq!(edit("End of the", "End of"), InvitationError::Truncated);
    assert!(matches!(edit("Role: contributor", "Role: owner"), InvitationError::Damaged { .. }));
    assert!(matches!(edit("Check: ", "Check: A"), InvitationError::Damaged { .. }));
    let unchecked: String = text.lines().filter(|line| !line.starts_with("Check")).collect();
    assert!(Invitation::parse(&unchecked).is_err());
    let long = "x".repeat(MAX_INVITATION_BYTES + 1);
    assert!(matches!(Invitation::parse(&long), Err(InvitationError::TooLarge(_))));
}

/// Values that are wrong although the checksum is right: written by a faulty or hostile program.
#[test]
fn wrong_values_are_named() {
    let with = |lines: &[(&'static str, &str)]| {
        let check = checksum(lines.iter().copied());
        let mut text = format!("{FIRST_LINE}{FORMAT}\n");
        for (label, value) in lines {
            let _ = writeln!(text, "{label}: {value}");
        }
        let _ = write!(text, "Check: {check}\n{LAST_LINE}\n");
        Invitation::parse(&text).unwrap_err()
    };
    assert_eq!(
        with(&[(EXPIRES, "soon")]),
        InvitationError::Value { label: EXPIRES, expected: EXPECTED_TIME }
    );
    let time = (EXPIRES, "2026-11-25T18:00:00Z");
    assert_eq!(with(&[time, time]), InvitationError::Twice(EXPIRES));
    assert_eq!(with(&[time]), InvitationError::Missing(ROLE));
    let error = with(&[time, (ROLE, "owner"), (RECORD, "AAAA")]);
    assert!(matches!(error, InvitationError::Value { label: RECORD, .. }));
    let error = with(&[(KEY, "1")]);
    assert!(matches!(error, InvitationError::Value { label: KEY, .. }));
}

#[test]
fn fields_that_could_not_be_read_back_are_not_written() {
    let refused = |edit: fn(&mut Invitation)| {
        let mut bad = invitation();
        edit(&mut bad);
        bad.to_text().unwrap_err()
    };
    let label = |error| match error {
        InvitationError::Value { label, .. } => label,
        other => panic!("{other}"),
    };
    assert_eq!(label(refused(|i| i.name = "a\nRole: owner".to_owned())), NAME);
    assert_eq!(label(refused(|i| i.name = "a  b".to_owned())), NAME);
    assert_eq!(label(refused(|i| i.relay = Some("a b".to_owned()))), RELAY);
    assert_eq!(label(refused(|i| i.expires = i64::MAX)), EXPIRES);
    assert_eq!(refused(|i| i.epoch_keys.clear()), InvitationError::Missing(KEY));
    let many = refused(|i| i.epoch_keys = vec![EpochKey::from_bytes([1; 32]); 65]);
    assert!(matches!(many, InvitationError::TooLarge(_)));
}

#[test]
fn it_expires_by_the_callers_clock() {
    assert_eq!(invitation().check_time(1_790_000_000), Ok(()));
    let error = invitation().check_time(1_790_000_001).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the invitation expired at 2026-09-21T14:13:20Z; ask for a new one"
    );
}

#[test]
fn secrets_are_not_shown() {
    let shown = format!("{:?}", invitation());
    assert!(!shown.contains("secret") && !shown.contains("key"), "{shown}");
}

proptest! {
    #[test]
    fn invitations_round_trip(
        bytes in any::<[u8; 32]>(),
        name in "[a-zäé:>.0-9]{1,12}( [a-z|:]{1,12}){0,3}",
        role in prop::sample::select(vec![Role::Owner, Role::Contributor, Role::Viewer]),
        expires in MIN_TIME..=MAX_TIME,
        relay in prop::option::of("[!-~]{1,200}"),
        keys in vec(any::<[u8; 32]>(), 1..4),
    ) {
        prop_assume!(is_label(&name));
        let [half, other]: [[u8; 16]; 2] = bytes.as_chunks().0.try_into().unwrap();
        let invitation = Invitation {
            record: half.into(),
            name,
            role,
            inviter: bytes.into(),
            invite: bytes.into(),
            expires,
            relay,
            secret: InviteSecret::from_bytes(other),
            epoch_keys: keys.into_iter().map(EpochKey::from_bytes).collect(),
        };
        prop_assert_eq!(Invitation::parse(&invitation.to_text().unwrap()), Ok(invitation));
    }

    #[test]
    fn a_changed_letter_is_noticed(place: prop::sample::Index, letter in "[A-Z2-7]") {
        let text = text();
        let start = text.find("Name:").unwrap();
        let end = text.find(LAST_LINE).unwrap();
        let place = start + place.index(end - start);
        let mut changed = text.clone();
        changed.replace_range(place..=place, &letter);
        match Invitation::parse(&changed) {
            Ok(same) => prop_assert_eq!(same, invitation()),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }

    #[test]
    fn any_text_is_read_or_refused(text in "(?s).{0,300}", ours: bool) {
        let text = if ours { format!("{FIRST_LINE}{FORMAT}\n{text}\n{LAST_LINE}") } else { text };
        prop_assert!(Invitation::parse(&text).is_err());
    }

    #[test]
    fn any_labelled_lines_are_refused(values in vec((0..10_usize, "[A-Z2-7:Z -]{0,60}"), 0..15)) {
        let mut text = format!("{FIRST_LINE}{FORMAT}\n");
        for (label, value) in values {
            let _ = writeln!(text, "{}: {value}", Lines::LABELS[label]);
        }
        text.push_str(LAST_LINE);
        prop_assert!(Invitation::parse(&text).is_err());
    }
}
