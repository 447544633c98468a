//! Text in UTF-16, as some loggers and spreadsheets write it, as UTF-8.

use std::io::{self, Read};

/// Which byte of a pair comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Utf16 {
    LowFirst,
    HighFirst,
}

impl Utf16 {
    /// By the mark at the start, else by zeros at every other place, which ASCII has in UTF-16.
    pub(super) fn of(first: &[u8]) -> Option<Utf16> {
        match first {
            [0xff, 0xfe, ..] => return Some(Utf16::LowFirst),
            [0xfe, 0xff, ..] => return Some(Utf16::HighFirst),
            _ => {}
        }
        let pairs = first.len() / 2;
        let zeros = |place: usize| first.chunks_exact(2).filter(|pair| pair[place] == 0).count();
        match [zeros(0), zeros(1)] {
            _ if pairs < 4 => None,
            [0, low] if 10 * low > 9 * pairs => Some(Utf16::LowFirst),
            [high, 0] if 10 * high > 9 * pairs => Some(Utf16::HighFirst),
            _ => None,
        }
    }

    fn unit(self, pair: [u8; 2]) -> u16 {
        match self {
            Utf16::LowFirst => u16::from_le_bytes(pair),
            Utf16::HighFirst => u16::from_be_bytes(pair),
        }
    }
}

/// Reads UTF-16 and gives UTF-8; what is no character becomes the sign for that.
pub(super) struct Utf16Reader<R> {
    inner: R,
    order: Utf16,
    /// A byte or half a character that waits for its other half.
    left: Vec<u8>,
    text: Vec<u8>,
    given: usize,
}

/// Bytes that are read at a time.
const CHUNK: u64 = 1 << 13;

impl<R: Read> Utf16Reader<R> {
    pub(super) fn new(inner: R, order: Utf16) -> Self {
        Self { inner, order, left: Vec::new(), text: Vec::new(), given: 0 }
    }

    /// Makes more text; none at the end.
    fn refill(&mut self) -> io::Result<()> {
        let mut bytes = std::mem::take(&mut self.left);
        let count = self.inner.by_ref().take(CHUNK).read_to_end(&mut bytes)?;
        let mut units: Vec<u16> =
            bytes.chunks_exact(2).map(|pair| self.order.unit([pair[0], pair[1]])).collect();
        if count > 0 {
            let half = units.last().is_some_and(|unit| (0xd800..0xdc00).contains(unit));
            units.truncate(units.len() - usize::from(half));
            self.left = bytes.split_off(2 * units.len());
        }
        let characters =
            char::decode_utf16(units).map(|read| read.unwrap_or(char::REPLACEMENT_CHARACTER));
        self.text = characters.collect::<String>().into_bytes();
        self.given = 0;
        Ok(())
    }
}

impl<R: Read> Read for Utf16Reader<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.given == self.text.len() {
            self.refill()?;
        }
        let rest = &self.text[self.given..];
        let count = rest.len().min(buffer.len());
        buffer[..count].copy_from_slice(&rest[..count]);
        self.given += count;
        Ok(count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_orders_with_and_without_a_mark_are_read() {
        let words = "time_s;Höhe 𝄞\n".repeat(3000);
        for order in [Utf16::LowFirst, Utf16::HighFirst] {
            let bytes: Vec<u8> = words
                .encode_utf16()
                .flat_map(|unit| match order {
                    Utf16::LowFirst => unit.to_le_bytes(),
                    Utf16::HighFirst => unit.to_be_bytes(),
                })
                .collect();
            assert_eq!(Utf16::of(&bytes[..16]), Some(order));
            let mut text = String::new();
            Utf16Reader::new(bytes.as_slice(), order).read_to_string(&mut text).unwrap();
            assert_eq!(text, words);
        }
        assert_eq!(Utf16::of(b"time_s,speed_kmh"), None);
        assert_eq!(Utf16::of(&[0; 64]), None);
        assert_eq!(Utf16::of(b"\xff\xfet\0"), Some(Utf16::LowFirst));
    }
}
