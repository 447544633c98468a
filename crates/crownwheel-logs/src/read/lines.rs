//! Lines of bounded length, whatever ends them.

use std::io::{self, BufRead};

/// Longest line that is read, bytes.
pub(super) const LONGEST_LINE: usize = 1 << 16;

/// Gives one line after another.
pub(super) struct Lines<R> {
    reader: R,
    bytes: Vec<u8>,
    text: String,
    after_return: bool,
    /// Lines given so far.
    pub(super) count: usize,
    /// Some line ended in a carriage return.
    pub(super) carriage_returns: bool,
}

/// What was wrong with the line that was given.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Flaws {
    pub(super) overlong: bool,
    pub(super) zero_bytes: bool,
    pub(super) not_utf8: bool,
}

impl<R: BufRead> Lines<R> {
    pub(super) fn new(reader: R) -> Self {
        Self {
            reader,
            bytes: Vec::new(),
            text: String::new(),
            after_return: false,
            count: 0,
            carriage_returns: false,
        }
    }

    /// The next line without its end, or `None` at the end of the file.
    pub(super) fn next(&mut self) -> io::Result<Option<(&str, Flaws)>> {
        self.bytes.clear();
        let mut flaws = Flaws::default();
        let mut any = false;
        loop {
            let buffer = self.reader.fill_buf()?;
            if buffer.is_empty() {
                break;
            }
            let skipped = usize::from(self.after_return && buffer[0] == b'\n');
            self.after_return = false;
            let rest = &buffer[skipped..];
            let end = rest.iter().position(|byte| matches!(byte, b'\n' | b'\r'));
            let part = &rest[..end.unwrap_or(rest.len())];
            any |= !part.is_empty() || end.is_some();
            let room = LONGEST_LINE - self.bytes.len();
            flaws.overlong |= part.len() > room;
            self.bytes.extend_from_slice(&part[..part.len().min(room)]);
            let ended_by = end.map(|at| rest[at]);
            let used = skipped + end.map_or(rest.len(), |at| at + 1);
            self.reader.consume(used);
            if let Some(byte) = ended_by {
                self.after_return = byte == b'\r';
                self.carriage_returns |= self.after_return;
                break;
            }
        }
        if !any {
            return Ok(None);
        }
        self.count += 1;
        if self.bytes.contains(&0) {
            flaws.zero_bytes = true;
            self.bytes.retain(|byte| *byte != 0);
        }
        self.text.clear();
        for chunk in self.bytes.utf8_chunks() {
            self.text.push_str(chunk.valid());
            // The first 256 characters of Unicode are those of Latin-1.
            self.text.extend(chunk.invalid().iter().map(|byte| char::from(*byte)));
            // A line that was cut may end inside a character.
            flaws.not_utf8 |= !chunk.invalid().is_empty() && !flaws.overlong;
        }
        Ok(Some((&self.text, flaws)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(bytes: &[u8], capacity: usize) -> Vec<String> {
        let mut lines = Lines::new(io::BufReader::with_capacity(capacity, bytes));
        let mut found = Vec::new();
        while let Some((line, _)) = lines.next().unwrap() {
            found.push(line.to_owned());
        }
        found
    }

    #[test]
    fn every_kind_of_line_end_parts_lines_at_any_buffer_size() {
        for capacity in 1..8 {
            assert_eq!(all(b"a\r\nb\rc\n\nd", capacity), ["a", "b", "c", "", "d"]);
            assert!(all(b"", capacity).is_empty());
            assert_eq!(all(b"\n", capacity), [""]);
        }
    }

    #[test]
    fn flawed_lines_are_given_without_their_flaws() {
        let mut bytes = b"a\0b\n\xb0C\n".to_vec();
        bytes.extend(std::iter::repeat_n(b'x', LONGEST_LINE + 5));
        bytes.extend(b"\nend");
        let mut lines = Lines::new(io::BufReader::new(bytes.as_slice()));
        let (line, flaws) = lines.next().unwrap().unwrap();
        assert_eq!((line, flaws.zero_bytes), ("ab", true));
        let (line, flaws) = lines.next().unwrap().unwrap();
        assert_eq!((line, flaws.not_utf8), ("°C", true));
        let (line, flaws) = lines.next().unwrap().unwrap();
        assert_eq!((line.len(), flaws.overlong), (LONGEST_LINE, true));
        assert_eq!(lines.next().unwrap().unwrap(), ("end", Flaws::default()));
        assert_eq!(lines.next().unwrap(), None);
    }
}
