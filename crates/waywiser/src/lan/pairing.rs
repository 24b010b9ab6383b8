//! Letting a phone in: a secret that is shown once, for a few minutes and a few attempts, one at a time.

use super::digits::digits;
use crate::world;
use jiff::{Timestamp, ToSpan};
use std::sync::{Mutex, PoisonError};
use truing::problem::Problem;

/// So many minutes a code can be used (judgement: time to find the phone and go past a warning).
pub const LASTS_MIN: i32 = 5;
/// So many wrong ones end it.
pub const ATTEMPTS: u32 = 5;
/// Bytes of a secret: 128 bits.
const SECRET_BYTES: usize = 16;

/// The code that is open, if one is.
#[derive(Default)]
pub struct Pairing(Mutex<Option<Open>>);

struct Open {
    secret: String,
    until: Timestamp,
    made: Timestamp,
    attempts_left: u32,
}

impl Open {
    /// A clock that was set back ends it too: it must not last longer for that.
    fn lasts(&self, now: Timestamp) -> bool {
        now >= self.made && now < self.until
    }
}

/// Why a phone was not let in.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum NotLetIn {
    /// No code is open: none was asked for, or it was used.
    NoCode,
    /// It is older than it may be.
    Expired,
    /// It is another one; so many attempts are left.
    Wrong(u32),
    /// Too many wrong ones came.
    UsedUp,
}

impl Pairing {
    /// Opens another code; the one before is closed.
    pub fn open(&self, now: Timestamp) -> Result<(), Box<Problem>> {
        let secret = world::secret()?;
        let secret = digits(secret.get(..SECRET_BYTES).unwrap_or_default());
        let until = now.checked_add(LASTS_MIN.minutes()).unwrap_or(now);
        *self.locked() = Some(Open { secret, until, made: now, attempts_left: ATTEMPTS });
        Ok(())
    }

    /// The code that is open, and until when.
    pub fn shown(&self, now: Timestamp) -> Option<(String, Timestamp)> {
        let open = self.locked();
        open.as_ref()
            .filter(|open| open.lasts(now) && open.attempts_left > 0)
            .map(|open| (open.secret.clone(), open.until))
    }

    /// Takes a secret; the right one is taken once.
    pub fn take(&self, given: &str, now: Timestamp) -> Result<(), NotLetIn> {
        let mut place = self.locked();
        let open = place.as_mut().ok_or(NotLetIn::NoCode)?;
        if open.attempts_left == 0 {
            return Err(NotLetIn::UsedUp);
        }
        if !open.lasts(now) {
            *place = None;
            return Err(NotLetIn::Expired);
        }
        if !world::is_same(given, &open.secret) {
            open.attempts_left -= 1;
            return Err(match open.attempts_left {
                0 => NotLetIn::UsedUp,
                left => NotLetIn::Wrong(left),
            });
        }
        *place = None;
        Ok(())
    }

    fn locked(&self) -> std::sync::MutexGuard<'_, Option<Open>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn opened() -> (Pairing, Timestamp, String) {
        let (pairing, now) = (Pairing::default(), world::now());
        assert_eq!(pairing.take("", now), Err(NotLetIn::NoCode));
        pairing.open(now).unwrap();
        let (secret, until) = pairing.shown(now).unwrap();
        assert_eq!((secret.len(), until), (32, now + 5.minutes()));
        (pairing, now, secret)
    }

    #[test]
    fn a_code_is_taken_once() {
        let (pairing, now, secret) = opened();
        assert_eq!(pairing.take(&secret, now + 299.seconds()), Ok(()));
        assert_eq!(pairing.take(&secret, now + 299.seconds()), Err(NotLetIn::NoCode));
        assert_eq!(pairing.shown(now), None);
    }

    #[test]
    fn a_code_ends_after_its_minutes_and_when_the_clock_is_set_back() {
        for wait_s in [300, -1] {
            let (pairing, now, secret) = opened();
            let then = now + wait_s.seconds();
            assert_eq!(pairing.shown(then), None);
            assert_eq!(pairing.take(&secret, then), Err(NotLetIn::Expired));
            assert_eq!(pairing.take(&secret, now), Err(NotLetIn::NoCode));
        }
    }

    #[test]
    fn the_right_one_is_refused_after_five_wrong_ones() {
        let (pairing, now, secret) = opened();
        let wrong = [
            "",
            "0",
            &secret[1..],
            &format!("{secret}0"),
            &secret.to_uppercase().replace(char::is_numeric, "x"),
        ];
        let said = wrong.map(|given| pairing.take(given, now).unwrap_err());
        assert_eq!(said[..4], [4, 3, 2, 1].map(NotLetIn::Wrong));
        assert_eq!(said[4], NotLetIn::UsedUp);
        assert_eq!(pairing.take(&secret, now), Err(NotLetIn::UsedUp));
        assert_eq!(pairing.shown(now), None);
    }

    #[test]
    fn another_code_closes_the_one_before() {
        let (pairing, now, first) = opened();
        pairing.open(now).unwrap();
        let (second, _) = pairing.shown(now).unwrap();
        assert_ne!(first, second);
        assert_eq!(pairing.take(&first, now), Err(NotLetIn::Wrong(4)));
        assert_eq!(pairing.take(&second, now), Ok(()));
    }
}
