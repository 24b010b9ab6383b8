//! Files made to hurt: whatever stands in them, time and memory stay bounded and something is said.

use super::tests::{track, vehicle};
use proptest::prelude::*;

/// Reads as both; the longest message.
fn longest_message(bytes: &[u8]) -> usize {
    let (_, of_track) = track(bytes, "", 1 << 16);
    let (_, of_vehicle) = vehicle(bytes, "", 1 << 16);
    assert!(!of_track.is_empty() && !of_vehicle.is_empty());
    assert!(of_track.len() < 200 && of_vehicle.len() < 200, "{}", of_track.len());
    of_track.iter().chain(&of_vehicle).map(|problem| problem.to_string().len()).max().unwrap_or(0)
}

#[test]
fn heads_without_end() {
    for piece in
        ["time_s,lat,lon,speed_kmh,", "speed kmh,", ",", "x", "time ", "\"time_s\",", "\"", "a;b,c|d\t"]
    {
        let text = piece.repeat((3 << 20) / piece.len());
        let longest = longest_message(text.as_bytes());
        assert!(longest < 10_000, "{piece}: {longest}");
    }
}

#[test]
fn cells_without_end() {
    let long = "y".repeat(3 << 20);
    for row in [
        format!("1,48.25,\"{long}\",50\n"),
        format!("1,48.25,{long},50\n"),
        format!("\"{long}\n"),
        format!("{long}\n"),
    ] {
        let text = format!("t_s,lat,lon,speed kmh\n1,48.25,11.5,50\n{row}2,48.25,11.5,50\n");
        let (found, problems) = track(text.as_bytes(), "", 1 << 16);
        assert!(found.fixes.len() >= 2, "the rows around it are read: {} {problems:?}", found.fixes.len());
        assert!(longest_message(text.as_bytes()) < 10_000);
    }
}

#[test]
fn headers_that_go_on_changing() {
    let text: String = (0..5000).map(|index| format!("time_s,lat,lon,speed{index}\n1,2,3,4\n")).collect();
    assert!(longest_message(text.as_bytes()) < 10_000);
    let names: String = (0..3000).map(|index| format!(",time {index}")).collect();
    assert!(longest_message(format!("time_s,lat,lon{names}\n1,2,3\n").as_bytes()) < 10_000);
}

proptest! {
    /// Readings in any order and damaged anyhow: chunks do not change what comes out.
    #[test]
    fn readings_in_any_chunks(
        rows in proptest::collection::vec("[0-3]?,(Latitude|Longitude|GPS Speed|Speed|Coolant|),[0-9.x]{0,5}(,km/h|)", 0..40),
        chunk_bytes in 1usize..40,
    ) {
        let text = format!("time_s,name,value,unit\n{}", rows.join("\n"));
        prop_assert_eq!(track(text.as_bytes(), "", chunk_bytes), track(text.as_bytes(), "", 1 << 20));
        prop_assert_eq!(vehicle(text.as_bytes(), "", chunk_bytes), vehicle(text.as_bytes(), "", 1 << 20));
    }
}
