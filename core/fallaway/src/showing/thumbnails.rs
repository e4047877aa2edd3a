//! Small pictures of photos, for screens and pages that have no decoder of their own.
//!
//! Whoever wrote a photo's line may be anybody in the record: what a file says of its size is believed only
//! as far as to refuse it.

use std::io::Cursor;

use fallaway_record::EntryId;
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::photos as say;
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageError, ImageReader, Limits, Rgb, RgbImage};

use crate::error::{Error, Result, field};
use crate::instrument::Instrument;

/// Points of the longer side of a small picture.
pub const THUMBNAIL_SIDE: std::ops::RangeInclusive<u32> = 16..=2048;
/// Points of a picture that is decoded: more than any phone takes by default, and 192 MB as three bytes each.
const MAX_POINTS: u64 = 64 << 20;
/// Points of one of its sides.
const MAX_SIDE: u32 = 16_384;
/// Bytes that decoding may take.
const MAX_MEMORY: u64 = 256 << 20;
/// How well a small picture is kept, of 100.
const QUALITY: u8 = 80;

impl Instrument {
    /// A photo made small: a JPEG file whose longer side has at most so many points, the right side up, and
    /// that says nothing but the picture. `None` while the photo is not here. It is decoded anew at each
    /// call: keep it where it is shown.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a side outside of [`THUMBNAIL_SIDE`], and for a photo that is damaged or says
    /// that it has more than 64 million points, or more than 16,384 at a side; that is asked before anything
    /// is decoded. As [`Instrument::photo_bytes`].
    pub fn photo_thumbnail(&self, entry: EntryId, longest_side: u32) -> Result<Option<Vec<u8>>> {
        if !THUMBNAIL_SIDE.contains(&longest_side) {
            return Err(Error::bad_input(
                field("side"),
                say::thumbnail_side(longest_side),
                Accepted::between(*THUMBNAIL_SIDE.start() as usize, *THUMBNAIL_SIDE.end() as usize),
            ));
        }
        let Some(file) = self.photo_bytes(entry)? else { return Ok(None) };
        small(&file, longest_side).map(Some)
    }
}

fn refused(reason: fallaway_text::Phrase) -> Error {
    let accepted = Accepted::nothing(NothingAccepted::OtherFile).said(say::decoded_accepted());
    Error::bad_input(field("photo"), reason, accepted)
}

fn broken(error: &ImageError) -> Error {
    match error {
        ImageError::Limits(_) => refused(say::too_many_points()),
        _ => refused(say::broken()),
    }
}

fn small(file: &[u8], longest_side: u32) -> Result<Vec<u8>> {
    let mut reader = ImageReader::new(Cursor::new(file))
        .with_guessed_format()
        .map_err(|_| refused(say::broken()))?;
    let mut limits = Limits::no_limits();
    limits.max_image_width = Some(MAX_SIDE);
    limits.max_image_height = Some(MAX_SIDE);
    limits.max_alloc = Some(MAX_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|error| broken(&error))?;
    let (width, height) = decoder.dimensions();
    let points = u64::from(width) * u64::from(height);
    if points > MAX_POINTS || width.max(height) > MAX_SIDE || decoder.total_bytes() > MAX_MEMORY {
        return Err(refused(say::too_many_points()));
    }
    let upright = decoder.orientation().map_err(|error| broken(&error))?;
    let picture = DynamicImage::from_decoder(decoder).map_err(|error| broken(&error))?;
    let mut picture = if width.max(height) > longest_side {
        picture.thumbnail(longest_side, longest_side)
    } else {
        picture
    };
    picture.apply_orientation(upright);
    let mut out = Vec::new();
    let written =
        on_white(&picture).write_with_encoder(JpegEncoder::new_with_quality(&mut out, QUALITY));
    written.map_err(|error| Error::internal("thumbnail", error))?;
    Ok(out)
}

/// JPEG knows nothing that shines through.
fn on_white(picture: &DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.to_rgb8();
    }
    let clear = picture.to_rgba8();
    RgbImage::from_fn(clear.width(), clear.height(), |x, y| {
        let [colours @ .., alpha] = clear.get_pixel(x, y).0;
        let over = |colour: u8| {
            let (colour, alpha) = (u32::from(colour), u32::from(alpha));
            u8::try_from((colour * alpha + 255 * (255 - alpha) + 127) / 255).unwrap_or(u8::MAX)
        };
        Rgb(colours.map(over))
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

    use image::{ImageFormat, RgbaImage};

    use super::*;

    const BASELINE: &[u8] = include_bytes!("../../tests/pictures/baseline.jpg");
    const PROGRESSIVE: &[u8] = include_bytes!("../../tests/pictures/progressive.jpg");
    const PALETTE: &[u8] = include_bytes!("../../tests/pictures/palette.png");

    fn decoded(file: &[u8]) -> RgbImage {
        image::load_from_memory_with_format(file, ImageFormat::Jpeg).unwrap().to_rgb8()
    }

    fn png(picture: &RgbaImage) -> Vec<u8> {
        let mut file = Cursor::new(Vec::new());
        picture.write_to(&mut file, ImageFormat::Png).unwrap();
        file.into_inner()
    }

    /// What the file says is believed only to refuse it: header of a PNG (W3C, third edition, 11.2.1) with
    /// other numbers, and frame header of a JPEG (ITU-T T.81, B.2.2).
    #[test]
    fn what_says_that_it_is_huge_is_refused_before_it_is_decoded() {
        let too_many = say::too_many_points().to_string();
        let reason = |file: &[u8]| match small(file, 200) {
            Err(Error::BadInput { reason, .. }) => reason.to_string(),
            other => format!("{other:?}"),
        };
        let mut huge = Vec::from(&b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR"[..]);
        let mut header = Vec::from(&b"IHDR"[..]);
        for side in [60_000_u32, 60_000] {
            huge.extend(side.to_be_bytes());
            header.extend(side.to_be_bytes());
        }
        huge.extend([8, 2, 0, 0, 0]);
        header.extend([8, 2, 0, 0, 0]);
        huge.extend(crc32(&header).to_be_bytes());
        huge.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e");
        assert_eq!(reason(&huge), too_many);
        let frame = BASELINE.windows(2).position(|two| two == [0xff, 0xc0]).unwrap();
        let mut wide = BASELINE.to_vec();
        wide[frame + 5..frame + 9].copy_from_slice(&[0xea, 0x60, 0xea, 0x60]);
        assert_eq!(reason(&wide), too_many);
        assert_eq!(reason(&BASELINE[..100]), say::broken().to_string());
    }

    /// ISO 3309, as PNG annex D has it.
    fn crc32(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(u32::MAX, |crc, byte| {
            (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
                if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 }
            })
        })
    }

    #[test]
    fn a_small_picture_is_as_large_as_asked_the_right_side_up_and_says_nothing_else() {
        // As they came: the Exif of each says 6, the PNG's too.
        for (file, turned) in [(BASELINE, true), (PROGRESSIVE, true), (PALETTE, true)] {
            let whole = image::load_from_memory(file).unwrap();
            let (width, height) = (whole.width(), whole.height());
            let thumbnail = small(file, 16).unwrap();
            assert!(!thumbnail.windows(7).any(|seven| seven == b"planted"));
            assert!(!thumbnail.windows(4).any(|four| four == b"Exif" || four == b"http"));
            let shown = decoded(&thumbnail);
            assert_eq!(shown.width().max(shown.height()), 16.min(width.max(height)));
            // Exif 2.32, tag 274: 6 stands on its side.
            let is_wide = shown.width() > shown.height();
            if width != height {
                assert_eq!(is_wide, (width > height) != turned);
            }
        }
    }

    #[test]
    fn what_is_clear_stands_on_white_and_what_is_small_stays() {
        let half = RgbaImage::from_pixel(40, 20, image::Rgba([0, 0, 0, 128]));
        let shown = decoded(&small(&png(&half), 200).unwrap());
        assert_eq!((shown.width(), shown.height()), (40, 20));
        let [red, ..] = shown.get_pixel(20, 10).0;
        assert!((125..=130).contains(&red), "{red}");
        let clear = RgbaImage::from_pixel(40, 20, image::Rgba([0, 0, 0, 0]));
        assert!(decoded(&small(&png(&clear), 16).unwrap()).get_pixel(5, 4).0 > [250, 250, 250]);
    }

    #[test]
    fn a_bent_file_is_refused_or_shown_and_nothing_fails() {
        for file in [BASELINE, PROGRESSIVE, PALETTE] {
            for at in (0..file.len()).step_by(7) {
                let mut bent = file.to_vec();
                bent[at] ^= 0xff;
                let _ = small(&bent, 32);
            }
        }
    }
}
