//! PNG files, chunk by chunk.

use super::number::number;

/// The signature of the format.
pub(super) const BEGIN: [u8; 8] = *b"\x89PNG\r\n\x1a\n";

/// The chunks that show a picture: header, palette, data, end, transparency and colours, size of a dot.
const KEPT: [&[u8; 4]; 13] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB",
    b"cICP", b"bKGD", b"pHYs",
];

/// The file without what is not the picture; `None` if it is not in form.
pub(super) fn clean(file: &[u8]) -> Option<Vec<u8>> {
    let mut out = BEGIN.to_vec();
    let mut rest = file.strip_prefix(&BEGIN)?;
    let (mut first, mut data) = (true, false);
    loop {
        let length = number(rest.get(..4)?);
        let name: &[u8; 4] = rest.get(4..8)?.try_into().ok()?;
        // Length, name, data, and a check sum over both.
        let (chunk, after) = rest.split_at_checked(length.checked_add(12)?)?;
        rest = after;
        if first != (name == b"IHDR") {
            return None;
        }
        first = false;
        data |= name == b"IDAT";
        if KEPT.contains(&name) {
            out.extend_from_slice(chunk);
        } else if name.first().is_some_and(u8::is_ascii_uppercase) {
            // Nobody could show it without.
            return None;
        }
        if name == b"IEND" {
            return data.then_some(out);
        }
    }
}
