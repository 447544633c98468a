//! Which options a run looks at: all, or one part of several.

use crate::outcome::Failure;

/// Part `number` of `of`: the options whose number leaves `number - 1` when divided by `of`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Part {
    pub(super) number: u32,
    pub(super) of: u32,
}

impl Part {
    /// All options.
    pub(super) const WHOLE: Part = Part { number: 1, of: 1 };

    /// `3/8`.
    pub(super) fn parse(text: &str) -> Result<Part, Failure> {
        let wrong = || {
            Failure::Usage(format!(
                "`--part {text}` is no part: write K/N with K from 1 to N, for example --part 3/8"
            ))
        };
        let (number, of) = text.split_once('/').ok_or_else(wrong)?;
        let number = number.trim().parse().map_err(|_| wrong())?;
        let of = of.trim().parse().map_err(|_| wrong())?;
        if number == 0 || number > of { Err(wrong()) } else { Ok(Part { number, of }) }
    }

    /// Its options of so many, in their order.
    pub(super) fn options(self, count: u128) -> impl Iterator<Item = u128> {
        (0..).map(move |turn| self.option(turn)).take_while(move |index| *index < count)
    }

    /// The option of one of its turns, counted from 0.
    pub(super) fn option(self, turn: u128) -> u128 {
        u128::from(self.number) - 1 + turn * u128::from(self.of)
    }

    /// The turn of an option; `None` if it is of another part.
    pub(super) fn turn_of(self, option: u128) -> Option<u128> {
        let turn = option / u128::from(self.of);
        (self.option(turn) == option).then_some(turn)
    }

    /// How many options it has, of so many.
    pub(super) fn len(self, count: u128) -> u128 {
        (count + u128::from(self.of) - u128::from(self.number)) / u128::from(self.of)
    }

    /// Name of the file that its first look is kept in.
    pub(super) fn file_name(self) -> String {
        if self == Part::WHOLE {
            "first-look.csv".to_owned()
        } else {
            format!("first-look-{}-of-{}.csv", self.number, self.of)
        }
    }

    /// The part whose file has this name.
    pub(super) fn of_file(name: &str) -> Option<Part> {
        let numbers = name.strip_prefix("first-look-")?.strip_suffix(".csv")?;
        let part = Part::parse(&numbers.replacen("-of-", "/", 1)).ok()?;
        (part.file_name() == name).then_some(part)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_share_out_every_option_once() {
        for (of, count) in [(1, 5), (2, 5), (3, 7), (7, 3), (4, 0), (3, 9)] {
            let mut all = Vec::new();
            for number in 1..=of {
                let part = Part { number, of };
                let options: Vec<u128> = part.options(count).collect();
                assert_eq!(part.len(count), options.len() as u128, "{number}/{of} of {count}");
                for index in 0..count {
                    let turn = options.iter().position(|option| *option == index);
                    assert_eq!(part.turn_of(index), turn.map(|turn| turn as u128), "{index}");
                }
                all.extend(options);
            }
            all.sort_unstable();
            assert!(all.into_iter().eq(0..count), "{of} {count}");
        }
    }

    #[test]
    fn parts_are_read_and_named() {
        assert_eq!(Part::parse("3/8").unwrap(), Part { number: 3, of: 8 });
        for wrong in ["", "3", "0/8", "9/8", "-1/8", "a/b", "3/8/2"] {
            assert!(Part::parse(wrong).is_err(), "{wrong}");
        }
        let part = Part { number: 3, of: 8 };
        assert_eq!(Part::of_file(&part.file_name()), Some(part));
        for other in ["first-look.csv", "first-look-3-of-2.csv", "first-look-03-of-8.csv", "x.csv"]
        {
            assert_eq!(Part::of_file(other), None, "{other}");
        }
    }
}
