//! `new`: a commented build that runs as it is.

use std::fs::{self, OpenOptions};
use std::io::Write;

use crownwheel_files::template::FILES;

use crate::args::New;
use crate::outcome::{Failure, Outcome, print};

pub(crate) fn run(new: &New) -> Result<Outcome, Failure> {
    let taken: Vec<&str> = FILES
        .iter()
        .filter(|file| new.dir.join(file.name).symlink_metadata().is_ok())
        .map(|file| file.name)
        .collect();
    if !taken.is_empty() && !new.force {
        return Err(Failure::Failed(format!(
            "nothing was written: `{}` already holds {}; name another folder, or replace them with --force",
            new.dir.display(),
            taken.join(", ")
        )));
    }
    fs::create_dir_all(&new.dir)
        .map_err(|error| Failure::file("make the folder", &new.dir, &error))?;
    for file in FILES {
        let path = new.dir.join(file.name);
        let mut options = OpenOptions::new();
        options.write(true).truncate(true);
        if new.force {
            options.create(true)
        } else {
            options.create_new(true)
        };
        options
            .open(&path)
            .and_then(|mut out| out.write_all(file.text.as_bytes()))
            .map_err(|error| Failure::file("write", &path, &error))?;
    }
    let dir = new.dir.display();
    print(&format!(
        "A build that runs is in {dir}; change its numbers to those of your car, then try\n    crownwheel check {dir}\n    crownwheel report {dir}\n"
    ))?;
    Ok(Outcome::Answered)
}
