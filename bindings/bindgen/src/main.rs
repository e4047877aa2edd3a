//! The generator of UniFFI, in the very version that the library is built with.
#![forbid(unsafe_code)]

fn main() {
    uniffi::uniffi_bindgen_main();
}
