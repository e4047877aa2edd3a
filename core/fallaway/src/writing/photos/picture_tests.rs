//! The pictures were made with Pillow 13 and piexif 1.1: a plain JPEG with a colour profile, which has restarts, a
//! progressive one, and a PNG with a palette. Everywhere that a file can hold more than its picture they say
//! "planted-": Exif, XMP, IPTC, a second picture, a comment, texts plain and packed, bytes behind the end.

use super::picture::{NoPicture, Picture, clean};

const BASELINE: &[u8] = include_bytes!("../../../tests/pictures/baseline.jpg");
const PROGRESSIVE: &[u8] = include_bytes!("../../../tests/pictures/progressive.jpg");
const PALETTE: &[u8] = include_bytes!("../../../tests/pictures/palette.png");

fn holds(bytes: &[u8], text: &[u8]) -> bool {
    bytes.windows(text.len()).any(|window| window == text)
}

fn cleaned(file: &[u8]) -> Picture {
    let picture = clean(file).unwrap();
    assert!(holds(file, b"planted-") && !holds(&picture.bytes, b"planted"));
    assert_eq!(clean(&picture.bytes).as_ref(), Ok(&picture), "it is clean already");
    picture
}

fn hash(picture: &Picture) -> String {
    blake3::hash(&picture.bytes).to_hex().to_string()
}

/// Pillow reads the same pixels out of these as out of the files they come from; of the JPEGs orientation 6 as the
/// only field of Exif, and the colour profile of the one that has it.
#[test]
fn what_is_not_the_picture_goes_and_the_picture_stays() {
    let (plain, progressive, palette) = (cleaned(BASELINE), cleaned(PROGRESSIVE), cleaned(PALETTE));
    assert_eq!(hash(&plain), "cf1386018524d686348109d3931ae00ac256338f481da7a5e2a1cd53178fd216");
    assert_eq!(
        hash(&progressive),
        "24bf70e065c433f97a525882eea21d218102619e1b5f928e4c458a70231c59ec"
    );
    assert_eq!(hash(&palette), "7442aa3d03ef1d71e0e9727c9927b4d5947a05e073f852aa492020cf55693d26");
    let types = [&plain, &progressive, &palette].map(|picture| picture.media_type);
    assert_eq!(types, ["image/jpeg", "image/jpeg", "image/png"]);
    assert!(holds(&plain.bytes, b"ICC_PROFILE"));
    let upright = b"\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06";
    assert!(holds(&plain.bytes, upright) && holds(&progressive.bytes, upright));
}

#[test]
fn other_files_and_broken_ones_are_refused() {
    for other in [&b"GIF89a"[..], b"\xff\xd8", b"RIFF\0\0\0\0WEBP", b"%PDF-1.7", b"a fret"] {
        assert_eq!(clean(other), Err(NoPicture::OtherKind));
    }
    for file in [BASELINE, PROGRESSIVE, PALETTE] {
        let whole = clean(file).unwrap().bytes;
        // Wherever a clean file is cut, it is no whole picture, and nothing fails.
        for cut in 8..whole.len() {
            assert_eq!(clean(&whole[..cut]), Err(NoPicture::Broken), "{cut}");
        }
        // Whatever one byte is, nothing fails.
        for at in 0..file.len() {
            for value in [0, 0x7f, 0xff] {
                let mut bent = file.to_vec();
                bent[at] = value;
                let _ = clean(&bent);
            }
        }
    }
}
