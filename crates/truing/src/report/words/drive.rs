//! What a drive shows, in sentences.

use crate::describe::evidence::OdometerRead;
use crate::measure::drive::{Diagnosis, Doubt, MostOfIt};
use crate::units::Units;
use metrology::quantity::Speed;

/// Why the ratio of a drive cannot be told, as the end of a sentence.
pub fn doubt(doubt: &Doubt) -> String {
    match doubt {
        Doubt::NoLag => {
            "track and vehicle log show no common changes of speed at any clock lag, though the speed changes".into()
        }
        Doubt::OtherDrive { median_difference } => format!(
            "the vehicle log moves otherwise than the track, by {:.0} % of the speed in the middle: most likely the log of another drive",
            100.0 * median_difference
        ),
        Doubt::ChannelStands => {
            "the vehicle's channel shows one value while the speed of the truck changes".into()
        }
        Doubt::SameSource => {
            "track and vehicle log are the same measurement, most likely the receiver's own speed on both sides".into()
        }
        Doubt::SwappedCoordinates => "latitude and longitude are most likely swapped".into(),
        Doubt::Unit { ratio } => format!(
            "a ratio of {ratio:.3} is that of one unit taken for another, or of files that do not belong together"
        ),
        Doubt::Wide { half_width } => {
            format!("the interval reaches {:.0} % to either side", 100.0 * half_width)
        }
    }
}

/// What kind of error it is and what that means, with the statistic.
pub fn diagnosis(diagnosis: &Diagnosis, units: Units) -> String {
    let number = |speed: Speed| units.of_speed(speed);
    let unit = units.speed_word();
    match diagnosis {
        Diagnosis::Proportional { offset, standard_uncertainty } => format!(
            // Twice the standard uncertainty: about 95 %.
            "The error is the same per cent at every speed (offset without any assumption {:+.2} \u{b1} {:.2} {unit}): a setting puts it right.",
            number(*offset),
            2.0 * number(*standard_uncertainty)
        ),
        Diagnosis::Offset { offset, deviations } => format!(
            "It reads {:+.1} {unit} off at every speed ({deviations:.1} standard uncertainties): a setting cannot put that right.",
            number(*offset)
        ),
        Diagnosis::Curved { middle, deviations } => format!(
            "The error changes with speed: at middle speeds it reads {:+.1} % off the line through slow and fast ({deviations:.1} standard uncertainties); one setting cannot put that right at every speed.",
            middle.percent()
        ),
        Diagnosis::Erratic { far_off } => format!(
            "{:.0} % of the samples at a steady speed are far from the line: the signal drops out or jumps; look at the sensor, its ring and its wiring before any setting.",
            far_off.percent()
        ),
        Diagnosis::Slipping { spinning } => format!(
            "The driven wheels spun: in {:.0} % of the samples under power it reads far too much. A spinning wheel counts turns that the truck does not go; drive again on a dry road, with a light foot.",
            spinning.percent()
        ),
        Diagnosis::OdometerOnly { read, most } => by_odometer(*read, *most),
        Diagnosis::Undetermined => {
            "What kind of error it is cannot be told from this drive; a drive with slow and fast stretches would show it.".into()
        }
    }
}

/// What two odometer readings tell, how they were read, and what would make it better where one thing makes up most of the
/// uncertainty.
fn by_odometer(read: OdometerRead, most: Option<MostOfIt>) -> String {
    let how = match read {
        OdometerRead::Digits => "Both readings were taken as good to a step of their last digit",
        OdometerRead::BetweenDigits => {
            "Both readings were taken as estimated between two digits, to a tenth of the wheel's step"
        }
        OdometerRead::AsItTurned => "Both readings were taken at the moment when the last digit turned",
    };
    let better = match (most, read) {
        (Some(MostOfIt::Readings), OdometerRead::AsItTurned) => "; a longer drive tells more",
        (Some(MostOfIt::Readings), _) => {
            "; they are most of the uncertainty: a longer drive tells more, and so do readings at the moment when the last digit turns"
        }
        (Some(MostOfIt::Ends), _) => {
            "; starting and stopping the recording under way is most of the uncertainty: stop just as the digit has turned, then start or stop it"
        }
        (None, _) => "",
    };
    format!(
        "{how}{better}. Two odometer readings tell the ratio of distances; what kind of error the speed has takes a speed log or called-out speeds."
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use metrology::quantity::Ratio;

    fn check(of: Diagnosis, expected: &str) {
        let says = diagnosis(&of, Units::Us);
        assert!(says.contains(expected), "{says}");
        assert_eq!(diagnosis(&of, Units::Metric).contains("km/h"), says.contains("mph"), "{says}");
    }

    #[test]
    fn every_diagnosis_is_told_in_the_owners_units() {
        let offset = Speed::from_mi_per_h(3.0);
        let standard_uncertainty = Speed::from_mi_per_h(0.2);
        check(
            Diagnosis::Proportional { offset, standard_uncertainty },
            "+3.00 \u{b1} 0.40 mph): a setting puts it right",
        );
        check(
            Diagnosis::Offset { offset, deviations: 9.0 },
            "reads +3.0 mph off at every speed (9.0 standard",
        );
        let offset = Speed::from_mi_per_h(-3.0);
        check(Diagnosis::Offset { offset, deviations: 9.0 }, "reads -3.0 mph off");
        check(
            Diagnosis::Curved { middle: Ratio::from_plain(0.024), deviations: 6.0 },
            "at middle speeds it reads +2.4 % off",
        );
        check(Diagnosis::Erratic { far_off: Ratio::from_plain(0.111) }, "11 % of the samples");
        check(
            Diagnosis::Slipping { spinning: Ratio::from_plain(0.21) },
            "in 21 % of the samples under power",
        );
        check(Diagnosis::Undetermined, "cannot be told from this drive");
        let odometer = |read, most| Diagnosis::OdometerOnly { read, most };
        check(odometer(OdometerRead::Digits, None), "last digit. Two odometer readings");
        check(odometer(OdometerRead::BetweenDigits, Some(MostOfIt::Readings)), "when the last digit turns.");
        check(
            odometer(OdometerRead::AsItTurned, Some(MostOfIt::Readings)),
            "turned; a longer drive tells more.",
        );
        check(odometer(OdometerRead::Digits, Some(MostOfIt::Ends)), "stop just as the digit has turned");
    }

    #[test]
    fn every_doubt_is_told() {
        for (of, expected) in [
            (Doubt::NoLag, "no common changes of speed"),
            (Doubt::OtherDrive { median_difference: 0.21 }, "by 21 % of the speed"),
            (Doubt::ChannelStands, "one value while"),
            (Doubt::SameSource, "the same measurement"),
            (Doubt::SwappedCoordinates, "swapped"),
            (Doubt::Unit { ratio: 1.609_344 }, "a ratio of 1.609"),
            (Doubt::Wide { half_width: 0.12 }, "12 % to either side"),
        ] {
            assert!(doubt(&of).contains(expected), "{}", doubt(&of));
            assert!(!of.found().contains(|sign: char| sign.is_ascii_digit()), "{}", of.found());
        }
    }
}
