//! Colours by their part in a figure, for light and dark grounds.
//!
//! The hues (blue, ochre, green, plum, rust, slate) differ in lightness too, so that people who see
//! few colours can tell them apart; shape, dash, number or place always says the same again.

use plotters::style::RGBColor;

/// What a colour is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    /// Ground, and text on coloured bars.
    Paper,
    /// Text and the main lines.
    Text,
    /// Text of less weight.
    Soft,
    /// Grid lines.
    Grid,
    /// Blue.
    Blue,
    /// A lighter blue.
    Sky,
    /// Ochre.
    Ochre,
    /// A darker ochre.
    Umber,
    /// A pale ochre, only for broad bands behind a line.
    Sand,
    /// Green.
    Green,
    /// Plum.
    Plum,
    /// A lighter plum.
    Mallow,
    /// Rust.
    Rust,
    /// Slate.
    Slate,
    /// Over a limit.
    Alarm,
}

/// A colour on a light and on a dark ground.
struct Shades {
    ink: Ink,
    name: &'static str,
    light: (u8, u8, u8),
    dark: (u8, u8, u8),
}

const SHADES: [Shades; 15] = [
    shades(Ink::Paper, "paper", (0xfd, 0xfb, 0xf5), (0x15, 0x1a, 0x1d)),
    shades(Ink::Text, "text", (0x1d, 0x25, 0x2a), (0xe9, 0xe5, 0xda)),
    shades(Ink::Soft, "soft", (0x56, 0x62, 0x69), (0xa8, 0xb0, 0xb2)),
    shades(Ink::Grid, "grid", (0xdb, 0xd7, 0xc9), (0x3a, 0x42, 0x47)),
    shades(Ink::Blue, "blue", (0x12, 0x4a, 0x80), (0x86, 0xb8, 0xec)),
    shades(Ink::Sky, "sky", (0x3c, 0x78, 0xad), (0x5f, 0x93, 0xc6)),
    shades(Ink::Ochre, "ochre", (0x9c, 0x5f, 0x04), (0xec, 0xb6, 0x56)),
    shades(Ink::Umber, "umber", (0x7d, 0x4a, 0x12), (0xc9, 0x92, 0x45)),
    shades(Ink::Sand, "sand", (0xe3, 0xb8, 0x62), (0x7d, 0x63, 0x30)),
    shades(Ink::Green, "green", (0x00, 0x6b, 0x58), (0x5a, 0xc8, 0xab)),
    shades(Ink::Plum, "plum", (0x72, 0x2c, 0x68), (0xde, 0x9c, 0xd2)),
    shades(Ink::Mallow, "mallow", (0x9a, 0x58, 0x90), (0xb9, 0x7c, 0xae)),
    shades(Ink::Rust, "rust", (0xb4, 0x43, 0x22), (0xf2, 0x93, 0x74)),
    shades(Ink::Slate, "slate", (0x4b, 0x58, 0x63), (0xb6, 0xc2, 0xca)),
    shades(Ink::Alarm, "alarm", (0xa8, 0x0f, 0x22), (0xff, 0x8f, 0x88)),
];

const fn shades(ink: Ink, name: &'static str, light: (u8, u8, u8), dark: (u8, u8, u8)) -> Shades {
    Shades { ink, name, light, dark }
}

impl Ink {
    fn shades(self) -> &'static Shades {
        SHADES.iter().find(|s| s.ink == self).unwrap_or(&SHADES[1])
    }

    /// Its name as a variable of the page.
    pub(crate) fn name(self) -> &'static str {
        self.shades().name
    }

    /// The colour on light paper as SVG writes it.
    pub(crate) fn light_hex(self) -> String {
        hex(self.shades().light)
    }

    /// The ink of a colour on light paper.
    pub(crate) fn of(colour: (u8, u8, u8)) -> Ink {
        SHADES.iter().find(|s| s.light == colour).map_or(Ink::Text, |s| s.ink)
    }

    /// The colour on light paper.
    pub(crate) fn light(self) -> RGBColor {
        let (r, g, b) = self.shades().light;
        RGBColor(r, g, b)
    }
}

/// The variables of the page, `--paper:#fdfbf5;...`, for a light or a dark ground.
pub(crate) fn variables(dark: bool) -> String {
    SHADES
        .iter()
        .map(|s| format!("--{}:{};", s.name, hex(if dark { s.dark } else { s.light })))
        .collect()
}

fn hex((r, g, b): (u8, u8, u8)) -> String {
    format!("#{r:02X}{g:02X}{b:02X}")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Contrast of two colours by the web accessibility guidelines (WCAG 2.1, relative luminance).
    fn contrast(a: (u8, u8, u8), b: (u8, u8, u8)) -> f64 {
        let part = |v: u8| {
            let v = f64::from(v) / 255.0;
            if v <= 0.03928 { v / 12.92 } else { libm::pow((v + 0.055) / 1.055, 2.4) }
        };
        let light =
            |(r, g, b): (u8, u8, u8)| 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
        let (a, b) = (light(a) + 0.05, light(b) + 0.05);
        a.max(b) / a.min(b)
    }

    #[test]
    fn every_colour_reads_on_its_ground() {
        let paper = &SHADES[0];
        let band = |ink: Ink| matches!(ink, Ink::Paper | Ink::Grid | Ink::Sand);
        for s in SHADES.iter().filter(|s| !band(s.ink)) {
            assert!(contrast(s.light, paper.light) >= 4.0, "{} on light paper", s.name);
            assert!(contrast(s.dark, paper.dark) >= 4.5, "{} on dark paper", s.name);
        }
    }

    #[test]
    fn light_colours_are_distinct_so_that_each_maps_to_one_variable() {
        for (i, s) in SHADES.iter().enumerate() {
            assert!(SHADES[..i].iter().all(|other| other.light != s.light), "{}", s.name);
            assert_eq!(s.ink.shades().name, s.name);
        }
    }
}
