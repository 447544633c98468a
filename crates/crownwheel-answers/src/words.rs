//! Small helpers for sentences.

/// Small whole numbers as words, larger ones as digits.
pub(crate) fn count_word(count: u32) -> String {
    const WORDS: [&str; 10] =
        ["none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];
    WORDS.get(count as usize).map_or_else(|| count.to_string(), |word| (*word).to_owned())
}

/// First letter in upper case.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
