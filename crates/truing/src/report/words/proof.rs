//! What a verdict takes for granted, in sentences.

use crate::describe::adjuster::setting::Setting;
use crate::measure::drive::Reads;
use crate::prove::Note;

/// Asks which value is stored.
pub fn stored_instead(said: &Setting, fits: &Setting) -> String {
    format!(
        "This drive does not fit {said}, which the file says is stored, and fits {fits}: is {fits} stored now? Look, and let the file say it; the verdict itself rests on this drive alone."
    )
}

/// A note in its sentence.
pub fn note(note: Note) -> String {
    let name = |by| if by == Reads::Channel { "the vehicle's logged speed" } else { "the odometer" };
    match note {
        Note::OdometerByNeedle => "The odometer was judged by the needle: an odometer has no needle's gain, so 1.5 % was added to the uncertainty; two odometer readings tell it better.".into(),
        Note::SpeedOfTheModule => {
            "The vehicle's logged speed was taken to come from the module that was set.".into()
        }
        Note::DigitsBy(by) => format!("The dial shows digits and was judged by {}.", name(by)),
        Note::DialBy(by) => format!(
            "The dial was judged by {} and not by its needle: 1.5 % for the needle's own gain and about 1 mph (1.6 km/h) for where it rests were added. Called-out speeds judge the needle itself.",
            name(by)
        ),
    }
}
