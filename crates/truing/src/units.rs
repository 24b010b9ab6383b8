//! The units that the owner thinks in: every answer, chart and paper shows its quantities in them.
//!
//! Numbers for scripts keep the unit that their key names; only what a person reads is put into the owner's.

use metrology::quantity::{Length, PerLength, Speed};
use metrology::text::Comma;

/// The units that the owner thinks in.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Miles, miles per hour, feet and inches.
    #[default]
    Us,
    /// Kilometres, kilometres per hour, metres.
    Metric,
    /// Miles on the road, metres on the tape.
    Mixed,
}

/// What the turning of a typed number into another unit and back can leave of a whole one.
const TURNED: f64 = 1e-6;

fn is_whole(number: f64) -> bool {
    (number - number.round()).abs() < TURNED
}

impl Units {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Us, Self::Metric, Self::Mixed];

    /// As it stands in files, in forms and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Us => "us",
            Self::Metric => "metric",
            Self::Mixed => "mixed",
        }
    }

    /// For a person.
    pub fn says(self) -> &'static str {
        match self {
            Self::Us => "US: miles, mph, feet and inches",
            Self::Metric => "Metric: kilometres, km/h, metres",
            Self::Mixed => "Mixed: miles and mph on the road, metres on the tape",
        }
    }

    /// The choice of a word.
    pub fn read(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|units| units.word() == word)
    }

    /// Whether roads are measured in miles.
    pub fn in_miles(self) -> bool {
        self != Self::Metric
    }

    /// Whether tapes show feet and inches.
    pub fn in_feet(self) -> bool {
        self == Self::Us
    }

    /// How a comma before three digits is meant: who counts in miles writes it between thousands.
    pub fn comma(self) -> Comma {
        self.by_road(Comma::Thousands, Comma::Doubtful)
    }

    /// The first where roads are measured in miles, the second where in kilometres.
    pub fn by_road<T>(self, in_miles: T, in_kilometres: T) -> T {
        if self.in_miles() { in_miles } else { in_kilometres }
    }

    /// Those in which speeds were called out: kilometres where all of them are whole there and not so in miles per hour.
    pub fn of_called_out(speeds: &[Speed]) -> Self {
        let whole = |in_units: fn(Speed) -> f64| speeds.iter().all(|speed| is_whole(in_units(*speed)));
        if whole(Speed::km_per_h) && !whole(Speed::mi_per_h) { Self::Metric } else { Self::Us }
    }

    /// Those in which a reading was typed, by a step of its last digit: kilometres where it is a power of ten of them, or of
    /// metres, and not so in miles.
    pub fn of_step(step: Length) -> Self {
        let round = |number: f64| is_whole(number.log10());
        if round(step.km()) && !round(step.mi()) { Self::Metric } else { Self::Us }
    }

    /// What speeds are in.
    pub fn speed_word(self) -> &'static str {
        self.by_road("mph", "km/h")
    }

    /// A speed as a number in these units.
    pub fn of_speed(self, speed: Speed) -> f64 {
        self.by_road(speed.mi_per_h(), speed.km_per_h())
    }

    /// A speed from a number in these units.
    pub fn speed(self, number: f64) -> Speed {
        self.by_road(Speed::from_mi_per_h(number), Speed::from_km_per_h(number))
    }

    /// From one row of a speed card to the next: as dials are marked.
    pub fn speed_step(self) -> Speed {
        self.speed(self.by_road(5.0, 10.0))
    }

    /// A speed in words: `59.8 mph`.
    ///
    /// ```
    /// use metrology::quantity::Speed;
    /// use truing::units::Units;
    /// assert_eq!(Units::Us.say_speed(Speed::from_mi_per_h(60.0), 1), "60.0 mph");
    /// assert_eq!(Units::Metric.say_speed(Speed::from_mi_per_h(60.0), 1), "96.6 km/h");
    /// ```
    pub fn say_speed(self, speed: Speed, decimals: usize) -> String {
        format!("{:.decimals$} {}", self.of_speed(speed), self.speed_word())
    }

    /// What distances on the road are in.
    pub fn road_word(self) -> &'static str {
        self.by_road("mi", "km")
    }

    /// The same in full.
    pub fn road_words(self) -> &'static str {
        self.by_road("miles", "kilometres")
    }

    /// A distance on the road as a number in these units.
    pub fn of_road(self, length: Length) -> f64 {
        self.by_road(length.mi(), length.km())
    }

    /// A distance on the road in words: `128406.3 mi`.
    pub fn say_road(self, length: Length, decimals: usize) -> String {
        format!("{:.decimals$} {}", self.of_road(length), self.road_word())
    }

    /// What turns and counts are per: `per mile`.
    pub fn per_word(self) -> &'static str {
        self.by_road("per mile", "per km")
    }

    /// Turns or counts as a number in these units.
    pub fn of_per_length(self, events: PerLength) -> f64 {
        self.by_road(events.per_mi(), events.per_km())
    }

    /// A length by the tape as a number, and what it is in.
    pub fn of_short(self, length: Length) -> (f64, &'static str) {
        if self.in_feet() { (length.inches(), "in") } else { (length.mm(), "mm") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_units_of_what_was_typed() {
        let called = |speeds: &[Speed]| Units::of_called_out(speeds);
        assert_eq!(called(&[30.0, 45.0].map(Speed::from_mi_per_h)), Units::Us);
        assert_eq!(called(&[50.0, 70.0].map(Speed::from_km_per_h)), Units::Metric);
        assert_eq!(called(&[50.5, 70.0].map(Speed::from_km_per_h)), Units::Us);
        assert_eq!(called(&[]), Units::Us);
        assert_eq!(Units::of_step(Length::from_mi(0.1)), Units::Us);
        assert_eq!(Units::of_step(Length::from_km(0.1)), Units::Metric);
        assert_eq!(Units::of_step(Length::from_km(1.0)), Units::Metric);
        assert_eq!(Units::of_step(Length::from_mi(0.05)), Units::Us);
    }
}
