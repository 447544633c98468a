//! What options differ in, as written.

use std::sync::Arc;

use crate::document::{At, Node};
use crate::quantity::Spread;

/// A key of the build and its new value.
#[derive(Clone, Debug)]
pub(super) struct Change {
    pub(super) path: String,
    pub(super) key_at: At,
    pub(super) node: Node,
}

/// One of the things to choose from: a value of a varied key, or an entry of a group.
#[derive(Clone, Debug)]
pub(super) struct Alternative {
    /// The value as written, or the name.
    pub(super) label: Arc<str>,
    pub(super) price: Option<f64>,
    /// The value of a varied number.
    pub(super) spread: Option<Spread>,
    pub(super) at: At,
    pub(super) changes: Vec<Change>,
    /// Keys and tables of the build that it goes without.
    pub(super) without: Vec<(String, At)>,
}

impl Alternative {
    /// A value of a key, without price and band.
    pub(super) fn of_key(path: &str, key_at: &At, label: String, node: Node) -> Self {
        Self {
            label: Arc::from(label),
            price: None,
            spread: None,
            at: node.at.clone(),
            changes: vec![Change { path: path.to_owned(), key_at: key_at.clone(), node }],
            without: Vec::new(),
        }
    }
}

/// A value as its name: without quotes, and on one line.
pub(super) fn label(text: &str) -> String {
    let text = text.trim();
    let inner = ['"', '\'']
        .iter()
        .find_map(|quote| text.strip_prefix(*quote).and_then(|rest| rest.strip_suffix(*quote)));
    let words: Vec<&str> = inner.unwrap_or(text).split_whitespace().collect();
    words.join(" ")
}

/// A varied key, or a group of things to choose from.
#[derive(Clone, Debug)]
pub(super) struct Factor {
    /// Path of the key, or name of the group.
    pub(super) name: Arc<str>,
    pub(super) at: At,
    /// It stands in `[vary]`.
    pub(super) varied: bool,
    pub(super) entries: Vec<Alternative>,
}

impl Factor {
    /// Where it stands, in words.
    pub(super) fn place(&self) -> String {
        if self.varied { "[vary]".to_owned() } else { format!("[[choose.{}]]", self.name) }
    }
}
