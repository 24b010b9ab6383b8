//! The decoder. It takes what it finds for the truth; here it is held against what the file says of itself. A rate or a
//! length that differs ends the reading: sound of a high-efficiency profile decodes at half its rate without a word, and
//! would halve every frequency.

use super::HINT;
use super::edit::{self, Edit};
use metrology::quantity::Frequency;
use symphonia::core::codecs::audio::well_known::{
    CODEC_ID_AAC, CODEC_ID_ALAC, CODEC_ID_FLAC, CODEC_ID_MP3, CODEC_ID_VORBIS,
};
use symphonia::core::codecs::audio::{AudioCodecId, AudioCodecParameters, AudioDecoder};
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::well_known::{FORMAT_ID_ADTS, FORMAT_ID_FLAC, FORMAT_ID_ISOMP4, FORMAT_ID_OGG};
use symphonia::core::formats::{FormatReader, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream};
use symphonia::default::{get_codecs, get_probe};
use truing::logs::recording::{Piece, RecordingOptions, channel};
use truing::problem::Problem;

/// Samples a coder adds before and behind the sound, at most: two packets of the longest priming (2112 of AAC, from
/// memory) rounded up to whole packets of 1024.
const ADDED_SAMPLES: f64 = 5120.0;
/// The length in a file's head is rounded, and a last packet may be short. Far from the half that is looked for.
const LENGTH_SHARE: f64 = 0.01;
/// AAC by itself says nothing of the samples before the sound; the coding has at least one packet of them (from memory).
const PRIMING_SAMPLES: f64 = 1024.0;
/// Packets in a row that cannot be decoded before it is given up.
const DAMAGED_MOST: u64 = 50;

/// Decodes a file called `source` in problems, piece by piece.
pub fn feed(
    source: &str,
    mut file: impl MediaSource + 'static,
    options: &RecordingOptions,
    sink: &mut dyn FnMut(Piece),
) -> Vec<Problem> {
    let refused = |problem: Box<Problem>| vec![*problem];
    let edit = edit::read(&mut file);
    let opened = Sound::open(source, Box::new(file), edit, options);
    opened
        .and_then(|(mut sound, mut problems)| {
            sound.run(sink)?;
            problems.extend(sound.finish()?);
            Ok(problems)
        })
        .unwrap_or_else(refused)
}

/// A file being decoded.
struct Sound<'a> {
    source: &'a str,
    format: Box<dyn FormatReader>,
    decoder: Box<dyn AudioDecoder>,
    track: u32,
    channel: usize,
    declared: Declared,
    /// Samples before the sound, and where it ends, counted from the first decoded.
    heard: (u64, u64),
    is_lossy: bool,
    frames: u64,
    damaged: u64,
}

/// What the file says of itself.
struct Declared {
    rate_hz: f64,
    /// Where the head states it; an estimate from the size of the file is none.
    length_s: Option<f64>,
}

impl<'a> Sound<'a> {
    fn open(
        source: &'a str,
        file: Box<dyn MediaSource>,
        edit: Option<Edit>,
        options: &RecordingOptions,
    ) -> Result<(Self, Vec<Problem>), Box<Problem>> {
        let stream = MediaSourceStream::new(file, Default::default());
        let format = get_probe().probe(&Hint::new(), stream, Default::default(), Default::default());
        let format = format.map_err(|error| unreadable(source, &error))?;
        let track = format.default_track(TrackType::Audio).ok_or_else(|| no_sound(source))?;
        let parameters = track.codec_params.as_ref().and_then(|parameters| parameters.audio());
        let parameters = parameters.ok_or_else(|| no_sound(source))?;
        let is_lossy = is_lossy(parameters.codec).ok_or_else(|| unknown_coding(source))?;
        let decoder = get_codecs().make_audio_decoder(parameters, &Default::default());
        let decoder = decoder.map_err(|error| unreadable(source, &error))?;
        let (chosen, problem) = chosen(source, decoder.codec_params(), options);
        let problem = match (chosen, problem) {
            (None, problem) => return Err(Box::new(problem.unwrap_or_else(|| *no_sound(source)))),
            (Some(_), problem) => problem,
        };
        let is_stated =
            [FORMAT_ID_ISOMP4, FORMAT_ID_OGG, FORMAT_ID_FLAC].contains(&format.format_info().format);
        let length =
            track.time_base.zip(track.duration).and_then(|(base, duration)| base.calc_duration(duration));
        let declared = Declared {
            rate_hz: parameters.sample_rate.map_or(f64::NAN, f64::from),
            length_s: length
                .map(|length| length.as_secs_f64())
                .filter(|length_s| is_stated && *length_s > 0.0),
        };
        let bare = format.format_info().format == FORMAT_ID_ADTS;
        let heard = heard(edit, declared.rate_hz, bare);
        let (track, channel) = (track.id, chosen.unwrap_or(0));
        let sound = Self {
            source,
            format,
            decoder,
            track,
            channel,
            declared,
            heard,
            is_lossy,
            frames: 0,
            damaged: 0,
        };
        Ok((sound, problem.into_iter().collect()))
    }

    fn run(&mut self, sink: &mut dyn FnMut(Piece)) -> Result<(), Box<Problem>> {
        let (mut planes, mut in_a_row): (Vec<Vec<f64>>, u64) = (Vec::new(), 0);
        if self.is_lossy {
            sink(Piece::Lossy);
        }
        loop {
            let packet = match self.format.next_packet() {
                Ok(Some(packet)) if packet.track_id == self.track => packet,
                Ok(Some(_)) => continue,
                Ok(None) => return Ok(()),
                Err(error) if self.frames == 0 => return Err(unreadable(self.source, &error)),
                Err(_) => {
                    self.damaged += 1;
                    return Ok(());
                }
            };
            match self.decoder.decode(&packet) {
                Ok(buffer) => {
                    let rate_hz = f64::from(buffer.spec().rate());
                    buffer.copy_to_vecs_planar(&mut planes);
                    in_a_row = 0;
                    let values = planes.get(self.channel).map_or(&[][..], Vec::as_slice);
                    let inside = |at: u64| (at.saturating_sub(self.frames) as usize).min(values.len());
                    let (from, to) = (inside(self.heard.0), inside(self.heard.1));
                    self.frames += values.len() as u64;
                    if rate_hz != self.declared.rate_hz {
                        return Err(self.other_rate(rate_hz));
                    }
                    let values = &values[from..to.max(from)];
                    sink(Piece::Samples { rate: Frequency::from_hz(rate_hz), values });
                }
                Err(Error::DecodeError(_) | Error::IoError(_)) if in_a_row < DAMAGED_MOST => {
                    (in_a_row, self.damaged) = (in_a_row + 1, self.damaged + 1);
                }
                Err(error) => return Err(unreadable(self.source, &error)),
            }
        }
    }

    fn other_rate(&self, rate_hz: f64) -> Box<Problem> {
        let expected = format!("{:.0} samples per second, as the file says", self.declared.rate_hz);
        let problem = Problem::error(self.source, expected, format!("{rate_hz:.0} once decoded"));
        Box::new(
            problem.hint(format!("a coding that is not fully read would change every frequency; {HINT}")),
        )
    }

    /// Holds what was decoded against what the file says.
    fn finish(self) -> Result<Vec<Problem>, Box<Problem>> {
        let found_s = self.frames as f64 / self.declared.rate_hz;
        if self.frames == 0 {
            return Err(no_sound(self.source));
        }
        let allowed_s = |length_s: f64| ADDED_SAMPLES / self.declared.rate_hz + LENGTH_SHARE * length_s;
        let other =
            self.declared.length_s.filter(|length_s| (found_s - length_s).abs() > allowed_s(*length_s));
        if let Some(length_s) = other {
            let expected = format!("{length_s:.1} s of sound, as the file says");
            let problem = Problem::error(self.source, expected, format!("{found_s:.1} s once decoded"));
            return Err(Box::new(
                problem.hint(format!("it is damaged, or its rate is not what it says; {HINT}")),
            ));
        }
        let damaged = (self.damaged > 0).then(|| {
            let found = format!("{} packets that cannot be decoded", self.damaged);
            let problem = Problem::warning(self.source, "sound without damage", found);
            problem.hint("pulses in them are not counted; copy the file again")
        });
        Ok(damaged.into_iter().collect())
    }
}

/// Number of the first sample to be heard, and of the first behind.
fn heard(edit: Option<Edit>, rate_hz: f64, bare: bool) -> (u64, u64) {
    let skipped = if bare { PRIMING_SAMPLES } else { 0.0 };
    let start = edit.map_or(skipped, |edit| edit.start_s * rate_hz).round();
    let end =
        edit.and_then(|edit| edit.length_s).map_or(f64::INFINITY, |length_s| start + length_s * rate_hz);
    // A number too large for the type becomes the largest.
    (start as u64, end.ceil() as u64)
}

/// Whether a coding loses something; none for one that is not decoded here.
fn is_lossy(codec: AudioCodecId) -> Option<bool> {
    match codec {
        CODEC_ID_AAC | CODEC_ID_MP3 | CODEC_ID_VORBIS => Some(true),
        CODEC_ID_ALAC | CODEC_ID_FLAC => Some(false),
        _ => None,
    }
}

fn chosen(
    source: &str,
    parameters: &AudioCodecParameters,
    options: &RecordingOptions,
) -> (Option<usize>, Option<Problem>) {
    let count = parameters.channels.as_ref().map_or(1, |channels| channels.count());
    let names: Vec<String> = (1..=count).map(|number| number.to_string()).collect();
    channel(source, options, &names)
}

fn no_sound(source: &str) -> Box<Problem> {
    Box::new(Problem::error(source, "a file with sound in it", "none").hint(HINT))
}

fn unknown_coding(source: &str) -> Box<Problem> {
    let expected = "sound coded as AAC-LC, ALAC, MP3, Vorbis or FLAC";
    Box::new(Problem::error(source, expected, "another coding, such as Opus or AMR").hint(HINT))
}

fn unreadable(source: &str, error: &Error) -> Box<Problem> {
    let expected = "sound coded as AAC-LC, ALAC, MP3, Vorbis or FLAC, whole";
    Box::new(Problem::error(source, expected, error.to_string()).hint(HINT))
}

#[cfg(test)]
#[path = "tests.rs"]
mod tests;
