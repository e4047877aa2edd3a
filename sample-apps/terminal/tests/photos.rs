//! Photos from the command line: in from a file, out to a file, without what a camera says beside the picture.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

mod common;

use std::fs;

use common::Device;

/// A PNG of one black dot (W3C PNG, third edition), its check sums by zlib's `crc32`; the text chunk says where it
/// was taken.
fn dot(with_place: bool) -> Vec<u8> {
    let mut file =
        b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\0\x01\0\0\0\x01\x08\0\0\0\0\x3a\x7e\x9b\x55".to_vec();
    if with_place {
        file.extend(b"\0\0\0\x13tEXtComment\0at the lakeCRCS");
    }
    file.extend(b"\0\0\0\x0aIDAT\x78\x9c\x63\x60\0\0\0\x02\0\x01\x48\xaf\xa4\x71");
    file.extend(b"\0\0\0\0IEND\xae\x42\x60\x82");
    file
}

#[test]
fn a_photo_goes_in_and_comes_out_without_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    fs::write(folder.path().join("nut.png"), dot(true)).unwrap();
    assert!(tech.ok("photo|list").contains("fallaway photo add FILE"));
    tech.ok("remark|nut slot 3 is low");
    let remark = short(&tech.ok("--json|history|--last|1"));
    let added = tech.ok(&format!("photo|add|nut.png|--caption|nut slot 3|--to|{remark}"));
    assert!(added.contains("place, time and camera"), "{added}");
    let listed = tech.ok("photo");
    assert!(listed.contains("nut slot 3") && listed.contains("here"), "{listed}");
    assert!(tech.ok("history").contains("photo: nut slot 3"));
    let shapes: serde_json::Value = serde_json::from_str(&tech.ok("--json|photo|list")).unwrap();
    let photo = &shapes[0];
    assert_eq!((photo["state"].as_str(), photo["bytes"].as_u64()), (Some("here"), Some(67)));
    let name = photo["short"].as_str().unwrap().to_owned();
    tech.ok(&format!("photo|out|{name}|--out|copy.png"));
    assert_eq!(fs::read(folder.path().join("copy.png")).unwrap(), dot(false));
    // Small, for a page or a message: a JPEG (ITU-T T.81, B.1.1.3: it begins with SOI).
    tech.ok(&format!("photo|out|{name}|--out|small.jpg|--side|64"));
    assert!(fs::read(folder.path().join("small.jpg")).unwrap().starts_with(&[0xff, 0xd8]));
    let refused = tech.refused(2, &format!("photo|out|{name}|--out|other.jpg|--side|5000"));
    assert!(refused.contains("2048"), "{refused}");
    // What is there is not written over without a word.
    tech.refused(3, &format!("photo|out|{name}|--out|copy.png"));
    tech.ok(&format!("photo|out|{name}|--out|copy.png|--sure"));
    // What is no photo.
    fs::write(folder.path().join("note.txt"), "a fret").unwrap();
    let refused = tech.refused(2, "photo|add|note.txt");
    assert!(refused.contains("JPEG"), "{refused}");
    tech.refused(1, &format!("photo|out|{remark}|--out|other.png"));
}

fn short(history: &str) -> String {
    let all: serde_json::Value = serde_json::from_str(history).unwrap();
    all[0]["short"].as_str().unwrap().to_owned()
}
