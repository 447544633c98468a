//! The head of a request: request line and headers, as long as they may be and no longer.

use std::io::{ErrorKind, Read};

use httparse::{EMPTY_HEADER, Error, Request};

use crate::gate::{Denial, RequestHead};

/// Longest head that is read, bytes.
const LONGEST: usize = 8192;

/// Most headers that are read.
const MOST_HEADERS: usize = 64;

const BAD_REQUEST: Denial = Denial(400);
const TOO_SLOW: Denial = Denial(408);
const ADDRESS_TOO_LONG: Denial = Denial(414);
const TOO_LARGE: Denial = Denial(431);

/// Reads a head, and nothing of what stands behind it but what came with it. `None`: who was there left,
/// or never said a word.
pub(crate) fn read(from: &mut impl Read) -> Result<Option<RequestHead>, Denial> {
    let mut head = vec![0; LONGEST];
    let mut read = 0;
    loop {
        match from.read(&mut head[read..]) {
            Ok(0) if read == 0 => return Ok(None),
            Ok(0) => return Err(BAD_REQUEST),
            Ok(more) => read += more,
            Err(error) => match error.kind() {
                ErrorKind::Interrupted => {}
                // Which of the two it is depends on the system.
                ErrorKind::WouldBlock | ErrorKind::TimedOut if read > 0 => return Err(TOO_SLOW),
                _ => return Ok(None),
            },
        }
        if let Some(whole) = parsed(&head[..read])? {
            return Ok(Some(whole));
        }
        if read == LONGEST {
            let has_line = head.contains(&b'\n');
            return Err(if has_line { TOO_LARGE } else { ADDRESS_TOO_LONG });
        }
    }
}

/// `None`: it has no end yet.
fn parsed(head: &[u8]) -> Result<Option<RequestHead>, Denial> {
    let mut headers = [EMPTY_HEADER; MOST_HEADERS];
    let mut request = Request::new(&mut headers);
    let status = request.parse(head).map_err(|error| match error {
        Error::TooManyHeaders => TOO_LARGE,
        _ => BAD_REQUEST,
    })?;
    let address = request.path.unwrap_or_default();
    if !address.is_ascii() {
        return Err(BAD_REQUEST);
    }
    let header = |header: &httparse::Header| {
        (header.name.to_ascii_lowercase(), String::from_utf8_lossy(header.value).into_owned())
    };
    Ok(status.is_complete().then(|| RequestHead {
        method: request.method.unwrap_or_default().to_owned(),
        address: address.to_owned(),
        headers: request.headers.iter().map(header).collect(),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io;

    /// Gives a few bytes at a time, then what it ends with.
    struct Dribble<'a> {
        bytes: &'a [u8],
        at_once: usize,
        end: Option<ErrorKind>,
    }

    impl Read for Dribble<'_> {
        fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
            let most = self.at_once.min(into.len());
            match (self.bytes.is_empty(), self.end) {
                (true, Some(kind)) => Err(kind.into()),
                _ => (&self.bytes[..self.bytes.len().min(most)]).read(into).inspect(|read| {
                    self.bytes = &self.bytes[*read..];
                }),
            }
        }
    }

    fn dribbled(
        bytes: &[u8],
        at_once: usize,
        end: Option<ErrorKind>,
    ) -> Result<Option<RequestHead>, Denial> {
        read(&mut Dribble { bytes, at_once, end })
    }

    fn all(bytes: &[u8]) -> Result<Option<RequestHead>, Denial> {
        dribbled(bytes, usize::MAX, None)
    }

    #[test]
    fn a_head_is_read_however_it_comes() {
        let text =
            b"GET /a/b?c=%C2%B0 HTTP/1.1\r\nHost: localhost:4711 \r\nX-Odd: \xff\r\n\r\nbehind it";
        for at_once in [1, 7, 1000] {
            let head = dribbled(text, at_once, None).unwrap().unwrap();
            assert_eq!((&*head.method, &*head.address), ("GET", "/a/b?c=%C2%B0"));
            let headers: Vec<_> =
                head.headers.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
            assert_eq!(headers, [("host", "localhost:4711"), ("x-odd", "\u{fffd}")]);
        }
    }

    #[test]
    fn what_is_no_request_is_a_bad_one() {
        for wrong in [
            &b"GET /\xc3\xa9/ HTTP/1.1\r\nHost: a\r\n\r\n"[..],
            b"GET /\xe9/ HTTP/1.1\r\nHost: a\r\n\r\n",
            b"GET /\xc3\xa9",
            b"GET / HTTP/2.0\r\n\r\n",
            b"GET /a b HTTP/1.1\r\n\r\n",
            b"\x16\x03\x01\x02\x00",
            b"GET / HTTP/1.1\r\nno colon\r\n\r\n",
            b"GET / HTTP/1.1\r\nA: b\r\n folded\r\n\r\n",
            b"GET / HTTP/1.1\r\nA: b\r\n",
        ] {
            let shown = String::from_utf8_lossy(wrong);
            assert_eq!(all(wrong).map(drop), Err(BAD_REQUEST), "{shown}");
        }
    }

    #[test]
    fn a_head_of_8_kb_is_read_and_a_longer_one_is_not() {
        let around = "GET / HTTP/1.1\r\nA: \r\n\r\n".len();
        let of =
            |length: usize| format!("GET / HTTP/1.1\r\nA: {}\r\n\r\n", "x".repeat(length - around));
        assert!(all(of(LONGEST).as_bytes()).unwrap().is_some());
        assert_eq!(all(of(LONGEST + 1).as_bytes()).map(drop), Err(TOO_LARGE));
        let many = |count: usize| format!("GET / HTTP/1.1\r\n{}\r\n", "a: b\r\n".repeat(count));
        assert!(all(many(MOST_HEADERS).as_bytes()).unwrap().is_some());
        assert_eq!(all(many(MOST_HEADERS + 1).as_bytes()).map(drop), Err(TOO_LARGE));
        let address = format!("GET /{} HTTP/1.1\r\n\r\n", "x".repeat(LONGEST));
        assert_eq!(all(address.as_bytes()).map(drop), Err(ADDRESS_TOO_LONG));
    }

    #[test]
    fn no_more_is_read_than_a_head_may_have() {
        let mut endless = io::repeat(b'\n');
        assert_eq!(read(&mut endless).map(drop), Err(TOO_LARGE));
        let mut endless = io::repeat(b'G');
        assert_eq!(read(&mut endless).map(drop), Err(ADDRESS_TOO_LONG));
    }

    #[test]
    fn a_slow_one_gets_a_status_and_a_silent_one_nothing() {
        for end in [ErrorKind::WouldBlock, ErrorKind::TimedOut] {
            assert_eq!(dribbled(b"GET / HT", 3, Some(end)).map(drop), Err(TOO_SLOW));
            assert!(dribbled(b"", 3, Some(end)).unwrap().is_none());
        }
        assert!(dribbled(b"GET / HT", 3, Some(ErrorKind::ConnectionReset)).unwrap().is_none());
        assert!(all(b"").unwrap().is_none());
    }
}
