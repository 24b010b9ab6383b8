//! The story by clicks in a real Chromium. `scripts/test.sh` installs what it needs and runs it; by hand, once `npm ci` was
//! run in `crates/waywiser/tests/browser`: `cargo test -p waywiser --test browser -- --ignored --nocapture`.
//!
//! The pictures it takes stay in `target/browser`, to be looked at.

#![allow(clippy::unwrap_used, reason = "what is tested is another program")]

use std::path::Path;
use std::process::Command;

#[test]
#[ignore = "needs node and a browser; scripts/test.sh runs it"]
fn the_story_by_clicks() {
    let crate_root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let target = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap();
    let ended = Command::new("node")
        .arg(crate_root.join("tests/browser/run.mjs"))
        .arg(env!("CARGO_BIN_EXE_waywiser"))
        .arg(crate_root.join("../../examples/demo"))
        .arg(target.join("browser"))
        .status();
    let ended = ended.expect("node, to drive the browser");
    assert!(ended.success(), "what went wrong stands above, one line for each fault");
}
