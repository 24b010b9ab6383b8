//! A cursor over the text of a size: one character at a time, spaces forgiven, the place kept for messages.

/// Where reading stopped and what would have been right there.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Failure {
    /// Index of the character, counted from 0.
    pub at: usize,
    /// What was expected there.
    pub expected: String,
}

/// A number as typed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Number {
    /// Index of its first digit.
    pub at: usize,
    /// Its digits.
    pub text: String,
    /// Its value.
    pub value: f64,
    /// Whether it has a decimal point.
    pub has_point: bool,
    /// One unit of its last digit.
    pub step: f64,
}

/// The text in one manner of writing: capitals, plain spaces, dashes, crosses and inch marks.
pub(super) fn clean(text: &str) -> Vec<char> {
    text.chars().map(clean_char).collect()
}

fn clean_char(c: char) -> char {
    match c {
        '\u{d7}' | '\u{2715}' | '*' => 'X',
        // A size holds no lists: between digits it is a decimal comma.
        ',' => '.',
        '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
        '\u{2033}' | '\u{201d}' | '\u{201c}' => '"',
        '\u{2044}' | '\u{2215}' => '/',
        c if c.is_whitespace() => ' ',
        c => c.to_ascii_uppercase(),
    }
}

/// The cursor. Copying it is how to look ahead.
#[derive(Copy, Clone)]
pub(super) struct Scan<'a> {
    chars: &'a [char],
    /// Index of the next character.
    pub at: usize,
}

impl<'a> Scan<'a> {
    pub fn new(chars: &'a [char]) -> Self {
        Self { chars, at: 0 }
    }

    /// The next character as it stands, a space included.
    pub fn peek(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }

    pub fn skip_spaces(&mut self) {
        while self.peek() == Some(' ') {
            self.at += 1;
        }
    }

    /// Whether only spaces are left.
    pub fn is_done(&self) -> bool {
        self.chars[self.at.min(self.chars.len())..].iter().all(|c| *c == ' ')
    }

    /// Takes `word` if it comes next, spaces before it forgiven.
    pub fn take(&mut self, word: &str) -> bool {
        let mut ahead = *self;
        ahead.skip_spaces();
        let end = ahead.at + word.chars().count();
        let fits = self.chars.get(ahead.at..end).is_some_and(|found| found.iter().copied().eq(word.chars()));
        if fits {
            self.at = end;
        }
        fits
    }

    /// Takes `word` if it comes next and does not run on into more letters or digits.
    pub fn take_whole(&mut self, word: &str) -> bool {
        let mut ahead = *self;
        let fits = ahead.take(word) && !ahead.peek().is_some_and(char::is_alphanumeric);
        if fits {
            *self = ahead;
        }
        fits
    }

    /// Takes one character out of `set`, spaces before it forgiven.
    pub fn take_any(&mut self, set: &str) -> Option<char> {
        let mut ahead = *self;
        ahead.skip_spaces();
        let found = ahead.peek().filter(|c| set.contains(*c))?;
        self.at = ahead.at + 1;
        Some(found)
    }

    /// Takes a decimal number of at most [`LONGEST_NUMBER`] characters, spaces before it forgiven.
    pub fn number(&mut self) -> Option<Number> {
        let mut ahead = *self;
        ahead.skip_spaces();
        let at = ahead.at;
        let digits = ahead.digits();
        let has_point = digits > 0 && ahead.point_and_digits();
        let text: String = self.chars[at..ahead.at].iter().collect();
        let value = text.parse().ok().filter(|_| text.len() <= LONGEST_NUMBER)?;
        self.at = ahead.at;
        let decimals = text.split_once('.').map_or(0, |(_, after)| after.len());
        let step = 10f64.powi(-i32::try_from(decimals).unwrap_or(0));
        Some(Number { at, text, value, has_point, step })
    }

    fn digits(&mut self) -> usize {
        let start = self.at;
        while self.peek().is_some_and(|c| c.is_ascii_digit()) {
            self.at += 1;
        }
        self.at - start
    }

    fn point_and_digits(&mut self) -> bool {
        let mut ahead = *self;
        if ahead.peek() != Some('.') {
            return false;
        }
        ahead.at += 1;
        let has_digits = ahead.digits() > 0;
        if has_digits {
            *self = ahead;
        }
        has_digits
    }

    /// A failure at the next character that is not a space.
    pub fn fail<T>(&self, expected: impl Into<String>) -> Result<T, Failure> {
        let mut ahead = *self;
        ahead.skip_spaces();
        Err(Failure { at: ahead.at, expected: expected.into() })
    }

    /// A number between the ends, or a failure that says so.
    pub fn number_within(&mut self, what: &str, low: f64, high: f64) -> Result<Number, Failure> {
        let expected = format!("{what} from {low} to {high}");
        let mut ahead = *self;
        let Some(number) = ahead.number() else { return self.fail(expected) };
        if number.value < low || number.value > high {
            return self.fail(expected);
        }
        *self = ahead;
        Ok(number)
    }
}

/// The longest number in any size is the likes of `12.50`; a diameter in mm may have decimals.
const LONGEST_NUMBER: usize = 9;
