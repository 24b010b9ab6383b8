//! The sheet code: what a paper carries to be held against an export later, to be typed from it or scanned.
//!
//! ```text
//! byte  0        1..5             5..13              13..45           45..109
//!       1, form  count of entries first of the head  public key       signature
//! ```
//! The count has its highest byte first. The 872 bits are written five at a time, the highest first, in 32 letters and
//! digits without I, L, O and U, filled up with zeros: eight rows of 22. Behind each row stand two more for its check, so
//! that a slip is told with its row: CRC-10 (x^10 + x^9 + x^5 + x^4 + x + 1, from zero), fed with the number of the row from 1 and the
//! 22 values of five bits. It finds every wrong letter and every exchange of two neighbours: none of them is longer than ten bits.

use crate::problem::{Problem, Problems};

/// Bytes of the head's hash in it: the digits that a foot of a paper shows.
pub(super) const HEAD_BYTES: usize = 8;
const FORM: u8 = 1;
const BYTES: usize = 1 + 4 + HEAD_BYTES + 32 + 64;
const LETTERS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const IN_GROUP: usize = 4;
/// Letters of a row, and of these the ones that hold the code.
const ROW: usize = 24;
const HELD: usize = 22;
const ROWS: usize = (BYTES * 8).div_ceil(5 * HELD);
/// The lower ten coefficients of the check's polynomial.
const POLYNOMIAL: u16 = 0x233;

/// What stands in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetCode {
    /// How many entries the record had.
    pub entries: u32,
    /// How the hash of the last began.
    pub head_begins: [u8; HEAD_BYTES],
    /// The public part of the key.
    pub key: [u8; 32],
    /// The signature.
    pub signature: [u8; 64],
}

impl SheetCode {
    /// As it is printed: rows of six groups of four.
    pub fn rows(&self) -> Vec<String> {
        let mut values = fives(&self.bytes());
        values.resize(ROWS * HELD, 0);
        let rows = values.chunks(HELD).enumerate();
        rows.map(|(row, held)| {
            let check = check(row, held);
            let ends = [(check >> 5) as u8, (check & 31) as u8];
            let letters: Vec<char> = held.iter().chain(&ends).map(|value| letter(*value)).collect();
            let groups: Vec<String> = letters.chunks(IN_GROUP).map(|group| group.iter().collect()).collect();
            groups.join(" ")
        })
        .collect()
    }

    /// What was typed: blanks and dashes anywhere, small letters too, I and L for 1, O for 0; the numbers that stand before the rows on the
    /// sheet may be there or not. All slips at once.
    pub fn read(text: &str) -> Result<Self, Problems> {
        let mut typed: Vec<char> = Vec::new();
        for word in text.split_whitespace() {
            let begins_a_row = typed.len().is_multiple_of(ROW);
            if !(begins_a_row && word == (typed.len() / ROW + 1).to_string()) {
                typed.extend(word.chars().filter(|c| *c != '-'));
            }
        }
        let values: Vec<Option<u8>> = typed.iter().map(|c| value(*c)).collect();
        let mut problems: Vec<Problem> = typed
            .iter()
            .zip(&values)
            .enumerate()
            .filter(|(_, (_, value))| value.is_none())
            .map(stranger)
            .collect();
        if typed.len() != ROWS * ROW {
            let expected = format!("{} letters and digits, {ROWS} rows of {ROW}", ROWS * ROW);
            let problem = Problem::error("sheet code", expected, format!("{}", typed.len()));
            problems.push(
                problem.hint("Something was left out or typed twice. Hold it against the sheet row by row."),
            );
        }
        if !problems.is_empty() {
            return Err(problems.into());
        }
        let values: Vec<u8> = values.into_iter().flatten().collect();
        let slips: Vec<Problem> =
            values.chunks(ROW).enumerate().filter_map(|(row, all)| slip(row, all)).collect();
        if !slips.is_empty() {
            return Err(slips.into());
        }
        let held: Vec<u8> = values.chunks(ROW).flat_map(|row| row.iter().take(HELD).copied()).collect();
        Self::of_bytes(&eights(&held)).ok_or_else(|| {
            let problem = Problem::error("sheet code", "the form that this version knows, 1", "another one");
            Problems::from(problem.hint("It was made by a newer version. Take that one to check it."))
        })
    }

    fn bytes(&self) -> Vec<u8> {
        [&[FORM], &self.entries.to_be_bytes()[..], &self.head_begins, &self.key, &self.signature].concat()
    }

    fn of_bytes(bytes: &[u8]) -> Option<Self> {
        let (form, rest) = bytes.split_first()?;
        let (entries, rest) = rest.split_first_chunk::<4>()?;
        let (head_begins, rest) = rest.split_first_chunk::<HEAD_BYTES>()?;
        let (key, rest) = rest.split_first_chunk::<32>()?;
        let signature = rest.first_chunk::<64>()?;
        (*form == FORM).then_some(Self {
            entries: u32::from_be_bytes(*entries),
            head_begins: *head_begins,
            key: *key,
            signature: *signature,
        })
    }
}

fn letter(value: u8) -> char {
    LETTERS.get(usize::from(value)).map_or('0', |letter| char::from(*letter))
}

fn value(typed: char) -> Option<u8> {
    let meant = match typed.to_ascii_uppercase() {
        'I' | 'L' => '1',
        'O' => '0',
        other => other,
    };
    LETTERS.iter().position(|letter| char::from(*letter) == meant).and_then(|place| u8::try_from(place).ok())
}

fn stranger((place, (typed, _)): (usize, (&char, &Option<u8>))) -> Problem {
    let at = format!("row {}, group {}", place / ROW + 1, place % ROW / IN_GROUP + 1);
    let expected = "digits, and letters without I, L, O and U";
    Problem::error("sheet code", expected, format!("`{typed}`"))
        .in_part(at)
        .hint("Look at that group once more.")
}

fn slip(row: usize, values: &[u8]) -> Option<Problem> {
    let (held, ends) = values.split_at(HELD.min(values.len()));
    let expected = check(row, held);
    let is_right = ends == [(expected >> 5) as u8, (expected & 31) as u8];
    (!is_right).then(|| {
        let problem = Problem::error("sheet code", "a row as it was printed", "a wrong letter in it");
        problem.in_part(format!("row {}", row + 1)).hint("Hold that row against the sheet once more.")
    })
}

/// The check of a row, from 0, and the values that it holds.
fn check(row: usize, held: &[u8]) -> u16 {
    let number = u8::try_from(row + 1).unwrap_or(u8::MAX);
    let bits = std::iter::once(&number)
        .chain(held)
        .flat_map(|value| (0..5).rev().map(move |bit| value >> bit & 1 == 1));
    crc_10(bits)
}

fn crc_10(bits: impl Iterator<Item = bool>) -> u16 {
    bits.fold(0, |crc, bit| {
        let goes_out = (crc >> 9 & 1 == 1) != bit;
        let shifted = crc << 1 & 0x3ff;
        if goes_out { shifted ^ POLYNOMIAL } else { shifted }
    })
}

fn fives(bytes: &[u8]) -> Vec<u8> {
    regrouped(bytes, 8, 5)
}

fn eights(values: &[u8]) -> Vec<u8> {
    regrouped(values, 5, 8)
}

/// The same bits in groups of another length, the last one filled up with zeros.
fn regrouped(values: &[u8], from: usize, to: usize) -> Vec<u8> {
    let bits: Vec<u8> =
        values.iter().flat_map(|value| (0..from).rev().map(move |bit| value >> bit & 1)).collect();
    let group =
        |bits: &[u8]| (0..to).fold(0, |value, place| value << 1 | bits.get(place).copied().unwrap_or(0));
    bits.chunks(to).map(group).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code() -> SheetCode {
        let mut signature = [0; 64];
        signature.iter_mut().enumerate().for_each(|(place, byte)| *byte = place as u8 ^ 0x5a);
        SheetCode { entries: 70_000, head_begins: [0xff, 1, 2, 3, 4, 5, 6, 0xfe], key: [7; 32], signature }
    }

    #[test]
    fn the_check_is_the_one_of_the_catalogue() {
        // CRC-10 of the digits 1 to 9 in ASCII, as the catalogues of such checks list it (0x199; from memory).
        let bits = b"123456789".iter().flat_map(|byte| (0..8).rev().map(move |bit| byte >> bit & 1 == 1));
        assert_eq!(crc_10(bits), 0x199);
    }

    #[test]
    fn what_is_printed_is_read_back() {
        let rows = code().rows();
        assert_eq!(rows.len(), 8);
        assert!(
            rows.iter().all(|row| row.len() == 29 && row.split(' ').all(|group| group.len() == 4)),
            "{rows:?}"
        );
        let printed = rows.join("\n");
        assert_eq!(SheetCode::read(&printed), Ok(code()));
        let sloppy = printed.to_lowercase().replace('0', "o").replace('1', "l").replace(' ', "-");
        assert_eq!(SheetCode::read(&sloppy), Ok(code()));
        let numbered: Vec<String> =
            rows.iter().zip(1..).map(|(row, number)| format!("{number}  {row}")).collect();
        assert_eq!(SheetCode::read(&numbered.join("\n")), Ok(code()));
    }

    #[test]
    fn every_wrong_letter_and_every_exchange_of_neighbours_is_told_with_its_row() {
        let printed: Vec<u8> = code().rows().concat().replace(' ', "").into_bytes();
        let told = |typed: &[u8], row: usize| {
            let problems = SheetCode::read(std::str::from_utf8(typed).unwrap()).unwrap_err();
            let parts: Vec<_> = problems.iter().filter_map(|problem| problem.part.clone()).collect();
            assert_eq!(parts, [crate::problem::Wording::from(format!("row {}", row + 1))]);
        };
        for place in 0..printed.len() {
            for letter in LETTERS.iter().filter(|letter| **letter != printed[place]) {
                let mut typed = printed.clone();
                typed[place] = *letter;
                told(&typed, place / ROW);
            }
            let next = place + 1;
            if next % ROW != 0 && printed[place] != printed[next] {
                let mut typed = printed.clone();
                typed.swap(place, next);
                told(&typed, place / ROW);
            }
        }
    }

    #[test]
    fn other_slips_are_told() {
        let rows = code().rows();
        let told = |text: &str| -> Vec<String> {
            SheetCode::read(text).unwrap_err().iter().map(ToString::to_string).collect()
        };
        let short = &rows.join(" ")[1..];
        assert!(told(short)[0].contains("191"), "{:?}", told(short));
        let mut exchanged = rows.clone();
        exchanged.swap(2, 5);
        let found = told(&exchanged.concat());
        assert!(found.len() == 2 && found[0].contains("row 3") && found[1].contains("row 6"), "{found:?}");
        let strange = rows.concat().replacen(char::is_alphanumeric, "%", 1);
        assert!(told(&strange)[0].contains("row 1, group 1"), "{:?}", told(&strange));
        assert!(told("").len() == 1);
    }
}
