//! The manual as it stands in `docs`, built in: for the terminal and the page.

/// A chapter.
pub struct Chapter {
    /// By which word it is asked for, in the terminal and in the address.
    pub word: &'static str,
    /// Its title.
    pub title: &'static str,
    /// What it is about.
    pub about: &'static str,
    /// Its text, in Markdown.
    pub text: &'static str,
}

macro_rules! chapters {
    ($($word:literal, $title:literal, $about:literal, $file:literal;)+) => {
        /// All of them, in reading order.
        pub const CHAPTERS: &[Chapter] = &[$(Chapter {
            word: $word, title: $title, about: $about, text: include_str!(concat!("../../../docs/", $file)),
        }),+];
    };
}

chapters! {
    "describe", "Describe", "say what is on the truck", "manual/describe.md";
    "measure", "Measure", "find out how far it truly goes", "manual/measure.md";
    "choose", "Choose", "what to store, or to leave it, or to measure first", "manual/choose.md";
    "set", "Set", "carry it out without wasting a write", "manual/set.md";
    "prove", "Prove", "show that it is true now", "manual/prove.md";
    "record", "Record", "keep what was done, so that others can trust it", "manual/record.md";
    "measure-well", "How to measure well", "each measurement step by step, with its cautions", "manual/measure-well.md";
    "with-a-passenger", "A drive with a passenger", "the run page, which records place and marks", "manual/with-a-passenger.md";
    "what-if", "What if", "nothing known, no GPS, a contradiction, a slip, the last write", "manual/what-if.md";
    "safety", "Safety", "every caution in one place", "manual/safety.md";
    "privacy", "Privacy", "what is kept, where, and who can see it", "manual/privacy.md";
    "phone", "The phone in the truck", "three ways to record a drive with a passenger", "manual/phone.md";
    "page", "The page", "what the page in the browser offers, and other machines", "manual/page.md";
    "command-line", "The command line", "what holds for every command, and for scripts", "manual/command-line.md";
    "vehicle-file", "The vehicle file", "every section and key", "vehicle-file.md";
    "recording", "A drive recorded with marks", "how one file holds a track and what a passenger saw", "recording.md";
    "method", "The method", "formulas, sources and measured accuracy", "manual/method.md";
    "glossary", "Glossary", "the words", "glossary.md";
}

/// A picture of the manual.
pub struct Illustration {
    /// Its file's name.
    pub name: &'static str,
    /// What is in the file.
    pub bytes: &'static [u8],
}

macro_rules! pictures {
    ($($name:literal in $folder:literal,)+) => {
        /// Every picture that a chapter shows.
        pub const PICTURES: &[Illustration] = &[$(Illustration {
            name: $name, bytes: include_bytes!(concat!("../../../docs/", $folder, "/", $name)),
        }),+];
    };
}

pictures! {
    "chain.svg" in "manual/pictures",
    "rollout.svg" in "manual/pictures",
    "loaded-radius.svg" in "manual/pictures",
    "posts.svg" in "manual/pictures",
    "recording.svg" in "manual/pictures",
    "on-stands.svg" in "manual/pictures",
    "lines.svg" in "manual/pictures",
    "ring.svg" in "manual/pictures",
    "band.svg" in "manual/pictures",
    "evidence.svg" in "pictures",
    "errors.svg" in "pictures",
    "job-sheet-1.png" in "pictures",
    "job-sheet-2.png" in "pictures",
}

impl Illustration {
    /// Its type, as an answer names it.
    pub fn kind(&self) -> &'static str {
        if self.name.ends_with(".svg") { "image/svg+xml" } else { "image/png" }
    }
}

/// The chapter of a word.
pub fn chapter(word: &str) -> Option<&'static Chapter> {
    CHAPTERS.iter().find(|chapter| chapter.word == word)
}

/// The picture of a name.
pub fn picture(name: &str) -> Option<&'static Illustration> {
    PICTURES.iter().find(|picture| picture.name == name)
}
