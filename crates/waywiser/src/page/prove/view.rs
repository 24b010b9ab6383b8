//! Prove: a drive against a rule, the band of what was measured against the permitted band.

use crate::page::{blocks, drive_fields, files};
use maud::{Markup, html};
use truing::report::answers::faults::OpenFault;
use truing::report::answers::first::First;
use truing::report::answers::proof::ProofReport;
use truing::report::answers::rules::RulesReport;
use truing::report::document::{Block, TableId};
use truing::report::explanation::origin::of_proof;
use truing::rules::Verdict;
use truing::units::Units;

/// What the page is made of.
pub struct ProveView<'a> {
    /// The rules there are.
    pub rules: &'a RulesReport,
    /// The rule that is asked for.
    pub rule: &'a str,
    /// The files the truck has, to be judged again.
    pub files: &'a [String],
    /// The drive that was judged, and how.
    pub judged: Option<Judged<'a>>,
    /// The open faults.
    pub open_faults: &'a [OpenFault],
    /// Address of the truck's pages.
    pub truck: &'a str,
    /// What every form that changes something carries.
    pub proof_of_origin: &'a Markup,
    /// The units that the owner thinks in.
    pub units: Units,
    /// What can be had on paper.
    pub papers: &'a Markup,
}

/// A proof with the drive it rests on.
pub struct Judged<'a> {
    /// The answer.
    pub proof: &'a ProofReport,
    /// Which drive, as the fields of the form that asked.
    pub drive: &'a [(&'static str, String)],
}

/// The page without its frame.
pub fn view(shown: &ProveView) -> Markup {
    html! {
        @match &shown.judged {
            Some(judged) => (answer(shown, judged)),
            None => {
                (blocks::first("stay", "Not proved yet", &First::with("Is it true on the road?", "Drive again with a track running, at steady speeds, both ways if you can.")))
                (blocks::held_back(shown.open_faults))
                (blocks::caution("A second person reads the instruments; the driver looks at the road and keeps to the limit by a true speed."))
            }
        }
        (ask(shown))
        (shown.papers)
    }
}

fn answer(shown: &ProveView, judged: &Judged) -> Markup {
    let proof = judged.proof;
    let document = proof.document();
    let mark = match proof.verdict {
        Verdict::Conforms => "go",
        Verdict::DoesNotConform => "wait",
        Verdict::Undecided => "stay",
    };
    let is_undecided = proof.verdict == Verdict::Undecided;
    // The first sentence is the headline; what is needed more stands before the table, the notes after it.
    let sentences: Vec<&str> = document.blocks.iter().skip(1).filter_map(sentence).collect();
    html! {
        (blocks::first_view(&html! {
            (blocks::first(mark, "Verdict", &proof.first()))
            (blocks::held_back(&proof.open_faults))
            @if let Some(first) = sentences.first().filter(|_| is_undecided) { p { (first) } }
            (keep(shown, judged))
        }, Some(&blocks::figure(proof.chart()))))
        div class="folds" {
            (blocks::opens("At each test speed, and the rule", &html! {
                (blocks::tables(&document, &[TableId::TestSpeeds]))
                @for sentence in sentences { p { (sentence) } }
            }))
            (blocks::opens("Where the numbers come from", &blocks::opening(&of_proof(proof))))
        }
        (blocks::problems(&proof.problems))
    }
}

fn keep(shown: &ProveView, judged: &Judged) -> Markup {
    html! {
        form method="post" action={ (shown.truck) "/prove/keep" } class="ways" {
            (shown.proof_of_origin)
            @for (name, value) in judged.drive { input type="hidden" name=(name) value=(value); }
            input type="hidden" name="rule" value=(judged.proof.rule);
            button { "Keep this proof in the record" }
        }
    }
}

fn sentence(block: &Block) -> Option<&str> {
    match block {
        Block::Sentence(text) => Some(text),
        _ => None,
    }
}

/// The form: which drive, which rule; folded once a drive was judged.
fn ask(shown: &ProveView) -> Markup {
    let is_first = shown.judged.is_none();
    let form = html! {
        form method="post" action={ (shown.truck) "/prove" } enctype="multipart/form-data" class="asks sends" {
            (shown.proof_of_origin)
            (drive_fields::files())
            (drive_fields::by_hand(shown.units))
            (drive_fields::road())
            (drive_fields::unusual_logs("", &html! { input id="dbc" name="dbc" type="file"; }))
            (rule_choice(shown))
            (files::under_way())
            button class=[(!is_first).then_some("plain")] { "Judge this drive" }
        }
    };
    html! {
        @if is_first { (form) } @else { (blocks::opens("Judge another drive", &form)) }
        @if !shown.files.is_empty() { (again(shown)) }
    }
}

fn rule_choice(shown: &ProveView) -> Markup {
    html! {
        label for="rule" { "Rule" }
        select id="rule" name="rule" {
            @for rule in &shown.rules.rules {
                option value=(rule.id) selected[rule.id == shown.rule] { (rule.id) " \u{2013} " (rule.title) }
            }
        }
    }
}

/// Endings of files that hold positions and no more.
const TRACKS: [&str; 10] =
    [".gpx", ".nmea", ".kml", ".kmz", ".tcx", ".fit", ".igc", ".geojson", ".srt", ".vtt"];

/// A drive whose files the truck has already.
fn again(shown: &ProveView) -> Markup {
    // Tracks before logs: which is which tells the ending as a rule.
    let is_log = |file: &&String| !TRACKS.iter().any(|ending| file.to_lowercase().ends_with(ending));
    let (logs, tracks): (Vec<&String>, Vec<&String>) = shown.files.iter().partition(is_log);
    let tracks_first: Vec<&String> = tracks.into_iter().chain(logs).collect();
    let files = |name: &str, none: &str| {
        html! {
            select id={ "kept-" (name) } name=(name) {
                @if !none.is_empty() { option value="" { (none) } }
                @for file in &tracks_first { option value=(file) { (file) } }
            }
        }
    };
    let choice = |name: &str, label: &str, none: &str| {
        html! { label for={ "kept-" (name) } { (label) } (files(name, none)) }
    };
    blocks::opens(
        "Judge files the truck has already",
        &html! {
            form method="get" action={ (shown.truck) "/prove" } class="asks" {
                (choice("track", "Track", ""))
                (choice("vehicle_log", "The truck's own log", "none"))
                (drive_fields::unusual_logs("kept-", &files("dbc", "none")))
                label for="kept-rule" { "Rule" }
                select id="kept-rule" name="rule" {
                    @for rule in &shown.rules.rules { option value=(rule.id) selected[rule.id == shown.rule] { (rule.id) } }
                }
                button class="plain" { "Judge these" }
            }
        },
    )
}
