//! Side by side with reference libraries.
