//! Forms with files, as a browser and `curl -F` send them (RFC 7578).

const LINE: &str = "line-between-parts";

/// Type and body of a form of fields, and of files as (field, name, bytes).
pub fn form(fields: &[(&str, &str)], files: &[(&str, &str, &[u8])]) -> (String, Vec<u8>) {
    let mut body = Vec::new();
    let mut part = |about: String, bytes: &[u8]| {
        body.extend(format!("--{LINE}\r\ncontent-disposition: form-data; {about}\r\n\r\n").as_bytes());
        body.extend(bytes);
        body.extend(b"\r\n");
    };
    for (name, value) in fields {
        part(format!("name=\"{name}\""), value.as_bytes());
    }
    for (field, name, bytes) in files {
        part(format!("name=\"{field}\"; filename=\"{name}\""), bytes);
    }
    body.extend(format!("--{LINE}--\r\n").as_bytes());
    (format!("multipart/form-data; boundary={LINE}"), body)
}
