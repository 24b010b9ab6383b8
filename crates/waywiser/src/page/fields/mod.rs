//! Forms for sections of the vehicle file, made from the same table of keys as its reader and its schema: what everybody
//! fills in by hand-made fields and drawings, the rest by what the table says of each key.

mod drawings;
mod filled;
mod inputs;
mod keys;
mod labels;
mod made;
mod sets;
mod typed;
mod units;
mod values;
mod words;

pub use drawings::sidewall;
pub use filled::{Filled, Wrong, in_order, not_so};
pub use inputs::{inputs, to_correct};
pub use keys::{Keys, UNUSUAL, UNUSUAL_LOGS, keys, section, variant};
pub use made::{Preview, made, shapes};
pub use sets::name_sets;
pub use typed::{Change, set, typed};
pub use values::{beforehand, text_of};
pub use words::{capitalised, kind, label_of, place, shown_value, words};
