//! Names of what a person has named: a car, a day, a hill, a supply, a demand.

use std::fmt;
use std::hash::{Hash, Hasher};
use std::ops::Deref;
use std::sync::Arc;

/// A name. It is one text to the program, its key, and may be another to people.
///
/// Paths, JSON and comparisons take the key, which is what it dereferences to; `Display` writes what
/// people are shown.
#[derive(Clone, Debug, Default)]
pub struct Name {
    key: Arc<str>,
    /// What people are shown. `None`: the key.
    title: Option<Arc<str>>,
}

impl Name {
    /// A name by its key.
    ///
    /// ```
    /// use crownwheel::name::Name;
    /// let day = Name::new("winter");
    /// assert_eq!(day.key(), "winter");
    /// assert_eq!(day.below("road").key(), "winter.road");
    /// assert_eq!(day.to_string(), "winter");
    /// ```
    pub fn new(key: impl Into<Arc<str>>) -> Name {
        Name { key: key.into(), title: None }
    }

    /// The same shown to people by a title, if there is one.
    ///
    /// ```
    /// use crownwheel::name::Name;
    /// let day = Name::new("winter").titled(Some("A frosty morning"));
    /// assert_eq!((day.key(), day.to_string().as_str()), ("winter", "A frosty morning"));
    /// assert_eq!(day, Name::new("winter"));
    /// assert_eq!(day.below("road").to_string(), "A frosty morning, road");
    /// ```
    #[must_use]
    pub fn titled(self, title: Option<&str>) -> Name {
        Name { title: title.map(Arc::from), ..self }
    }

    /// What paths, JSON and comparisons take.
    #[must_use]
    pub fn key(&self) -> &str {
        &self.key
    }

    /// The same with more words at its end.
    #[must_use]
    pub fn with(&self, more: &str) -> Name {
        self.changed(format!("{}{more}", self.key), more)
    }

    /// The name of a part of what it names.
    #[must_use]
    pub fn below(&self, part: &str) -> Name {
        self.changed(format!("{}.{part}", self.key), &format!(", {part}"))
    }

    fn changed(&self, key: String, behind_title: &str) -> Name {
        let title = self.title.as_ref().map(|title| format!("{title}{behind_title}"));
        Name::new(key).titled(title.as_deref())
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.title.as_ref().unwrap_or(&self.key))
    }
}

impl Deref for Name {
    type Target = str;

    fn deref(&self) -> &str {
        self.key()
    }
}

impl From<&str> for Name {
    fn from(key: &str) -> Name {
        Name::new(key)
    }
}

impl From<&Name> for Name {
    fn from(name: &Name) -> Name {
        name.clone()
    }
}

impl From<Arc<str>> for Name {
    fn from(key: Arc<str>) -> Name {
        Name::new(key)
    }
}

impl From<String> for Name {
    fn from(key: String) -> Name {
        Name::new(key)
    }
}

impl<T: AsRef<str> + ?Sized> PartialEq<T> for Name {
    fn eq(&self, other: &T) -> bool {
        self.key() == other.as_ref()
    }
}

impl AsRef<str> for Name {
    fn as_ref(&self) -> &str {
        self.key()
    }
}

impl Eq for Name {}

impl Hash for Name {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.key().hash(state);
    }
}

#[cfg(feature = "serde")]
impl serde::Serialize for Name {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.key())
    }
}

#[cfg(feature = "serde")]
impl<'de> serde::Deserialize<'de> for Name {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Name, D::Error> {
        Arc::<str>::deserialize(deserializer).map(Name::new)
    }
}
