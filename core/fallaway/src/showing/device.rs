//! A device, as others see it.

/// A device, as others see it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceInfo {
    /// The name that it gave itself, such as "tech".
    pub label: String,
    /// A short text that two people can compare aloud; it names the device's key.
    pub fingerprint: String,
}
