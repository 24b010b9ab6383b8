//! Fixes from a receiver on a serial port, which sends sentences of NMEA 0183 (read as `truing::logs::nmea` reads them).

use super::event::Event;
use super::record::Fix;
use crate::world::steady_s;
use serial2::SerialPort;
use std::io::ErrorKind;
use std::path::Path;
use std::sync::mpsc::Sender;
use std::time::Duration;
use truing::logs::nmea::NmeaReader;
use truing::logs::{Clock, Track};

/// All sentences of a moment have come when none came for so long.
const PAUSE: Duration = Duration::from_millis(200);
/// How long it is waited before another try.
const AGAIN_AFTER: Duration = Duration::from_secs(2);
/// A line without an end is dropped beyond this; a sentence has 82 bytes (NMEA 0183).
const LONGEST_LINE_BYTES: usize = 512;
/// Nor has a moment more than this.
const MOST_OF_A_MOMENT_BYTES: usize = 16 << 10;

/// Reads a port until nobody listens any more; opens it again where it is gone.
pub fn read(path: &Path, bits_per_s: u32, to: &Sender<Event>) {
    loop {
        let reason = match SerialPort::open(path, bits_per_s) {
            Ok(mut port) => {
                let _ = port.set_read_timeout(PAUSE);
                match sentences(&port, to) {
                    Ok(()) => "receiver-gone",
                    Err(NobodyListens) => return,
                }
            }
            Err(_) => "port-does-not-open",
        };
        if to.send(Event::Lost(reason, steady_s())).is_err() {
            return;
        }
        std::thread::sleep(AGAIN_AFTER);
    }
}

struct NobodyListens;

/// All that a port says, until it is gone.
fn sentences(port: &SerialPort, to: &Sender<Event>) -> Result<(), NobodyListens> {
    let mut moments = Moments::default();
    let mut bytes = [0; 1024];
    loop {
        let events = match port.read(&mut bytes) {
            Ok(read @ 1..) => moments.take(bytes.get(..read).unwrap_or_default(), steady_s()),
            Err(error) if error.kind() == ErrorKind::TimedOut => moments.close().into_iter().collect(),
            Err(error) if error.kind() == ErrorKind::Interrupted => Vec::new(),
            // The last moment is whole: nothing follows that could end it.
            Ok(_) | Err(_) => {
                return moments.close().map_or(Ok(()), |event| to.send(event)).map_err(|_| NobodyListens);
            }
        };
        for event in events {
            to.send(event).map_err(|_| NobodyListens)?;
        }
    }
}

/// Joins sentences of one moment.
#[derive(Default)]
struct Moments {
    line: Vec<u8>,
    open: Vec<u8>,
    time: Vec<u8>,
    began_s: f64,
}

impl Moments {
    /// Takes bytes as they come; the moments that they closed.
    fn take(&mut self, bytes: &[u8], now_s: f64) -> Vec<Event> {
        let mut events = Vec::new();
        for byte in bytes {
            self.line.push(*byte);
            if *byte == b'\n' {
                events.extend(self.sentence(now_s));
                self.line.clear();
            } else if self.line.len() > LONGEST_LINE_BYTES {
                self.line.clear();
            }
        }
        events
    }

    fn sentence(&mut self, now_s: f64) -> Option<Event> {
        let time = time_of(&self.line).map(<[u8]>::to_vec);
        let is_next = time.as_ref().is_some_and(|time| *time != self.time);
        let is_full = self.open.len() > MOST_OF_A_MOMENT_BYTES;
        let closed = if is_next || is_full { self.close() } else { None };
        if self.open.is_empty() {
            // A fix was delivered when its first sentence came.
            self.began_s = now_s;
        }
        if let Some(time) = time {
            self.time = time;
        }
        self.open.extend_from_slice(&self.line);
        closed
    }

    /// What the sentences so far come to.
    fn close(&mut self) -> Option<Event> {
        if self.open.is_empty() {
            return None;
        }
        let mut reader = NmeaReader::new("receiver");
        reader.feed(&self.open);
        self.open.clear();
        let (track, _) = reader.finish();
        Some(match fix(&track) {
            Some(fix) => Event::Fix(fix, self.began_s),
            None => Event::Lost("no-position", self.began_s),
        })
    }
}

/// The time of day that a sentence carries, as it is written.
fn time_of(line: &[u8]) -> Option<&[u8]> {
    let start = line.iter().rposition(|sign| *sign == b'$')?;
    let mut fields = line.get(start + 1..)?.split(|sign| *sign == b',');
    let place = match fields.next()?.get(2..)? {
        b"RMC" | b"GGA" | b"ZDA" => 0,
        b"GLL" => 4,
        _ => return None,
    };
    fields.nth(place).filter(|time| !time.is_empty())
}

fn fix(track: &Track) -> Option<Fix> {
    let fix = track.fixes.get(track.fixes.len().checked_sub(1)?)?;
    let time = fix.time.filter(|_| track.clock == Clock::Absolute).and_then(|time| {
        let whole_ms = (time.s() * 1000.0).round();
        jiff::Timestamp::from_millisecond(whole_ms as i64).ok()
    });
    Some(Fix {
        time: time.map(|time| time.to_string()),
        latitude: fix.latitude?.deg(),
        longitude: fix.longitude?.deg(),
        accuracy_m: None,
        speed_m_per_s: fix.speed.map(|speed| speed.m_per_s()),
        course_deg: fix.course.map(|course| course.deg()),
        height_m: fix.elevation.map(|height| height.m()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sentence with its checksum: the exclusive or of what stands between `$` and `*` (NMEA 0183).
    fn sentence(text: &str) -> String {
        let sum = text.bytes().fold(0, |sum, byte| sum ^ byte);
        format!("${text}*{sum:02X}\r\n")
    }

    #[test]
    fn sentences_of_a_moment_are_one_fix_stamped_when_the_first_came() {
        let rmc =
            |time: &str| sentence(&format!("GPRMC,{time},A,4807.038,N,01131.000,E,022.4,084.4,230326,,,A"));
        let gga =
            |time: &str| sentence(&format!("GPGGA,{time},4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,"));
        let mut moments = Moments::default();
        assert_eq!(moments.take(&rmc("123519.00").as_bytes()[..20], 1.0), []);
        assert_eq!(moments.take(&rmc("123519.00").as_bytes()[20..], 1.1), []);
        assert_eq!(moments.take(gga("123519.00").as_bytes(), 1.2), []);
        let closed = moments.take(rmc("123519.20").as_bytes(), 1.3);
        let [Event::Fix(fix, delivered)] = &closed[..] else { panic!("{closed:?}") };
        assert_eq!((fix.time.as_deref(), *delivered), (Some("2026-03-23T12:35:19Z"), 1.1));
        assert!((fix.speed_m_per_s.unwrap() - 22.4 * 1852.0 / 3600.0).abs() < 1e-9);
        assert_eq!(fix.height_m, Some(545.4));
        let Some(Event::Fix(fix, delivered)) = moments.close() else { panic!("the last one") };
        assert_eq!((fix.time.as_deref(), delivered), (Some("2026-03-23T12:35:19.2Z"), 1.3));
        assert_eq!(moments.close(), None);
    }

    #[test]
    fn what_is_no_position_is_said_and_noise_does_no_harm() {
        let mut moments = Moments::default();
        let void = sentence("GPRMC,123519,V,,,,,,,230326,,,N");
        moments.take(void.as_bytes(), 1.0);
        assert_eq!(moments.close(), Some(Event::Lost("no-position", 1.0)));
        for _ in 0..100 {
            assert_eq!(moments.take(&[0xff; 1000], 2.0), []);
        }
        assert!(moments.line.len() <= LONGEST_LINE_BYTES);
    }
}
