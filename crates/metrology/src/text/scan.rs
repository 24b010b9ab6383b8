//! Letters, digits and signs into numbers, units and `+/-`.

use super::TextError;
use std::iter::Peekable;
use std::str::Chars;

/// A number as typed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Number {
    pub value: f64,
    /// One unit of the last digit, or one part of the fraction.
    pub step: f64,
    pub text: String,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Token {
    Number(Number),
    /// Lower case; feet and inches marks become `'` and `"`.
    Unit(String),
    PlusMinus,
    /// Only while scanning: the bar of a fraction.
    Slash,
}

/// Signs for parts of one, numerator and denominator.
const FRACTION_SIGNS: [(char, &str); 7] =
    [('½', "1/2"), ('¼', "1/4"), ('¾', "3/4"), ('⅛', "1/8"), ('⅜', "3/8"), ('⅝', "5/8"), ('⅞', "7/8")];

/// Longer texts are not something a person typed as one quantity.
const LONGEST_TEXT: usize = 200;

pub(super) fn scan(text: &str) -> Result<Vec<Token>, TextError> {
    if text.len() > LONGEST_TEXT {
        return Err(refuse("a short text", format!("{} characters", text.chars().count()), ""));
    }
    if has_glued_comma(text) {
        return Err(comma(text));
    }
    join_fractions(raw_tokens(&plain_signs(text))?, text)
}

/// Whether a comma stands between two digits without a space.
pub(super) fn has_glued_comma(text: &str) -> bool {
    text.as_bytes().windows(3).any(|w| w[0].is_ascii_digit() && w[1] == b',' && w[2].is_ascii_digit())
}

/// One spelling for each sign: keyboards, phones and word processors differ.
pub(super) fn plain_signs(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        match sign {
            '′' | '’' | '‘' | '´' | '`' => out.push('\''),
            '″' | '”' | '“' => out.push('"'),
            '±' => out.push_str("+/-"),
            '⁄' => out.push('/'),
            '−' | '–' => out.push('-'),
            _ => match FRACTION_SIGNS.iter().find(|(known, _)| *known == sign) {
                Some((_, spelled)) => out.push_str(&format!(" {spelled}")),
                None => out.extend(sign.to_lowercase()),
            },
        }
    }
    out.replace("''", "\"").replace("+/-", "\u{b1}").replace("+-", "\u{b1}")
}

fn raw_tokens(text: &str) -> Result<Vec<Token>, TextError> {
    let mut tokens = Vec::new();
    let mut signs = text.chars().peekable();
    let mut before = ' ';
    while let Some(&sign) = signs.peek() {
        if sign.is_ascii_digit() || sign == '.' {
            tokens.push(Token::Number(decimal(&mut signs)?));
        } else if sign.is_alphabetic() {
            tokens.push(Token::Unit(word(&mut signs)));
        } else {
            signs.next();
            match sign {
                '\'' | '"' => tokens.push(Token::Unit(sign.to_string())),
                '\u{b1}' => tokens.push(Token::PlusMinus),
                '/' => tokens.push(Token::Slash),
                // A dash that ties: 2-1/4 in, 12'-3".
                '-' if ties(before, signs.peek()) => {}
                '-' | '+' => return Err(refuse("a number without a sign", "", "")),
                _ if sign.is_whitespace() => {}
                _ => return Err(refuse("numbers and units", format!("the sign \"{sign}\""), "")),
            }
        }
        before = sign;
    }
    Ok(tokens)
}

/// Whether a dash stands directly between a digit or foot mark and a digit.
fn ties(before: char, after: Option<&char>) -> bool {
    (before.is_ascii_digit() || before == '\'') && after.is_some_and(char::is_ascii_digit)
}

fn decimal(signs: &mut Peekable<Chars>) -> Result<Number, TextError> {
    let mut text = String::new();
    while let Some(sign) = signs.next_if(|sign| sign.is_ascii_digit() || *sign == '.') {
        text.push(sign);
    }
    let decimals = text.split_once('.').map_or(0, |(_, after)| after.len());
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(Number { value, step: 0.1f64.powi(decimals as i32), text }),
        _ => Err(refuse("a number", format!("\"{text}\""), "")),
    }
}

/// Letters, with a bar between letters kept inside: `km/h`.
fn word(signs: &mut Peekable<Chars>) -> String {
    let mut text = String::new();
    while let Some(sign) = signs.next_if(|sign| sign.is_alphabetic() || *sign == '/') {
        text.push(sign);
    }
    // The point of an abbreviation (ft., in.), not of a number.
    let mut ahead = signs.clone();
    if ahead.next() == Some('.') && !ahead.next().is_some_and(|sign| sign.is_ascii_digit()) {
        signs.next();
    }
    text
}

/// `2 1 / 4` into 2.25 and `10 / 32` into its quotient.
fn join_fractions(tokens: Vec<Token>, text: &str) -> Result<Vec<Token>, TextError> {
    let mut joined: Vec<Token> = Vec::new();
    let mut rest = tokens.into_iter();
    while let Some(token) = rest.next() {
        if token != Token::Slash {
            joined.push(token);
            continue;
        }
        let (Some(Token::Number(top)), Some(Token::Number(bottom))) = (joined.pop(), rest.next()) else {
            return Err(refuse("a whole number on both sides of \"/\"", "", ""));
        };
        let part = fraction(&top, &bottom, text)?;
        match joined.pop() {
            Some(Token::Number(whole)) => joined.push(Token::Number(mixed(&whole, &part, text)?)),
            before => joined.extend(before.into_iter().chain([Token::Number(part)])),
        }
    }
    Ok(joined)
}

fn fraction(top: &Number, bottom: &Number, text: &str) -> Result<Number, TextError> {
    let is_whole = |number: &Number| !number.text.contains('.');
    if !is_whole(top) || !is_whole(bottom) || bottom.value == 0.0 {
        return Err(refuse("a fraction of whole numbers, not over 0", format!("\"{}\"", text.trim()), ""));
    }
    let text = format!("{}/{}", top.text, bottom.text);
    Ok(Number { value: top.value / bottom.value, step: 1.0 / bottom.value, text })
}

fn mixed(whole: &Number, part: &Number, text: &str) -> Result<Number, TextError> {
    if whole.text.contains('.') || part.value >= 1.0 {
        let found = format!("\"{}\"", text.trim());
        return Err(refuse("a whole number, then a fraction below 1", found, ""));
    }
    let text = format!("{} {}", whole.text, part.text);
    Ok(Number { value: whole.value + part.value, step: part.step, text })
}

/// `12,5` may be a decimal number, `5,280` may also be thousands.
fn comma(text: &str) -> TextError {
    let text = text.trim();
    let decimal = format!("write \"{}\"", text.replace(',', "."));
    let after = text.rsplit(',').next().unwrap_or_default();
    let digits = after.chars().take_while(char::is_ascii_digit).count();
    let hint = match digits {
        3 => format!("{decimal} for a decimal, \"{}\" for thousands", text.replace(',', "")),
        _ => decimal,
    };
    refuse("a number with a decimal point", format!("\"{text}\""), hint)
}

fn refuse(expected: &str, found: impl Into<String>, hint: impl Into<String>) -> TextError {
    TextError::new(expected, found, hint)
}
