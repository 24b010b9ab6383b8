//! The sample truck.

/// The files of the sample truck, the vehicle file first.
pub const FILES: [(&str, &[u8]); 5] = [
    ("truck.toml", include_bytes!("../../../../examples/demo/truck.toml")),
    ("drive.gpx", include_bytes!("../../../../examples/demo/drive.gpx")),
    ("drive-log.csv", include_bytes!("../../../../examples/demo/drive-log.csv")),
    ("after.gpx", include_bytes!("../../../../examples/demo/after.gpx")),
    ("after-log.csv", include_bytes!("../../../../examples/demo/after-log.csv")),
];
