//! The rules that come with the tool.

use super::{Band, Edge, HowKnown, Rule, TestSpeeds, What};
use crate::nearest::nearest;
use crate::problem::Problem;
use metrology::quantity::Speed;

/// How far a reading may be off and still be called true. No standard; our own default, of the size of what
/// tire wear and pressure do between two services.
pub const OUR_OWN_TOLERANCE_PERCENT: f64 = 1.0;

/// Every rule that comes with the tool, `true` first.
pub fn all() -> Vec<Rule> {
    vec![
        truth(),
        un_r39(),
        us_393_82(),
        japan_2006(),
        japan_2007(),
        australia_to_2006(),
        odometer_4(),
        tachograph_2(),
    ]
}

/// The rule of that name.
pub fn find(id: &str) -> Result<Rule, Problem> {
    let rules = all();
    if let Some(rule) = rules.iter().find(|rule| rule.id == id) {
        return Ok(rule.clone());
    }
    let ids: Vec<&str> = rules.iter().map(|rule| rule.id.as_ref()).collect();
    let hint = match nearest(id, ids.iter().copied()) {
        Some(meant) => format!("Did you mean `{meant}`?"),
        None => "Pick one of these, or give a band of your own.".to_string(),
    };
    Err(Problem::error("rule", ids.join(", "), id).in_part("rule").hint(hint))
}

/// A band symmetric in per cent of the true value.
fn percent_band(percent: f64) -> Band {
    let edge = |percent_of_true| Edge::new(percent_of_true, Speed::default());
    Band::known(edge(100.0 - percent), edge(100.0 + percent))
}

fn truth() -> Rule {
    Rule {
        id: "true".into(),
        title: "as true as can be, no bias".into(),
        what: What::Any,
        band: percent_band(OUR_OWN_TOLERANCE_PERCENT),
        test_speeds: TestSpeeds::None,
        constrains_choice: false,
        source: "no standard; our own default".into(),
        edition: "".into(),
        how_known: HowKnown::OurOwn,
        test_speeds_known: HowKnown::OurOwn,
        note: "Puts no constraint on what to set; a proof asks for a reading ratio within 1 % of one. A dial that \
               is true reads low half of the time: some countries do not allow that."
            .into(),
    }
}

fn un_r39() -> Rule {
    let low = Edge::new(100.0, Speed::default());
    let high = Edge::new(110.0, Speed::from_km_per_h(4.0));
    Rule {
        id: "un-r39".into(),
        title: "the dial reads below true at no speed, and at most a tenth and 4 km/h above".into(),
        what: What::Dial,
        band: Band::known(low, high),
        test_speeds: TestSpeeds::ByMaximumSpeed,
        constrains_choice: true,
        source: "UN Regulation No. 39, 5.3".into(),
        edition: "Revision 1".into(),
        how_known: HowKnown::ReadSecondHand,
        test_speeds_known: HowKnown::FromMemory,
        note:
            "Clause 5.3 has two sentences: at all speeds the dial may not show less than the truth; at the test speeds \
               of clause 5.2.5 it may show at most a tenth and 4 km/h more. A rule for type approval, on normal tires at \
               normal running pressure. The production check is wider. Local law decides."
                .into(),
    }
}

fn us_393_82() -> Rule {
    let offset = Speed::from_mi_per_h(5.0);
    Rule {
        id: "us-393.82".into(),
        title: "the dial is within 5 mph at 50 mph".into(),
        what: What::Dial,
        band: Band::known(Edge::new(100.0, Speed::default() - offset), Edge::new(100.0, offset)),
        test_speeds: TestSpeeds::True(vec![Speed::from_mi_per_h(50.0)]),
        constrains_choice: true,
        source: "49 CFR 393.82".into(),
        edition: "70 FR 48054, 15 August 2005".into(),
        how_known: HowKnown::ReadInTheDocument,
        test_speeds_known: HowKnown::ReadInTheDocument,
        note: "For commercial motor vehicles: buses, trucks and truck tractors. Local law decides.".into(),
    }
}

fn japan(id: &'static str, title: &'static str, low_percent: f64) -> Rule {
    let high = Edge::new(110.0, Speed::from_km_per_h(6.0));
    Rule {
        id: id.into(),
        title: title.into(),
        what: What::Dial,
        band: Band::known(Edge::new(low_percent, Speed::default()), high),
        test_speeds: TestSpeeds::Indicated(vec![Speed::from_km_per_h(40.0)]),
        constrains_choice: true,
        source: "Japan, detail notice of the safety standard for road vehicles, Article 148".into(),
        edition: "not known".into(),
        how_known: HowKnown::ReadSecondHand,
        test_speeds_known: HowKnown::FromMemory,
        note: "For vehicles in service, judged when the dial indicates 40 km/h. Local law decides.".into(),
    }
}

fn japan_2006() -> Rule {
    japan("jp-2006", "in-service band for vehicles built to 2006", 90.0)
}

fn japan_2007() -> Rule {
    japan("jp-2007", "in-service band for vehicles built from 2007", 94.0)
}

/// A band without an offset: the error at a speed, as a share of it, goes one way from the least speed to the greatest, so the
/// ends and the middle are enough. The least is the rule's; 110 km/h is the usual greatest limit there (from memory).
const AUSTRALIA_KM_PER_H: [f64; 3] = [40.0, 80.0, 110.0];

fn australia_to_2006() -> Rule {
    Rule {
        id: "au-18-02".into(),
        title: "the dial is within 10 % above 40 km/h".into(),
        what: What::Dial,
        band: percent_band(10.0),
        test_speeds: TestSpeeds::True(AUSTRALIA_KM_PER_H.map(Speed::from_km_per_h).to_vec()),
        constrains_choice: true,
        source: "Australian Design Rule 18/02".into(),
        edition: "and before; vehicles to 2006 or 2007".into(),
        how_known: HowKnown::ReadSecondHand,
        test_speeds_known: HowKnown::OurOwn,
        note: "Reported by a motoring club. The same rule wants the odometer within 4 %, which `odometer-4` judges. Later \
               vehicles come under 18/03, which takes the band of UN R39. Local law decides."
            .into(),
    }
}

fn odometer_4() -> Rule {
    Rule {
        id: "odometer-4".into(),
        title: "distance counted within 4 %".into(),
        what: What::Odometer,
        band: percent_band(4.0),
        test_speeds: TestSpeeds::None,
        constrains_choice: true,
        source: "NIST Handbook 44, 5.53".into(),
        edition: "not known".into(),
        how_known: HowKnown::FromMemory,
        test_speeds_known: HowKnown::FromMemory,
        note: "Written for odometers by which rent is charged. Local law decides.".into(),
    }
}

fn tachograph_2() -> Rule {
    Rule {
        id: "tachograph-2".into(),
        title: "distance counted within 2 %, as at installation of a tachograph".into(),
        what: What::Odometer,
        band: percent_band(2.0),
        test_speeds: TestSpeeds::None,
        constrains_choice: true,
        source: "Regulation (EU) 2016/799, Annex IC, requirement 30".into(),
        edition: "consolidated text".into(),
        how_known: HowKnown::ReadInTheDocument,
        test_speeds_known: HowKnown::ReadInTheDocument,
        note: "Over at least 1000 m; the tolerance may not be used to shift the distance on purpose. A tachograph \
               itself is set by approved workshops only. Local law decides."
            .into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rules_are_those_promised_and_sound() {
        let rules = all();
        let ids: Vec<&str> = rules.iter().map(|rule| rule.id.as_ref()).collect();
        let promised =
            ["true", "un-r39", "us-393.82", "jp-2006", "jp-2007", "au-18-02", "odometer-4", "tachograph-2"];
        assert_eq!(ids, promised);
        for rule in &rules {
            assert_eq!(Band::new(rule.band.low(), rule.band.high()), Ok(rule.band), "{}", rule.id);
            assert_eq!(rule.constrains_choice, rule.id != "true");
            assert!(!rule.source.is_empty() && !rule.title.is_empty() && !rule.note.is_empty());
            // Distance has no speed, so its bands may have no offset.
            assert!(rule.test_speeds != TestSpeeds::None || rule.band.is_ratio_only(), "{}", rule.id);
            assert_eq!(rule.test_speeds == TestSpeeds::None, rule.what != What::Dial, "{}", rule.id);
        }
    }

    /// Above 40 km/h within a tenth, either way; a band in per cent judges a dial too.
    #[test]
    fn the_older_australian_rule() {
        let rule = find("au-18-02").unwrap();
        let at = |km_per_h| rule.band.indicated_at(Speed::from_km_per_h(km_per_h));
        assert!(
            (at(100.0).low.km_per_h() - 90.0).abs() < 1e-9
                && (at(100.0).high.km_per_h() - 110.0).abs() < 1e-9
        );
        assert_eq!(rule.test_speeds.points(None).len(), AUSTRALIA_KM_PER_H.len());
        assert!(rule.note.contains("`odometer-4`") && find("un-r39").unwrap().note.contains("at all speeds"));
    }

    #[test]
    fn a_mistyped_rule_is_answered_with_the_nearest() {
        let problem = find("un-r93").unwrap_err();
        assert!(problem.hint.contains("`un-r39`"), "{problem}");
        assert!(find("whatever-else").unwrap_err().expected.contains("odometer-4"));
    }

    #[test]
    fn a_rule_of_ones_own_needs_speeds_where_it_has_an_offset() {
        let offset = Speed::from_mi_per_h(2.0);
        let band = Band::new(Edge::new(100.0, Speed::default()), Edge::new(103.0, offset)).unwrap();
        let custom = |band, speeds| Rule::custom("mine".to_string(), band, speeds);
        assert!(custom(band, vec![]).unwrap_err().hint.contains("true speeds"));
        assert!(custom(band, vec![Speed::default()]).unwrap_err().found.contains("0 km/h"));
        assert_eq!(custom(band, vec![offset]).unwrap().test_speeds, TestSpeeds::True(vec![offset]));
        assert_eq!(custom(percent_band(3.0), vec![]).unwrap().test_speeds, TestSpeeds::None);
    }
}
