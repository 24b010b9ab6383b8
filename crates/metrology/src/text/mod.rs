//! What people type, read into quantities; and values printed with no more digits than they deserve.
//!
//! **Reads** decimals (`3.05 m`), fractions (`10/32 in`, `2 1/4 in`, `½ in`), compound lengths and times
//! (`41 ft 2 1/4 in`, `12' 3"`, `1 h 5 min`), an uncertainty (`9.70 mi +/- 0.02`, `1.2 km ± 5 m`) and lists that
//! share their last unit (`30,45,60mph`). Case and spaces are forgiven.
//!
//! **Refuses** what would be a guess: a number without a unit, a comma inside a number (decimal or thousands?), a
//! sign, an exponent. Every refusal says what was expected, what was found and what to type instead.
//!
//! **Does not** guess how well something was measured: [`Typed::resolution`] is only what one step of the typed
//! digits is worth (zeros at the end of a whole number count as read: `1200 m` resolves 1 m).
//!
//! ```
//! use metrology::text;
//! let typed = text::length("41 ft 2 1/4 in").expect("well formed");
//! assert!((typed.value.inches() - 494.25).abs() < 1e-9);
//! assert!((typed.resolution.inches() - 0.25).abs() < 1e-12);
//! let refused = text::length("12,5 m").expect_err("a comma is doubtful");
//! assert!(refused.hint.contains("12.5 m"));
//! ```

mod commas;
mod print;
mod scan;
mod stopwatch;

pub use commas::{Comma, without_commas};
pub use print::{print, round_to_uncertainty};

use crate::quantity::{Duration, Length, Pressure, Quantity, Speed, Volume};
pub use stopwatch::stopwatch;

use scan::{Number, Token, scan};

/// A quantity as typed.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Typed<Q> {
    /// The value.
    pub value: Q,
    /// What stood after `+/-`, taken as **one** standard uncertainty; `None` when nothing stood there.
    pub standard_uncertainty: Option<Q>,
    /// One unit of the last typed digit, or one part of the typed fraction.
    pub resolution: Q,
}

/// Why a text was not read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("expected {expected}, found {found}; {hint}")]
pub struct TextError {
    /// What would have been understood.
    pub expected: String,
    /// What stood there.
    pub found: String,
    /// What to type instead.
    pub hint: String,
}

impl TextError {
    fn new(expected: impl Into<String>, found: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { expected: expected.into(), found: found.into(), hint: hint.into() }
    }
}

/// A unit: how it may be written (lower case, the first is printed) and the quantity of one such number.
pub struct Unit<Q> {
    names: &'static [&'static str],
    of: fn(f64) -> Q,
    /// The coarser unit that may stand before it in one length or time, and how many make one of that.
    coarser: Option<(&'static str, f64)>,
}

/// A quantity that people type with a unit.
pub trait Typable: Quantity + 'static {
    /// What it is called in a message.
    const NAME: &'static str;
    /// A well-formed example for the hint.
    const EXAMPLE: &'static str;
    /// Units understood.
    const UNITS: &'static [Unit<Self>];
}

const fn unit<Q>(names: &'static [&'static str], of: fn(f64) -> Q) -> Unit<Q> {
    Unit { names, of, coarser: None }
}

impl Typable for Length {
    const NAME: &'static str = "a length";
    const EXAMPLE: &'static str = "3.05 m, 41 ft 2 1/4 in";
    const UNITS: &'static [Unit<Self>] = &[
        unit(&["m", "metre", "metres", "meter", "meters"], Length::from_m),
        unit(&["mm"], Length::from_mm),
        unit(&["cm"], |value| Length::from_mm(10.0 * value)),
        unit(&["km"], Length::from_km),
        Unit { names: &["in", "inch", "inches", "\""], of: Length::from_in, coarser: Some(("ft", 12.0)) },
        unit(&["ft", "foot", "feet", "'"], Length::from_ft),
        unit(&["yd", "yard", "yards"], |value| Length::from_ft(3.0 * value)),
        unit(&["mi", "mile", "miles"], Length::from_mi),
    ];
}

impl Typable for Speed {
    const NAME: &'static str = "a speed";
    const EXAMPLE: &'static str = "60 mph, 100 km/h";
    const UNITS: &'static [Unit<Self>] = &[
        unit(&["mph", "mi/h"], Speed::from_mi_per_h),
        unit(&["km/h", "kmh", "kph"], Speed::from_km_per_h),
        unit(&["m/s"], Speed::from_m_per_s),
        unit(&["kn", "kt", "knot", "knots"], Speed::from_knots),
    ];
}

impl Typable for Pressure {
    const NAME: &'static str = "a pressure";
    const EXAMPLE: &'static str = "35 psi, 2.4 bar";
    const UNITS: &'static [Unit<Self>] = &[
        unit(&["psi"], Pressure::from_psi),
        unit(&["kpa"], Pressure::from_kpa),
        unit(&["bar"], Pressure::from_bar),
        unit(&["pa"], Pressure::from_pa),
    ];
}

impl Typable for Volume {
    const NAME: &'static str = "a volume";
    const EXAMPLE: &'static str = "18.2 gal, 60 l";
    const UNITS: &'static [Unit<Self>] = &[
        unit(&["gal", "gallon", "gallons"], Volume::from_us_gal),
        unit(&["l", "litre", "litres", "liter", "liters"], Volume::from_l),
    ];
}

impl Typable for Duration {
    const NAME: &'static str = "a duration";
    const EXAMPLE: &'static str = "12 min, 65.3 s";
    const UNITS: &'static [Unit<Self>] = &[
        Unit {
            names: &["s", "sec", "second", "seconds"],
            of: Duration::from_s,
            coarser: Some(("min", 60.0)),
        },
        Unit { names: &["min", "minute", "minutes"], of: Duration::from_min, coarser: Some(("h", 60.0)) },
        unit(&["h", "hr", "hour", "hours"], Duration::from_h),
    ];
}

/// Reads a length: `41 ft 2 1/4 in`, `12' 3"`, `3.05 m`, `10/32 in`, `9.70 mi +/- 0.02`.
pub fn length(text: &str) -> Result<Typed<Length>, TextError> {
    read(text)
}

/// Reads a speed: `60 mph`, `100 km/h`, `27.8 m/s`, `12 kn`.
pub fn speed(text: &str) -> Result<Typed<Speed>, TextError> {
    read(text)
}

/// Reads a pressure above the surrounding air: `35 psi`, `240 kPa`, `2.4 bar`.
pub fn pressure(text: &str) -> Result<Typed<Pressure>, TextError> {
    read(text)
}

/// Reads a span of time: `12 min`, `65.3 s`, `1 h 5 min`.
pub fn duration(text: &str) -> Result<Typed<Duration>, TextError> {
    read(text)
}

/// Reads a volume: `18.2 gal` (US), `60 l`.
pub fn volume(text: &str) -> Result<Typed<Volume>, TextError> {
    read(text)
}

/// Reads any typable quantity.
pub fn read<Q: Typable>(text: &str) -> Result<Typed<Q>, TextError> {
    typed(&scan(text).map_err(|error| with_example::<Q>(error, text))?, text)
}

/// Reads several, separated by commas or semicolons; numbers without a unit take that of the last item.
///
/// Two numbers glued by one comma may be one decimal number (`30,5 mph`) and are refused, unless what follows the comma
/// reads as a number of its own: two digits or more, no zero first (`30,45 mph` is a list).
pub fn read_list<Q: Typable>(text: &str) -> Result<Vec<Typed<Q>>, TextError> {
    let items: Vec<&str> = text.split([',', ';']).map(str::trim).collect();
    let own = |item: &str| {
        item.len() >= 2 && item.as_bytes()[..2].iter().all(u8::is_ascii_digit) && !item.starts_with('0')
    };
    let is_glued = items.len() == 2 && scan::has_glued_comma(text) && !own(items[1]);
    let Some(last) = items.last().filter(|_| !is_glued) else {
        let (one, two) = (text.replacen(',', ".", 1), text.replacen(',', ", ", 1));
        let hint = format!("write \"{one}\" for one number, \"{two}\" for two");
        return Err(TextError::new(format!("a list of {}", &Q::NAME[2..]), quoted(text), hint));
    };
    let shared = trailing_unit::<Q>(last, text)?;
    items.iter().map(|item| read_item(item, shared)).collect()
}

fn read_item<Q: Typable>(item: &str, shared: &'static str) -> Result<Typed<Q>, TextError> {
    let mut tokens = scan(item).map_err(|error| with_example::<Q>(error, item))?;
    if !tokens.iter().any(|token| matches!(token, Token::Unit(_))) {
        tokens.push(Token::Unit(shared.to_string()));
    }
    typed(&tokens, item)
}

fn trailing_unit<Q: Typable>(last: &str, text: &str) -> Result<&'static str, TextError> {
    let tokens = scan(last).map_err(|error| with_example::<Q>(error, text))?;
    match tokens.last() {
        Some(Token::Unit(name)) => Ok(find_unit::<Q>(name, text)?.names[0]),
        _ => Err(no_unit::<Q>(text, text.trim())),
    }
}

/// `value [+/- uncertainty]`, where one side may borrow the unit of the other.
fn typed<Q: Typable>(tokens: &[Token], text: &str) -> Result<Typed<Q>, TextError> {
    let mut sides = tokens.split(|token| *token == Token::PlusMinus);
    let (left, right) = (sides.next().unwrap_or_default(), sides.next());
    if sides.next().is_some() {
        return Err(TextError::new("one +/-", quoted(text), format!("type it like {}", Q::EXAMPLE)));
    }
    let Some(right) = right else {
        let (value, resolution) = compound::<Q>(left, text)?;
        return Ok(Typed { value, standard_uncertainty: None, resolution });
    };
    let (left, right) = (lend_unit(left, right), lend_unit(right, left));
    let (value, resolution) = compound::<Q>(&left, text)?;
    let (uncertainty, _) = compound::<Q>(&right, text)?;
    Ok(Typed { value, standard_uncertainty: Some(uncertainty), resolution })
}

/// `side`, with the last unit of `other` when it has none of its own.
fn lend_unit(side: &[Token], other: &[Token]) -> Vec<Token> {
    let is_unit = |token: &&Token| matches!(token, Token::Unit(_));
    let mut side = side.to_vec();
    if !side.iter().any(|token| is_unit(&token)) {
        side.extend(other.iter().rev().find(is_unit).cloned());
    }
    side
}

/// One or more `number unit`, each finer than the one before; returns the sum and the finest step.
fn compound<Q: Typable>(tokens: &[Token], text: &str) -> Result<(Q, Q), TextError> {
    let mut before: Option<&Unit<Q>> = None;
    let (mut sum, mut step) = (0.0, 0.0);
    for part in tokens.chunks(2) {
        let [Token::Number(number), Token::Unit(name)] = part else {
            return Err(broken::<Q>(part, before, text));
        };
        let unit = find_unit::<Q>(name, text)?;
        if let Some(before) = before {
            check_order(before, unit, number, text)?;
        }
        sum += (unit.of)(number.value).si();
        step = (unit.of)(number.step).si();
        before = Some(unit);
    }
    if before.is_none() || !f64::is_finite(sum) {
        return Err(TextError::new(Q::NAME, quoted(text), format!("type it like {}", Q::EXAMPLE)));
    }
    Ok((Q::from_si(sum), Q::from_si(step)))
}

fn check_order<Q: Typable>(
    before: &Unit<Q>,
    unit: &Unit<Q>,
    number: &Number,
    text: &str,
) -> Result<(), TextError> {
    match unit.coarser {
        Some((coarser, limit)) if before.names[0] == coarser => {
            if number.value < limit {
                return Ok(());
            }
            let hint = format!("{limit} {} make one {coarser}", unit.names[0]);
            Err(TextError::new(format!("less than {limit} {}", unit.names[0]), quoted(text), hint))
        }
        _ => {
            let found = format!("{} after {} in {}", unit.names[0], before.names[0], quoted(text));
            Err(TextError::new(
                format!("{} in one unit", Q::NAME),
                found,
                format!("type it like {}", Q::EXAMPLE),
            ))
        }
    }
}

fn find_unit<Q: Typable>(name: &str, text: &str) -> Result<&'static Unit<Q>, TextError> {
    Q::UNITS.iter().find(|unit| unit.names.contains(&name)).ok_or_else(|| {
        let known: Vec<&str> = Q::UNITS.iter().map(|unit| unit.names[0]).collect();
        let expected = format!("{} in one of {}", Q::NAME, known.join(", "));
        TextError::new(
            expected,
            format!("the unit \"{name}\" in {}", quoted(text)),
            format!("type it like {}", Q::EXAMPLE),
        )
    })
}

/// What is wrong with a piece that is not `number unit`.
fn broken<Q: Typable>(part: &[Token], before: Option<&Unit<Q>>, text: &str) -> TextError {
    match (part, before) {
        ([Token::Number(number)], Some(before)) => {
            let finer =
                Q::UNITS.iter().find(|unit| unit.coarser.is_some_and(|(name, _)| name == before.names[0]));
            let unit = finer.map_or(before.names[0], |unit| unit.names[0]);
            let hint = format!("if {} is meant in {unit}, type \"{} {unit}\"", number.text, text.trim());
            TextError::new("a unit after every number", quoted(text), hint)
        }
        ([Token::Number(_)], None) => no_unit::<Q>(text, text.trim()),
        _ => TextError::new(Q::NAME, quoted(text), format!("type it like {}", Q::EXAMPLE)),
    }
}

fn no_unit<Q: Typable>(text: &str, number: &str) -> TextError {
    let names: Vec<String> =
        Q::UNITS.iter().take(2).map(|unit| format!("\"{number} {}\"", unit.names[0])).collect();
    let hint = format!("the unit would be a guess: type {}", names.join(" or "));
    TextError::new(format!("{} with its unit", Q::NAME), quoted(text), hint)
}

fn with_example<Q: Typable>(error: TextError, text: &str) -> TextError {
    let hint = if error.hint.is_empty() { format!("type it like {}", Q::EXAMPLE) } else { error.hint };
    let found = if error.found.is_empty() { quoted(text) } else { error.found };
    TextError { expected: format!("{}: {}", Q::NAME, error.expected), found, hint }
}

fn quoted(text: &str) -> String {
    if text.trim().is_empty() { "nothing".to_string() } else { format!("\"{}\"", text.trim()) }
}

#[cfg(test)]
mod tests;
