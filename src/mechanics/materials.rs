//! Lines and rods that workshops use, with the source of each number.

/// Standard gravity, m/s² (ISO 80000-3; CGPM 1901).
pub const STANDARD_GRAVITY_M_PER_S2: f64 = 9.80665;

/// A line material by name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineMaterial {
    /// Name in a scenario file.
    pub name: &'static str,
    /// Density, kg/m³.
    pub density_kg_per_m3: f64,
    /// Strength, N/tex (N per g/km), for the caution on overtightening.
    pub strength_n_per_tex: f64,
    /// Factor that is left of the tension after relaxation and a change of humidity: lowest and highest, uniform.
    pub slackening: [f64; 2],
    /// Where the numbers come from.
    pub source: &'static str,
}

const FIBRE_TABLE: &str = "specific gravity and strength: rope maker's fibre table (HMPE 0.97, 2.65 N/tex; \
     steel wire 7.85, 0.18 N/tex); slackening: chosen, wide, no source for a given line (see README, how far to trust it)";

impl LineMaterial {
    /// Every line material that the program knows.
    pub const ALL: [Self; 4] = [
        Self {
            name: "nylon",
            density_kg_per_m3: 1140.0,
            strength_n_per_tex: 0.5,
            slackening: [0.75, 0.95],
            source: "density: rope maker's fibre table (1.14); strength of monofilament: two sellers' charts give 4 lb for 0.20 mm, \
                     0.5 N/tex (yarn for ropes reaches 0.84); slackening: chosen, wide, no source for a given line",
        },
        Self {
            name: "polyethylene-braid",
            density_kg_per_m3: 970.0,
            strength_n_per_tex: 2.65,
            slackening: [0.80, 0.98],
            source: FIBRE_TABLE,
        },
        Self {
            name: "steel-wire",
            density_kg_per_m3: 7850.0,
            strength_n_per_tex: 0.18,
            slackening: [0.97, 1.0],
            source: FIBRE_TABLE,
        },
        Self {
            name: "cotton",
            density_kg_per_m3: 1540.0,
            strength_n_per_tex: 0.2,
            slackening: [0.6, 0.95],
            source: "cotton's density and strength from memory; slackening: chosen, wide, no source",
        },
    ];

    /// The material of that name.
    pub fn named(name: &str) -> Option<&'static Self> {
        Self::ALL.iter().find(|material| material.name == name)
    }

    /// Mass per length of a round line, kg/m, of the diameter `diameter_mm`.
    pub fn mass_kg_per_m(&self, diameter_mm: f64) -> f64 {
        round_mass_kg_per_m(self.density_kg_per_m3, diameter_mm)
    }

    /// Breaking load of a round line, N.
    pub fn breaking_load_n(&self, diameter_mm: f64) -> f64 {
        // 1 kg/m = 1e6 tex
        self.strength_n_per_tex * self.mass_kg_per_m(diameter_mm) * 1e6
    }
}

/// A rod material by name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RodMaterial {
    /// Name in a scenario file.
    pub name: &'static str,
    /// Density, kg/m³, of a solid round rod (of the whole outline for a tube).
    pub density_kg_per_m3: f64,
    /// Where the number comes from.
    pub source: &'static str,
}

impl RodMaterial {
    /// Every rod material that the program knows. Densities are handbook values from memory, but for steel.
    pub const ALL: [Self; 7] = [
        Self {
            name: "bamboo",
            density_kg_per_m3: 700.0,
            source: "from memory: bamboo skewers 600 to 800 kg/m³",
        },
        Self {
            name: "birch",
            density_kg_per_m3: 650.0,
            source: "from memory: birch dowel 600 to 700 kg/m³",
        },
        Self {
            name: "balsa",
            density_kg_per_m3: 160.0,
            source: "from memory: model balsa 100 to 200 kg/m³",
        },
        Self {
            name: "paper-straw",
            density_kg_per_m3: 200.0,
            source: "from memory: a 6 mm paper straw weighs some 5 to 6 g/m",
        },
        Self {
            name: "acrylic",
            density_kg_per_m3: 1190.0,
            source: "from memory: cast acrylic 1190 kg/m³",
        },
        Self {
            name: "brass",
            density_kg_per_m3: 8500.0,
            source: "from memory: CuZn39Pb3 8470 kg/m³",
        },
        Self {
            name: "steel",
            density_kg_per_m3: 7850.0,
            source: "EN 1991-1-1 table A.4: steel 77.0 to 78.5 kN/m³",
        },
    ];

    /// The material of that name.
    pub fn named(name: &str) -> Option<&'static Self> {
        Self::ALL.iter().find(|material| material.name == name)
    }

    /// Mass per length, kg/m, of a round rod of the diameter `diameter_mm`.
    pub fn mass_kg_per_m(&self, diameter_mm: f64) -> f64 {
        round_mass_kg_per_m(self.density_kg_per_m3, diameter_mm)
    }
}

fn round_mass_kg_per_m(density_kg_per_m3: f64, diameter_mm: f64) -> f64 {
    let diameter_m = diameter_mm * 1e-3;
    density_kg_per_m3 * std::f64::consts::PI * diameter_m * diameter_m / 4.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thin_nylon_breaks_where_the_sellers_charts_say() {
        // two published charts: 0.20 mm monofilament is sold as 4 lb, 17.79 N; labels vary by some 15 %
        let nylon = LineMaterial::named("nylon").expect("nylon is known");
        let found = nylon.breaking_load_n(0.20);
        assert!(
            (found / 17.79 - 1.0).abs() < 0.15,
            "{found} N, expected 17.79 N"
        );
    }
}
