//! Secrets as they are typed and sent.

/// Bytes as hexadecimal digits.
pub fn digits(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
