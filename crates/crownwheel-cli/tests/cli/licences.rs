//! What `licences` lists is what is linked in.

use std::collections::BTreeSet;
use std::process::Command;

use crate::bench::{good, json, text};

/// `package version licence`, as the program lists them.
fn listed() -> BTreeSet<String> {
    let answer = json(&["licences"]);
    let one = |it: &serde_json::Value| {
        let part = |name: &str| it[name].as_str().unwrap().to_owned();
        format!("{}\t{}\t{}", part("package"), part("version"), part("licence"))
    };
    answer.as_array().unwrap().iter().map(one).collect()
}

/// The same as the manifests of the packages say it. Ours are not listed.
fn linked() -> BTreeSet<String> {
    let tree = Command::new(env!("CARGO"))
        .args(["tree", "-p", "crownwheel-cli", "-e", "normal", "--locked", "--prefix", "none"])
        .args(["--target", "x86_64-unknown-linux-gnu", "--format", "{p}\t{l}"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(tree.status.success(), "{}", text(&tree.stderr));
    let one = |line: &str| {
        let (package, licence) = line.trim_end_matches(" (*)").split_once('\t')?;
        let mut words = package.split(' ');
        let (name, version) = (words.next()?, words.next()?.trim_start_matches('v'));
        (!name.starts_with("crownwheel")).then(|| format!("{name}\t{version}\t{licence}"))
    };
    text(&tree.stdout).lines().filter_map(one).collect()
}

#[test]
fn the_list_is_what_is_linked_in() {
    let (listed, linked) = (listed(), linked());
    let gone: Vec<_> = listed.difference(&linked).collect();
    let new: Vec<_> = linked.difference(&listed).collect();
    assert!(linked.len() > 50, "{linked:?}");
    assert!(
        gone.is_empty() && new.is_empty(),
        "src/licences.tsv: take out {gone:#?}, put in {new:#?}"
    );
}

#[test]
fn the_screen_says_how_many_there_are() {
    let screen = good(&["licences"]);
    let count = format!("{} packages of others", listed().len());
    assert!(text(&screen.stdout).contains(&count), "{}", text(&screen.stdout));
}
