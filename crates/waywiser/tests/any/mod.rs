//! Any document at all, for properties that every paper must have.

use proptest::prelude::*;
use truing::report::document::{
    Block, Chart, Document, Drawing, Moment, Series, SeriesKind, Step, Table, Tick,
};
use truing::set::Switch;

/// Letters that markup, terminals and fonts trip over more often than over others.
const AWKWARD: &str = "<>&\"';]-= \0\u{1b}\r\n\t\u{ad}\u{e000}\u{fffe}\u{202e}\u{200d}\u{301}";

/// Any letters, the awkward ones more often than by chance, and plain ones to make words.
pub fn words() -> impl Strategy<Value = String> {
    let awkward = prop::sample::select(AWKWARD.chars().collect::<Vec<_>>());
    let letter = prop_oneof![2 => any::<char>(), 2 => awkward, 3 => prop::char::range('a', 'z')];
    prop::collection::vec(letter, 0..60).prop_map(String::from_iter)
}

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![-100.0..100.0f64, any::<f64>(), Just(0.0), Just(5.0)]
}

/// Any picture, with points that cannot be drawn among the others.
pub fn chart() -> impl Strategy<Value = Chart> {
    let kind = prop::sample::select(vec![
        SeriesKind::Line,
        SeriesKind::Points,
        SeriesKind::Band,
        SeriesKind::Interval,
        SeriesKind::Level,
        SeriesKind::Upright,
        SeriesKind::Around,
        SeriesKind::Room,
        SeriesKind::Stake,
        SeriesKind::Round,
    ]);
    let points = prop::collection::vec((number(), number()), 0..6);
    let series = (words(), points, kind).prop_map(|(label, points, kind)| Series::new(label, points, kind));
    let series = prop::collection::vec(series, 0..6);
    ([words(), words(), words(), words()], series).prop_map(
        |([title, description, x_label, y_label], series)| Chart {
            title,
            description,
            x_label,
            y_label,
            series,
        },
    )
}

fn block() -> impl Strategy<Value = Block> {
    let row = || prop::collection::vec(words(), 0..5);
    let table = || {
        (words(), row(), prop::collection::vec(row(), 0..4)).prop_map(|(caption, head, rows)| Table {
            id: None,
            caption,
            head,
            rows,
        })
    };
    let ticks = prop::collection::vec((any::<usize>(), words()), 0..3)
        .prop_map(|ticks| ticks.into_iter().map(|(presses, shows)| Tick { presses, shows }).collect());
    let switches = prop::collection::vec((any::<u32>(), any::<bool>()), 0..3)
        .prop_map(|all| all.into_iter().map(|(weight, is_on)| Switch { weight, is_on }).collect());
    let otherwise = prop::collection::vec(words(), 0..2);
    let step = (words(), any::<bool>(), otherwise, switches, ticks).prop_map(
        |(text, irreversible, otherwise, switches, ticks)| Step {
            text,
            irreversible,
            otherwise,
            switches,
            ticks,
        },
    );
    let moment = (words(), words(), words(), any::<bool>())
        .prop_map(|(day, what, says, stands_out)| Moment { day, what, says, stands_out });
    prop_oneof![
        words().prop_map(Block::Heading),
        words().prop_map(Block::Sentence),
        words().prop_map(Block::Caution),
        words().prop_map(Block::Answer),
        prop::collection::vec(words(), 0..4).prop_map(Block::Method),
        prop::collection::vec(words(), 0..4).prop_map(Block::Lines),
        prop::sample::select(Drawing::ALL.to_vec()).prop_map(Block::Drawing),
        table().prop_map(Block::Form),
        table().prop_map(Block::Table),
        prop::collection::vec(step, 0..3).prop_map(Block::Steps),
        prop::collection::vec(moment, 0..4).prop_map(Block::Timeline),
        chart().prop_map(Block::Chart),
    ]
}

/// Any document.
pub fn document() -> impl Strategy<Value = Document> {
    (words(), prop::collection::vec(block(), 0..6)).prop_map(|(title, blocks)| Document { title, blocks })
}
