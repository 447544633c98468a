//! Measured values put into the text of a build: comments and layout stay, and nothing is lost.
//!
//! Keys that the new values take the place of become comments on their own lines, so that the old
//! numbers can still be read and put back. What cannot be done line by line is refused.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Keys that coast-down coefficients take the place of.
const REPLACED: [&str; 9] = [
    "car.drag_coefficient",
    "car.frontal_area",
    "car.drag_area",
    "car.brake_drag",
    "car.drag_rise_with_yaw",
    "tyres.rolling_resistance",
    "tyres.label_class",
    "tyres.speed_law",
    "tyres.rolling_rise",
];

/// The table that they are written into.
const ROAD_LOAD: &str = "car.road_load";

/// Coast-down coefficients as a build writes them: values with units, `118.2 ± 2.9 N`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RoadLoadText {
    /// Constant part.
    pub f0: String,
    /// Part that grows with speed.
    pub f1: String,
    /// Part that grows with speed squared.
    pub f2: String,
    /// Mass of the car during the runs.
    pub mass: String,
    /// Air temperature that they hold for.
    pub temperature: String,
    /// Air pressure that they hold for.
    pub pressure: String,
    /// What turned with the wheels: `axle`, `gearbox`, `motor`.
    pub turning: Vec<String>,
    /// Where they come from: `coast-down, 12 runs`.
    pub from: String,
}

/// A text with the new values in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenBack {
    /// The whole text.
    pub text: String,
    /// Keys that are comments now, each as its line stood.
    pub replaced: Vec<String>,
}

/// Why a text is left as it is.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum WriteBackError {
    /// It is no TOML.
    Syntax {
        /// What the parser says.
        reason: String,
    },
    /// It has coast-down coefficients already.
    AlreadyThere {
        /// Line, from 1.
        line: usize,
    },
    /// A key that would be replaced shares its line with others.
    SharedLine {
        /// The key.
        key: &'static str,
        /// Line, from 1.
        line: usize,
    },
    /// Nothing can be added to `car`: it is a table on one line, a list or a value.
    NoPlace {
        /// Line, from 1.
        line: usize,
    },
}

impl std::fmt::Display for WriteBackError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Syntax { reason } => write!(f, "it is not a TOML text: {reason}"),
            Self::AlreadyThere { line } => {
                write!(
                    f,
                    "line {line} has `{ROAD_LOAD}` already; --force makes the old one a comment"
                )
            }
            Self::SharedLine { key, line } => write!(
                f,
                "line {line} has `{key}` beside other keys; give it a line of its own, or take it out"
            ),
            Self::NoPlace { line } => write!(
                f,
                "nothing can be added to `car` in line {line}; write its keys below a line [car], each on its own line"
            ),
        }
    }
}

impl std::error::Error for WriteBackError {}

impl RoadLoadText {
    /// The lines of the table.
    #[must_use]
    pub fn lines(&self) -> String {
        let from = quoted(&self.from);
        let measured = |name: &str, value: &str| {
            format!("{name} = {{ value = {}, from = {from} }}\n", quoted(value))
        };
        let turning: Vec<String> = self.turning.iter().map(|word| quoted(word)).collect();
        [
            format!("[{ROAD_LOAD}]\n"),
            measured("f0", &self.f0),
            measured("f1", &self.f1),
            measured("f2", &self.f2),
            format!("mass = {}\n", quoted(&self.mass)),
            format!("temperature = {}\n", quoted(&self.temperature)),
            format!("pressure = {}\n", quoted(&self.pressure)),
            format!("turning = [{}]\n", turning.join(", ")),
            "measured_on = \"road\"\n".to_owned(),
        ]
        .concat()
    }
}

/// Puts coast-down coefficients into the text of a build.
///
/// `replace` makes coefficients that are there already comments too.
///
/// # Errors
/// [`WriteBackError`]; the text is then to be left as it is.
pub fn with_road_load(
    text: &str,
    road_load: &RoadLoadText,
    replace: bool,
) -> Result<WrittenBack, WriteBackError> {
    let table = DeTable::parse(text)
        .map_err(|error| WriteBackError::Syntax { reason: error.message().to_owned() })?;
    let mut gone: Vec<Range<usize>> = Vec::new();
    if let Some((key, value)) = find(table.get_ref(), ROAD_LOAD) {
        if !replace {
            return Err(WriteBackError::AlreadyThere { line: line_of(text, key.start) });
        }
        lines_of(text, ROAD_LOAD, &key, value, &mut gone)?;
    }
    for key in REPLACED {
        if let Some((at, value)) = find(table.get_ref(), key) {
            lines_of(text, key, &at, value, &mut gone)?;
        }
    }
    let others = without_road_load(text);
    // Keys that follow must stay in their own tables.
    let kept = |written: &WrittenBack| {
        others.is_some()
            && without_road_load(&written.text) == others
            && DeTable::parse(&written.text)
                .is_ok_and(|after| find(after.get_ref(), ROAD_LOAD).is_some())
    };
    let lines = road_load.lines();
    [end_of_section(table.get_ref(), text), text.len()]
        .into_iter()
        .map(|place| put_together(text, &gone, place, &lines))
        .find(kept)
        .ok_or_else(|| WriteBackError::NoPlace { line: line_of_car(table.get_ref(), text) })
}

/// Everything in a text but what coast-down coefficients are and what they take the place of.
fn without_road_load(text: &str) -> Option<toml::Table> {
    let mut root: toml::Table = text.parse().ok()?;
    for path in REPLACED.into_iter().chain([ROAD_LOAD]) {
        let Some((first, second)) = path.split_once('.') else { continue };
        let Some(table) = root.get_mut(first).and_then(toml::Value::as_table_mut) else { continue };
        table.remove(second);
        if table.is_empty() {
            root.remove(first);
        }
    }
    Some(root)
}

fn line_of_car(root: &DeTable<'_>, text: &str) -> usize {
    root.get("car").map_or(1, |car| line_of(text, car.span().start))
}

/// Key and value at a path.
fn find<'t, 'i>(
    root: &'t DeTable<'i>,
    path: &str,
) -> Option<(Range<usize>, &'t Spanned<DeValue<'i>>)> {
    let (first, second) = path.split_once('.')?;
    let inner = root.get(first)?.get_ref().as_table()?;
    let (key, value) = inner.iter().find(|(key, _)| key.get_ref() == second)?;
    Some((key.span(), value))
}

/// Lines that a key and everything in it stand on.
fn lines_of(
    text: &str,
    path: &'static str,
    key: &Range<usize>,
    value: &Spanned<DeValue<'_>>,
    gone: &mut Vec<Range<usize>>,
) -> Result<(), WriteBackError> {
    let span = value.span();
    let begins_with = |mark: char| text.get(span.clone()).is_some_and(|t| t.starts_with(mark));
    if let DeValue::Table(table) = value.get_ref()
        && !begins_with('{')
    {
        for (key, value) in table.iter() {
            lines_of(text, path, &key.span(), value, gone)?;
        }
        if begins_with('[') {
            gone.push(whole_lines(text, span));
        }
        return Ok(());
    }
    let lines = whole_lines(text, key.start..span.end.max(key.end));
    let before = text.get(lines.start..key.start).unwrap_or_default();
    let after = text.get(span.end..lines.end).unwrap_or_default().trim();
    let is_own = before.chars().all(|c| c.is_alphanumeric() || " \t._-\"'".contains(c))
        && (after.is_empty() || after.starts_with('#'));
    if !is_own {
        return Err(WriteBackError::SharedLine { key: path, line: line_of(text, key.start) });
    }
    gone.push(lines);
    Ok(())
}

/// The lines that a span touches, with the last line end.
fn whole_lines(text: &str, span: Range<usize>) -> Range<usize> {
    let start = text.get(..span.start).and_then(|t| t.rfind('\n')).map_or(0, |at| at + 1);
    let end = text.get(span.end..).and_then(|t| t.find('\n'));
    start..end.map_or(text.len(), |at| span.end + at + 1)
}

fn line_of(text: &str, at: usize) -> usize {
    text.get(..at).map_or(0, |before| before.matches('\n').count()) + 1
}

/// Where the section `[car]` ends: after the last of its own keys.
fn end_of_section(root: &DeTable<'_>, text: &str) -> usize {
    let Some(car) = root.get("car") else { return text.len() };
    let Some(table) = car.get_ref().as_table() else { return text.len() };
    let own = table.iter().filter(|(_, value)| {
        let written = text.get(value.span()).unwrap_or_default();
        !(value.get_ref().is_table() && written.starts_with('['))
    });
    let last = own.map(|(_, value)| value.span().end).max();
    last.map_or(text.len(), |end| whole_lines(text, end..end).end)
}

fn put_together(text: &str, gone: &[Range<usize>], place: usize, lines: &str) -> WrittenBack {
    let mut out = String::with_capacity(text.len() + lines.len() + 80);
    let mut replaced = Vec::new();
    let line_end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let lines = lines.replace('\n', line_end);
    let mut at = 0;
    // Even an empty text has a line to write behind.
    let empty = text.is_empty().then_some("");
    for line in text.split_inclusive('\n').chain(empty) {
        if gone.iter().any(|range| range.contains(&at)) {
            replaced.push(line.trim().to_owned());
            out.push_str("# ");
        }
        out.push_str(line);
        at += line.len();
        if at == place {
            if !out.is_empty() && !out.ends_with('\n') {
                out.push_str(line_end);
            }
            out.push_str(line_end);
            out.push_str(&lines);
        }
    }
    WrittenBack { text: out, replaced }
}

/// A TOML text in double quotes.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel::spec::RoadLoadSpec;

    fn coefficients() -> RoadLoadText {
        RoadLoadText {
            f0: "118.2 ± 2.9 N".to_owned(),
            f1: "0 N/(m/s)".to_owned(),
            f2: "0.452 ± 0.008 N/(m/s)^2".to_owned(),
            mass: "905 kg".to_owned(),
            temperature: "20 °C".to_owned(),
            pressure: "100 kPa".to_owned(),
            turning: vec!["axle".to_owned()],
            from: "coast-down, 12 runs".to_owned(),
        }
    }

    fn demo() -> &'static str {
        crate::template::FILES[0].text
    }

    fn loaded(text: &str) -> Result<crate::Build, String> {
        let folder = tempfile::tempdir().unwrap();
        for file in crate::template::FILES {
            std::fs::write(folder.path().join(file.name), file.text).unwrap();
        }
        std::fs::write(folder.path().join("build.toml"), text).unwrap();
        crate::load(folder.path(), &[]).map_err(|report| report.render(false))
    }

    #[test]
    fn the_demo_takes_coefficients_and_keeps_every_line() {
        let written = with_road_load(demo(), &coefficients(), false).unwrap();
        for line in demo().lines() {
            let kept = written.text.lines().any(|new| new == line || new == format!("# {line}"));
            assert!(kept, "{line}");
        }
        for key in ["drag_coefficient", "frontal_area", "rolling_resistance"] {
            assert!(written.replaced.iter().any(|line| line.starts_with(key)), "{key}");
        }
        let build = loaded(&written.text).unwrap();
        let RoadLoadSpec::Coefficients { f0_n, f2_n_per_mps2, .. } = build.car.road_load else {
            panic!("no coefficients")
        };
        assert!((f0_n - 118.2).abs() < 1e-12 && (f2_n_per_mps2 - 0.452).abs() < 1e-12);
        assert_eq!(build.provenance["car.road_load.f0"], "coast-down, 12 runs");
        assert!((build.spreads["car.road_load.f0"].half_width_95() - 2.9).abs() < 1e-9);
    }

    #[test]
    fn coefficients_that_are_there_are_replaced_only_when_that_is_meant() {
        let once = with_road_load(demo(), &coefficients(), false).unwrap().text;
        let again = with_road_load(&once, &coefficients(), false);
        assert!(matches!(again, Err(WriteBackError::AlreadyThere { line }) if line > 3));
        let newer = RoadLoadText { f0: "120 N".to_owned(), ..coefficients() };
        let twice = with_road_load(&once, &newer, true).unwrap();
        assert!(twice.text.contains("# f0 = { value = \"118.2 ± 2.9 N\""), "{}", twice.text);
        assert!(twice.text.contains("# [car.road_load]"), "{}", twice.text);
        assert!(loaded(&twice.text).is_ok(), "{}", loaded(&twice.text).unwrap_err());
        // And once more in the form of one line.
        let inline = demo().replace(
            "drag_coefficient = ",
            "road_load = { f0 = \"1 N\", f1 = \"0 N/(m/s)\", f2 = \"1 N/(m/s)^2\" }\n# ",
        );
        let inline = with_road_load(&inline, &newer, true).unwrap().text;
        assert!(inline.contains("# road_load = {") && loaded(&inline).is_ok());
    }

    #[test]
    fn what_shares_a_line_is_refused_with_its_place() {
        let text = "format = 1\ncar = { drag_area = \"0.7 m2\", name = \"x\" }\n";
        let refused = with_road_load(text, &coefficients(), false);
        assert_eq!(refused, Err(WriteBackError::SharedLine { key: "car.drag_area", line: 2 }));
        let broken = with_road_load("format = = 1", &coefficients(), false);
        assert!(matches!(broken, Err(WriteBackError::Syntax { .. })));
    }

    #[test]
    fn dotted_keys_tables_and_other_line_ends_are_kept() {
        let text = "[car]\r\nname = \"x\" # car\r\n\r\n[car.drag_area]\r\nfrom_top_speed = \
            \"129 km/h\"\r\n\r\n[other]\r\n";
        let written = with_road_load(text, &coefficients(), false).unwrap().text;
        assert!(written.starts_with("[car]\r\nname = \"x\" # car\r\n\r\n[car.road_load]\r\nf0"));
        assert!(written.contains("# [car.drag_area]\r\n# from_top_speed"), "{written}");
        assert!(!written.replace("\r\n", "").contains('\n'));
        let dotted = "car.name = \"x\"\ntyres.rolling_resistance = 0.01 # guess";
        let written = with_road_load(dotted, &coefficients(), false).unwrap();
        assert_eq!(written.replaced, ["tyres.rolling_resistance = 0.01 # guess"]);
        assert!(written.text.contains("# tyres.rolling_resistance = 0.01 # guess"));
    }

    #[test]
    fn keys_that_follow_stay_where_they_are() {
        let written = with_road_load("", &coefficients(), false).unwrap().text;
        assert!(DeTable::parse(&written).unwrap().get_ref().contains_key("car"), "{written}");
        // Behind the key of the car, the line after it would belong to the coefficients.
        let text = "car.name = \"x\"\nformat = 1\n";
        let written = with_road_load(text, &coefficients(), false).unwrap().text;
        assert!(written.starts_with(text), "{written}");
        assert!(DeTable::parse(&written).unwrap().get_ref().contains_key("format"), "{written}");
    }

    #[test]
    fn what_nothing_can_be_added_to_is_refused_with_its_place() {
        for car in ["car = { name = \"x\" }", "car = 3", "[[car]]\nname = \"x\"", "car = []"] {
            let text = format!("format = 1\n{car}\n");
            let refused = with_road_load(&text, &coefficients(), true);
            assert_eq!(refused, Err(WriteBackError::NoPlace { line: 2 }), "{car}");
        }
    }

    #[test]
    fn quotes_in_a_source_do_not_break_out() {
        let odd = RoadLoadText { from: "runs \"a\\b\"\nx = 1".to_owned(), ..coefficients() };
        let written = with_road_load("[car]\nname = \"x\"\n", &odd, false).unwrap().text;
        assert!(DeTable::parse(&written).is_ok(), "{written}");
    }
}
