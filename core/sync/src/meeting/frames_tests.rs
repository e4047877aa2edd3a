use data_encoding::HEXLOWER;
use proptest::prelude::*;

use super::*;

fn state() -> MeetingState {
    let mut state = MeetingState::default();
    state.add_op(&MemberHash::from_bytes([0x11; 32]));
    state.add_writer(Writer::from_bytes([0x22; 16]), 300, ChangeId::from_bytes([0x33; 32]));
    state.add_beside(&ChangeId::from_bytes([0x44; 32]));
    state
}

/// The frames of `docs/sync-protocol.md`: RFC 8949 read by hand, so that a second implementation meets
/// the same bytes.
#[test]
fn the_frames_of_the_document() {
    let device = DeviceId::from_bytes([0xdd; 32]);
    let signature = Signature::from_bytes([0xee; 64]);
    let hello = format!("83015820{}5840{}", "dd".repeat(32), "ee".repeat(64));
    let golden = [
        (Frame::Hello { device, signature }, hello.as_str()),
        (Frame::Part { what: Piece::State, left: 0, bytes: vec![1, 2] }, "84020100420102"),
        (Frame::Part { what: Piece::Bundle, left: 256, bytes: vec![9] }, "84020219010041 09"),
        (Frame::Part { what: Piece::Letter, left: 3, bytes: vec![7] }, "840203034107"),
        (Frame::Turn { more: 24, stranger: true }, "8303181801"),
        (Frame::Bye(Bye::Removed), "820403"),
    ];
    for (frame, hex) in golden {
        let hex = hex.replace(' ', "");
        assert_eq!(HEXLOWER.encode(&frame.encode()), hex);
        assert_eq!(Frame::decode(&HEXLOWER.decode(hex.as_bytes()).unwrap()), Ok(frame));
    }
    let (op, writer) = ("11".repeat(16), "22".repeat(16));
    let (last, beside) = ("33".repeat(32), "44".repeat(16));
    let hex = format!("8350{op}818350{writer}19012c5820{last}50{beside}");
    assert_eq!(HEXLOWER.encode(&state().encode()), hex);
    assert_eq!(MeetingState::decode(&state().encode()), Ok(state()));
}

#[test]
fn what_is_newer_may_be_passed_over_or_not() {
    assert_eq!(Frame::decode(&[0x82, 0x18, 0x40, 0x00]), Ok(Frame::Unknown));
    assert!(Frame::decode(&[0x82, 0x05, 0x00]).is_err());
    assert_eq!(Frame::decode(&[0x82, 0x04, 0x18, 0x63]), Ok(Frame::Bye(Bye::Other)));
}

#[test]
fn a_state_has_one_form() {
    let twice = format!("8358 20{}8040", "11".repeat(32)).replace(' ', "");
    assert!(MeetingState::decode(&HEXLOWER.decode(twice.as_bytes()).unwrap()).is_err());
    // Two hundred million writers are announced, and none comes.
    let announced = HEXLOWER.decode(b"83409a0bebc20040").unwrap();
    assert!(MeetingState::decode(&announced).is_err());
}

proptest! {
    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        if let Ok(frame) = Frame::decode(&bytes) {
            prop_assert!(frame == Frame::Unknown || matches!(frame, Frame::Bye(_))
                || frame.encode() == bytes);
        }
        if let Ok(state) = MeetingState::decode(&bytes) {
            prop_assert_eq!(state.encode(), bytes);
        }
    }
}
