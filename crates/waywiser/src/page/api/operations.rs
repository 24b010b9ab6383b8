//! The one table of the operations.

use super::table::{InHead, Operations};
use super::{ask, change, read, reference};
use crate::page::answers::PapersAsked;
use crate::page::papers;
use crate::page::record::{carry, whole};
use crate::work::bench::Wanted;
use crate::work::trial::Trial;
use truing::report::answers::batch::BatchReport;
use truing::report::answers::bench::BenchReport;
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::decision::DecisionReport;
use truing::report::answers::description::DescriptionReport;
use truing::report::answers::drive::DriveReport;
use truing::report::answers::keys::KeysReport;
use truing::report::answers::mileage::DistanceReport;
use truing::report::answers::proof::ProofReport;
use truing::report::answers::pulses::PulseReport;
use truing::report::answers::record::{
    AddedReport, BackupReport, CheckReport, ImportReport, RepairedReport, TakenReport,
};
use truing::report::answers::record_head::{KeyReport, VerifyReport};
use truing::report::answers::rules::RulesReport;
use truing::report::answers::steps::StepsReport;
use truing::report::answers::tire::TireReport;
use truing::report::answers::vehicle::VehicleReport;
use truing::report::papers::history::{HistoryReport, StatesReport};
use truing::report::papers::odometer::PapersReport;

/// Every operation.
pub fn operations() -> Operations {
    let reading = Operations::default()
        .get::<(), Vec<read::TruckLine>, _, _>("/trucks", "The trucks of the garage.", read::trucks)
        .get::<(), read::VehicleFile, _, _>("/trucks/{slug}", "The vehicle file of a truck.", read::file)
        .get::<(), DescriptionReport, _, _>(
            "/trucks/{slug}/describe",
            "What is on the truck.",
            read::describe,
        )
        .get::<(), VehicleReport, _, _>(
            "/trucks/{slug}/measure",
            "What all evidence comes to.",
            read::measure,
        )
        .get::<ask::Wished, ChoiceReport, _, _>(
            "/trucks/{slug}/choose",
            "What to store, or not.",
            read::choose,
        )
        .get::<ask::StepsAsked, StepsReport, _, _>("/trucks/{slug}/set", "The steps to a setting.", read::set)
        .get::<(), read::Routine, _, _>(
            "/trucks/{slug}/routine",
            "The owner's own routine for setting the module.",
            read::routine,
        )
        .get::<Trial, ProofReport, _, _>(
            "/trucks/{slug}/prove",
            "Whether a drive shows that a rule is kept.",
            read::prove,
        )
        .get::<(), HistoryReport, _, _>("/trucks/{slug}/record", "What was done to the truck.", read::record)
        .get::<ask::WayAsked, DistanceReport, _, _>(
            "/trucks/{slug}/distance",
            "How far the truck truly went.",
            read::distance,
        )
        .get::<PapersAsked, PapersReport, _, _>("/trucks/{slug}/papers", "Facts for papers.", read::papers)
        .get_file::<papers::Wanted, _, _>(
            "/trucks/{slug}/paper",
            "A paper to print.",
            &["application/pdf"],
            read::paper,
        )
        .get_file::<papers::Wanted, _, _>(
            "/trucks/{slug}/paper.html",
            "The same as one HTML file.",
            &["text/html"],
            read::paper_as_html,
        )
        .get::<ask::CheckAsked, CheckReport, _, _>(
            "/record/check",
            "Whether the record is whole.",
            read::check,
        );
    changes(looked_at(of_its_key(of_the_record(without_a_truck(of_the_vehicle_file(reading))))))
}

/// What a vehicle file may hold.
fn of_the_vehicle_file(operations: Operations) -> Operations {
    operations
        .get::<(), reference::VehicleSchema, _, _>(
            "/schema",
            "The JSON Schema of vehicle files.",
            reference::schema,
        )
        .get::<ask::SectionAsked, KeysReport, _, _>(
            "/keys",
            "Every section and key of the vehicle file: what it says, what it takes, an example.",
            reference::keys,
        )
        .get::<ask::StartAsked, reference::StartingFile, _, _>(
            "/starting-file",
            "A vehicle file to start from, for what can be set on the truck.",
            reference::start,
        )
}

/// What needs no truck.
fn without_a_truck(operations: Operations) -> Operations {
    operations
        .get::<(), DecisionReport, _, _>(
            "/decision",
            "The numbers by which a setting is chosen, unless a vehicle file changes them.",
            read::decision,
        )
        .get::<(), RulesReport, _, _>("/rules", "The rules there are.", read::rules)
        .get::<(), read::Chosen, _, _>("/settings", "The owner's units.", read::settings)
        .get::<ask::TireAsked, TireReport, _, _>("/tire", "What a size of tire means.", read::tire)
        .get::<Wanted, BenchReport, _, _>("/bench", "What a signal for the bench holds.", read::bench)
        .get_file::<Wanted, _, _>(
            "/bench/signal.wav",
            "A signal for the bench as sound. Never feed one into a vehicle that can move.",
            &["audio/wav"],
            read::bench_sound,
        )
        .get_file::<Wanted, _, _>("/bench/signal.csv", "The same as edges.", &["text/csv"], read::bench_edges)
}

/// The record of the whole garage.
fn of_the_record(operations: Operations) -> Operations {
    operations
        .get::<(), StatesReport, _, _>("/record", "The state of every vehicle of the record.", read::states)
        .get_file::<(), _, _>(
            "/record/entries.jsonl",
            "Every entry, as an import takes it.",
            &[carry::JSON_LINES],
            read::lines,
        )
        .get_file::<(), _, _>("/record/entries.csv", "Every entry as a table.", &["text/csv"], read::table)
        .get_file::<(), _, _>(
            "/record/copy.sqlite",
            "A copy of the record's own file as it is at one moment.",
            &[carry::SQLITE],
            read::copy,
        )
        .get_file::<whole::Named, _, _>(
            "/record/vehicle-file",
            "The vehicle file that was taken in last.",
            &["application/toml"],
            read::vehicle_file,
        )
        .post_nothing::<BackupReport, _, _>(
            "/record/backup",
            "Makes a backup in the garage's folder.",
            change::back_up,
        )
        .post_bytes::<ask::ImportAsked, ImportReport, _, _>(
            "/record/import",
            "Takes in an exported record that goes on from this one: all of it or nothing.",
            change::import,
        )
        .post_nothing::<change::Rescued, _, _>(
            "/record/rescue",
            "Sets a damaged record aside by copy and gives what can be read.",
            change::rescue,
        )
        .post_nothing::<CheckReport, _, _>(
            "/record/as-it-is",
            "Takes the record as it is from now on, though another one was seen on this machine before, and checks it.",
            change::as_it_is,
        )
        .post_nothing::<TakenReport, _, _>(
            "/trucks/{slug}/take",
            "Takes the vehicle file into the record as it is now.",
            change::take,
        )
}

/// The key of the record, and what signed papers show.
fn of_its_key(operations: Operations) -> Operations {
    operations
        .get::<(), KeyReport, _, _>(
            "/record/key",
            "The public part of the key with which papers are signed.",
            read::record_key,
        )
        .post_nothing::<KeyReport, _, _>(
            "/record/key",
            "Makes the key where there is none; one that is there stays.",
            change::make_key,
        )
        .post_bytes::<ask::SheetHeld, VerifyReport, _, _>(
            "/record/verify",
            "Holds an exported record against the sheet code of a signed paper. The file is looked at and not kept.",
            change::verify,
        )
}

/// Files that are looked at and not kept.
fn looked_at(operations: Operations) -> Operations {
    operations
        .post_files::<ask::DriveSent, DriveReport, _, _>(
            "/drive",
            "Measures one drive. The files are looked at and not kept.",
            change::drive,
        )
        .post_files::<ask::RecordingSent, PulseReport, _, _>(
            "/recording",
            "Measures one recording of the sensor's signal. The files are looked at and not kept.",
            change::recording,
        )
        .post_files::<ask::DrivesSent, BatchReport, _, _>(
            "/batch",
            "Measures many drives. The files are looked at and not kept.",
            change::batch,
        )
}

fn changes(reading: Operations) -> Operations {
    reading
        .post::<ask::UnitsChosen, read::Chosen, _, _>(
            "/settings",
            "Chooses the units in which answers speak; numbers keep the unit that their key names.",
            change::settings,
        )
        .post_text::<change::Added, _, _>("/trucks", "Adds a truck: its vehicle file (TOML).", change::add)
        .put_text::<change::Added, _, _>(
            "/trucks/{slug}",
            "Puts another vehicle file in the place of one, if it still is the version that `If-Match` names.",
            change::replace,
        )
        .sent_with(&[InHead::Version])
        .post_bytes::<ask::FileNamed, change::KeptFile, _, _>(
            "/trucks/{slug}/files",
            "Lays a file beside the vehicle file: a track, a log, a recording.",
            change::lay_file,
        )
        .post::<ask::Wished, Vec<AddedReport>, _, _>(
            "/trucks/{slug}/choose",
            "Keeps the advice, and the estimate it rests on, in the record; once under an `Idempotency-Key`.",
            change::choose,
        )
        .sent_with(&[InHead::Key])
        .post::<ask::WriteMade, AddedReport, _, _>(
            "/trucks/{slug}/set",
            "Keeps a write in the record and in the vehicle file, if that still is the version that `If-Match` names; once under an `Idempotency-Key`.",
            change::set,
        )
        .sent_with(&[InHead::Version, InHead::Key])
        .post::<ask::RoutineSent, read::Routine, _, _>(
            "/trucks/{slug}/routine",
            "Keeps a routine in the place of the version that it was made from.",
            change::routine,
        )
        .post::<ask::RepairAsked, RepairedReport, _, _>(
            "/trucks/{slug}/repair",
            "Repairs a difference between the record's last write and the vehicle file.",
            change::repair,
        )
        .post_nothing::<change::Added, _, _>(
            "/trucks/{slug}/try-again",
            "Reads files again that were set aside because they ended waywiser, or took too long or too much memory.",
            change::try_again,
        )
        .post::<Trial, AddedReport, _, _>(
            "/trucks/{slug}/prove",
            "Keeps a proof in the record; once under an `Idempotency-Key`.",
            change::prove,
        )
        .sent_with(&[InHead::Key])
        .post::<ask::EntryMade, AddedReport, _, _>(
            "/trucks/{slug}/record",
            "Adds an entry to the record; once under an `Idempotency-Key`.",
            change::record,
        )
        .sent_with(&[InHead::Key])
}
