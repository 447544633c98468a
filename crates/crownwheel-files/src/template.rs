//! The commented build that `crownwheel new` writes: it runs as it is.

/// A file of the starter build.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TemplateFile {
    /// Name in the folder.
    pub name: &'static str,
    /// What it holds.
    pub text: &'static str,
}

/// The files of the starter build, the build first: the invented demo, complete with comments.
pub const FILES: [TemplateFile; 4] = [
    TemplateFile { name: "build.toml", text: include_str!("../../../data-demo/dunlin/build.toml") },
    TemplateFile {
        name: "motor-curve.csv",
        text: include_str!("../../../data-demo/dunlin/motor-curve.csv"),
    },
    TemplateFile {
        name: "motor-losses.csv",
        text: include_str!("../../../data-demo/dunlin/motor-losses.csv"),
    },
    TemplateFile {
        name: "moor-round.csv",
        text: include_str!("../../../data-demo/dunlin/moor-round.csv"),
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_starter_build_loads_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        for file in FILES {
            std::fs::write(folder.path().join(file.name), file.text).unwrap();
        }
        let build = crate::load(folder.path(), &[]).unwrap();
        assert_eq!(build.inputs.len(), 3);
    }
}
