//! What was found, with its kind and its numbers, for programs: the sentences of the same stand in `words`.

pub mod check;
pub mod drive;
pub mod evidence;
pub mod pulses;
