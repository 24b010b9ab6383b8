//! The house rules, checked over the source tree. Each check stands here twice: on this tree, where it finds nothing,
//! and on a small made-up tree, where it has to find something. The rules and their reasons are in `STYLE.md`.

#[path = "tidy/bans.rs"]
mod bans;
#[path = "tidy/can_fail.rs"]
mod can_fail;
#[path = "tidy/code.rs"]
mod code;
#[path = "tidy/dead.rs"]
mod dead;
#[path = "tidy/flags.rs"]
mod flags;
#[path = "tidy/floors.rs"]
mod floors;
#[path = "tidy/labels.rs"]
mod labels;
#[path = "tidy/length.rs"]
mod length;
#[path = "tidy/modules.rs"]
mod modules;
#[path = "tidy/pages.rs"]
mod pages;
#[path = "tidy/ratchet.rs"]
mod ratchet;
#[path = "tidy/sentences.rs"]
mod sentences;
#[path = "tidy/sources.rs"]
mod sources;
#[path = "tidy/stages.rs"]
mod stages;
#[path = "tidy/tree.rs"]
mod tree;
#[path = "tidy/trust.rs"]
mod trust;
#[path = "tidy/words.rs"]
mod words;

use tree::Tree;

const RATCHET: &str = include_str!("tidy/ratchet.txt");

fn none(complaints: &[String]) {
    assert!(complaints.is_empty(), "\n{}\n", complaints.join("\n"));
}

/// What a check says of one file: as many complaints as there are expected pieces, each with its piece.
fn check(complaints: &[String], expected: &[&str]) {
    let agrees = complaints.iter().zip(expected).all(|(one, piece)| one.contains(piece));
    assert!(agrees && complaints.len() == expected.len(), "found {complaints:#?}, expected {expected:#?}");
}

#[test]
fn sizes_and_bans_only_shrink() {
    let tree = Tree::here();
    let mut found = length::over_limit(&tree);
    found.extend(bans::banned(&tree));
    none(&ratchet::check(&found, RATCHET));
}

#[test]
fn stages_import_only_earlier_ones() {
    none(&stages::check(&Tree::here()));
}

#[test]
fn floors_use_only_lower_ones() {
    none(&floors::check(&Tree::here()));
}

#[test]
fn no_file_uses_itself_round_about() {
    none(&floors::circles(&Tree::here()));
}

#[test]
fn the_world_is_reached_through_its_door() {
    none(&bans::world(&Tree::here()));
}

#[test]
fn metrology_knows_no_vehicles() {
    none(&words::of_vehicles(&Tree::here()));
}

#[test]
fn nothing_is_left_over() {
    none(&words::left_over(&Tree::here()));
}

#[test]
fn words_are_plain() {
    none(&words::retired(&Tree::here()));
}

#[test]
fn only_the_command_line_says_flags() {
    none(&flags::check(&Tree::here()));
}

#[test]
fn only_the_report_makes_sentences() {
    none(&sentences::check(&Tree::here()));
}

#[test]
fn no_label_decides() {
    none(&labels::check(&Tree::here()));
}

#[test]
fn data_have_sources() {
    none(&sources::check(&Tree::here()));
}

#[test]
fn no_file_is_dead() {
    none(&dead::check(&Tree::here()));
    none(&dead::migrations(&Tree::here()));
    none(&dead::folders(&Tree::here()));
}

#[test]
fn the_map_is_whole() {
    none(&pages::check(&Tree::here()));
}

#[test]
fn what_is_claimed_is_tested() {
    none(&trust::check(&Tree::here()));
}

#[test]
fn the_tree_is_really_read() {
    let tree = Tree::here();
    for path in ["Cargo.toml", "crates/truing/src/lib.rs", "crates/waywiser/tests/tidy.rs"] {
        assert!(tree.holds(path), "{path}");
    }
    assert!(tree.files.iter().all(|file| !file.path.starts_with("target/")));
}
