//! Paths of keys: which row a path fits, and which known path a misspelt one looks like.

use crate::alike::likeness;

/// Longest path, bytes, for which a like one is looked for.
const LONGEST_PATH: usize = 200;

/// Likeness from which a path is offered.
const LIKE_ENOUGH: f64 = 0.85;

/// Of these patterns the one that looks most like a path, with the writer's names put in.
#[must_use]
pub fn nearest_of<'p>(patterns: impl Iterator<Item = &'p str>, path: &str) -> Option<String> {
    // Comparing takes the product of the lengths, and no key is as long as this.
    if path.len() > LONGEST_PATH {
        return None;
    }
    let own_name = path.rsplit('.').next().unwrap_or(path);
    let table = path.strip_suffix(own_name).unwrap_or_default();
    let mut best: Option<(f64, String)> = None;
    for pattern in patterns {
        // A table that the key stands in already is no better place for it.
        let others = candidates(pattern, path).into_iter().filter(|c| !is_within(path, c));
        for candidate in others {
            let name = candidate.rsplit('.').next().unwrap_or(&candidate);
            // The same name in another table, and a like name in the same table, are both likely.
            let same_table = if candidate.strip_suffix(name) == Some(table) { 0.5 } else { 0.0 };
            let to_beat = best.as_ref().map_or(LIKE_ENOUGH, |(top, _)| top.max(LIKE_ENOUGH));
            let most =
                (most_alike(own_name, name) + same_table).max(most_alike(path, &candidate) + 0.2);
            if most < to_beat {
                continue;
            }
            let mut score = likeness(own_name, name) + same_table;
            score = score.max(likeness(path, &candidate) + 0.2);
            if best.as_ref().is_none_or(|(top, _)| score > *top) {
                best = Some((score, candidate));
            }
        }
    }
    best.filter(|(score, _)| *score >= LIKE_ENOUGH).map(|(_, candidate)| candidate)
}

/// The most that two texts of these lengths can be alike: comparing them letter by letter is slow, and
/// a build may hold a hundred keys that nobody knows.
fn most_alike(a: &str, b: &str) -> f64 {
    let [a, b] = [a, b].map(|text| crate::table::count(text.chars().count()));
    if a.max(b) > 0.0 { a.min(b) / a.max(b) } else { 1.0 }
}

/// The path of a row and the paths of the tables on its way, names filled in from `path`.
fn candidates(pattern: &str, path: &str) -> Vec<String> {
    let names: Vec<&str> = path.split('.').collect();
    let mut parts: Vec<&str> = Vec::new();
    let mut found = Vec::new();
    for (i, part) in pattern.split('.').enumerate() {
        match (part, names.get(i)) {
            ("*", Some(name)) => parts.push(name),
            ("*", None) => return found,
            _ => parts.push(part),
        }
        if part != "*" {
            found.push(parts.join("."));
        }
    }
    found
}

/// Whether `path` stands below `table`.
fn is_within(path: &str, table: &str) -> bool {
    path.strip_prefix(table).is_some_and(|rest| rest.starts_with('.'))
}

/// Whether a pattern begins with the names of a path and goes on after them.
#[must_use]
pub fn starts_with(pattern: &str, path: &str) -> bool {
    let mut wanted = pattern.split('.');
    path.split('.').all(|name| wanted.next().is_some_and(|want| want == "*" || want == name))
        && wanted.next().is_some()
}

/// Whether a path fits a pattern with `*` for any name.
#[must_use]
pub fn matches(pattern: &str, path: &str) -> bool {
    let (mut wanted, mut given) = (pattern.split('.'), path.split('.'));
    loop {
        match (wanted.next(), given.next()) {
            (None, None) => return true,
            (Some(want), Some(name)) if want == "*" || want == name => {}
            _ => return false,
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::keys::nearest;

    #[test]
    fn misspelt_keys_find_their_neighbour() {
        for (wrong, right) in [
            ("motor.max_sped", "motor.max_speed"),
            ("motor.maxspeed", "motor.max_speed"),
            ("taken_out.engine.mas", "taken_out.engine.mass"),
            ("day.winter.temprature", "day.winter.temperature"),
            ("tyres.wheelbase", "car.wheelbase"),
            ("motr", "motor"),
            ("tires", "tyres"),
            ("pack.box.front.room", "pack.box.front.room_for"),
        ] {
            assert_eq!(nearest(wrong).as_deref(), Some(right), "{wrong}");
        }
        assert_eq!(nearest("zzzzzz"), None);
        assert_ne!(nearest("driveline.x").as_deref(), Some("driveline"));
    }
}
