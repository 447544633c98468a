//! Classes of rolling resistance on the label of a tyre.

/// Which regulation's letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
pub enum LabelRule {
    /// Regulation (EC) 1222/2009: letters A to G, until 30 April 2021.
    Until2021,
    /// Regulation (EU) 2020/740: letters A to E, from 1 May 2021.
    From2021,
}

/// Which tyres the limits are for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
pub enum TyreClass {
    /// Tyres of cars.
    C1,
    /// Tyres of vans.
    C2,
    /// Tyres of heavy vehicles.
    C3,
}

/// Lowest coefficient that we count with in the best class, N/kN: that class has no lower end.
/// Engineer's judgement.
pub const BEST_N_PER_KN: f64 = 5.0;

/// Highest coefficient that we count with in the worst class, N/kN: that class has no upper end.
/// Engineer's judgement.
pub const WORST_N_PER_KN: f64 = 13.0;

/// A letter, and the highest coefficient that still earns it, in tenths of N/kN. `None`: no limit.
type ClassLimit = (char, Option<u16>);

/// The classes from best to worst. Limits are inclusive, on a coefficient rounded to one decimal.
fn limits(rule: LabelRule, class: TyreClass) -> &'static [ClassLimit] {
    use LabelRule::{From2021, Until2021};
    use TyreClass::{C1, C2, C3};
    match (rule, class) {
        (From2021, C1) => {
            &[('A', Some(65)), ('B', Some(77)), ('C', Some(90)), ('D', Some(105)), ('E', None)]
        }
        (From2021, C2) => {
            &[('A', Some(55)), ('B', Some(67)), ('C', Some(80)), ('D', Some(92)), ('E', None)]
        }
        (From2021, C3) => {
            &[('A', Some(40)), ('B', Some(50)), ('C', Some(60)), ('D', Some(70)), ('E', None)]
        }
        (Until2021, C1) => &[
            ('A', Some(65)),
            ('B', Some(77)),
            ('C', Some(90)),
            ('E', Some(105)),
            ('F', Some(120)),
            ('G', None),
        ],
        (Until2021, C2) => &[
            ('A', Some(55)),
            ('B', Some(67)),
            ('C', Some(80)),
            ('E', Some(92)),
            ('F', Some(105)),
            ('G', None),
        ],
        (Until2021, C3) => &[
            ('A', Some(40)),
            ('B', Some(50)),
            ('C', Some(60)),
            ('D', Some(70)),
            ('E', Some(80)),
            ('F', None),
        ],
    }
}

/// Class of a rolling resistance coefficient of the drum test, or `None` for one that is not a
/// positive number.
///
/// # Units
/// `coefficient_n_per_kn` is the label's N/kN (the same number as kg/t), rounded here to one decimal,
/// halves up, before it meets the limits.
/// # Source
/// Regulation (EC) 1222/2009 Annex I Part A; Regulation (EU) 2020/740 Annex I Part A (from memory:
/// the old limits with the letters closed up). Rounding: ISO 80000-1 Annex B rule B, as prescribed
/// for tyre documents in Regulation (EU) 2017/2400.
///
/// ```
/// use crownwheel::tyre_label::{LabelRule, TyreClass, label_class};
/// assert_eq!(label_class(LabelRule::From2021, TyreClass::C1, 6.54), Some('A'));
/// assert_eq!(label_class(LabelRule::From2021, TyreClass::C1, 6.55), Some('B'));
/// ```
#[must_use]
pub fn label_class(rule: LabelRule, class: TyreClass, coefficient_n_per_kn: f64) -> Option<char> {
    if !(coefficient_n_per_kn > 0.0 && coefficient_n_per_kn.is_finite()) {
        return None;
    }
    // 6.55 is a little less in binary; a millionth of a tenth puts such halves back up.
    let tenths = (coefficient_n_per_kn * 10.0 + 0.5 + 1e-6).floor();
    limits(rule, class)
        .iter()
        .find(|(_, top)| top.is_none_or(|top| tenths <= f64::from(top)))
        .map(|(letter, _)| *letter)
}

/// Lowest and highest coefficient of a class, N/kN, or `None` for a letter that the rule does not
/// give. The open ends are [`BEST_N_PER_KN`] and [`WORST_N_PER_KN`], or a little beyond the limit
/// where that is already outside them.
///
/// A label is a drum value: the road adds to it, and the road's part is the larger unknown.
///
/// Source: the limits of [`label_class`]; the open ends are an engineer's judgement.
///
/// ```
/// use crownwheel::tyre_label::{LabelRule, TyreClass, label_range};
/// assert_eq!(label_range(LabelRule::From2021, TyreClass::C1, 'C'), Some((7.8, 9.0)));
/// assert_eq!(label_range(LabelRule::From2021, TyreClass::C1, 'G'), None);
/// ```
#[must_use]
pub fn label_range(rule: LabelRule, class: TyreClass, letter: char) -> Option<(f64, f64)> {
    let limits = limits(rule, class);
    let row = limits.iter().position(|(name, _)| *name == letter)?;
    let top = limits[row].1.map(|tenths| f64::from(tenths) / 10.0);
    let below = row.checked_sub(1).and_then(|row| limits[row].1);
    let from = below.map(|tenths| f64::from(tenths + 1) / 10.0);
    let from =
        from.unwrap_or_else(|| top.map_or(BEST_N_PER_KN, |top| BEST_N_PER_KN.min(top - 1.0)));
    Some((from, top.unwrap_or(WORST_N_PER_KN.max(from + 1.0))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_of_a_class_are_in_it() {
        for rule in [LabelRule::Until2021, LabelRule::From2021] {
            for class in [TyreClass::C1, TyreClass::C2, TyreClass::C3] {
                for (letter, _) in limits(rule, class) {
                    let (from, to) = label_range(rule, class, *letter).unwrap();
                    assert!(from < to);
                    assert_eq!(label_class(rule, class, from), Some(*letter));
                    assert_eq!(label_class(rule, class, to), Some(*letter));
                }
            }
        }
    }

    /// Class G of the older rule begins above 12.0 N/kN (regulation 1222/2009, annex I, part A), so near
    /// the usual worst end that it gets its own: 1 N/kN of width.
    #[test]
    fn an_open_class_beyond_the_usual_end_has_a_width() {
        let (from, to) = label_range(LabelRule::Until2021, TyreClass::C1, 'G').unwrap();
        assert!((from - 12.1).abs() < 1e-12 && (to - 13.1).abs() < 1e-12, "{from} to {to}");
    }

    #[test]
    fn letters_and_numbers_that_mean_nothing_are_refused() {
        assert_eq!(label_range(LabelRule::Until2021, TyreClass::C1, 'D'), None);
        assert_eq!(label_range(LabelRule::From2021, TyreClass::C1, 'G'), None);
        for odd in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(label_class(LabelRule::From2021, TyreClass::C1, odd), None);
        }
    }
}
