//! In place of PDF, in a program that is built without it: every attempt says so.

use super::sheet::{About, Paper};
use std::convert::Infallible;
use truing::problem::Problem;
use truing::report::document::Document;
use truing::report::papers::door_frame::DoorFrameNote;
use truing::report::papers::job::JobSheet;
use truing::report::papers::speed_card::SpeedCard;

/// Nothing is printed, so nothing is lacking.
pub fn lacking(_: &str) -> Vec<char> {
    Vec::new()
}

/// There is none.
pub struct Press(Infallible);

/// There is none.
pub struct Laid(Infallible);

impl Press {
    /// # Errors
    /// Always: this program makes no PDF.
    pub fn new() -> Result<Self, Box<Problem>> {
        let problem = Problem::error("this program", "one that makes PDF", "one that was built without it");
        Err(Box::new(problem.hint("Take a name that ends in .html, or a program with the feature `paper`.")))
    }

    /// Nothing calls it: there is no press.
    pub fn job(&self, _: &JobSheet, _: Option<&str>, _: Paper, _: &About) -> Laid {
        match self.0 {}
    }

    /// Nothing calls it: there is no press.
    pub fn document(&self, _: &Document, _: Paper, _: &About) -> Laid {
        match self.0 {}
    }

    /// Nothing calls it: there is no press.
    pub fn one_page(&self, _: &Document, _: Paper, _: &About) -> Laid {
        match self.0 {}
    }

    /// Nothing calls it: there is no press.
    pub fn speed_card(&self, _: &SpeedCard, _: Option<Paper>, _: &About) -> Laid {
        match self.0 {}
    }

    /// Nothing calls it: there is no press.
    pub fn door_frame(&self, _: &DoorFrameNote, _: Option<Paper>, _: &About) -> Laid {
        match self.0 {}
    }

    /// Nothing calls it: there is no press.
    pub fn pdf(&self, laid: Laid) -> Result<Vec<u8>, Box<Problem>> {
        match laid.0 {}
    }
}
