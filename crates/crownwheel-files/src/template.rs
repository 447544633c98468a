//! The commented build and sweep that `crownwheel new` writes: they run as they are.

/// A file of the starter build.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TemplateFile {
    /// Name in the folder.
    pub name: &'static str,
    /// What it holds.
    pub text: &'static str,
}

/// The files of the starter build, the build first: the invented demo, complete with comments, and a
/// small sweep.
pub const FILES: [TemplateFile; 5] = [
    TemplateFile { name: "build.toml", text: include_str!("template/build.toml") },
    TemplateFile { name: "motor-curve.csv", text: include_str!("template/motor-curve.csv") },
    TemplateFile { name: "motor-losses.csv", text: include_str!("template/motor-losses.csv") },
    TemplateFile { name: "moor-round.csv", text: include_str!("template/moor-round.csv") },
    TemplateFile { name: "sweep.toml", text: include_str!("template/sweep.toml") },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_starter_build_and_its_sweep_load_as_they_are() {
        let folder = tempfile::tempdir().unwrap();
        for file in FILES {
            std::fs::write(folder.path().join(file.name), file.text).unwrap();
        }
        let build = crate::load(folder.path(), &[]).unwrap();
        assert_eq!(build.inputs.len(), 3);
        let sweep = crate::load_sweep(folder.path(), &[]).unwrap();
        assert!((4..=40).contains(&sweep.space.len()));
        for index in 0..sweep.space.len() {
            assert!(sweep.space.option(index).unwrap().model.is_ok());
        }
    }
}
