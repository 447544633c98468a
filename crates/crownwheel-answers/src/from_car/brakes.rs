//! Where a conversion touches brakes and steering: modest words, since nothing of them is computed.

use crownwheel::spec::WeightsSpec;

use super::warning;
use crate::{LoadCase, Unit, Warning, WeighAnswer};

/// How much heavier than on the scales the empty car may be before its brakes are in question.
/// Engineer's judgement.
const HEAVIER_BY: f64 = 0.05;

/// How far the share of the rear axle may move, in points of per cent, before the balance of the
/// brakes is in question. Engineer's judgement.
const SHARE_MOVED_BY_PCT: f64 = 3.0;

/// Slack for loads that equal their limit by construction, kg.
const SLACK_KG: f64 = 0.01;

/// Warnings about brakes and power steering.
pub(super) fn warnings(weights: &WeightsSpec, answer: &WeighAnswer) -> Vec<Warning> {
    let all = [
        mass(answer),
        balance(answer),
        servo(weights),
        if weights.power_steering { steering(answer) } else { None },
    ];
    all.into_iter().flatten().collect()
}

fn mass(answer: &WeighAnswer) -> Option<Warning> {
    let before_kg = answer.case(LoadCase::AsOnScales)?.mass_kg;
    let after_kg = answer.case(LoadCase::ConvertedEmpty)?.mass_kg;
    let laden_kg = answer.case(LoadCase::EverySeat)?.mass_kg;
    let text = |mass_kg: f64| answer.units.text_to(mass_kg, Unit::Kg, 0);
    let over_gross = answer.limits.gross_kg.filter(|gross| laden_kg > gross + SLACK_KG);
    let why = if let Some(gross_kg) = over_gross {
        format!(
            "With every seat filled the car weighs {}, more than its original gross mass of {}",
            text(laden_kg),
            text(gross_kg)
        )
    } else if after_kg > before_kg * (1.0 + HEAVIER_BY) {
        format!(
            "Converted and empty the car weighs {}, {:.0} % more than on the scales",
            text(after_kg),
            100.0 * (after_kg / before_kg - 1.0)
        )
    } else {
        return None;
    };
    Some(warning(
        "brakes_mass",
        format!("{why}: the brakes were made for less, so have a licensed person judge them."),
    ))
}

fn balance(answer: &WeighAnswer) -> Option<Warning> {
    let before_pct = 100.0 - answer.case(LoadCase::AsOnScales)?.front_pct;
    let after_pct = 100.0 - answer.case(LoadCase::ConvertedEmpty)?.front_pct;
    ((after_pct - before_pct).abs() > SHARE_MOVED_BY_PCT).then(|| {
        warning(
            "brakes_balance",
            format!(
                "The rear axle's share goes from {before_pct:.1} to {after_pct:.1} %: brake balance and any pressure limiter no longer fit, so have a licensed person set and test them."
            ),
        )
    })
}

/// An engine leaves, and with it the vacuum that a servo may live on.
fn servo(weights: &WeightsSpec) -> Option<Warning> {
    let named = |parts: &[crownwheel::spec::PartSpec], word: &str| {
        parts.iter().any(|part| part.name.to_lowercase().contains(word))
    };
    (named(&weights.taken_out, "engine") && !named(&weights.put_in, "vacuum")).then(|| {
        warning(
            "brakes_vacuum",
            "The engine leaves and no vacuum pump comes in: if the car has a brake servo, check that the brake servo still has vacuum.".to_owned(),
        )
    })
}

fn steering(answer: &WeighAnswer) -> Option<Warning> {
    let before_kg = answer.case(LoadCase::AsOnScales)?.front_axle_kg;
    let after_kg = answer.case(LoadCase::ConvertedEmpty)?.front_axle_kg;
    let text = |mass_kg: f64| answer.units.text_to(mass_kg, Unit::Kg, 0);
    Some(warning(
        "power_steering_lost",
        format!(
            "The engine drove the power steering: without it the wheel gets heavy (front axle {} before, {} after), so plan an electric pump or rack and have it inspected by a licensed person.",
            text(before_kg),
            text(after_kg)
        ),
    ))
}

#[cfg(test)]
mod tests {
    use crate::Units;
    use crate::from_car::bench::changed;
    use crate::from_car::{Subject, weigh};
    use crownwheel::spec::CarSpec;

    fn codes(change: impl Fn(&mut CarSpec)) -> Vec<String> {
        let subject = changed(|spec| {
            // Quiet to begin with: what comes out goes back where it was.
            spec.pack.module_mass_kg = 0.1;
            spec.weights.put_in = spec.weights.taken_out.clone();
            spec.weights.plate.gross_kg = None;
            change(spec);
        });
        let subject = Subject { units: Units::Us, ..subject };
        let answer = weigh(&subject);
        let weights = &subject.car.spec().weights;
        super::warnings(weights, &answer).into_iter().map(|w| w.code).collect()
    }

    #[test]
    fn each_caution_comes_at_its_line_and_not_before() {
        let put = |spec: &mut CarSpec, name: &str, mass_kg: f64, behind_m: f64| {
            let mut part = spec.weights.put_in[0].clone();
            part.name = name.into();
            part.mass_kg = mass_kg;
            part.place.behind_front_axle_m = behind_m;
            spec.weights.put_in.push(part);
        };
        let pump = |spec: &mut CarSpec| put(spec, "Vacuum pump", 0.1, 0.0);
        assert_eq!(codes(|_| ()), ["brakes_vacuum"]);
        assert!(codes(pump).is_empty());
        let middle = |spec: &CarSpec| {
            let corners = spec.weights.corners;
            corners.centre_behind_front_axle_m(spec.weights.wheelbase_m)
        };
        let heavier = |share: f64| {
            codes(|spec| {
                pump(spec);
                let at = middle(spec);
                put(spec, "ballast", share * spec.weights.corners.total_kg(), at);
            })
        };
        assert!(heavier(0.045).is_empty());
        assert_eq!(heavier(0.055), ["brakes_mass"]);
        let moved = |points: f64| {
            codes(|spec| {
                pump(spec);
                // A pair that weighs nothing and carries load from front to rear.
                let kg = points / 100.0 * spec.weights.corners.total_kg();
                let wheelbase_m = spec.weights.wheelbase_m;
                put(spec, "weight", kg, wheelbase_m);
                let mut front = spec.weights.put_in[0].clone();
                front.mass_kg = kg;
                front.place.behind_front_axle_m = 0.0;
                front.name = "weight".into();
                spec.weights.taken_out.push(front);
            })
        };
        assert!(moved(2.8).is_empty());
        assert_eq!(moved(3.2), ["brakes_balance"]);
        assert_eq!(
            codes(|spec| {
                pump(spec);
                spec.weights.power_steering = true;
            }),
            ["power_steering_lost"]
        );
        let over_gross = codes(|spec| {
            pump(spec);
            spec.weights.plate.gross_kg = Some(spec.weights.corners.total_kg() + 10.0);
        });
        assert_eq!(over_gross, ["brakes_mass"]);
    }
}
