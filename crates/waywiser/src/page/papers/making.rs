//! Papers out of what is known of a truck: the words of each, and the sheets.

use super::wanted::{Choice as Read, Wanted, said};
use crate::garage::{Known, Units};
use crate::page::answers;
use crate::page::app::App;
use crate::page::error::PageError;
use crate::paper::SheetInfo;
use crate::paper::sheet::{About, Paper};
use crate::work::asked::YES;
use crate::work::paper::{JobWish, Kind, about, day_of, job_of, measuring_of, proof_of, sizes_of, written};
use crate::work::set::Hands;
use crate::world::version::software;
use jiff::civil::Date;
use truing::choose::compare_tires;
use truing::problem::Problems;
use truing::record::Expected;
use truing::report::answers::record_head::RecordHead;
use truing::report::answers::tire_choice::TireChoice;
use truing::report::document::Document;
use truing::report::papers::door_frame::DoorFrameNote;
use truing::report::papers::job::{JobSheet, last_day};
use truing::report::papers::life::LifeReport;
use truing::report::papers::odometer::PapersReport;
use truing::report::papers::speed_card::SpeedCard;

/// What a paper is made of.
pub struct Maker<'a> {
    app: &'a App,
    known: &'a Known,
    units: Units,
    wanted: &'a Wanted,
    read: Read,
}

/// What a paper says, and the last day of which it speaks.
type Words = (Document, Option<Date>);
type Outcome<T> = Result<T, Problems>;

impl<'a> Maker<'a> {
    /// For a truck, as it is wanted.
    pub fn new(app: &'a App, known: &'a Known, wanted: &'a Wanted) -> Result<Self, PageError> {
        Ok(Self { app, known, units: app.garage.settings().units, wanted, read: wanted.choice()? })
    }

    /// On sheets.
    pub fn pdf(&self, kind: Kind) -> Outcome<Vec<u8>> {
        match kind {
            Kind::Job => {
                let about = self.about(kind, self.measured());
                let (sheet, link) = (self.job()?, self.read.link.as_deref());
                written(|press| press.job(&sheet, link, self.paper(), &about))
            }
            Kind::SpeedCard => {
                let about = self.about(kind, self.measured());
                written(|press| press.speed_card(&self.card(), Some(self.paper()), &about))
            }
            Kind::DoorFrame => {
                let note = self.note()?;
                let about = self.about(kind, day_of(note.last_day.as_deref()));
                written(|press| press.door_frame(&note, Some(self.paper()), &about))
            }
            Kind::Tires | Kind::History | Kind::Measuring | Kind::Proof | Kind::Sale => {
                let (document, day) = self.document(kind)?;
                let about = self.about(kind, day);
                written(|press| match kind.is_one_page() {
                    true => press.one_page(&document, self.paper(), &about),
                    false => press.document(&document, self.paper(), &about),
                })
            }
        }
    }

    /// In words, tables and pictures.
    pub fn document(&self, kind: Kind) -> Outcome<Words> {
        let Known { loaded, estimate, .. } = self.known;
        match kind {
            Kind::Job => Ok((self.job()?.document(), self.measured())),
            Kind::Measuring => {
                let kind = said(&self.wanted.measurement);
                let sheet = measuring_of(loaded, estimate, &self.chosen()?, kind, self.units)?;
                Ok((sheet.document(), self.measured()))
            }
            Kind::Proof => {
                let sheet = proof_of(loaded, estimate, said(&self.wanted.rule), self.units)?;
                Ok((sheet.document(), self.measured()))
            }
            Kind::SpeedCard => Ok((self.card().document(), self.measured())),
            Kind::Tires => self.tires(),
            Kind::History => self.history(),
            Kind::DoorFrame => {
                let note = self.note()?;
                Ok((note.document(), day_of(note.last_day.as_deref())))
            }
            Kind::Sale => self.sale(),
        }
    }

    /// The choice, by another rule where one is wanted.
    fn chosen(&self) -> Outcome<truing::choose::Choice> {
        let wish =
            answers::Wish { rule: said(&self.wanted.rule).map(str::to_string), reserve: self.read.reserve };
        answers::choice(self.known, &wish)
    }

    fn job(&self) -> Outcome<JobSheet> {
        let Known { truck, loaded, estimate, .. } = self.known;
        let (routine, _) = self.app.garage.procedure(&truck.slug)?;
        let wish = JobWish {
            to: said(&self.wanted.to),
            adjuster: said(&self.wanted.adjuster),
            even_if_worse: said(&self.wanted.even_if_worse) == Some(YES),
            hands: Hands {
                procedure: routine.as_ref(),
                shows: said(&self.wanted.shows),
                repeat: self.read.repeat,
                despite: said(&self.wanted.despite),
            },
        };
        job_of(loaded, estimate, &self.chosen()?, &wish, self.units)
    }

    fn sale(&self) -> Outcome<Words> {
        let entries = answers::entries(self.app, &self.known.truck)?;
        let Read { model_year, transfer, gvwr_lb, date, .. } = &self.read;
        let name = &self.known.truck.name;
        let report = PapersReport::new(name, &entries, *model_year, transfer.or(*date), *gvwr_lb, self.units);
        let last = entries.last().map(|entry| entry.event.time.to_string());
        let day = day_of(last.as_deref().and_then(|time| time.get(..10)));
        Ok((report.with_record(self.record()).sheet(), day))
    }

    fn card(&self) -> SpeedCard {
        let Known { loaded, estimate, .. } = self.known;
        SpeedCard::new(&loaded.vehicle, estimate, &self.read.gears, self.units)
    }

    fn tires(&self) -> Outcome<Words> {
        let Known { loaded, estimate, .. } = self.known;
        let vehicle = &loaded.vehicle;
        let sizes = [sizes_of(vehicle), self.read.tires.clone()].concat();
        let compared = compare_tires(&loaded.source, vehicle, estimate, &sizes);
        let compared = compared?;
        let setting = vehicle.adjusters.first().and_then(|one| one.present()).map(|set| set.to_string());
        Ok((TireChoice::new(&vehicle.name, setting, &compared, self.units).document(), self.measured()))
    }

    fn history(&self) -> Outcome<Words> {
        let entries = answers::entries(self.app, &self.known.truck)?;
        let checked = answers::check_report(self.app, &Expected::default(), false)?;
        let whole = (checked.entries, checked.head.as_str(), checked.ok);
        let report = LifeReport::new(&self.known.truck.name, &entries, whole, self.units);
        let mut document = report.document();
        if let Some(record) = self.record() {
            record.put_on(&mut document);
        }
        Ok((document, day_of(report.last_day.as_deref())))
    }

    fn note(&self) -> Outcome<DoorFrameNote> {
        let entries = answers::entries(self.app, &self.known.truck)?;
        Ok(DoorFrameNote::new(&self.known.truck.name, &entries))
    }

    fn measured(&self) -> Option<Date> {
        last_day(&self.known.loaded.vehicle)
    }

    /// Who thinks in kilometres has A4 in the printer.
    fn paper(&self) -> Paper {
        let usual = if self.units == Units::Metric { Paper::A4 } else { Paper::Letter };
        self.read.paper.unwrap_or(usual)
    }

    fn about(&self, kind: Kind, date: Option<Date>) -> About {
        let about = about(kind, &self.known.truck.name, self.read.date.or(date));
        About { record: self.record(), ..about }
    }

    /// What the file says of itself.
    pub fn info(&self, day: Option<Date>) -> SheetInfo {
        let as_of = self.read.date.or(day).map(|day| day.to_string());
        SheetInfo { as_of, software: software(), record: self.record() }
    }

    /// How far the record goes, where it was begun and can be read.
    fn record(&self) -> Option<RecordHead> {
        answers::ledger(self.app).ok().flatten()?.reaches().ok().flatten()
    }
}
