//! Bits of a frame to a whole number.

/// Where a number stands in a frame. Bit 0 is the lowest bit of the first byte, bit 8 the lowest of the second.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) struct Place {
    /// The lowest bit, or with `big_endian` the highest.
    pub(super) start: usize,
    /// One to 64 bits.
    pub(super) length: usize,
    pub(super) big_endian: bool,
}

impl Place {
    /// The number without sign; `None` where the frame is too short for it.
    pub(super) fn raw(self, data: &[u8]) -> Option<u64> {
        let bit = |at: usize| data.get(at / 8).map(|byte| u64::from(byte >> (at % 8) & 1));
        let mut raw = 0;
        if self.big_endian {
            let mut at = self.start;
            for _ in 0..self.length {
                raw = raw << 1 | bit(at)?;
                // Below the lowest bit of a byte follows the highest of the next.
                at = if at.is_multiple_of(8) { at + 15 } else { at - 1 };
            }
        } else {
            for place in 0..self.length {
                raw |= bit(self.start + place)? << place;
            }
        }
        Some(raw)
    }

    /// All bits set, which is how most vehicles say that there is no value.
    pub(super) fn all_ones(self) -> u64 {
        u64::MAX >> (64 - self.length.clamp(1, 64))
    }

    /// The same number with its highest bit as sign.
    pub(super) fn signed(self, raw: u64) -> i64 {
        let unused = 64 - self.length.clamp(1, 64);
        ((raw << unused) as i64) >> unused
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn signs() {
        let place = Place { start: 0, length: 12, big_endian: false };
        assert_eq!((place.signed(0xFFF), place.signed(0x7FF), place.all_ones()), (-1, 2047, 0xFFF));
        let all = Place { length: 64, ..place };
        assert_eq!((all.signed(u64::MAX), all.all_ones()), (-1, u64::MAX));
    }

    proptest! {
        /// The standard library reads whole bytes; so do we.
        #[test]
        fn whole_bytes(data in any::<[u8; 8]>(), byte in 0usize..7) {
            let pair = [data[byte], data[byte + 1]];
            let little = Place { start: 8 * byte, length: 16, big_endian: false };
            let big = Place { start: 8 * byte + 7, length: 16, big_endian: true };
            prop_assert_eq!(little.raw(&data), Some(u64::from(u16::from_le_bytes(pair))));
            prop_assert_eq!(big.raw(&data), Some(u64::from(u16::from_be_bytes(pair))));
            prop_assert_eq!(Place { start: 0, length: 64, big_endian: false }.raw(&data), Some(u64::from_le_bytes(data)));
            prop_assert_eq!(Place { start: 7, length: 64, big_endian: true }.raw(&data), Some(u64::from_be_bytes(data)));
        }

        /// Part of a big-endian frame is a shift of the whole.
        #[test]
        fn parts(data in any::<[u8; 8]>(), skipped in 0usize..63, length in 1usize..64) {
            let length = length.min(64 - skipped);
            let big = Place { start: skipped / 8 * 8 + 7 - skipped % 8, length, big_endian: true };
            let expected = u64::from_be_bytes(data) << skipped >> (64 - length);
            prop_assert_eq!(big.raw(&data), Some(expected));
            let little = Place { start: skipped, length, big_endian: false };
            let expected = u64::from_le_bytes(data) >> skipped & (u64::MAX >> (64 - length));
            prop_assert_eq!(little.raw(&data), Some(expected));
            prop_assert_eq!(little.raw(&data[..(skipped + length - 1) / 8]), None);
        }
    }
}
