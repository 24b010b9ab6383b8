//! Places of a few signs in text, eight bytes at a time.
//!
//! Cells and fields are a few bytes long. A search that is set up again for each of them costs more than it saves, and a look
//! at each byte is guessed wrongly at every end of a cell; here a word of eight bytes is looked at without a branch.

const ONES: u64 = u64::from_ne_bytes([0x01; 8]);
const LOWER_BITS: u64 = u64::from_ne_bytes([0x7F; 8]);
const HIGHEST_BITS: u64 = u64::from_ne_bytes([0x80; 8]);

/// Hands on where one of `signs` stands in `bytes`, from left to right.
pub(crate) fn places<const COUNT: usize>(bytes: &[u8], signs: [u8; COUNT], mut on_place: impl FnMut(usize)) {
    let spread = signs.map(|sign| u64::from(sign) * ONES);
    let (words, rest) = bytes.as_chunks::<8>();
    for (index, word) in words.iter().enumerate() {
        let word = u64::from_le_bytes(*word);
        let others = spread.iter().fold(HIGHEST_BITS, |others, sign| others & not_zero(word ^ sign));
        let mut hits = others ^ HIGHEST_BITS;
        while hits != 0 {
            on_place(8 * index + hits.trailing_zeros() as usize / 8);
            hits &= hits - 1;
        }
    }
    let start = bytes.len() - rest.len();
    let rest = rest.iter().enumerate().filter(|(_, byte)| signs.contains(byte));
    rest.for_each(|(index, _)| on_place(start + index));
}

/// The highest bit of each byte that is not zero, and some bits below; no carry passes from one byte to the next.
fn not_zero(word: u64) -> u64 {
    ((word & LOWER_BITS) + LOWER_BITS) | word
}

/// The value of a hexadecimal digit.
pub(crate) fn hex(digit: u8) -> Option<u8> {
    match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'A'..=b'F' => Some(digit - b'A' + 10),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// A look at each byte as oracle.
        #[test]
        fn places_are_those_of_a_look_at_each_byte(
            bytes in proptest::collection::vec(prop_oneof![Just(b','), Just(b'\n'), Just(b'-'), any::<u8>()], 0..60),
            signs in any::<[u8; 2]>(),
        ) {
            let signs = [b',', b'\n', signs[0], signs[1]];
            let expected: Vec<usize> = (0..bytes.len()).filter(|&at| signs.contains(&bytes[at])).collect();
            let mut found = Vec::new();
            places(&bytes, signs, |at| found.push(at));
            prop_assert_eq!(found, expected);
        }
    }
}
