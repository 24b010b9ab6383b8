//! What holds for every page.
