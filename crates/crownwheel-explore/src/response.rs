//! What is answered: a status, a body or none, and the headers that every answer has.

use std::fmt::Write;

use jiff::Timestamp;
use jiff::fmt::rfc2822::DateTimePrinter;

use crate::gate::Denial;

/// Everything comes from the page's own address, and nothing is kept, framed or sent elsewhere.
const HEADERS: [(&str, &str); 8] = [
    (
        "Content-Security-Policy",
        "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src data:; \
         base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    ),
    ("X-Content-Type-Options", "nosniff"),
    ("X-Frame-Options", "DENY"),
    ("Referrer-Policy", "no-referrer"),
    ("Cache-Control", "no-store"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Connection", "close"),
];

pub(crate) const HTML: &str = "text/html; charset=utf-8";
pub(crate) const CSS: &str = "text/css; charset=utf-8";
pub(crate) const JAVASCRIPT: &str = "text/javascript; charset=utf-8";
pub(crate) const JSON: &str = "application/json";

/// An answer. Without a kind it is a status and nothing else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Response {
    status: u16,
    kind: Option<&'static str>,
    body: String,
}

impl Response {
    pub(crate) fn of(kind: &'static str, body: String) -> Response {
        Response { status: 200, kind: Some(kind), body }
    }

    /// As it goes over the wire.
    pub(crate) fn bytes(self) -> Vec<u8> {
        let head = self.head();
        // In place: a long body is not kept twice.
        let mut all = self.body;
        all.insert_str(0, &head);
        all.into_bytes()
    }

    fn head(&self) -> String {
        let mut text = format!("HTTP/1.1 {} {}\r\n", self.status, reason(self.status));
        let mut header = |name: &str, value: &str| {
            // Writing to a string does not fail.
            let _ = write!(text, "{name}: {value}\r\n");
        };
        if let Ok(date) = DateTimePrinter::new().timestamp_to_rfc9110_string(&Timestamp::now()) {
            header("Date", &date);
        }
        if let Some(kind) = self.kind {
            header("Content-Type", kind);
        }
        if self.status == 405 {
            header("Allow", "GET");
        }
        // An answer "no content" may not say how long it is.
        if self.status != 204 {
            header("Content-Length", &self.body.len().to_string());
        }
        HEADERS.iter().for_each(|(name, value)| header(name, value));
        text.push_str("\r\n");
        text
    }
}

impl From<Denial> for Response {
    fn from(Denial(status): Denial) -> Response {
        Response { status, kind: None, body: String::new() }
    }
}

/// What a person reads beside the number of a status.
fn reason(status: u16) -> &'static str {
    match status {
        200 => "OK",
        204 => "No Content",
        400 => "Bad Request",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        408 => "Request Timeout",
        414 => "URI Too Long",
        431 => "Request Header Fields Too Large",
        _ => "Internal Server Error",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn head_and_body(response: Response) -> (Vec<String>, String) {
        let all = String::from_utf8(response.bytes()).unwrap();
        let (head, body) = all.split_once("\r\n\r\n").unwrap();
        (head.split("\r\n").map(str::to_owned).collect(), body.to_owned())
    }

    #[test]
    fn a_page_says_its_kind_and_its_length_in_bytes() {
        let (head, body) = head_and_body(Response::of(HTML, "0.40 \u{b1} 0.03\n".to_owned()));
        assert_eq!(head[0], "HTTP/1.1 200 OK");
        assert!(head[1].starts_with("Date: ") && head[1].ends_with(" GMT"), "{head:?}");
        assert_eq!(head[2..4], ["Content-Type: text/html; charset=utf-8", "Content-Length: 13"]);
        assert_eq!(body, "0.40 \u{b1} 0.03\n");
        for (name, value) in HEADERS {
            assert!(head.contains(&format!("{name}: {value}")), "{name}");
        }
    }

    #[test]
    fn a_status_has_no_body_and_the_same_headers() {
        for status in [204, 400, 403, 404, 405, 408, 414, 431, 500] {
            let (head, body) = head_and_body(Response::from(Denial(status)));
            let (number, reason) = head[0].strip_prefix("HTTP/1.1 ").unwrap().split_at(3);
            assert_eq!(number, status.to_string());
            assert_eq!(reason == " Internal Server Error", status == 500, "{status}{reason}");
            assert_eq!(head.contains(&"Content-Length: 0".to_owned()), status != 204, "{status}");
            assert_eq!(head.contains(&"Allow: GET".to_owned()), status == 405, "{status}");
            assert!(HEADERS.iter().all(|(name, value)| head.contains(&format!("{name}: {value}"))));
            assert_eq!(body, "");
        }
    }
}
