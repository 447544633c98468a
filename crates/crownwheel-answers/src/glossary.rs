//! What the words of the answers mean.

/// A word with its meaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Term {
    /// The word.
    pub word: &'static str,
    /// What it means here, in a sentence or two.
    pub means: &'static str,
}

/// The words of the answers in the order of the alphabet.
pub const GLOSSARY: [Term; 28] = [
    term(
        "assumed",
        "A value that the build does not give. Every one is listed with its source; writing the key into the build replaces it.",
    ),
    term(
        "band",
        "The range in which an answer lies four times in five, given what is unsure: one world in ten lies below, one above. It does not hold what the model leaves out.",
    ),
    term(
        "binding limit",
        "What stops the car from pulling harder at this moment: motor torque, motor speed, pack voltage, battery current, grip, heat, a gear's rating.",
    ),
    term("build", "The written description of one conversion."),
    term(
        "continuous, hot",
        "What the motor can give for as long as you like, after its peak has used up the heat that it may store.",
    ),
    term(
        "cross weight",
        "Weight on the front right and rear left wheels as a share of the whole car.",
    ),
    term("cut-back", "The moment when heat makes the controller take torque away."),
    term("day", "Named conditions outside: temperature, wind, road, extra load such as a heater."),
    term("demand", "Something that the car must do, met with a probability."),
    term(
        "drag area",
        "Drag coefficient times frontal area; with the density of air it gives the force of the air.",
    ),
    term("drive cycle", "A speed for every second of a standard or recorded drive."),
    term(
        "effective mass",
        "Mass that resists acceleration: the car's, and what its turning parts count as.",
    ),
    term(
        "final drive",
        "The last pair of gears before the wheels, in the axle; its ratio is the axle ratio.",
    ),
    term("gross mass", "Highest mass that the plate allows."),
    term(
        "held back by",
        "The limit that bound for the longest time on one cycle, with its seconds.",
    ),
    term("nominal", "With every input at its written or assumed value."),
    term(
        "plate",
        "Highest axle loads and gross mass by the maker's plate or the registration papers.",
    ),
    term("range", "Distance from full to empty, within the usable part of the pack."),
    term(
        "reserve",
        "Part of the pack that you do not plan to use; a range with reserve ends there.",
    ),
    term(
        "road load",
        "Force that air and rolling resistance, and on a hill the slope, put against the car.",
    ),
    term(
        "rolling radius",
        "Distance that the car moves in one turn of a wheel, divided by 2 pi; a little less than the tyre's own radius.",
    ),
    term("rolling resistance", "Force against rolling as a share of the load on the wheel."),
    term("state of charge", "Charge in the pack as a share of what it holds when full."),
    term("tractive effort", "Force that the driven wheels put on the road; the pull."),
    term("use", "Energy at the pack's terminals for a distance; what comes from the wall is more."),
    term(
        "wall",
        "Energy that the meter counts for a distance, losses of charger and pack included.",
    ),
    term("warp", "Weight on the front left and rear right wheels less that on the other diagonal."),
    term("world", "One draw of everything that is unsure; a probability is a share of the worlds."),
];

const fn term(word: &'static str, means: &'static str) -> Term {
    Term { word, means }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_in_order_and_each_stands_once() {
        assert!(GLOSSARY.windows(2).all(|pair| pair[0].word < pair[1].word));
        assert!(GLOSSARY.iter().all(|term| term.means.ends_with('.')));
    }
}
