//! Which piece of evidence disagrees with the rest, by how much, and what slip would explain it.

use super::explain::{Case, off};
use super::findings::{Conflict, LikelySlip, Scatter};
use super::id::PieceId;
use super::order::{same, strongest_first};
use super::slips;
use crate::describe::evidence::EvidenceKind;
use metrology::quantity::Ratio;

/// Deviations from which a piece is named when evidence disagrees.
const NAMED_DEVIATIONS: f64 = 2.0;

/// Who disagrees, where more do than chance allows.
pub(super) fn conflict(case: &Case, widening: f64) -> Option<Conflict> {
    let birge_ratio = case.solution.birge_ratio().filter(|_| case.solution.birge_is_significant())?;
    let scatter = Scatter { birge_ratio, widening };
    let off = off(case);
    let named = off.first().filter(|(_, deviations)| deviations.abs() >= NAMED_DEVIATIONS);
    let Some((first, deviations)) = named.copied() else {
        return Some(Conflict::NoneStandsOut { scatter });
    };
    // With nothing else to check them, all that close one loop are equally far off.
    let tied = off.iter().take_while(|(_, other)| same(other.abs(), deviations.abs()));
    let tied: Vec<(usize, f64)> = tied.copied().collect();
    let rows: Vec<usize> = tied.iter().map(|(row, _)| *row).collect();
    let off = apart(case, first);
    if let [_] = rows[..] {
        return Some(Conflict::OnePiece {
            piece: case.model.piece(first).clone(),
            off,
            deviations,
            slip: likeliest_slip(case, first, deviations),
            between_drives: is_drive(case, first) && drives(case) > 1,
            scatter,
        });
    }
    let of = |(row, deviations): &(usize, f64)| {
        Some((case.model.piece(*row).clone(), likeliest_slip(case, *row, *deviations)?))
    };
    let mut explained: Vec<(PieceId, LikelySlip)> = tied.iter().filter_map(of).collect();
    strongest_first(&mut explained, |(_, likely)| likely.odds);
    Some(Conflict::Among {
        pieces: rows.iter().map(|row| case.model.piece(*row).clone()).collect(),
        off,
        deviations,
        slip: explained.into_iter().next(),
        between_drives: rows.iter().filter(|row| is_drive(case, **row)).count() > 1,
        scatter,
    })
}

/// What a row says over what the rest says of the same.
fn apart(case: &Case, row: usize) -> Ratio {
    let apart = case.solution.residuals().get(row).and_then(|residual| residual.leave_one_out);
    Ratio::from_plain(apart.unwrap_or(0.0).exp())
}

fn likeliest_slip(case: &Case, row: usize, deviations: f64) -> Option<LikelySlip> {
    let evidence = case.model.vehicle.evidence.get(case.model.made_from(row)?)?;
    let (slip, odds) = slips::slip_in(evidence, apart(case, row), deviations)?;
    Some(LikelySlip { slip, odds })
}

/// Whether a row is a drive: what a pump and a load change shows between several.
fn is_drive(case: &Case, row: usize) -> bool {
    let evidence = case.model.made_from(row).and_then(|index| case.model.vehicle.evidence.get(index));
    evidence.is_some_and(|evidence| matches!(evidence.kind, EvidenceKind::Drive { .. }))
}

fn drives(case: &Case) -> usize {
    (0..case.solution.residuals().len()).filter(|row| is_drive(case, *row)).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::vehicle::Vehicle;
    use crate::measure::fusion::{Slip, fuse};

    /// The conflict that a tire with this evidence shows.
    fn found(evidence: &[&str]) -> Option<Conflict> {
        let pieces: String = evidence.iter().map(|piece| format!("[[evidence]]\n{piece}\n")).collect();
        let text = format!("name = \"x\"\n[tire]\nname = \"a\"\n{pieces}");
        let (vehicle, problems) = Vehicle::read("test", &text);
        let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
        fuse("test", &vehicle, Vec::new()).0.conflicts.into_iter().next()
    }

    // 655.2 turns a mile: 5280 ft / 655.2 x 10 = 80 ft 7 in.
    const TEN_TURNS: &str = "kind = \"rollout\"\nturns = 10\nlength = \"80 ft 7 in\"";
    const FIVE_FOR_TEN: &str = "kind = \"rollout\"\nturns = 5\nlength = \"80 ft 7 in\"";
    const EARLIER: &str = "kind = \"earlier\"\nrevs_per_mile = 655\nstandard_uncertainty = 3";
    const BOOK: &str = "kind = \"published\"\nrevs_per_mile = 656";
    /// 655 turns a mile, as a kilometre has them.
    const PER_KM: &str = "kind = \"earlier\"\nrevs_per_mile = 407\nstandard_uncertainty = 3";

    #[test]
    fn what_agrees_is_no_conflict() {
        assert_eq!(found(&[TEN_TURNS, EARLIER, BOOK]), None);
    }

    #[test]
    fn the_piece_is_named_with_the_slip_that_explains_it() {
        let Some(Conflict::OnePiece { piece, off, deviations, slip: Some(likely), .. }) =
            found(&[EARLIER, FIVE_FOR_TEN, BOOK])
        else {
            panic!("{:?}", found(&[EARLIER, FIVE_FOR_TEN, BOOK]))
        };
        assert_eq!(piece, PieceId::Evidence(1));
        assert!((off.plain() - 0.5).abs() < 0.01 && deviations < -20.0, "{off:?} {deviations}");
        assert_eq!(likely.slip, Slip::Turns { entered: 5, made: 10 });
        assert!(likely.odds > 1e6, "{}", likely.odds);
        let miles = found(&[TEN_TURNS, BOOK, PER_KM]);
        let Some(Conflict::OnePiece { piece: PieceId::Evidence(2), slip: Some(likely), .. }) = miles else {
            panic!("{miles:?}")
        };
        assert_eq!(likely.slip, Slip::MilesAndKilometres);
    }

    #[test]
    fn of_two_pieces_neither_is_accused() {
        // Either way round in the file: what is first is first, and the slip stands where it is possible.
        for (evidence, at) in [([EARLIER, FIVE_FOR_TEN], 1), ([FIVE_FOR_TEN, EARLIER], 0)] {
            let Some(Conflict::Among { pieces, slip: Some((piece, likely)), .. }) = found(&evidence) else {
                panic!("{:?}", found(&evidence))
            };
            assert_eq!(pieces, [PieceId::Evidence(0), PieceId::Evidence(1)]);
            assert_eq!((piece, likely.slip), (PieceId::Evidence(at), Slip::Turns { entered: 5, made: 10 }));
        }
    }

    #[test]
    fn no_slip_is_made_up() {
        let earlier =
            |revs: f64| format!("kind = \"earlier\"\nrevs_per_mile = {revs}\nstandard_uncertainty = 2");
        let pieces = [655.0, 656.0, 690.0].map(earlier);
        let conflict = found(&pieces.each_ref().map(String::as_str));
        assert!(matches!(conflict, Some(Conflict::OnePiece { slip: None, .. })), "{conflict:?}");
    }

    #[test]
    fn many_that_scatter_a_little_are_none_of_them_accused() {
        // Every second one 1.7 deviations to either side: none stands out by two, and all together scatter by 1.7.
        let earlier = |k: usize| {
            let revs = if k.is_multiple_of(2) { 655.0 + 3.4 } else { 655.0 - 3.4 };
            format!("kind = \"earlier\"\nrevs_per_mile = {revs}\nstandard_uncertainty = 2")
        };
        let pieces: Vec<String> = (0..24).map(earlier).collect();
        let conflict = found(&pieces.iter().map(String::as_str).collect::<Vec<&str>>());
        let Some(Conflict::NoneStandsOut { scatter }) = conflict else { panic!("{conflict:?}") };
        assert!((scatter.birge_ratio - 1.7 * (24.0_f64 / 23.0).sqrt()).abs() < 0.02, "{scatter:?}");
    }
}
