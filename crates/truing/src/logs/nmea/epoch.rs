//! Sentences of one moment to one fix, and times of day to points in time.

use super::super::{Clock, Fix, Fixes, Track};
use super::Count;
use super::sentence::{Date, Kind, Means, Motion, Position, Sentence, time_of_day_s};
use crate::problem::Problem;
use metrology::quantity::{Instant, Length};

const DAY_S: f64 = 86_400.0;
/// A time of day that falls back by more than half a day has passed midnight.
const HALF_DAY_S: f64 = 0.5 * DAY_S;
/// Days in 1024 weeks, after which the week counter of ten bits starts again (GPS interface specification IS-GPS-200).
const ROLLOVER_DAYS: i64 = 7 * 1024;
/// 2010-01-01. Earlier dates are more likely those of a counter that rolled over in 2019 than of a drive; a judgement.
const DOUBTED_BEFORE: Date = 14_610;

/// What the sentences of one moment said so far.
#[derive(Debug)]
struct Epoch {
    line: usize,
    time_of_day_s: f64,
    means: Means,
    position: Option<Position>,
    elevation: Option<Length>,
    hdop: Option<f64>,
    date: Option<Date>,
    motion: Motion,
    untimed: Untimed,
}

/// What sentences without a time said.
#[derive(Copy, Clone, Debug, Default)]
struct Untimed {
    motion: Option<Motion>,
    hdop: Option<f64>,
}

/// A time of day and how it was written.
#[derive(Debug, Default)]
struct Written {
    text: Vec<u8>,
    time_of_day_s: Option<f64>,
}

impl Written {
    fn time_s(&mut self, sentence: &Sentence<'_>) -> Option<f64> {
        let text = sentence.time_text();
        if text != self.text {
            self.time_of_day_s = time_of_day_s(text);
            self.text.clear();
            self.text.extend_from_slice(text);
        }
        self.time_of_day_s
    }
}

/// Joins sentences to fixes.
#[derive(Debug, Default)]
pub(super) struct Epochs {
    open: Option<Epoch>,
    /// The last time of day as it was written: the sentences of a moment repeat it, and it is read once.
    written: Written,
    /// Came before the epoch it belongs to.
    early: Untimed,
    fixes: Fixes,
    calendar: Calendar,
    void_rmc: Count,
    void_gga: Count,
    void_gll: Count,
    other_means: Count,
    without_time: Count,
}

impl Epochs {
    pub(super) fn take(&mut self, sentence: &Sentence<'_>, line: usize) {
        match sentence.kind {
            Kind::Rmc => {
                let Some(epoch) = self.epoch(sentence, line) else { return };
                epoch.position = epoch.position.or_else(|| sentence.position());
                epoch.date = epoch.date.or_else(|| sentence.date());
                let Motion { speed, course } = sentence.motion();
                epoch.motion.speed = epoch.motion.speed.or(speed);
                epoch.motion.course = epoch.motion.course.or(course);
            }
            Kind::Gga => {
                let Some(epoch) = self.epoch(sentence, line) else { return };
                epoch.position = epoch.position.or_else(|| sentence.position());
                epoch.hdop = epoch.hdop.or_else(|| sentence.hdop());
                epoch.elevation = epoch.elevation.or_else(|| sentence.elevation());
            }
            Kind::Gll => {
                let Some(epoch) = self.epoch(sentence, line) else { return };
                epoch.position = epoch.position.or_else(|| sentence.position());
            }
            Kind::Zda => {
                let Some(time_s) = self.written.time_s(sentence) else { return };
                let epoch = self.epoch_at(time_s, line);
                epoch.date = epoch.date.or_else(|| sentence.date());
            }
            Kind::Vtg if sentence.means() == Means::Satellites => {
                self.untimed(|untimed| &mut untimed.motion, sentence.motion());
            }
            Kind::Vtg => {}
            Kind::Gsa => {
                let Some(hdop) = sentence.hdop() else { return };
                self.untimed(|untimed| &mut untimed.hdop, hdop);
            }
        }
    }

    /// The epoch of a sentence that says where it comes from; `None` when there is nothing to be had from it.
    fn epoch(&mut self, sentence: &Sentence<'_>, line: usize) -> Option<&mut Epoch> {
        let means = sentence.means();
        if means == Means::None {
            match sentence.kind {
                Kind::Rmc => &mut self.void_rmc,
                Kind::Gll => &mut self.void_gll,
                _ => &mut self.void_gga,
            }
            .add(line);
        }
        let Some(time_s) = self.written.time_s(sentence) else {
            if means != Means::None {
                self.without_time.add(line);
            }
            self.close();
            self.early = Untimed::default();
            return None;
        };
        let epoch = self.epoch_at(time_s, line);
        if means == Means::None || epoch.means == Means::Satellites {
            epoch.means = means;
        }
        Some(epoch)
    }

    fn epoch_at(&mut self, time_of_day_s: f64, line: usize) -> &mut Epoch {
        if self.open.as_ref().is_some_and(|open| open.time_of_day_s != time_of_day_s) {
            self.close();
        }
        let early = &mut self.early;
        self.open.get_or_insert_with(|| Epoch {
            line,
            time_of_day_s,
            means: Means::Satellites,
            position: None,
            elevation: None,
            hdop: None,
            date: None,
            motion: Motion::default(),
            untimed: core::mem::take(early),
        })
    }

    fn untimed<T>(&mut self, place: impl Fn(&mut Untimed) -> &mut Option<T>, value: T) {
        match self.open.as_mut().map(|open| place(&mut open.untimed)) {
            Some(free @ None) => *free = Some(value),
            _ => *place(&mut self.early) = Some(value),
        }
    }

    fn close(&mut self) {
        let Some(epoch) = self.open.take() else { return };
        match epoch.means {
            Means::None => return,
            Means::Other => return self.other_means.add(epoch.line),
            Means::Satellites => {}
        }
        let time_s = self.calendar.time_s(epoch.time_of_day_s, epoch.date, epoch.line);
        let beside = epoch.untimed.motion.unwrap_or_default();
        let speed = epoch.motion.speed.or(beside.speed);
        if epoch.position.is_none() && speed.is_none() {
            return;
        }
        self.fixes.push(Fix {
            line: epoch.line,
            time: Some(Instant::from_s(time_s)),
            latitude: epoch.position.map(|position| position.latitude),
            longitude: epoch.position.map(|position| position.longitude),
            elevation: epoch.elevation,
            speed,
            course: epoch.motion.course.or(beside.course),
            hdop: epoch.hdop.or(epoch.untimed.hdop),
            starts_segment: self.fixes.is_empty(),
        });
    }

    pub(super) fn finish(mut self, source: &str, problems: &mut Vec<Problem>) -> Track {
        self.close();
        problems.extend(self.left_out(source));
        problems.extend(self.calendar.problems(source, !self.fixes.is_empty()));
        let midnight_s = self.calendar.first_day.map_or(0.0, |day| day as f64 * DAY_S);
        self.fixes.later_by(midnight_s);
        let clock = match (self.fixes.is_empty(), self.calendar.first_day) {
            (true, _) => Clock::None,
            (false, None) => Clock::Elapsed,
            (false, Some(_)) => Clock::Absolute,
        };
        Track { fixes: self.fixes, clock, ..Track::default() }
    }

    fn left_out(&self, source: &str) -> impl Iterator<Item = Problem> + use<> {
        // Each void epoch is said by every kind that is there.
        let kinds = [self.void_gga, self.void_gll];
        let void = kinds
            .into_iter()
            .fold(self.void_rmc, |most, own| if own.count > most.count { own } else { most });
        let told = |count: Count, expected: &str, found: &str, hint: &str| {
            let found = format!("{} {found}", count.count);
            count.problem(Problem::note(source, expected, found).hint(hint))
        };
        [
            told(void, "fixes", "sentences that say there is none", "they were left out"),
            told(
                self.other_means,
                "fixes by satellites",
                "that were estimated, typed in or simulated",
                "they were left out: an estimate may itself rest on the vehicle's speed",
            ),
            told(self.without_time, "sentences with their time", "without one", "they were left out"),
        ]
        .into_iter()
        .flatten()
    }
}

/// Follows the days.
#[derive(Debug, Default)]
struct Calendar {
    /// The date of day 0, once a date was met.
    first_day: Option<Date>,
    day: i64,
    last_time_of_day_s: f64,
    stale_dates: Count,
    rolled_over: Count,
}

impl Calendar {
    /// Seconds since midnight of day 0.
    fn time_s(&mut self, time_of_day_s: f64, date: Option<Date>, line: usize) -> f64 {
        let fell_back = self.last_time_of_day_s - time_of_day_s > HALF_DAY_S;
        self.last_time_of_day_s = time_of_day_s;
        let next = self.day + i64::from(fell_back);
        self.day = match (date, self.first_day) {
            (None, _) => next,
            (Some(date), None) => {
                self.first_day = Some(date - next);
                next
            }
            (Some(date), Some(first_day)) => self.dated(date, first_day, fell_back, line),
        };
        self.day as f64 * DAY_S + time_of_day_s
    }

    fn dated(&mut self, date: Date, first_day: Date, fell_back: bool, line: usize) -> i64 {
        let mut day = date - first_day;
        let leap = day - self.day;
        if (leap.abs() - ROLLOVER_DAYS).abs() <= 1 {
            // Of two dates 1024 weeks apart the later one is right.
            self.rolled_over.add(line);
            day -= leap.signum() * ROLLOVER_DAYS;
            if leap > 0 {
                self.first_day = Some(first_day + ROLLOVER_DAYS);
            }
        }
        if fell_back && day == self.day {
            // Some receivers are late with the new date by one sentence.
            self.stale_dates.add(line);
            day += 1;
        }
        day
    }

    fn problems(&self, source: &str, any_fix: bool) -> impl Iterator<Item = Problem> + use<> {
        let undated = (self.first_day.is_none() && any_fix).then(|| {
            Problem::note(source, "the date in RMC or ZDA", "none")
                .hint("times count from midnight UTC of the first day; the date is not known")
        });
        let old = self.first_day.filter(|&day| any_fix && day < DOUBTED_BEFORE).map(|day| {
            let found = format!("the date {}", written(day));
            let hint = format!(
                "a receiver whose week counter has rolled over says a date 1024 weeks too early; then it was {}. The date was kept",
                written(day + ROLLOVER_DAYS)
            );
            Problem::warning(source, "a date later than 2009", found).hint(hint)
        });
        let count = self.rolled_over.count;
        let rolled = Problem::warning(source, "one run of dates", format!("{count} leaps of 1024 weeks"))
            .hint("the week counter rolled over; the later dates were taken");
        let count = self.stale_dates.count;
        let stale = Problem::note(source, "a new date after midnight", format!("the old one {count} times"))
            .hint("the next day was taken");
        let counted = [self.rolled_over.problem(rolled), self.stale_dates.problem(stale)];
        [undated, old].into_iter().chain(counted).flatten()
    }
}

fn written(day: Date) -> String {
    let midnight = jiff::Timestamp::from_second(day.saturating_mul(86_400));
    midnight.map_or_else(|_| "unknown".to_owned(), |time| time.to_string().chars().take(10).collect())
}
