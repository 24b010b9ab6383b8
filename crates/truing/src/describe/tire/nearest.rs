//! The nearest reading of a text that is no size: slips of the hand, undone one at a time.

use super::form::{self, Form, Service};
use super::resolve;
use super::scan::{Number, Scan};
use super::size::System;
use super::tables::{self, Row};

/// How many sizes with the same rim are named.
const MOST_NEIGHBOURS: usize = 6;

/// What to do about a text that cannot be read; never empty.
pub(super) fn hint(chars: &[char]) -> String {
    if let Some(diameter) = bare_number(chars) {
        return format!("if this is a diameter, give its unit: \"{diameter} in\" or \"{diameter} mm\"");
    }
    let candidates = [Some(with_digits(chars)), from_numbers(chars), longest_readable_start(chars)];
    match candidates.into_iter().flatten().find_map(|text| reads(&text)) {
        Some(size) => format!("did you mean {size}?"),
        None => {
            "copy the size from the sidewall, such as LT275/75R17, or give the diameter, such as \"31.2 in\""
                .into()
        }
    }
}

/// Table sizes on the same rim, for a size that is in no table.
pub(super) fn with_the_same_rim(form: &Form) -> Vec<String> {
    let rim = match form {
        Form::WithoutAspect { rim_in, .. } | Form::Numeric { rim_in, .. } | Form::Lettered { rim_in, .. } => {
            *rim_in
        }
        _ => return Vec::new(),
    };
    let is_like = |section: &str| {
        let value: Option<f64> = section.parse().ok();
        match form {
            Form::WithoutAspect { .. } => value.is_some_and(|width| width >= 100.0),
            Form::Numeric { .. } => value.is_some_and(|width| width < 100.0),
            _ => value.is_none(),
        }
    };
    tables::rows()
        .filter(|row| row.rim_in == rim && is_like(row.section))
        .map(written)
        .take(MOST_NEIGHBOURS)
        .collect()
}

fn written(row: &Row) -> String {
    let is_radial_first = matches!(row.system, System::CommercialCode | System::MetricWithoutAspect);
    let joint = if is_radial_first { "R" } else { "-" };
    let suffix = if row.service == Service::LightTruck { "LT" } else { "" };
    format!("{}{joint}{}{suffix}", row.section, row.rim_in)
}

fn reads(text: &str) -> Option<String> {
    let chars: Vec<char> = text.chars().collect();
    let reading = form::read(&chars).ok()?;
    resolve::resolve(&reading).map(|tire| tire.to_string())
}

fn bare_number(chars: &[char]) -> Option<f64> {
    let mut scan = Scan::new(chars);
    let number = scan.number()?;
    scan.is_done().then_some(number.value)
}

/// The letters O, I and L between digits are meant as digits.
fn with_digits(chars: &[char]) -> String {
    let digit_at = |at: Option<usize>| at.and_then(|at| chars.get(at)).is_some_and(char::is_ascii_digit);
    let corrected = |(at, c): (usize, &char)| match c {
        'O' if digit_at(at.checked_sub(1)) || digit_at(Some(at + 1)) => '0',
        'I' | 'L' if digit_at(at.checked_sub(1)) && digit_at(Some(at + 1)) => '1',
        c => *c,
    };
    chars.iter().enumerate().map(corrected).collect()
}

/// The three (or two) first numbers, put where a size has them.
fn from_numbers(chars: &[char]) -> Option<String> {
    let numbers: Vec<f64> = numbers(chars).iter().map(|number| number.value).collect();
    let is_light_truck = chars.windows(2).any(|pair| pair == ['L', 'T']);
    let (before, after) = if is_light_truck { ("LT", "LT") } else { ("", "") };
    match numbers[..] {
        [first, second, third, ..] if first < 60.0 && second < 20.0 => {
            Some(format!("{first}X{second}R{third}{after}"))
        }
        [first, second, third, ..] => Some(format!("{before}{first}/{second}R{third}")),
        [first, second] => Some(format!("{first}R{second}{after}")),
        _ => None,
    }
}

fn numbers(chars: &[char]) -> Vec<Number> {
    let mut found = Vec::new();
    let mut scan = Scan::new(chars);
    while scan.peek().is_some() {
        match scan.number() {
            Some(number) => found.push(number),
            None => scan.at += 1,
        }
    }
    found
}

/// The longest beginning that is a size.
fn longest_readable_start(chars: &[char]) -> Option<String> {
    (1..chars.len())
        .rev()
        .map(|end| chars[..end].iter().collect::<String>())
        .find(|text| reads(text).is_some())
}
