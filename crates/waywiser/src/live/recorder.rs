//! One recording: what comes from the receiver, from the keyboard and from whoever stops it, into one file.

use super::event::Event;
use super::receiver::Receiver;
use super::record::Record;
use super::session::Session;
use super::{gpsd, serial};
use crate::world::{LineByLine, steady_s, told_to_stop};
use std::io::BufRead;
use std::path::Path;
use std::sync::mpsc::{Receiver as Events, Sender, channel};
use truing::problem::{Problem, Problems};
use truing::units::Units;

/// What was recorded.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Recorded {
    /// Fixes in the file.
    pub fixes: usize,
}

/// Records until it is told to stop; `tell` gets each sentence for the passenger.
pub fn record(
    from: &Receiver,
    out: &Path,
    units: Units,
    tell: impl FnMut(&str),
) -> Result<Recorded, Problems> {
    let file = LineByLine::new(out)?;
    let (to, events) = channel();
    listen(from, to)?;
    Ok(recorded(file, Session::new(units.speed_word(), units.road_word(), steady_s()), &events, tell)?)
}

/// Begins to listen to receiver, keyboard and signals, each on a thread of its own that ends with the program.
fn listen(from: &Receiver, to: Sender<Event>) -> Result<(), Problems> {
    let (from, fixes, typed) = (from.clone(), to.clone(), to.clone());
    std::thread::spawn(move || match from {
        Receiver::Gpsd(address) => gpsd::read(&address, &fixes),
        Receiver::Serial(path, bits_per_s) => serial::read(&path, bits_per_s, &fixes),
    });
    std::thread::spawn(move || {
        for line in std::io::stdin().lock().lines().map_while(Result::ok) {
            if typed.send(Event::Typed(line, steady_s())).is_err() {
                return;
            }
        }
    });
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime.map_err(|error| {
        Problems::from(Problem::error("this machine", "a way to be stopped", error.to_string()))
    })?;
    std::thread::spawn(move || {
        runtime.block_on(told_to_stop());
        let _ = to.send(Event::Stop(steady_s()));
    });
    Ok(())
}

fn recorded(
    mut file: LineByLine,
    mut session: Session,
    events: &Events<Event>,
    mut tell: impl FnMut(&str),
) -> Result<Recorded, Box<Problem>> {
    write(&mut file, &Session::first())?;
    for event in events {
        let is_last = matches!(event, Event::Stop(_));
        let step = session.take(event);
        write(&mut file, &step.records)?;
        if let Some(told) = step.told {
            tell(&told);
        }
        if is_last {
            break;
        }
    }
    file.reach_disk()?;
    Ok(Recorded { fixes: session.fixes })
}

fn write(file: &mut LineByLine, records: &[Record]) -> Result<(), Box<Problem>> {
    for record in records {
        let line = serde_json::to_string(record)
            .map_err(|error| Box::new(Problem::error("the recording", "a record", error.to_string())))?;
        file.line(&line)?;
    }
    Ok(())
}
