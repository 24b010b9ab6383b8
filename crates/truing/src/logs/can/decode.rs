//! Frames to readings: which frames are looked at, and what stands in them.

use super::super::bounds;
use super::super::tally::Kind;
use super::super::units::Dimension;
use super::CanOptions;
use super::channels::{Channels, What};
use super::frame::Frame;
use super::obd::{self, Answer, Progress, Transport};
use super::signal::{CanSignal, Said};
use crate::problem::Severity;

/// One parameter of a J1939 group: first byte counted from 0, count of bytes. All are little-endian.
struct Parameter {
    group: u32,
    what: What,
    byte: usize,
    bytes: usize,
}

const fn parameter(group: u32, what: What, byte: usize, bytes: usize) -> Parameter {
    Parameter { group, what, byte, bytes }
}

/// SAE J1939-71, as several public decoders agree.
const PARAMETERS: [Parameter; 7] = [
    parameter(0xFEF1, What::WheelSpeed, 1, 2),
    parameter(0xFE6C, What::TachographSpeed, 6, 2),
    parameter(0xFEC1, What::HighResolutionTotal, 0, 4),
    parameter(0xFEC1, What::HighResolutionTrip, 4, 4),
    parameter(0xFEE0, What::Trip, 0, 4),
    parameter(0xFEE0, What::Total, 4, 4),
    parameter(0xF002, What::OutputShaft, 1, 2),
];

/// Why there is no reading.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Trouble {
    NotAvailable,
    Error,
    TooShort,
    Impossible,
    Broken,
}

impl Trouble {
    pub(super) fn kind(self) -> Kind<'static> {
        let (severity, expected) = match self {
            Self::NotAvailable => (Severity::Note, "values"),
            Self::Error => (Severity::Warning, "values without error"),
            Self::TooShort => (Severity::Warning, "frames as long as what they hold"),
            Self::Impossible => (Severity::Warning, "a speed from 0 to 500 m/s, a distance from 0 on"),
            Self::Broken => (Severity::Warning, "answers with all their frames"),
        };
        Kind { severity, part: "value", expected, hint: "they were left out" }
    }

    pub(super) fn found(self) -> &'static str {
        match self {
            Self::NotAvailable => "\"not available\"",
            Self::Error => "\"error\"",
            Self::TooShort => "shorter ones",
            Self::Impossible => "others",
            Self::Broken => "a missing frame",
        }
    }
}

/// Knows which frames hold something, and reads it.
#[derive(Debug, Default)]
pub(super) struct Decoder {
    signal: Option<CanSignal>,
    transport: Transport,
}

/// The group of an extended identifier (SAE J1939-21): the lower byte of a group below 0xF000 is an address.
fn group(id: u32) -> u32 {
    let group = id >> 8 & 0x3_FFFF;
    if group >> 8 & 0xFF < 0xF0 { group & 0x3_FF00 } else { group }
}

impl Decoder {
    pub(super) fn new(options: CanOptions) -> Self {
        Self { signal: options.signal, transport: Transport::default() }
    }

    pub(super) fn wants(&self, frame: &Frame<'_>) -> bool {
        let (id, extended) = (frame.id, frame.extended);
        obd::answers_in(id, extended)
            || extended && PARAMETERS.iter().any(|parameter| parameter.group == group(id))
            || self.signal.as_ref().is_some_and(|signal| signal.is_in(frame))
    }

    pub(super) fn decode(
        &mut self,
        frame: &Frame<'_>,
        line: usize,
        time_s: f64,
        data: &[u8],
        channels: &mut Channels,
        trouble: &mut impl FnMut(Trouble),
    ) {
        let sender = (frame.id, channels.interface(frame.interface));
        let mut push =
            |what: What, step: f64, reading: (usize, f64, f64)| channels.push(what, sender, step, reading);
        if let Some(signal) = self.signal.as_ref().filter(|signal| signal.is_in(frame)) {
            chosen(signal, data, trouble, &mut |what, si| push(what, signal.step(), (line, time_s, si)));
        }
        if obd::answers_in(frame.id, frame.extended) {
            let progress = self.transport.take(sender, line, time_s, data);
            obd_answer(progress, trouble, &mut |what, (line, time_s), count| {
                push(what, what.step(), (line, time_s, count * what.step()));
            });
        }
        let ours = |parameter: &&Parameter| frame.extended && parameter.group == group(frame.id);
        for parameter in PARAMETERS.iter().filter(ours) {
            match parameter.count(data) {
                Ok(count) => {
                    push(parameter.what, parameter.what.step(), (line, time_s, count * parameter.what.step()))
                }
                Err(why) => trouble(why),
            }
        }
    }
}

impl Parameter {
    /// Its count of steps. The upper byte tells the rest: FF not available, FE error, FB to FD kept for other uses (SAE
    /// J1939-71, from memory).
    fn count(&self, data: &[u8]) -> Result<f64, Trouble> {
        let bytes = data.get(self.byte..self.byte + self.bytes).ok_or(Trouble::TooShort)?;
        let (&highest, _) = bytes.split_last().ok_or(Trouble::TooShort)?;
        match highest {
            0xFF => Err(Trouble::NotAvailable),
            0xFB..=0xFE => Err(Trouble::Error),
            _ => Ok(f64::from(bytes.iter().rev().fold(0u32, |sum, &byte| sum << 8 | u32::from(byte)))),
        }
    }
}

fn chosen(
    signal: &CanSignal,
    data: &[u8],
    trouble: &mut impl FnMut(Trouble),
    push: &mut impl FnMut(What, f64),
) {
    let (what, possible): (What, fn(f64) -> bool) = match signal.dimension {
        Dimension::Length => (What::ChosenDistance, |m| (0.0..LARGEST_DISTANCE_M).contains(&m)),
        _ => (What::ChosenSpeed, bounds::is_speed),
    };
    match signal.said(data) {
        Said::Value(si) if possible(si) => push(what, si),
        Said::Value(_) => trouble(Trouble::Impossible),
        Said::NotAvailable => trouble(Trouble::NotAvailable),
        Said::TooShort => trouble(Trouble::TooShort),
        Said::Elsewhere => {}
    }
}

/// No vehicle has gone further: the largest of the high-resolution distance (SAE J1939-71).
const LARGEST_DISTANCE_M: f64 = 2.2e10;

fn obd_answer(
    progress: Progress,
    trouble: &mut impl FnMut(Trouble),
    push: &mut impl FnMut(What, (usize, f64), f64),
) {
    match progress {
        Progress::Whole(whole) => {
            let at = (whole.line, whole.time_s);
            let complete = obd::answers(&whole.bytes, |answer| match answer {
                Answer::Speed(km_per_h) => push(What::ObdSpeed, at, f64::from(km_per_h)),
                Answer::Odometer(tenths) => push(What::ObdOdometer, at, f64::from(tenths)),
            });
            if !complete {
                trouble(Trouble::TooShort);
            }
        }
        Progress::Broken => trouble(Trouble::Broken),
        Progress::TooShort => trouble(Trouble::TooShort),
        Progress::Waiting => {}
    }
}
