//! From what comes in to records: holds that begin and end, and gaps, each with its reason.

use super::event::Event;
use super::record::Record;
use super::typed::Typed;

/// A receiver that says nothing for longer than this (s) left a gap; the slowest ones speak each second (judgement).
const SILENT_S: f64 = 5.0;
/// Why there is a gap, where nothing said so.
const SILENT: &str = "receiver-silent";

/// A drive that is recorded.
pub struct Session {
    speed_unit: &'static str,
    distance_unit: &'static str,
    /// When the last fix was delivered, or recording began.
    last_s: f64,
    /// Why there are none at the moment.
    lost: Option<&'static str>,
    /// What the needle stands at, and since when.
    steady: Option<(String, f64)>,
    /// How many fixes came.
    pub fixes: usize,
}

/// What came of an event.
#[derive(Debug, Default, PartialEq)]
pub struct Step {
    /// Records to be written, in order.
    pub records: Vec<Record>,
    /// What the passenger is told.
    pub told: Option<String>,
}

impl Session {
    /// One that begins now.
    pub fn new(speed_unit: &'static str, distance_unit: &'static str, now_s: f64) -> Self {
        Self { speed_unit, distance_unit, last_s: now_s, lost: Some("no-fix-yet"), steady: None, fixes: 0 }
    }

    /// What every file begins with.
    pub fn first() -> [Record; 2] {
        [Record::FIRST, Record::Segment]
    }

    /// Takes what came in.
    pub fn take(&mut self, event: Event) -> Step {
        match event {
            Event::Fix(fix, delivered) => {
                let silent = (delivered - self.last_s > SILENT_S).then_some(SILENT);
                let reason = self.lost.take().or(silent);
                let mut records: Vec<Record> =
                    reason.into_iter().map(|reason| self.gap(reason, delivered)).collect();
                // Nothing is joined across a gap.
                if !records.is_empty() && self.fixes > 0 {
                    records.push(Record::Segment);
                }
                records.push(Record::Fix { delivered, fix });
                (self.last_s, self.fixes) = (delivered, self.fixes + 1);
                Step { records, told: reason.map(|_| "Fixes come in.".to_string()) }
            }
            Event::Lost(reason, _) => {
                let is_news = self.lost != Some(reason);
                self.lost = Some(reason);
                Step { told: is_news.then(|| format!("No fixes: {reason}.")), ..Step::default() }
            }
            Event::Typed(line, now_s) => self.typed(&line, now_s),
            Event::Stop(now_s) => {
                let mut records = self.hold_until(now_s);
                let silent = (now_s - self.last_s > SILENT_S).then_some(SILENT);
                records.extend(self.lost.take().or(silent).map(|reason| self.gap(reason, now_s)));
                Step { records, told: None }
            }
        }
    }

    fn typed(&mut self, line: &str, now_s: f64) -> Step {
        match Typed::read(line) {
            Typed::Steady(number) => {
                let records = self.hold_until(now_s);
                let shown = format!("{number} {}", self.speed_unit);
                let told = format!("The needle stands at {shown}, from now on. An empty line ends it.");
                self.steady = Some((shown, now_s));
                Step { records, told: Some(told) }
            }
            Typed::Ended => {
                let records = self.hold_until(now_s);
                let told = records.first().map(|_| "Ended.".to_string());
                Step { records, told }
            }
            Typed::Odometer(number) => {
                let shown = format!("{number} {}", self.distance_unit);
                let told = Some(format!("The odometer turned to {shown}."));
                Step { records: vec![Record::Odometer { shown, at: now_s }], told }
            }
            Typed::Note(text) => {
                Step { records: vec![Record::Note { text, at: now_s }], told: Some("Noted.".into()) }
            }
            Typed::Unknown => {
                let says = "Type a speed such as 45, an empty line, o 412.7 or n and words.";
                Step { records: Vec::new(), told: Some(says.into()) }
            }
        }
    }

    fn hold_until(&mut self, end: f64) -> Vec<Record> {
        let held = self.steady.take();
        held.into_iter().map(|(shown, start)| Record::Hold { shown, start, end }).collect()
    }

    fn gap(&self, reason: &'static str, end: f64) -> Record {
        Record::Gap { reason, start: self.last_s, end }
    }
}

#[cfg(test)]
mod tests {
    use super::super::record::Fix;
    use super::*;

    fn written(events: Vec<Event>) -> Vec<String> {
        let mut session = Session::new("mph", "mi", 10.0);
        let records = events.into_iter().flat_map(|event| session.take(event).records);
        records.map(|record| serde_json::to_string(&record).unwrap()).collect()
    }

    fn fix() -> Fix {
        Fix { time: Some("2026-05-01T10:00:00Z".into()), latitude: 45.0, longitude: 9.5, ..Fix::default() }
    }

    const FIRST_GAP: &str = r#"{"run":"gap","reason":"no-fix-yet","start":10.0,"end":11.0}"#;

    fn fix_at(delivered: f64) -> String {
        format!(
            r#"{{"run":"fix","delivered":{delivered:?},"time":"2026-05-01T10:00:00Z","latitude":45.0,"longitude":9.5}}"#
        )
    }

    #[test]
    fn a_stopped_source_is_a_gap_with_its_reason() {
        let events = vec![
            Event::Fix(fix(), 11.0),
            Event::Lost("receiver-gone", 12.0),
            Event::Fix(fix(), 20.0),
            Event::Fix(fix(), 21.0),
            Event::Fix(fix(), 40.0),
            Event::Lost("no-position", 41.0),
            Event::Stop(50.0),
        ];
        let expected = [
            FIRST_GAP,
            &fix_at(11.0),
            r#"{"run":"gap","reason":"receiver-gone","start":11.0,"end":20.0}"#,
            r#"{"run":"segment"}"#,
            &fix_at(20.0),
            &fix_at(21.0),
            r#"{"run":"gap","reason":"receiver-silent","start":21.0,"end":40.0}"#,
            r#"{"run":"segment"}"#,
            &fix_at(40.0),
            r#"{"run":"gap","reason":"no-position","start":40.0,"end":50.0}"#,
        ];
        assert_eq!(written(events), expected);
    }

    #[test]
    fn marks_are_written_when_they_are_whole() {
        let typed = |line: &str, at| Event::Typed(line.into(), at);
        let events = vec![
            Event::Fix(fix(), 11.0),
            typed("45", 11.5),
            typed("60", 14.5),
            typed("", 15.0),
            typed("", 15.5),
            typed("o 412.7", 15.6),
            typed("n gravel", 15.7),
            typed("what", 15.8),
            typed("30", 15.9),
            Event::Stop(15.95),
        ];
        let expected = [
            FIRST_GAP,
            &fix_at(11.0),
            r#"{"run":"hold","shown":"45 mph","start":11.5,"end":14.5}"#,
            r#"{"run":"hold","shown":"60 mph","start":14.5,"end":15.0}"#,
            r#"{"run":"odometer","shown":"412.7 mi","at":15.6}"#,
            r#"{"run":"note","text":"gravel","at":15.7}"#,
            r#"{"run":"hold","shown":"30 mph","start":15.9,"end":15.95}"#,
        ];
        assert_eq!(written(events), expected);
    }
}
