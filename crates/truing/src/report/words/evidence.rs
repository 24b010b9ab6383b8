//! What the evidence shows beside the numbers, in sentences.

use super::labels;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{Alarm, Conflict, LikelySlip, Note, PieceId, Remedy, Scatter, Slip, Unknowable};
use metrology::quantity::Ratio;

/// Odds are named up to this.
const MOST_ODDS: f64 = 1e6;

/// Evidence that disagrees: which piece, by how much, what would explain it and how to settle it.
pub fn conflict(vehicle: &Vehicle, conflict: &Conflict) -> String {
    let (what, asks) = match conflict {
        Conflict::OnePiece { piece, off, deviations, slip, between_drives, .. } => {
            let (name, lies) = (labels::piece(vehicle, piece), lies(*off, *deviations));
            let settle = match slip {
                Some(likely) => format!(
                    "{} would explain it, {} to 1: correct the entry if that is so, else measure it again or take it out",
                    slip_made(&likely.slip),
                    odds(likely.odds)
                ),
                None => {
                    "measure it again; if it does not come out the same, correct its entry or take it out"
                        .into()
                }
            };
            (format!("{name} lies {lies}; {settle}"), *between_drives)
        }
        Conflict::Among { pieces, off, deviations, slip, between_drives, .. } => {
            (among(vehicle, pieces, (*off, *deviations), slip.as_ref()), *between_drives)
        }
        Conflict::NoneStandsOut { scatter } => (
            format!(
                "all of it scatters {:.1} times as much as it should and no single piece stands out; measure the least sure piece again, and check every uncertainty that was typed",
                scatter.birge_ratio
            ),
            false,
        ),
    };
    let Scatter { widening, .. } = conflict.scatter();
    let asks = if asks { "; did tire pressure, load or tires change between the drives?" } else { "" };
    format!(
        "the evidence disagrees more than its uncertainties allow: {what}; until then every interval is {widening:.1} times as wide{asks}"
    )
}

fn among(
    vehicle: &Vehicle,
    pieces: &[PieceId],
    (off, deviations): (Ratio, f64),
    slip: Option<&(PieceId, LikelySlip)>,
) -> String {
    let names: Vec<String> = pieces.iter().map(|piece| labels::piece(vehicle, piece)).collect();
    let first = names.first().map_or("one of them", String::as_str);
    let settle = match slip {
        Some((piece, likely)) => format!(
            "{} in {} would explain it, {} to 1: correct that entry if it is so, else measure one of them again or take one out",
            slip_made(&likely.slip),
            labels::piece(vehicle, piece),
            odds(likely.odds)
        ),
        None => "measure one of them again, or add a piece that tells; then correct or take out the one that is off".into(),
    };
    format!(
        "{} do not agree, and nothing else tells which of them is off; {first} lies {}; {settle}",
        listed(&names),
        lies(off, deviations)
    )
}

/// How far a piece lies off the rest.
pub fn lies(off: Ratio, deviations: f64) -> String {
    let percent = 100.0 * (off.plain() - 1.0);
    let side = if deviations > 0.0 { "above" } else { "below" };
    format!("{:.1} % {side} what the rest says ({:.1} standard deviations)", percent.abs(), deviations.abs())
}

/// A slip, as what was done.
pub fn slip_made(slip: &Slip) -> String {
    match slip {
        Slip::Turns { entered, made } => format!("{entered} turns entered instead of {made}"),
        Slip::MilesAndKilometres => "a mile taken for a kilometre, or the other way round,".into(),
        Slip::WheelsTurned => "one wheel turned where both were entered, or the other way round,".into(),
        Slip::FactorTen => "a point that stands one place off".into(),
        Slip::Digit { entered, meant } => format!("the digits {entered} entered instead of {meant}"),
    }
}

/// A belief that the evidence denies.
pub fn alarm(vehicle: &Vehicle, alarm: &Alarm) -> String {
    match alarm {
        Alarm::AnotherPart { link, instead, believed, odds: against, clash } => {
            let names: Vec<String> = clash.iter().map(|piece| labels::piece(vehicle, piece)).collect();
            let who = if names.is_empty() { "all evidence together can".into() } else { listed(&names) };
            format!(
                "{who} agree only if the {} is {instead}, not {believed}; odds {} to 1: count it before you rely on either",
                link.name(),
                odds(*against)
            )
        }
    }
}

/// What cannot be known from what is given, and what would tell.
pub fn unknowable(vehicle: &Vehicle, unknowable: &Unknowable) -> String {
    match unknowable {
        Unknowable::Missing { asked, missing, remedies } => {
            let names: Vec<String> = missing.iter().map(|id| labels::unknown(vehicle, id)).collect();
            let would: Vec<String> = remedies.iter().map(|one| remedy(vehicle, one)).collect();
            let remedy = match &would[..] {
                [] => "no single addition tells; start with a drive beside the vehicle's own log".to_owned(),
                [one] => format!("add {one}"),
                _ => format!("add one of: {}", would.join("; ")),
            };
            let (asked, want) = (labels::asked(*asked), names.join(" and "));
            format!("{asked} cannot be known from what is given, for want of {want}; {remedy}")
        }
    }
}

/// What a person can add.
pub fn remedy(vehicle: &Vehicle, remedy: &Remedy) -> String {
    match remedy {
        Remedy::Rollout => "a rollout with chalk and tape".into(),
        Remedy::SizeOrBook => "the tire's size or its published revolutions per mile".into(),
        Remedy::LoggedDrive => "a drive with the vehicle's own log".into(),
        Remedy::OdometerDrive => {
            "a drive with odometer readings, or an odometer against a known distance".into()
        }
        Remedy::DialDrive => "a drive with called-out speeds, a hold or a timed mile".into(),
        Remedy::PulsesOverDistance => "pulses counted over a known distance".into(),
        Remedy::PulsesOverTurns => "pulses counted over turns of a wheel".into(),
        Remedy::Say(id) => format!("the {}", labels::unknown(vehicle, id)),
    }
}

/// What else is worth knowing.
pub fn note(note: &Note) -> String {
    match note {
        Note::AxleUnseen { sensor_sees_it: true, .. } => {
            "nothing measured here tells the axle ratio, though the sensor turns with the shaft before it and would show it: a drive, \
             counts over a distance or turns of the shaft would"
                .into()
        }
        Note::AxleUnseen { sensor_sees_it: false, engine_depends } => {
            let depends = if *engine_depends {
                "only the engine speeds depend on it"
            } else {
                "nothing here depends on it"
            };
            format!(
                "the axle ratio cannot show itself: the sensor turns with the wheels, and no shaft or engine speed was read; {depends}"
            )
        }
    }
}

/// Odds to one.
pub fn odds(odds: f64) -> String {
    if odds > MOST_ODDS { "more than a million".into() } else { format!("{odds:.0}") }
}

/// `a, b and c`.
pub fn listed(names: &[String]) -> String {
    match names {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => names.concat(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::chain::Link;
    use crate::measure::fusion::{QuantityId, TireSetId, UnknownId};

    fn truck() -> Vehicle {
        let text = "name = \"x\"\n[tire]\nname = \"a\"\n[[evidence]]\nkind = \"rollout\"\nturns = 5\nlength = \"42 ft 11 in\"\n\
                    [[evidence]]\nkind = \"published\"\nlabel = \"the book\"\nrevs_per_mile = 655\n";
        let (vehicle, problems) = Vehicle::read("test", text);
        vehicle.unwrap_or_else(|| panic!("{problems:?}"))
    }

    const SCATTER: Scatter = Scatter { birge_ratio: 4.0, widening: 3.96 };

    fn check(says: &str, parts: &[&str]) {
        parts.iter().for_each(|part| assert!(says.contains(part), "{part}: {says}"));
    }

    #[test]
    fn a_piece_that_disagrees() {
        let one = |slip: Option<Slip>, between_drives| Conflict::OnePiece {
            piece: PieceId::Evidence(0),
            off: Ratio::from_plain(0.95),
            deviations: -12.3,
            slip: slip.map(|slip| LikelySlip { slip, odds: 1463.0 }),
            between_drives,
            scatter: SCATTER,
        };
        let says = |slip, drives| conflict(&truck(), &one(slip, drives));
        let lies = "rollout, 5 turns lies 5.0 % below what the rest says (12.3 standard deviations); ";
        check(
            &says(None, true),
            &[lies, "measure it again", "take it out", "4.0 times as wide", "did tire pressure"],
        );
        let turns = Slip::Turns { entered: 5, made: 10 };
        check(
            &says(Some(turns), false),
            &[lies, "5 turns entered instead of 10 would explain it, 1463 to 1: correct the entry"],
        );
        check(&says(Some(Slip::MilesAndKilometres), false), &["a mile taken for a kilometre"]);
        check(&says(Some(Slip::WheelsTurned), false), &["one wheel turned where both were entered"]);
    }

    #[test]
    fn pieces_that_disagree_with_one_another() {
        let among = |slip| Conflict::Among {
            pieces: vec![PieceId::Evidence(0), PieceId::Evidence(1)],
            off: Ratio::from_plain(1.1),
            deviations: 5.0,
            slip,
            between_drives: false,
            scatter: SCATTER,
        };
        let names = "rollout, 5 turns and the book do not agree, and nothing else tells which of them is off";
        check(&conflict(&truck(), &among(None)), &[names, "lies 10.0 % above", "measure one of them again"]);
        let likely = LikelySlip { slip: Slip::Turns { entered: 5, made: 4 }, odds: 2e7 };
        let slip = Some((PieceId::Evidence(0), likely));
        check(
            &conflict(&truck(), &among(slip)),
            &[names, "instead of 4 in rollout, 5 turns", "more than a million to 1"],
        );
        let none = Conflict::NoneStandsOut { scatter: SCATTER };
        check(&conflict(&truck(), &none), &["scatters 4.0 times as much", "no single piece stands out"]);
    }

    #[test]
    fn a_belief_that_is_beaten() {
        let clash = vec![PieceId::Evidence(0), PieceId::Size(TireSetId(0))];
        let of = |clash| Alarm::AnotherPart {
            link: Link::Ring,
            instead: "108".into(),
            believed: "96".into(),
            odds: 140.0,
            clash,
        };
        check(
            &alarm(&truck(), &of(clash)),
            &["rollout, 5 turns and size of a agree only if the tone ring is 108, not 96; odds 140 to 1"],
        );
        check(&alarm(&truck(), &of(Vec::new())), &["all evidence together can agree only"]);
    }

    #[test]
    fn what_cannot_be_known_and_what_would_tell() {
        let of = |remedies| Unknowable::Missing {
            asked: QuantityId::Counts,
            missing: vec![UnknownId::Revs(TireSetId(0)), UnknownId::Link(Link::Ring)],
            remedies,
        };
        let want = "counts per mile cannot be known from what is given, for want of revolutions per mile of a and teeth of the tone ring; ";
        check(&unknowable(&truck(), &of(Vec::new())), &[want, "no single addition tells"]);
        check(&unknowable(&truck(), &of(vec![Remedy::Rollout])), &["; add a rollout with chalk and tape"]);
        let all = vec![
            Remedy::SizeOrBook,
            Remedy::LoggedDrive,
            Remedy::OdometerDrive,
            Remedy::DialDrive,
            Remedy::PulsesOverDistance,
            Remedy::PulsesOverTurns,
            Remedy::Say(UnknownId::CountsPerUnit),
        ];
        let parts = [
            "add one of: the tire's size",
            "own log",
            "odometer readings",
            "called-out",
            "known distance",
            "turns of a wheel",
            "each unit of the constant",
        ];
        check(&unknowable(&truck(), &of(all)), &parts);
    }

    #[test]
    fn an_axle_that_nothing_sees() {
        let unseen =
            |sensor_sees_it, engine_depends| note(&Note::AxleUnseen { sensor_sees_it, engine_depends });
        check(&unseen(false, true), &["only the engine speeds depend on it"]);
        check(&unseen(false, false), &["cannot show itself", "nothing here depends on it"]);
        // Behind a transmission or transfer case the sensor turns with the shaft, and what it counts shows the axle.
        check(&unseen(true, false), &["would show it", "turns of the shaft"]);
        assert!(!unseen(true, false).contains("cannot show itself"));
    }
}
