//! The edges of what may be described: days, cars, packs and roads as far out as the rules allow, and
//! a step further. Each gives finite answers or a plain refusal that names its key.

mod answers;
mod cars;
mod days;
mod files;
mod packs;
mod roads;
