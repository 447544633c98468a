//! How alike two words are: what a misspelt key or name was meant to be.

use crate::table::count;

/// Letters put in, left out, changed or swapped with a neighbour that make one text of the other; each letter is touched once.
///
/// ```
/// assert_eq!(crownwheel::alike::slips("axel", "axle"), 1);
/// assert_eq!(crownwheel::alike::slips("ratio", ""), 5);
/// ```
#[must_use]
pub fn slips(a: &str, b: &str) -> usize {
    let [a, b] = [a, b].map(|text| text.chars().collect::<Vec<char>>());
    let (mut before, mut last): (Vec<usize>, Vec<usize>) = (Vec::new(), (0..=b.len()).collect());
    for i in 0..a.len() {
        let mut row = vec![i + 1];
        for j in 0..b.len() {
            let change = last[j] + usize::from(a[i] != b[j]);
            let mut least = change.min(last[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && a[i] == b[j - 1] && a[i - 1] == b[j] {
                least = least.min(before[j - 1] + 1);
            }
            row.push(least);
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

/// 1 of equal texts, 0 of such that have nothing in common: 1 less [`slips`] over the longer length.
///
/// ```
/// assert_eq!(crownwheel::alike::likeness("axel", "axle"), 0.75);
/// assert_eq!(crownwheel::alike::likeness("", ""), 1.0);
/// ```
#[must_use]
pub fn likeness(a: &str, b: &str) -> f64 {
    let longest = a.chars().count().max(b.chars().count());
    if longest == 0 { 1.0 } else { 1.0 - count(slips(a, b)) / count(longest) }
}
