//! A stream that is read and written until a moment, and no longer.

use std::io::{self, ErrorKind, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// Most bytes handed to the system in one go: it may begin the time anew for each part that it takes.
const MOST_AT_ONCE: usize = 16 * 1024;

/// A stream with a deadline for all that is done with it, however many steps that takes.
#[derive(Debug)]
pub(crate) struct Timed<'a> {
    stream: &'a TcpStream,
    end: Instant,
}

impl<'a> Timed<'a> {
    pub(crate) fn new(stream: &'a TcpStream, time: Duration) -> Timed<'a> {
        Timed { stream, end: Instant::now() + time }
    }

    fn left(&self) -> io::Result<Option<Duration>> {
        let left = self.end.saturating_duration_since(Instant::now());
        if left.is_zero() { Err(ErrorKind::TimedOut.into()) } else { Ok(Some(left)) }
    }
}

impl Read for Timed<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.stream.set_read_timeout(self.left()?)?;
        self.stream.read(into)
    }
}

impl Write for Timed<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.stream.set_write_timeout(self.left()?)?;
        self.stream.write(&bytes[..bytes.len().min(MOST_AT_ONCE)])
    }

    fn flush(&mut self) -> io::Result<()> {
        self.stream.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::pair;
    use std::thread;

    const TIME: Duration = Duration::from_millis(600);

    /// Far more than [`TIME`], and far less than the others take.
    const SOON: Duration = Duration::from_secs(20);

    fn is_late(error: &io::Error) -> bool {
        matches!(error.kind(), ErrorKind::TimedOut | ErrorKind::WouldBlock)
    }

    #[test]
    fn a_slow_writer_does_not_begin_the_time_anew() {
        let (mut far, near) = pair();
        let writer = thread::spawn(move || {
            while far.write_all(b"x").is_ok() {
                thread::sleep(Duration::from_millis(50));
            }
        });
        let start = Instant::now();
        let error = io::copy(&mut Timed::new(&near, TIME), &mut io::sink()).unwrap_err();
        assert!(is_late(&error), "{error}");
        assert!((TIME..SOON).contains(&start.elapsed()), "{:?}", start.elapsed());
        drop(near);
        writer.join().unwrap();
    }

    #[test]
    fn a_slow_reader_does_not_begin_the_time_anew() {
        let (mut far, near) = pair();
        thread::spawn(move || {
            let mut part = [0; 4096];
            while far.read(&mut part).is_ok_and(|read| read > 0) {
                thread::sleep(Duration::from_millis(5));
            }
        });
        let start = Instant::now();
        // More than any system keeps for a stream.
        let error = Timed::new(&near, TIME).write_all(&vec![0; 256 << 20]).unwrap_err();
        assert!(is_late(&error), "{error}");
        assert!((TIME..SOON).contains(&start.elapsed()), "{:?}", start.elapsed());
    }
}
