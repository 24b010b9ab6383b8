//! What stands between the cells, found from the first lines.

use core::ops::Range;

/// Lines looked at to find the separator.
const LINES_LOOKED_AT: usize = 60;
/// Signs that part cells. Between equals a tab comes before a semicolon and that before a comma, because a comma may be a decimal
/// mark; a bar comes last, because it is drawn as a line too.
const SIGNS: [u8; 4] = *b"|,;\t";

/// Lines below a header in which numbers are looked for: one may hold units.
const ROWS_BELOW: usize = 3;

/// What stands between two cells.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Separator {
    /// This sign.
    Sign(u8),
    /// Blanks, at least so many: columns aligned by eye. Empty cells cannot be told.
    Blanks(usize),
}

/// The separator by which one of the first lines is a header, the one that stands equally often in most lines first; blanks only
/// where no sign makes a header.
pub(super) fn find_separator(text: &str, is_header: impl Fn(&[&str]) -> bool) -> Separator {
    let lines: Vec<&str> =
        text.lines().filter(|line| !line.trim().is_empty()).take(LINES_LOOKED_AT).collect();
    let agreement = |separator: u8| {
        let counts: Vec<usize> = lines.iter().map(|line| count_unquoted(line, separator)).collect();
        let equal = |count: usize| counts.iter().filter(|&&other| other == count).count();
        counts.iter().filter(|&&count| count > 0).map(|&count| equal(count)).max().unwrap_or(0)
    };
    // A stable sort leaves equals in the order of the signs, and the last is the best.
    let mut signs = SIGNS.map(|sign| (agreement(sign), sign));
    signs.sort_by_key(|(agreement, _)| *agreement);
    let found: Vec<u8> =
        signs.iter().rev().filter(|(agreement, _)| *agreement > 0).map(|(_, sign)| *sign).collect();
    let by_sign = |sign: &u8| {
        lines.iter().any(|line| {
            let cells: Vec<&str> =
                line.split(char::from(*sign)).map(|cell| cell.trim().trim_matches('"')).collect();
            is_header(&cells)
        })
    };
    if let Some(sign) = found.iter().find(|sign| by_sign(sign)) {
        return Separator::Sign(*sign);
    }
    let cells_of = |line: &&str, least: usize| -> Vec<String> {
        let mut bounds = Vec::new();
        cells_between_blanks(line, 0, least, &mut bounds);
        bounds.iter().map(|cell| line[cell.clone()].to_owned()).collect()
    };
    let by_blanks = |least: usize| {
        (0..lines.len()).any(|index| {
            let names = cells_of(&lines[index], least);
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            // A sentence may hold two such words; below a header stand numbers.
            is_header(&names)
                && lines[index + 1..].iter().take(ROWS_BELOW).any(|line| {
                    let cells = cells_of(line, least);
                    let numbers = cells.iter().filter(|cell| cell.starts_with(|c: char| c.is_ascii_digit()));
                    cells.len() >= names.len() && numbers.count() >= 2
                })
        })
    };
    match [2, 1].into_iter().find(|least| by_blanks(*least)) {
        Some(least) => Separator::Blanks(least),
        None => Separator::Sign(found.first().copied().unwrap_or(b',')),
    }
}

/// Where the cells of a line stand that begins at `start` of a text. A mark of a comment before them is none of them, and a unit
/// in brackets belongs to the name before it.
pub(super) fn cells_between_blanks(line: &str, start: usize, least: usize, bounds: &mut Vec<Range<usize>>) {
    bounds.clear();
    let is_blank = |byte: u8| byte == b' ' || byte == b'\t';
    let bytes = line.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let blanks = bytes[at..].iter().take_while(|byte| is_blank(**byte)).count();
        let (from, parts) =
            (at + blanks, blanks >= least || at == 0 || bytes[at..at + blanks].contains(&b'\t'));
        let signs = bytes[from..].iter().take_while(|byte| !is_blank(**byte)).count();
        at = from + signs;
        if signs == 0 {
            break;
        }
        let cell = start + from..start + at;
        let is_unit = |byte: u8| byte == b'(' || byte == b'[';
        let after_name = bounds.last().is_some_and(|before| !is_unit(bytes[before.start - start]));
        let is_comment = bounds.is_empty() && matches!(&bytes[from..at], b"#" | b"%");
        match bounds.last_mut() {
            Some(before) if !parts || (is_unit(bytes[from]) && after_name) => before.end = cell.end,
            _ if is_comment => {}
            _ => bounds.push(cell),
        }
    }
}

fn count_unquoted(line: &str, separator: u8) -> usize {
    let mut quoted = false;
    line.bytes()
        .filter(|&byte| {
            quoted ^= byte == b'"';
            byte == separator && !quoted
        })
        .count()
}

#[cfg(test)]
mod tests {
    use super::super::columns::Header;
    use super::super::options::CsvOptions;
    use super::*;

    fn check(text: &str, expected: Separator) {
        let options = CsvOptions::default();
        let found = find_separator(text, |cells| Header::new(cells, &options).is_some());
        assert_eq!(found, expected, "{text}");
    }

    #[test]
    fn signs() {
        let sign = |text, sign| check(text, Separator::Sign(sign));
        sign("time,speed\n1,2\n3,4\n", b',');
        sign("time;speed\n1,5;2,5\n3,5;4,5\n", b';');
        sign("time\tspeed\n1,5\t2,5\n", b'\t');
        sign("\"a;b\",c\n\"1;2\",3\n", b',');
        sign("one column\n1\n2\n", b',');
        sign("", b',');
        sign("my log; a drive\ntime,lat,lon\n1,2,3\n2,3,4\n3,4,5\n", b',');
        sign("time|lat|lon\n1|2,5|3,5\n2|3|4\n", b'|');
        sign("| time | lat |\n|---|---|\n| 1 | 2 |\n", b'|');
        // Dates beside times have a blank in every line, and rows of different length no common number of commas.
        sign(
            "time,gps speed,lat\n2019-05-24 11:50:21,1\n2019-05-24 11:50:22,1,2\n2019-05-24 11:50:23,,\n",
            b',',
        );
        // Decimal commas in every line but the first.
        sign("time;speed\n1;2,5\n3;4,5\n5;6\n", b';');
    }

    #[test]
    fn blanks() {
        check("time lat lon speed\n1 2 3 4\n", Separator::Blanks(1));
        check("time lat lon\n1,5 2,5 3,5\n2,5 3,5 4,5\n", Separator::Blanks(1));
        check("  time    lat   GPS speed\n  1.0   2.0       3.0\n", Separator::Blanks(2));
        check("# time lat (deg)\n1 2\n", Separator::Blanks(1));
    }

    #[test]
    fn cells() {
        let check = |line: &str, least, expected: &[&str]| {
            let text = format!("ab\n{line}");
            let mut bounds = Vec::new();
            cells_between_blanks(line, 3, least, &mut bounds);
            let found: Vec<&str> = bounds.iter().map(|cell| &text[cell.clone()]).collect();
            assert_eq!(found, expected, "{line}");
        };
        check(" a  b c ", 1, &["a", "b", "c"]);
        check(" a  b c ", 2, &["a", "b c"]);
        check("a\tb c", 2, &["a", "b c"]);
        check("# a (s) b [m]", 1, &["a (s)", "b [m]"]);
        check("(s) (m)", 1, &["(s)", "(m)"]);
        check("", 1, &[]);
        check("   ", 1, &[]);
    }
}
