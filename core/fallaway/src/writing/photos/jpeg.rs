//! JPEG files, segment by segment.

use super::number::number;

/// A start of image and the next marker.
pub(super) const BEGIN: [u8; 3] = [0xff, 0xd8, 0xff];
const END: u8 = 0xd9;
const SCAN: u8 = 0xda;
const JFIF: u8 = 0xe0;
const EXIF: u8 = 0xe1;
const ICC: u8 = 0xe2;
const ADOBE: u8 = 0xee;

/// The file without what is not the picture; `None` if it is not in form.
pub(super) fn clean(file: &[u8]) -> Option<Vec<u8>> {
    let mut out = vec![0xff, 0xd8];
    let mut rest = file.get(2..)?;
    let mut upright = None;
    let (mut frame, mut scan, mut said_upright) = (false, false, false);
    loop {
        let (marker, after) = marker(rest)?;
        rest = after;
        if marker == END {
            out.extend([0xff, END]);
            return (frame && scan).then_some(out);
        }
        // Restarts and the start of an image stand in no such place.
        if matches!(marker, 0x00 | 0x01 | 0xd0..=0xd8) {
            return None;
        }
        let length = number(rest.get(..2)?);
        let (segment, after) = rest.split_at_checked(length).filter(|_| length >= 2)?;
        rest = after;
        let body = segment.get(2..)?;
        match marker {
            EXIF => {
                upright = upright.or_else(|| orientation(body));
                continue;
            }
            ICC if !body.starts_with(b"ICC_PROFILE\0") => continue,
            JFIF if !body.starts_with(b"JFIF\0") => continue,
            JFIF | ICC | ADOBE => {}
            // Applications' own, what is reserved, and comments.
            0xe0..=0xfe => continue,
            0xc0..=0xcf if !matches!(marker, 0xc4 | 0xc8 | 0xcc) => frame = true,
            _ => {}
        }
        if marker == JFIF {
            // Without the small picture that may hang on it: it shows what was cut off.
            let head = body.get(..12)?;
            out.extend([0xff, JFIF, 0, 16]);
            out.extend_from_slice(head);
            out.extend([0, 0]);
            continue;
        }
        if !said_upright {
            // After the head of the file, before everything that it is about.
            out.extend(upright.map(exif).unwrap_or_default());
            said_upright = true;
        }
        out.extend([0xff, marker]);
        out.extend_from_slice(segment);
        if marker == SCAN {
            scan = true;
            let length = scan_length(rest)?;
            let (data, after) = rest.split_at_checked(length)?;
            out.extend_from_slice(data);
            rest = after;
        }
    }
}

/// A marker, however many fill bytes stand before it.
fn marker(rest: &[u8]) -> Option<(u8, &[u8])> {
    let (0xff, mut rest) = rest.split_first().map(|(byte, rest)| (*byte, rest))? else {
        return None;
    };
    loop {
        let (byte, after) = rest.split_first()?;
        rest = after;
        if *byte != 0xff {
            return Some((*byte, rest));
        }
    }
}

/// Bytes of coded data up to the next marker that is no restart; `None` if none follows.
fn scan_length(rest: &[u8]) -> Option<usize> {
    rest.windows(2).position(|pair| match pair {
        [0xff, next] => !matches!(next, 0x00 | 0xd0..=0xd7 | 0xff),
        _ => false,
    })
}

/// Which side is up, if Exif says so and it is not as it lies.
fn orientation(body: &[u8]) -> Option<u8> {
    let tiff = body.strip_prefix(b"Exif\0\0")?;
    let little = match tiff.get(..4)? {
        [b'I', b'I', 42, 0] => true,
        [b'M', b'M', 0, 42] => false,
        _ => return None,
    };
    let read = |at: usize, bytes: usize| {
        let mut found = tiff.get(at..at.checked_add(bytes)?)?.to_vec();
        if little {
            found.reverse();
        }
        Some(number(&found))
    };
    let directory = read(4, 4)?;
    let entries = read(directory, 2)?;
    (0..entries).find_map(|entry| {
        let at = directory.checked_add(2)?.checked_add(entry.checked_mul(12)?)?;
        // A short number, one of it.
        if (read(at, 2)?, read(at.checked_add(2)?, 2)?) != (274, 3) {
            return None;
        }
        let value = u8::try_from(read(at.checked_add(8)?, 2)?).ok()?;
        (2..=8).contains(&value).then_some(value)
    })
}

/// An Exif segment that says which side is up and nothing else.
fn exif(upright: u8) -> Vec<u8> {
    let mut out = vec![0xff, EXIF, 0, 34];
    out.extend(b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0");
    out.push(upright);
    out.extend([0; 6]);
    out
}
