//! Codes that a phone reads, as bars of dark squares (ISO/IEC 18004): for paper and for the screen.

use fast_qr::{ECL, QRBuilder};

/// White squares around a code (ISO/IEC 18004 asks for four).
const QUIET: usize = 4;

/// A code with the white around it.
pub struct Code {
    /// Squares from side to side.
    pub squares: usize,
    /// Column, row and length of each run of dark squares.
    pub bars: Vec<(usize, usize, usize)>,
}

/// The code of a text; none where it is too long for any.
pub fn of(text: &str) -> Option<Code> {
    let code = QRBuilder::new(text).ecl(ECL::L).build().ok()?;
    let mut bars = Vec::new();
    for row in 0..code.size {
        let mut column = 0;
        while column < code.size {
            let dark = (column..code.size).take_while(|at| code[row][*at].value()).count();
            bars.extend((dark > 0).then_some((column + QUIET, row + QUIET, dark)));
            column += dark.max(1);
        }
    }
    Some(Code { squares: code.size + 2 * QUIET, bars })
}
