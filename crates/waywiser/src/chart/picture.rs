//! A part of a picture, and how large things in it are.

use maud::Markup;

/// Width of a picture in its own units where nothing else is asked for: on paper some 400 are left for it.
pub const WIDTH: f64 = 380.0;
/// The same for a phone: of its 360 px some 328 are left, so that words come out at 14 px.
pub const NARROW: f64 = 300.0;
/// The same for a laptop, where a picture is shown some 680 px wide: words come out at 17 px.
pub const BROAD: f64 = 520.0;
/// Size of the words in the same units, whatever the width.
pub const FONT_SIZE: f64 = 13.0;
/// From one line of words to the next.
pub const LINE_HEIGHT: f64 = 17.0;

/// A finished part of a picture.
pub struct Picture {
    pub body: Markup,
    /// Its height in the picture's own units.
    pub height: f64,
}
