//! The words of an answer before any face lays them out: headings, sentences, tables, steps, charts as data.

use crate::describe::chain::Standing;
use crate::report::words::capital;
use crate::set::Switch;
use serde::Serialize;

/// An answer in words.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Document {
    /// What it is about.
    pub title: String,
    /// Its parts, in reading order.
    pub blocks: Vec<Block>,
}

/// One part of a document.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Block {
    /// A heading of what follows.
    Heading(String),
    /// What it comes to, in the largest letters.
    Answer(String),
    /// A plain sentence, or several.
    Sentence(String),
    /// A caution, which stands where the hazard is.
    Caution(String),
    /// A table.
    Table(Table),
    /// Steps to be done in order.
    Steps(Vec<Step>),
    /// A picture, as data.
    Chart(Chart),
    /// What happened, in order of time.
    Timeline(Vec<Moment>),
    /// The chain from the road to the needle, a box for each link.
    Chain(Vec<ChainBox>),
    /// How something is done, in a few numbered lines without boxes.
    Method(Vec<String>),
    /// A drawing of how something is done.
    Drawing(Drawing),
    /// A table whose empty cells are filled in by hand.
    Form(Table),
    /// Names, each with a line to write on.
    Lines(Vec<String>),
}

/// A link of the chain as a box.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ChainBox {
    /// What it is.
    pub name: String,
    /// What it does to what comes to it.
    pub factor: String,
    /// How well that is known, or how often it can still be set.
    pub standing: String,
    /// How well it is known; none of what is only set.
    #[serde(skip)]
    pub known: Option<Standing>,
    /// Whether it is what can be set.
    pub is_set: bool,
}

impl ChainBox {
    /// The whole chain in one sentence.
    pub fn words(chain: &[Self]) -> String {
        let each: Vec<String> =
            chain.iter().map(|link| format!("{} {} ({})", link.name, link.factor, link.standing)).collect();
        format!("The truck, and its chain from the road to the needle: {}.", each.join(", then "))
    }
}

/// A drawing of how something is measured.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Drawing {
    /// A truck on a road, with what it logs and what the sky tells.
    Track,
    /// A truck between two posts.
    Posts,
    /// A needle that is held, and somebody who writes.
    Needle,
    /// A wheel that is rolled along a tape.
    Rollout,
    /// The height of a wheel's middle above the ground.
    Radius,
}

impl Drawing {
    /// Every one.
    pub const ALL: [Self; 5] = [Self::Track, Self::Posts, Self::Needle, Self::Rollout, Self::Radius];

    /// What is to be seen on it, for whoever does not see it.
    pub fn says(self) -> &'static str {
        match self {
            Self::Track => {
                "A truck on a road: its path from start to end is tracked, and its own speed is logged."
            }
            Self::Posts => "A truck driving from a first post to a last one, with the distance between them.",
            Self::Needle => {
                "A dial whose needle is held on a mark, and beside it a list where the true speed is written."
            }
            Self::Rollout => {
                "A wheel with a chalk mark at its lowest point, rolled along a tape until the mark is lowest again."
            }
            Self::Radius => "A wheel on the ground, and the height of its middle measured straight up.",
        }
    }
}

/// Something that happened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Moment {
    /// The day.
    pub day: String,
    /// What it was, in a word or two.
    pub what: String,
    /// What there is to say of it.
    pub says: String,
    /// Whether it changed or proved what is shown: such stand out.
    pub stands_out: bool,
}

/// Which table one is, where somebody looks for it: captions are words, and may be others tomorrow.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum TableId {
    /// What passes at each point of the chain.
    WhatPasses,
    /// What is known of each quantity that is asked of every truck.
    Quantities,
    /// What each piece of evidence did.
    Evidence,
    /// The hypotheses of hardware.
    Hardware,
    /// Every setting in reach.
    Settings,
    /// The error before and after.
    ErrorBySpeed,
    /// What each setting does over the distance to come.
    RoadToCome,
    /// What each change of setting buys.
    Changes,
    /// What measuring would bring.
    Measurements,
    /// The probability at each test speed.
    TestSpeeds,
    /// What fuel lasted for.
    Fuel,
}

/// A table of words.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Table {
    /// Which it is, where that is asked.
    #[serde(skip)]
    pub id: Option<TableId>,
    /// What it shows.
    pub caption: String,
    /// Heads of the columns.
    pub head: Vec<String>,
    /// Rows, each as long as the head.
    pub rows: Vec<Vec<String>>,
}

/// One step of a procedure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// What to do.
    pub text: String,
    /// Whether it cannot be undone.
    pub irreversible: bool,
    /// What to do where it does not come true: beside the step, and no step itself.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub otherwise: Vec<String>,
    /// The switches that are set in it, in their order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub switches: Vec<Switch>,
    /// Where to make a tick while counting a long run of presses; empty for every other step.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ticks: Vec<Tick>,
}

/// A place in a long run of presses where the count is compared with the display.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Tick {
    /// Presses made so far in this run.
    pub presses: usize,
    /// What the display must show then.
    pub shows: String,
}

/// A picture as series of points.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Chart {
    /// What it shows.
    pub title: String,
    /// The same in words, for whoever does not see it.
    pub description: String,
    /// Horizontal axis with its unit.
    pub x_label: String,
    /// Vertical axis with its unit.
    pub y_label: String,
    /// What is drawn.
    pub series: Vec<Series>,
}

/// One series of a chart.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Series {
    /// Its name.
    pub label: String,
    /// Its points, x and y in the units of the axes.
    pub points: Vec<(f64, f64)>,
    /// How it is drawn.
    pub kind: SeriesKind,
    /// Its number in words, at the right end of its row; empty where there is none to read off.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub says: String,
}

/// How a series is drawn.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum SeriesKind {
    /// Points joined in order.
    Line,
    /// The same around a middle: both axes of the picture have one scale, so that what is round is drawn round.
    Round,
    /// Points alone.
    Points,
    /// The area inside: the upper edge from left to right, then the lower edge back.
    Band,
    /// One piece of evidence as a bar on the horizontal axis, each series a row of its own: the smallest x is
    /// the low end, the largest the high end, the middle one of three the value. The y of the points says nothing.
    Interval,
    /// A line across the whole picture at the y of the first point.
    Level,
    /// A line up the whole picture at the x of the first point.
    Upright,
    /// The area of 95 % around the line that comes next, in its tone and without a name: the upper edge from left to right, then
    /// the lower edge back.
    Around,
    /// Nothing is drawn: the axes reach at least to these points.
    Room,
    /// One of several places on the horizontal axis, each with its name above it: at the x of the first point, drawn up
    /// from the axis. The y says nothing.
    Stake,
}

impl Series {
    /// A series without a number of its own.
    pub fn new(label: impl Into<String>, points: Vec<(f64, f64)>, kind: SeriesKind) -> Self {
        Self { label: label.into(), points, kind, says: String::new() }
    }

    /// The same with its number in words.
    #[must_use]
    pub fn saying(self, says: impl Into<String>) -> Self {
        Self { says: says.into(), ..self }
    }
}

impl Step {
    /// A step that can be taken back.
    pub fn new(text: impl Into<String>) -> Self {
        let (otherwise, switches, ticks) = (Vec::new(), Vec::new(), Vec::new());
        Self { text: text.into(), irreversible: false, otherwise, switches, ticks }
    }

    /// A step that cannot.
    pub fn irreversible(text: impl Into<String>) -> Self {
        Self { irreversible: true, ..Self::new(text) }
    }
}

impl Table {
    /// A table; `id` where somebody looks for it.
    pub fn new(id: Option<TableId>, caption: &str, head: &[&str], rows: Vec<Vec<String>>) -> Self {
        Self {
            id,
            caption: caption.into(),
            head: head.iter().map(|word| (*word).to_string()).collect(),
            rows,
        }
    }
}

impl Document {
    /// An empty document. A truck without a name leaves no colon before what it is about.
    ///
    /// ```
    /// use truing::report::document::Document;
    /// assert_eq!(Document::new("The hauler: what to set").title, "The hauler: what to set");
    /// assert_eq!(Document::new(": what to set").title, "What to set");
    /// ```
    pub fn new(title: impl Into<String>) -> Self {
        let title: String = title.into();
        let title = title.strip_prefix(": ").map_or_else(|| title.clone(), capital);
        Self { title, blocks: Vec::new() }
    }

    /// Adds a heading.
    pub fn heading(&mut self, text: impl Into<String>) -> &mut Self {
        self.push(Block::Heading(text.into()))
    }

    /// Adds a sentence.
    pub fn sentence(&mut self, text: impl Into<String>) -> &mut Self {
        self.push(Block::Sentence(text.into()))
    }

    /// Adds a caution.
    pub fn caution(&mut self, text: impl Into<String>) -> &mut Self {
        self.push(Block::Caution(text.into()))
    }

    /// Adds a table.
    pub fn table(&mut self, caption: &str, head: &[&str], rows: Vec<Vec<String>>) -> &mut Self {
        self.push(Block::Table(Table::new(None, caption, head, rows)))
    }

    /// Adds a table that somebody looks for.
    pub fn table_of(
        &mut self,
        id: TableId,
        caption: &str,
        head: &[&str],
        rows: Vec<Vec<String>>,
    ) -> &mut Self {
        self.push(Block::Table(Table::new(Some(id), caption, head, rows)))
    }

    /// Those of these tables that it holds, in its own order.
    pub fn tables<'d>(&'d self, ids: &'d [TableId]) -> impl Iterator<Item = &'d Table> {
        self.blocks.iter().filter_map(|block| match block {
            Block::Table(table) if table.id.is_some_and(|id| ids.contains(&id)) => Some(table),
            _ => None,
        })
    }

    /// Adds any block.
    pub fn push(&mut self, block: Block) -> &mut Self {
        self.blocks.push(block);
        self
    }
}
