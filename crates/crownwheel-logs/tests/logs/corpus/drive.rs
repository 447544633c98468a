//! The invented drive: speed, place, height and what the pack gave, second by second.

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::Rng as _;

/// Speeds that are driven, km/h, and how long each is held, s.
const STAGES: [(f64, u32); 17] = [
    (48.0, 60),
    (0.0, 20),
    (52.0, 90),
    (30.0, 40),
    (0.0, 95),
    (63.0, 120),
    (85.0, 150),
    (70.0, 60),
    (0.0, 30),
    (50.0, 80),
    (97.0, 180),
    (60.0, 60),
    (30.0, 50),
    (0.0, 25),
    (72.0, 140),
    (50.0, 60),
    (0.0, 15),
];
/// Speeding up and braking, m/s².
const UP_MPS2: f64 = 0.9;
const DOWN_MPS2: f64 = 1.1;
/// Mass with rotating parts, kg; rolling, N; air, N/(m/s)².
const CAR: (f64, f64, f64) = (1100.0, 140.0, 0.42);
/// Volts at rest, resistance, what stands by.
const PACK: (f64, f64, f64) = (352.0, 0.09, 260.0);

/// A second of the drive.
#[derive(Clone, Copy, Debug)]
pub(super) struct Second {
    pub(super) time_s: f64,
    pub(super) way_m: f64,
    pub(super) speed_mps: f64,
    pub(super) lat_deg: f64,
    pub(super) lon_deg: f64,
    pub(super) height_m: f64,
    pub(super) volts: f64,
    pub(super) amperes: f64,
    pub(super) charge_pct: f64,
}

impl Second {
    pub(super) fn kmh(&self) -> f64 {
        3.6 * self.speed_mps
    }
}

/// All seconds.
pub(super) struct Drive {
    pub(super) seconds: Vec<Second>,
}

impl Drive {
    pub(super) fn invented() -> Drive {
        let speeds = speeds();
        let mut seconds: Vec<Second> = Vec::new();
        let (mut way_m, mut lat_deg, mut lon_deg, mut used_c) = (0.0, 48.2, 11.3, 0.0);
        for (i, speed_mps) in speeds.iter().copied().enumerate() {
            let before = if i > 0 { speeds[i - 1] } else { 0.0 };
            let step_m = 0.5 * (before + speed_mps);
            let course = 0.8 * libm::sin(way_m / 900.0) + way_m / 9000.0;
            way_m += step_m;
            lat_deg += step_m * libm::cos(course) / 111_198.0;
            lon_deg += step_m * libm::sin(course) / 74_340.0;
            let next = speeds.get(i + 1).copied().unwrap_or(speed_mps);
            let slope = (height_m(way_m + 5.0) - height_m(way_m - 5.0)) / 10.0;
            let force = CAR.0 * (0.5 * (next - before) + 9.81 * slope)
                + if speed_mps > 0.0 { CAR.1 } else { 0.0 }
                + CAR.2 * speed_mps * speed_mps;
            let watts = force * speed_mps * if force > 0.0 { 1.15 } else { 0.7 } + PACK.2;
            let amperes = watts / PACK.0;
            used_c += amperes;
            seconds.push(Second {
                time_s: f64::from(u32::try_from(i).unwrap()),
                way_m,
                speed_mps,
                lat_deg,
                lon_deg,
                height_m: height_m(way_m),
                volts: PACK.0 - PACK.1 * amperes,
                amperes,
                charge_pct: 90.0 - used_c / 2500.0,
            });
        }
        Drive { seconds }
    }

    pub(super) fn way_m(&self) -> f64 {
        self.seconds[self.seconds.len() - 1].way_m
    }

    pub(super) fn duration_s(&self) -> f64 {
        self.seconds[self.seconds.len() - 1].time_s
    }

    pub(super) fn climb_m(&self) -> f64 {
        self.seconds.windows(2).map(|two| (two[1].height_m - two[0].height_m).max(0.0)).sum()
    }

    pub(super) fn energy_j(&self) -> f64 {
        let watts = |second: &Second| second.volts * second.amperes;
        self.seconds.windows(2).map(|two| 0.5 * (watts(&two[0]) + watts(&two[1]))).sum()
    }
}

/// Speeds second by second, m/s, from rest to rest.
fn speeds() -> Vec<f64> {
    let mut all: Vec<f64> = vec![0.0; 12];
    for (kmh, hold_s) in STAGES {
        let wanted = kmh / 3.6;
        while (all[all.len() - 1] - wanted).abs() > 1e-9 {
            let now = all[all.len() - 1];
            all.push(wanted.clamp(now - DOWN_MPS2, now + UP_MPS2));
        }
        for second in 0..hold_s {
            // Nobody holds a speed exactly.
            all.push(wanted * (1.0 + 0.03 * libm::sin(f64::from(second) / 9.0)));
        }
        let now = all[all.len() - 1];
        if wanted > 0.0 && (now - wanted).abs() > DOWN_MPS2 {
            all.push(f64::midpoint(now, wanted));
        }
    }
    all
}

/// Rolling country, m above the sea.
fn height_m(way_m: f64) -> f64 {
    212.0 + 26.0 * libm::sin(way_m / 640.0) + 11.0 * libm::sin(way_m / 270.0)
}

/// Noise with a fixed seed.
pub(super) struct Noise(Pcg64Mcg);

impl Noise {
    pub(super) fn seeded(seed: u128) -> Noise {
        Noise(Pcg64Mcg::new(seed))
    }

    /// Even between -1 and 1.
    pub(super) fn even(&mut self) -> f64 {
        2.0 * f64::from(self.0.next_u32()) / f64::from(u32::MAX) - 1.0
    }

    /// Normal, near enough: the sum of twelve even draws.
    pub(super) fn normal(&mut self, sd: f64) -> f64 {
        0.5 * sd * (0..12).map(|_| self.even()).sum::<f64>()
    }
}
