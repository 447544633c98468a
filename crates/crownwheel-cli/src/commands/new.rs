//! `new`: a commented build that runs as it is.

use std::path::PathBuf;

use clap::Args as ClapArgs;
use crownwheel_files::template::FILES;

use crate::outcome::{Failure, Outcome, print, shown, typed};
use crate::staging::{self, StagingFolder};
use crate::values::a_folder;

#[derive(Debug, ClapArgs)]
pub(crate) struct New {
    /// Folder to write into; made if it is not there
    #[arg(value_parser = a_folder())]
    pub(crate) dir: PathBuf,
    /// Replace files of the same name
    #[arg(long)]
    pub(crate) force: bool,
}

pub(crate) fn run(new: &New) -> Result<Outcome, Failure> {
    let taken: Vec<&str> = FILES
        .iter()
        .filter(|file| new.dir.join(file.name).symlink_metadata().is_ok())
        .map(|file| file.name)
        .collect();
    if !taken.is_empty() && !new.force {
        return Err(Failure::Failed(format!(
            "nothing was written: `{}` already holds {}; name another folder, or replace them with --force",
            shown(&new.dir),
            taken.join(", ")
        )));
    }
    for file in FILES {
        staging::refuse_unordinary(&new.dir.join(file.name))?;
    }
    let mut staging = StagingFolder::open(&new.dir)?;
    let staged = FILES.iter().map(|file| staging.bytes(file.name, file.text.as_bytes()));
    let staged = staged.collect::<Result<Vec<_>, Failure>>()?;
    for (file, staged) in FILES.iter().zip(&staged) {
        staging.put(staged, file.name)?;
    }
    drop(staging);
    let (dir, typed) = (shown(&new.dir), typed(&new.dir));
    print(&format!(
        "A build that runs is in {dir}; change its numbers to those of your car, then try\n    crownwheel check {typed}\n    crownwheel report {typed}\nAn editor that knows TOML checks it while you write by `crownwheel keys --schema`.\n"
    ))?;
    Ok(Outcome::Answered)
}
