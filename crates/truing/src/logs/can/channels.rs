//! Readings by what they are and who said them, and which of several speeds is taken.

use super::super::bounds::{MOST_KEPT, too_many};
use super::super::csv::step::usual_interval;
use super::super::{Clock, Reading, Sample, Series, VehicleLog};
use crate::problem::{Field, Problem, Wording, any_error};
use metrology::quantity::{Frequency, Instant, Length, Quantity, Speed};

/// Networks told apart; further ones count as the last.
const MOST_INTERFACES: usize = 16;

/// What a reading is. Of several speeds the first in this order is taken.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum What {
    ChosenSpeed,
    ChosenDistance,
    WheelSpeed,
    ObdSpeed,
    TachographSpeed,
    ObdOdometer,
    HighResolutionTotal,
    HighResolutionTrip,
    Total,
    Trip,
    OutputShaft,
}

impl What {
    fn label(self) -> &'static str {
        match self {
            Self::ChosenSpeed => "the chosen signal",
            Self::ChosenDistance => "the chosen signal",
            Self::WheelSpeed => "wheel-based vehicle speed (SPN 84)",
            Self::ObdSpeed => "vehicle speed (OBD-II 0D)",
            Self::TachographSpeed => "tachograph vehicle speed (SPN 1624)",
            Self::ObdOdometer => "odometer (OBD-II A6)",
            Self::HighResolutionTotal => "high-resolution total distance (SPN 917)",
            Self::HighResolutionTrip => "high-resolution trip distance (SPN 918)",
            Self::Total => "total distance (SPN 245)",
            Self::Trip => "trip distance (SPN 244)",
            Self::OutputShaft => "transmission output shaft speed (SPN 191)",
        }
    }

    fn is_speed(self) -> bool {
        matches!(self, Self::ChosenSpeed | Self::WheelSpeed | Self::ObdSpeed | Self::TachographSpeed)
    }

    /// Step of the values in SI units, where the standard fixes it.
    pub(super) fn step(self) -> f64 {
        match self {
            Self::WheelSpeed | Self::TachographSpeed => Speed::from_km_per_h(1.0 / 256.0).si(),
            Self::ObdSpeed => Speed::from_km_per_h(1.0).si(),
            Self::ObdOdometer => Length::from_km(0.1).si(),
            Self::HighResolutionTotal | Self::HighResolutionTrip => 5.0,
            Self::Total | Self::Trip => Length::from_km(0.125).si(),
            Self::OutputShaft => Frequency::from_per_min(0.125).si(),
            Self::ChosenSpeed | Self::ChosenDistance => 0.0,
        }
    }
}

#[derive(Debug)]
struct Channel {
    what: What,
    sender: (u32, usize),
    step: f64,
    /// Line, time (s), value (SI).
    readings: Vec<(usize, f64, f64)>,
}

impl Channel {
    fn series<Q: Quantity>(&self) -> Series<Q> {
        let reading = |&(line, time_s, si): &(usize, f64, f64)| Reading {
            line,
            time: Instant::from_s(time_s),
            value: Q::from_si(si),
        };
        let readings = self.readings.iter().map(reading).collect();
        Series { label: self.name(), step: Q::from_si(self.step), readings }
    }

    fn name(&self) -> String {
        format!("{} from {:X}", self.what.label(), self.sender.0)
    }
}

/// Everything that was read, by channel.
#[derive(Debug, Default)]
pub(super) struct Channels {
    interfaces: Vec<Vec<u8>>,
    channels: Vec<Channel>,
    readings: usize,
}

impl Channels {
    /// Place of an interface among those met.
    pub(super) fn interface(&mut self, name: &[u8]) -> usize {
        let known = self.interfaces.iter().position(|known| known == name);
        known.unwrap_or_else(|| {
            if self.interfaces.len() < MOST_INTERFACES {
                self.interfaces.push(name.to_vec());
            }
            self.interfaces.len() - 1
        })
    }

    pub(super) fn push(&mut self, what: What, sender: (u32, usize), step: f64, reading: (usize, f64, f64)) {
        self.readings += 1;
        if self.readings > MOST_KEPT {
            return;
        }
        let known = self.channels.iter().position(|channel| channel.what == what && channel.sender == sender);
        let at = known.unwrap_or_else(|| {
            self.channels.push(Channel { what, sender, step, readings: Vec::new() });
            self.channels.len() - 1
        });
        self.channels[at].readings.push(reading);
    }

    pub(super) fn finish(
        mut self,
        source: &str,
        clock: Clock,
        frames: usize,
        problems: &mut Vec<Problem>,
    ) -> VehicleLog {
        problems.extend(too_many(source, self.readings));
        self.channels.sort_by_key(|channel| {
            (channel.what, core::cmp::Reverse(channel.readings.len()), channel.sender)
        });
        let speeds: Vec<&Channel> = self.channels.iter().filter(|channel| channel.what.is_speed()).collect();
        match speeds.as_slice() {
            [] => {
                if !any_error(problems) {
                    problems.push(self.no_speed(source, frames));
                }
            }
            [_] => {}
            [taken, others @ ..] => {
                let others: Vec<String> = others.iter().map(|channel| channel.name()).collect();
                let found = format!("{} beside {}", taken.name(), others.join(", "));
                let note = Problem::note(source, "one vehicle speed", found);
                problems.push(note.hint(
                    Wording::from("the first was taken; another is taken by ").field(Field::CanSignal),
                ));
            }
        }
        let sample = |&(line, time_s, si): &(usize, f64, f64)| Sample {
            line,
            time: Instant::from_s(time_s),
            speed: Speed::from_si(si),
        };
        let samples: Vec<Sample> =
            speeds.first().map_or_else(Vec::new, |speed| speed.readings.iter().map(sample).collect());
        let of = |wanted: fn(What) -> bool| self.channels.iter().filter(move |channel| wanted(channel.what));
        VehicleLog {
            source: String::new(),
            clock,
            step: speeds.first().map(|speed| Speed::from_si(speed.step)),
            interval: usual_interval(&samples),
            samples,
            distances: of(|what| !what.is_speed() && what != What::OutputShaft)
                .map(Channel::series)
                .collect(),
            shaft_speeds: of(|what| what == What::OutputShaft).map(Channel::series).collect(),
        }
    }

    fn no_speed(&self, source: &str, frames: usize) -> Problem {
        let others: Vec<String> = self.channels.iter().map(Channel::name).collect();
        let found = match others.as_slice() {
            [] => format!("{frames} frames with none that is known"),
            _ => format!("only {}", others.join(", ")),
        };
        let signal = "id=0x61D byte=4 length=14 order=little factor=0.025 unit=km/h";
        let hint = Wording::from("ask for OBD-II 0D while recording, or say where the speed stands: ")
            .field(Field::CanSignal.such_as(signal))
            .text(", or ")
            .field(Field::Dbc.such_as("FILE"));
        Problem::error(source, "the vehicle's speed among the frames", found).hint(hint)
    }
}
