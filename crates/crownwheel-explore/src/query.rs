//! What stands behind the question mark of an address.

/// Pairs of keys and values. `None`: it is no query, or not UTF-8.
pub(crate) fn pairs(query: &str) -> Option<Vec<(String, String)>> {
    let parts = query.split('&').filter(|part| !part.is_empty());
    parts
        .map(|part| {
            let (key, value) = part.split_once('=').unwrap_or((part, ""));
            Some((decoded(key)?, decoded(value)?))
        })
        .collect()
}

/// Percent signs and pluses undone, as forms write them.
fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'+' => b' ',
            b'%' => {
                let digit = |byte: u8| char::from(byte).to_digit(16);
                let high = digit(rest.next()?)?;
                let low = digit(rest.next()?)?;
                u8::try_from(16 * high + low).ok()?
            }
            other => other,
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(query: &str) -> Option<Vec<(String, String)>> {
        pairs(query)
    }

    #[test]
    fn a_query_is_read_as_a_browser_writes_it() {
        let wanted =
            [("day.winter.temperature", "\u{2212}2 °C"), ("a", "0.4 ± 3+4 & = %"), ("b", "")];
        let wanted: Vec<_> =
            wanted.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
        let query = "day.winter.temperature=%E2%88%922+%C2%B0C&a=0.4+%C2%B1+3%2B4+%26+%3D+%25&b=&";
        assert_eq!(read(query), Some(wanted));
        assert_eq!(read(""), Some(Vec::new()));
    }

    #[test]
    fn what_is_no_query_is_refused() {
        for wrong in ["a=%", "a=%2", "a=%zz", "%ff=1", "a=%C2", "a=%+1"] {
            assert_eq!(read(wrong), None, "{wrong}");
        }
    }
}
