//! Logs made up to a size: nothing in them is anybody's drive.

use std::fmt::Write;

/// Lines of `line(index)` until the size is reached.
fn text(size_bytes: usize, head: &str, tail: &str, mut line: impl FnMut(&mut String, usize)) -> Vec<u8> {
    let mut text = String::with_capacity(size_bytes + 1024);
    text.push_str(head);
    let mut index = 0;
    while text.len() < size_bytes {
        line(&mut text, index);
        index += 1;
    }
    text.push_str(tail);
    text.into_bytes()
}

fn place(index: usize) -> (f64, f64, f64) {
    let along = index as f64 * 1e-5;
    (10.0 + along % 1.0, 20.0 + along * 0.7 % 1.0, 15.0 + 10.0 * along.sin())
}

/// A track with height, time and speed in every point.
pub fn gpx(size_bytes: usize) -> Vec<u8> {
    text(
        size_bytes,
        "<gpx version=\"1.1\" creator=\"nobody\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\n",
        "</trkseg></trk></gpx>\n",
        |text, index| {
            let (lat, lon, speed) = place(index);
            let (minute, second) = (index / 60 % 60, index % 60);
            let _ = writeln!(
                text,
                "<trkpt lat=\"{lat:.7}\" lon=\"{lon:.7}\"><ele>120.4</ele><time>2024-05-24T10:{minute:02}:{second:02}Z</time><extensions><speed>{speed:.2}</speed></extensions></trkpt>"
            );
        },
    )
}

/// A track of six columns.
pub fn csv(size_bytes: usize) -> Vec<u8> {
    text(size_bytes, "time_s,lat,lon,ele_m,speed_m_s,hdop\n", "", |text, index| {
        let (lat, lon, speed) = place(index);
        let time_s = 1_700_000_000.0 + index as f64 * 0.1;
        let _ = writeln!(text, "{time_s:.3},{lat:.7},{lon:.7},120.4,{speed:.3},0.9");
    })
}

/// RMC and GGA for every second.
pub fn nmea(size_bytes: usize) -> Vec<u8> {
    text(size_bytes, "", "", |text, index| {
        let (lat, lon, speed) = place(index);
        let (minute, second) = (index / 60 % 60, index % 60);
        let time = format!("10{minute:02}{second:02}.00");
        let (lat, lon) = (format!("10{:08.5}", lat % 1.0 * 60.0), format!("020{:08.5}", lon % 1.0 * 60.0));
        for body in [
            format!("GPRMC,{time},A,{lat},N,{lon},E,{speed:.3},84.4,240524,,,A"),
            format!("GPGGA,{time},{lat},N,{lon},E,1,08,0.9,120.4,M,46.9,M,,"),
        ] {
            let _ = write!(text, "${body}*{:02X}\r\n", body.bytes().fold(0, |sum, byte| sum ^ byte));
        }
    })
}

/// A bus on which one frame in ten holds a speed.
pub fn candump(size_bytes: usize) -> Vec<u8> {
    text(size_bytes, "", "", |text, index| {
        let time_s = 1_700_000_000.0 + index as f64 * 0.001;
        let count = 20_000 + index % 100;
        // One frame in ten holds a speed, which is more than on most buses.
        let _ = match index % 10 {
            0 => writeln!(
                text,
                "({time_s:.6}) can0 18FEF100#FF{:02X}{:02X}FFFFFFFFFF",
                count & 0xFF,
                count >> 8
            ),
            other => writeln!(text, "({time_s:.6}) can0 0CF00{other}00#F07D8CC82AF0{:04X}", index & 0xFFFF),
        };
    })
}
