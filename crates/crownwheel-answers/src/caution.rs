//! Short safety words that stand beside the figures that they belong to.

use serde::Serialize;

/// What a caution is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Topic {
    /// Axle loads, plates and tyre loads.
    AxleLoads,
    /// Brakes, and braking by the motor.
    Brakes,
    /// Traction voltage and short-circuit current.
    HighVoltage,
    /// Currents through cables and fuses.
    Currents,
    /// Coasting on a road.
    Coasting,
    /// Full throttle, top speed and hills.
    FullThrottle,
    /// Sockets, wall boxes and charging.
    Supply,
    /// What the speedometer shows.
    Speedometer,
}

/// A caution with its subject.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// Subject.
    pub topic: Topic,
    /// One or two sentences that defer to local codes and licensed people.
    pub text: &'static str,
}

impl Caution {
    /// The caution of a subject.
    #[must_use]
    pub fn about(topic: Topic) -> Self {
        let text = match topic {
            Topic::AxleLoads => {
                "Axle and gross limits are law. Weigh the finished car, and let the approval body decide on any change to the plate, springs or tyres."
            }
            Topic::Brakes => {
                "Brake balance moves with the weight, and the motor brakes one axle only. Have the brakes checked by a licensed person before the car goes on the road."
            }
            Topic::HighVoltage => {
                "Traction voltage kills. Work on it, and the choice of fuses, contactors and insulation, is for licensed people under the local electrical code."
            }
            Topic::Currents => {
                "These are currents over time, not a choice of cable or fuse. Sizing is for a licensed person under the local code."
            }
            Topic::Coasting => {
                "Coast down only where it is allowed and safe: a closed or empty straight road, in the dry, with a helper to watch and to write, never out of gear downhill, the ignition left on so that the steering does not lock, and off the road before anybody comes up behind. The law of the place decides."
            }
            Topic::FullThrottle => {
                "Try full throttle and top speed on closed ground only, and never above the speed mark of the tyres or the ratings of the driveline. On a hill the motor may cut back: leave room behind you."
            }
            Topic::Supply => {
                "A socket gives its full current for hours only if it, its cable and its circuit are made for that: ask a licensed electrician. Charge cells neither frozen nor damaged, and not unattended until the charger has been proved."
            }
            Topic::Speedometer => {
                "A speedometer may not show less than the true speed, and how much more is law, too. Have it checked after a change of tyres or final drive."
            }
        };
        Caution { topic, text }
    }
}
