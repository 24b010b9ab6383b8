//! The fonts on paper: which letters there are, how wide words are, and the glyphs that draw them.
//!
//! Words are measured by the same shaper that makes their glyphs, so what was found to fit does fit. All lengths are in
//! parts of the font's size.

use krilla::text::{Font, GlyphId, KrillaGlyph};
use rustybuzz::{Direction, Face, ShapePlan, UnicodeBuffer, script};
use std::sync::Arc;
use truing::problem::Problem;
use usvg::fontdb::Database;

const REGULAR: &[u8] = include_bytes!("../../../static/fonts/OpenSans-Regular.ttf");
const BOLD: &[u8] = include_bytes!("../../../static/fonts/OpenSans-Bold.ttf");
/// The family, as pictures name it.
pub const FAMILY: &str = "Open Sans";
/// From one base line to the next: what the font itself reserves (2189 + 600 of 2048 units).
pub const LEADING: f64 = 1.362;
/// From the top of a line to its base line: the font's ascent.
pub const ASCENT: f64 = 1.069;
/// Stands for a letter that the font lacks.
const LACKING: char = '\u{fffd}';
/// Hyphens and spaces that the font lacks, and what looks the same.
const ALIKE: [(char, char); 3] = [('\u{2011}', '-'), ('\u{2010}', '-'), ('\u{202f}', ' ')];

/// How heavy letters are.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Weight {
    Regular,
    Bold,
}

struct Cut {
    font: Font,
    face: Face<'static>,
    plan: ShapePlan,
}

/// The fonts, read once for any number of documents.
pub struct Fonts {
    regular: Cut,
    bold: Cut,
    pictures: Arc<Database>,
}

/// Words as glyphs.
#[derive(Clone, Debug)]
pub struct Shaped {
    /// The letters.
    pub text: String,
    /// What draws them.
    pub glyphs: Vec<KrillaGlyph>,
    /// How heavy they are.
    pub weight: Weight,
    /// Their width in parts of the font's size, spaces at the end left out.
    pub ems: f64,
}

impl Cut {
    fn read(bytes: &'static [u8]) -> Option<Self> {
        let face = Face::from_slice(bytes, 0)?;
        let plan = ShapePlan::new(&face, Direction::LeftToRight, Some(script::LATIN), None, &[]);
        Some(Self { font: Font::new(bytes.into(), 0)?, face, plan })
    }
}

impl Fonts {
    /// The fonts that are built in.
    pub fn built_in() -> Result<Self, Box<Problem>> {
        let damaged = || Box::new(Problem::error("the built-in fonts", "two readable fonts", "damage"));
        let mut pictures = Database::new();
        pictures.load_font_data(REGULAR.to_vec());
        pictures.set_sans_serif_family(FAMILY);
        Ok(Self {
            regular: Cut::read(REGULAR).ok_or_else(damaged)?,
            bold: Cut::read(BOLD).ok_or_else(damaged)?,
            pictures: Arc::new(pictures),
        })
    }

    fn cut(&self, weight: Weight) -> &Cut {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Bold => &self.bold,
        }
    }

    /// The font that draws.
    pub fn font(&self, weight: Weight) -> Font {
        self.cut(weight).font.clone()
    }

    /// The fonts for words in pictures.
    pub fn for_pictures(&self) -> Arc<Database> {
        self.pictures.clone()
    }

    /// The text in letters that can be drawn: what the font lacks is shown as lacking, what nobody sees is left out.
    pub fn printable(&self, text: &str) -> String {
        text.chars().filter_map(|c| self.printable_letter(c)).collect()
    }

    /// The same of the text of a picture, whose lines are kept. A mark that stands on the letter before it is left out: drawn
    /// in a picture it could not be copied as text, which the standard asks for.
    pub fn printable_picture(&self, text: &str) -> String {
        let drawn = text.chars().filter(|c| !is_mark(*c));
        drawn.filter_map(|c| if c == '\n' { Some(c) } else { self.printable_letter(c) }).collect()
    }

    /// Whether a letter can only be shown as lacking.
    pub fn lacks(&self, c: char) -> bool {
        c != LACKING && self.printable_letter(c) == Some(LACKING)
    }

    fn printable_letter(&self, c: char) -> Option<char> {
        let c = ALIKE.iter().find(|(lacking, _)| *lacking == c).map_or(c, |(_, alike)| *alike);
        match c {
            c if c.is_whitespace() => Some(' '),
            c if is_unseen(c) => None,
            c if self.regular.face.glyph_index(c).is_some_and(|glyph| glyph.0 != 0) => Some(c),
            _ => Some(LACKING),
        }
    }

    /// Words as glyphs; they must be printable.
    pub fn shape(&self, text: &str, weight: Weight) -> Shaped {
        let cut = self.cut(weight);
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.set_direction(Direction::LeftToRight);
        buffer.set_script(script::LATIN);
        let shaped = rustybuzz::shape_with_plan(&cut.face, &cut.plan, buffer);
        let (infos, places) = (shaped.glyph_infos(), shaped.glyph_positions());
        let ems = |units: i32| f64::from(units) / f64::from(cut.face.units_per_em());
        let glyphs = infos.iter().zip(places).enumerate().map(|(index, (info, place))| {
            let start = info.cluster as usize;
            let mut after = infos[index + 1..].iter().map(|other| other.cluster as usize);
            let end = after.find(|other| *other > start).unwrap_or(text.len());
            let [right, dx, dy, down] = [place.x_advance, place.x_offset, place.y_offset, place.y_advance]
                .map(|units| ems(units) as f32);
            KrillaGlyph::new(GlyphId::new(info.glyph_id), right, dx, dy, down, start..end, None)
        });
        let glyphs: Vec<KrillaGlyph> = glyphs.collect();
        let seen = text.trim_end().len();
        let widths = infos.iter().zip(places).filter(|(info, _)| (info.cluster as usize) < seen);
        let ems = widths.map(|(_, place)| ems(place.x_advance)).sum();
        Shaped { text: text.into(), glyphs, weight, ems }
    }

    /// The width of words.
    pub fn ems(&self, text: &str, weight: Weight) -> f64 {
        self.shape(text, weight).ems
    }
}

/// Marks of the scripts that the font has (Unicode 16.0, combining marks of Latin, Cyrillic and Hebrew, and for symbols).
fn is_mark(c: char) -> bool {
    matches!(c, '\u{300}'..='\u{36f}' | '\u{483}'..='\u{489}' | '\u{591}'..='\u{5c7}' | '\u{1ab0}'..='\u{1aff}')
        || matches!(c, '\u{1dc0}'..='\u{1dff}' | '\u{20d0}'..='\u{20ff}' | '\u{fb1e}' | '\u{fe20}'..='\u{fe2f}')
}

/// Letters that steer others and are not seen themselves; a PDF has no glyph for them.
fn is_unseen(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
        || matches!(c, '\u{180b}'..='\u{180f}' | '\u{fe00}'..='\u{fe0f}' | '\u{e0000}'..='\u{e0fff}' | '\u{115f}' | '\u{1160}' | '\u{34f}' | '\u{17b4}' | '\u{17b5}' | '\u{3164}' | '\u{ffa0}' | '\u{fff0}'..='\u{fff8}')
}
