//! Commas in numbers as people type them: decimal, or between thousands.

use super::TextError;

/// How one comma before exactly three digits is meant, which nothing else in a number tells.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Comma {
    /// Between thousands.
    Thousands,
    /// Nobody knows: such a number is refused.
    Doubtful,
}

/// The text with every number in it written with a point and without marks between thousands.
///
/// `8,20` can only be a decimal and `1,234,567` only thousands; `8,200` is what `comma` says.
///
/// # Errors
/// A number that can be read in two ways, or in none.
///
/// ```
/// use metrology::text::{Comma, without_commas};
/// assert_eq!(without_commas("12,5 m", Comma::Doubtful).as_deref(), Ok("12.5 m"));
/// assert_eq!(without_commas("128,411 mi", Comma::Thousands).as_deref(), Ok("128411 mi"));
/// assert!(without_commas("128,411 km", Comma::Doubtful).is_err());
/// ```
pub fn without_commas(text: &str, comma: Comma) -> Result<String, TextError> {
    let mut plain = String::with_capacity(text.len());
    let mut number = String::new();
    for sign in text.chars().chain([' ']) {
        if sign.is_ascii_digit() || sign == '.' || sign == ',' {
            number.push(sign);
            continue;
        }
        plain.push_str(&one(&number, text, comma)?);
        number.clear();
        plain.push(sign);
    }
    plain.pop();
    Ok(plain)
}

fn one(number: &str, text: &str, comma: Comma) -> Result<String, TextError> {
    let commas = number.matches(',').count();
    let points = number.matches('.').count();
    let is_glued =
        number.starts_with(|c: char| c.is_ascii_digit()) && number.ends_with(|c: char| c.is_ascii_digit());
    match (commas, points) {
        (0, 0 | 1) => Ok(number.to_string()),
        _ if !is_glued => Err(neither(text)),
        (1, 0) => single(number, text, comma),
        // The mark that comes last, and once, is the decimal one.
        (1, _) if number.rfind('.') < number.find(',') => {
            grouped(number, '.', ',').ok_or_else(|| neither(text))
        }
        (_, 0 | 1) => grouped(number, ',', '.').ok_or_else(|| neither(text)),
        _ => Err(neither(text)),
    }
}

fn single(number: &str, text: &str, comma: Comma) -> Result<String, TextError> {
    let (before, after) = number.split_once(',').unwrap_or((number, ""));
    let can_be_thousands = after.len() == 3 && (1..=3).contains(&before.len()) && !before.starts_with('0');
    match comma {
        _ if !can_be_thousands => Ok(format!("{before}.{after}")),
        Comma::Thousands => Ok(format!("{before}{after}")),
        Comma::Doubtful => {
            let hint = format!("type {before}.{after} for a decimal, {before}{after} for thousands");
            Err(TextError::new("a number without a comma before three digits", quoted(text), hint))
        }
    }
}

/// Digits in groups of three with `mark` between them, and perhaps a decimal part after `point`.
fn grouped(number: &str, mark: char, point: char) -> Option<String> {
    let (whole, decimals) = match number.split_once(point) {
        Some((whole, decimals)) => (whole, Some(decimals)),
        None => (number, None),
    };
    let mut groups = whole.split(mark);
    let first = groups.next().filter(|first| (1..=3).contains(&first.len()) && !first.starts_with('0'))?;
    let rest: Vec<&str> = groups.collect();
    let are_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let fits =
        rest.iter().all(|group| group.len() == 3 && are_digits(group)) && decimals.is_none_or(are_digits);
    let decimals = decimals.map(|decimals| format!(".{decimals}")).unwrap_or_default();
    fits.then(|| format!("{first}{}{decimals}", rest.concat()))
}

fn neither(text: &str) -> TextError {
    TextError::new("one number", quoted(text), "type it with a point before the decimals and no commas")
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.trim())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comma_is_read_where_it_can_only_be_one_thing() {
        let check = |text: &str, thousands: Option<&str>, doubtful: Option<&str>| {
            for (comma, expected) in [(Comma::Thousands, thousands), (Comma::Doubtful, doubtful)] {
                assert_eq!(without_commas(text, comma).ok().as_deref(), expected, "{text} {comma:?}");
            }
        };
        let same = |text: &str, expected: &str| check(text, Some(expected), Some(expected));
        same("8.20", "8.20");
        same("8,20", "8.20");
        same("0,250", "0.250");
        same("1234,567", "1234.567");
        same("1,234,567", "1234567");
        same("1,234.5 mi", "1234.5 mi");
        same("1.234,5 km", "1234.5 km");
        same("1.234.567,8", "1234567.8");
        same("9,70 mi +/- 0,02", "9.70 mi +/- 0.02");
        same("41' 2,5\"", "41' 2.5\"");
        same("no number", "no number");
        check("8,000", Some("8000"), None);
        check("128,411 mi", Some("128411 mi"), None);
        for neither in ["1,23,456", "1,2.3,4", "12,", ",5", "1,234.567,8", "1.2.3", "0,123,456"] {
            check(neither, None, None);
        }
    }
}
